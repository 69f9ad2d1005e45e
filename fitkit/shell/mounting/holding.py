"""Where rails and sub-panels find hold: on the panel behind them, or on two walls instead."""

from __future__ import annotations

from fitkit.shell.model import Panel
from fitkit.shell.mounting.work import Work

MOST_PACKING_MM = 60.0
"""Packing or battens higher than this are struts: walls hold better [mm] (assumption)."""


def on_panel(work: Work, panel: Panel | None, *, high_mm: float, what: str, cure: str) -> bool:
    """Whether ``what`` stands on ``panel``; where two walls hold it instead, a note says why.

    ``panel`` is None where the closing plane is behind it. ``high_mm`` is how high packing or
    battens would be. What looks at a wall has its panel behind far off: walls hold it where that is
    too high. Else it stands on the panel as the sheet says, and ``cure`` is told.
    """
    why = why_on_walls(panel)
    if not why and panel is not None and high_mm > MOST_PACKING_MM:
        if work.mount.upright:
            why = f"the {panel.name} panel is {high_mm:.0f} mm away"
        else:
            work.trouble(
                f"{what} of the {work.label}",
                f"what is between it and the {panel.name} panel is {high_mm:.0f} mm high, a strut",
                high_mm - MOST_PACKING_MM, cure, tight=True,
            )  # fmt: skip
    if not why:
        return True
    verb = "go" if what.endswith("s") else "goes"
    work.notes.append(f"{work.label}: its {what} {verb} from wall to wall, since {why}.")
    return False


def why_on_walls(panel: Panel | None) -> str:
    """Why a panel holds nothing, so that two walls do; empty where it does.

    ``panel`` is None where the closing plane is behind the item.

    >>> why_on_walls(None)
    'its back looks at the closing plane'
    """
    if panel is None:
        return "its back looks at the closing plane"
    if panel.part.startswith("door "):
        return "a door is behind it, that would carry it along when it opens"
    return ""
