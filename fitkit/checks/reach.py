"""Can what must be at hand be taken out without lifting anything else?"""

from __future__ import annotations

from fitkit.checks.finding import Finding
from fitkit.checks.judge import names
from fitkit.checks.stages import ACCURACY_MM, Stages
from fitkit.fit.place import Placed
from fitkit.geometry.shapes import grow

SOURCE = "your sheet: item.reach"


def always_in_reach(stages: Stages) -> tuple[Finding, ...]:
    """One finding for each item that must always be in reach."""
    return tuple(_finding(one, stages) for one in stages.placed if one.item.reach == "always")


def _finding(one: Placed, stages: Stages) -> Finding:
    over = [other.label for other in stages.placed if _is_over(other, one)]
    sheets = [] if over else _sheets_over(one, stages)
    if over:
        note = f"Put {one.label} on the top tier: {names(over)} must be lifted first."
    elif sheets:
        note = f"Cut through {names(sheets)} above {one.label}, or put it on the top tier."
    else:
        note = f"Nothing has to be lifted to take out {one.label}."
    count = float(len(over) + len(sheets))
    return Finding(
        "reach", one.label, count, 0.0, "", -count, "fails" if count else "ok", note, SOURCE
    )


def _is_over(other: Placed, one: Placed) -> bool:
    """Does ``other`` lie in the way when ``one`` is lifted out of its open half?"""
    if other.placement == one.placement or other.placement.half != one.placement.half:
        return False
    if one.placement.half == "shallow":  # lies open on its back: out is down in the closed case
        above = other.solid.z1_mm <= one.solid.z0_mm + ACCURACY_MM
    else:
        above = other.solid.z0_mm >= one.solid.z1_mm - ACCURACY_MM
    shared = other.solid.silhouette.intersection(one.solid.silhouette)
    return above and float(shared.area) > ACCURACY_MM


def _sheets_over(one: Placed, stages: Stages) -> list[str]:
    core = grow(one.solid.silhouette, -1.0)
    low = one.placement.half == "shallow"
    return [
        layer.name
        for layer in stages.foam.layers
        if layer.half == one.placement.half
        and (
            layer.z1_mm <= one.solid.z0_mm + ACCURACY_MM
            if low
            else layer.z0_mm >= one.solid.z1_mm - ACCURACY_MM
        )
        and float(layer.shape.intersection(core).area) > 1.0
    ]
