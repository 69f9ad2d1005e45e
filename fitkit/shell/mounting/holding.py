"""Where rails and sub-panels find hold: on the panel behind them, or on two walls instead."""

from __future__ import annotations

from fitkit.shell.model import Panel

MOST_PACKING_MM = 60.0
"""What lies further off the panel is held on the walls instead [mm] (assumption)."""


def why_on_walls(panel: Panel | None, *, packing_mm: float = 0.0) -> str:
    """Why two walls hold what would stand on ``panel``; empty where the panel does.

    ``panel`` is None where the closing plane is behind it; ``packing_mm`` is what is left between
    rails and panel, or how high the battens of a sub-panel would be [mm].

    >>> why_on_walls(None)
    'its back looks at the closing plane'
    """
    if panel is None:
        return "its back looks at the closing plane"
    if panel.part.startswith("door "):
        return "a door is behind it, that would carry it along when it opens"
    if packing_mm > MOST_PACKING_MM:
        return f"the {panel.name} panel is {packing_mm:.0f} mm away"
    return ""
