"""The notebook's side: one bench for each job of the builder. Needs the extra ``lab``.

``Measure``, ``FitBench``, ``RecessBench``, ``FoamBench`` and ``BuildBench`` take the path of a
payload sheet and share its plan: ``pip install "fitkit[lab]"``.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from fitkit.notebook.foam_view import FoamBench as FoamBench
    from fitkit.notebook.form import Measure as Measure
    from fitkit.notebook.recess import RecessBench as RecessBench
    from fitkit.notebook.session.bench import FitBench as FitBench
    from fitkit.notebook.view3d import BuildBench as BuildBench

_ROOMS = {
    "Measure": "fitkit.notebook.form",
    "FitBench": "fitkit.notebook.session.bench",
    "RecessBench": "fitkit.notebook.recess",
    "FoamBench": "fitkit.notebook.foam_view",
    "BuildBench": "fitkit.notebook.view3d",
}


def __getattr__(name: str) -> object:
    """A bench by its name, imported when it is asked for: Jupyter's libraries are heavy."""
    if name not in _ROOMS:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module(_ROOMS[name]), name)
