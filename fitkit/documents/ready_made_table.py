"""The list of ready-made cases as a table: ranked, with what each offers and what it lacks."""

from __future__ import annotations

from attrs import frozen

from fitkit.documents.naming import size
from fitkit.fit.ready_made import Tried, volume_mm3
from fitkit.payload.model import ReadyMade
from fitkit.plan import Plan

SAID = {
    "holds": "holds the kit",
    "too small": "too small, for certain",
    "over a limit": "over a limit, for certain",
    "none found": "no layout found within the budget",
    "not searched": "not searched in the time given",
}
"""Verdicts in words."""


@frozen
class Row:
    """One case as a reader sees it; ``place`` is its rank, None where it does not hold the kit."""

    place: int | None
    case: ReadyMade
    tried: Tried
    chosen: bool

    @property
    def inside(self) -> str:
        """Inside at the rim and at the floor, and the depths of base and lid."""
        case = self.case
        rim = f"{size(case.length_mm)} × {size(case.width_mm)}"
        floor = f"{size(case.floor_mm[0])} × {size(case.floor_mm[1])}"
        plan = rim if rim == floor else f"{rim} (floor {floor})"
        return f"{plan}, {size(case.deep_mm)} + {size(case.shallow_mm)} deep"

    @property
    def litres(self) -> float:
        """Inside volume [L]."""
        return volume_mm3(self.case) / 1e6

    @property
    def lacks(self) -> str:
        """What is missing, or why it is not known; empty for a case that holds the kit."""
        tried = self.tried
        if tried.verdict == "holds":
            return "lies turned, its length along y" if tried.turned else ""
        if tried.missing.total_mm <= 0:
            return tried.note
        at_least = "at least " if tried.verdict == "too small" else ""
        return f"{at_least}{tried.missing}: {tried.note}"


def rows_of(plan: Plan) -> list[Row]:
    """Every case that was tried, in the order of the ranking; empty without a list."""
    answer = plan.ready_made
    if answer is None:
        return []
    made = []
    for place, tried in enumerate(answer.tried, start=1):
        case = plan.payload.case.ready_case(tried.name)
        holds = tried.verdict == "holds"
        made.append(Row(place if holds else None, case, tried, tried.name == answer.chosen))
    return made


def heading(plan: Plan) -> str:
    """How many cases hold the kit, in a sentence."""
    answer = plan.ready_made
    assert answer is not None  # asked only where there is a list
    held, certain = (
        len(answer.holding),
        sum(one.verdict in ("too small", "over a limit") for one in answer.tried),
    )
    open_ones = len(answer.tried) - held - certain
    parts = [f"{held} of {len(answer.tried)} hold the kit", f"{certain} cannot, for certain"]
    if open_ones:
        parts.append(f"for {open_ones} no layout was found in the time given")
    return f"{', '.join(parts)}; ranked by {answer.rank}."
