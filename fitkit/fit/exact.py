"""Proofs for rectangles (placeholder until the next commit)."""
from __future__ import annotations
from collections.abc import Callable
from typing import Any
def prove(state: Any, watch: Callable[[], bool]) -> bool:
    """Nothing yet."""
    return False
