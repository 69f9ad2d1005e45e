"""The controls of the recess bench: what each sets, its range, and its words."""

from __future__ import annotations

from typing import Any

from attrs import frozen

from fitkit.documents.naming import half_names
from fitkit.notebook.recess.trying import TOLERANCES, Try
from fitkit.plan import Plan
from fitkit.shell.gap.trial import movable
from fitkit.units import length_text, number_text

WORDS = {
    "measured": "gear as measured, caliper",
    "tape": "depth off the tape",
    "saw": "panels as sawn",
    "seating": "seating of the profiles",
    "foam": "sheets of foam",
    "rail": "rails and sub-panels",
}
MOST_TOLERANCE_MM = 5.0


@frozen
class Control:
    """One slider: its key, words, range and step, and the unit ("mm", "N", "G")."""

    key: str
    group: str
    words: str
    low: float
    high: float
    step: float
    unit: str = "mm"
    none: str = ""


def controls_of(plan: Plan) -> tuple[Control, ...]:
    """The controls for a plan: ranges lie around what was planned."""
    interior = plan.fit.interior
    names = half_names(plan)
    pair = plan.payload.case.form == "pair"
    made = []
    for k, half in enumerate(interior.halves[: 1 if pair else None]):
        words = "each half, inside" if pair else f"{names[half.name]}, inside"
        low = max(5.0, half.depth_mm - 60.0)
        made.append(Control(f"depth/{k}", "Depth", words, low, half.depth_mm + 80.0, 0.5))
    deepest = max(half.depth_mm for half in interior.halves)
    for item in movable(plan.payload):
        if any(one.item == item.name for one in plan.fit.placements):
            made.append(Control(f"recess/{item.name}", "Recess", item.name, -20.0, deepest, 0.5))
    slot = plan.payload.wall.profile.slot_mm
    most = max(18.0, slot)
    words = "both backs, thickness"
    made.append(Control("backs", "Panels", words, 2.0, most, 0.1, "mm", "as planned"))
    for name in TOLERANCES:
        key = f"tolerance/{name}"
        made.append(Control(key, "Tolerances, ±", WORDS[name], 0.0, MOST_TOLERANCE_MM, 0.1))
    made += [
        Control("keep", "What it must stand", "to be kept at worst", 0.0, 15.0, 0.5),
        Control("load", "What it must stand", "load on a back", 0.0, 1000.0, 10.0, "N"),
        Control("drop", "What it must stand", "height of fall", 0.0, 2000.0, 10.0, "mm",
                "by the mass"),
        Control("shock", "What it must stand", "shock, gear not known", 0.0, 200.0, 5.0, "G",
                "not counted"),
        Control("cut", "Section", "cut, from the front", 0.0, interior.width_mm, 1.0, "mm",
                "through the gap"),
    ]  # fmt: skip
    return tuple(made)


def rows_of(plan: Plan, now: Try, planned: Try) -> list[dict[str, Any]]:
    """The controls as the view shows them: value, text, range that holds the value, and changed."""
    rows = []
    for one in controls_of(plan):
        value = now.value(one.key)
        cut_free = one.key == "cut" and now.cut_mm is None
        if cut_free or (one.none and one.key != "cut" and not value):
            text = one.none
        elif one.unit == "mm":
            text = length_text(value, units=plan.payload.units)
        else:
            text = f"{number_text(value, places=0)} {one.unit}"
        rows.append(
            {
                "key": one.key,
                "group": one.group,
                "words": one.words,
                "low": min(one.low, value),
                "high": max(one.high, value),
                "step": one.step,
                "value": value,
                "text": text,
                "changed": abs(value - planned.value(one.key)) > 1e-6,
            }
        )
    return rows
