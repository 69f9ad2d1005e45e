"""Raster (placeholder until the next commit)."""
from __future__ import annotations
from collections.abc import Callable
from typing import Any
import random
def improve(state: Any, rng: random.Random, watch: Callable[[], bool]) -> bool:
    """Nothing yet."""
    return False
