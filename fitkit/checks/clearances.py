"""Do items keep their distances from each other and from the panels?

Measured on the finished layout: between the outlines that the pockets follow where two items
share a height, to the panels beside, below and above. "Tight" means that the clearance holds as
measured, but not if the measurements are off by what the builder said.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely
from attrs import evolve

from fitkit.checks.finding import Finding
from fitkit.checks.judge import at_least
from fitkit.checks.stages import ACCURACY_MM, Stages
from fitkit.fit.gaps import failing_gaps, way_out
from fitkit.fit.place import Placed

SHEET = "your sheet: case.clearance"


def between_items(stages: Stages) -> tuple[Finding, ...]:
    """One finding for each pair that is too close, and one for the nearest of the others."""
    payload, limit = stages.payload, stages.payload.case.clearance.item_mm
    found: list[Finding] = []
    failing: set[frozenset[str]] = set()
    for gap in failing_gaps(payload, stages.fit.placements):
        if gap.kind != "item" or isinstance(gap.right, str):
            continue
        failing.add(frozenset(gap.names))
        out = way_out(payload, stages.fit.placements, gap.right)
        move = (
            f"move {gap.names[1]} by {out.by_mm:.1f} mm to the {out.way}"
            if out
            else f"move {gap.names[1]} away"
        )
        state = "overlap" if gap.overlaps else f"are {gap.gap_mm:.1f} mm apart"
        found.append(
            at_least(
                "item clearance",
                f"{gap.names[0]}, {gap.names[1]}",
                value=gap.gap_mm,
                limit=limit,
                unit="mm",
                note=f"They {state}: {move}.",
                source=SHEET,
            )
        )
    nearest = _nearest(stages, failing)
    if nearest is not None:
        found.append(nearest)
    return tuple(found)


def _nearest(stages: Stages, failing: set[frozenset[str]]) -> Finding | None:
    """The pair with the least room to spare among those that hold."""
    limit = stages.payload.case.clearance.item_mm
    placed = stages.placed
    shapes = np.array([one.solid.silhouette for one in placed], dtype=object)
    pairs = [
        (i, j)
        for i, one in enumerate(placed)
        for j, other in enumerate(placed[:i])
        if _share_height(one, other) and frozenset((one.label, other.label)) not in failing
    ]
    if not pairs:
        return None
    left, right = np.array(pairs).T
    gaps = shapely.distance(shapes[left], shapes[right])
    unsure = np.array([p.item.uncertainty_mm for p in placed])
    slack = unsure[left] + unsure[right]
    tight = int(np.sum(gaps - slack < limit - ACCURACY_MM))
    k = int(np.argmin(gaps - slack))
    a, b = placed[int(right[k])].label, placed[int(left[k])].label
    note = "The nearest pair."
    if tight:
        note = (
            f"{tight} {'pair holds' if tight == 1 else 'pairs hold'} as measured, but not if both "
            f"measurements are off by their uncertainty: measure {a} and {b} again, or ask for "
            "more clearance."
        )
    return at_least(
        "item clearance",
        f"{a}, {b}",
        value=float(gaps[k]),
        limit=limit,
        unit="mm",
        slack=float(slack[k]),
        note=note,
        source=SHEET,
    )


def to_walls(stages: Stages) -> tuple[Finding, ...]:
    """One finding for each item too close to a wall, and one for the nearest of the others."""
    limit = stages.payload.case.clearance.wall_mm
    return _failing_and_least(
        [
            at_least(
                "wall clearance",
                one.label,
                value=gap,
                limit=limit,
                unit="mm",
                slack=one.item.uncertainty_mm,
                note=_away(one, limit - gap, stages),
                source=SHEET,
            )
            for one in stages.placed
            for gap in (wall_gap_mm(one, stages),)
        ],
        "The nearest to a wall.",
    )


def wall_gap_mm(one: Placed, stages: Stages) -> float:
    """Least distance from a body to the walls [mm]; below nothing, it stands through them."""
    room = stages.interior
    least = np.inf
    for band in one.solid.bands:
        outline = room.outline_within(band.z0_mm, band.z1_mm)
        if outline.covers(band.shape):
            gap = float(outline.exterior.distance(band.shape))
        else:
            corners = shapely.points(shapely.get_coordinates(band.shape))
            gap = -float(np.max(shapely.distance(corners, outline)))
        least = min(least, gap)
    return float(least)


def to_floor(stages: Stages) -> tuple[Finding, ...]:
    """Room for the pad under each item, against the clearance asked for."""
    limit = stages.payload.case.clearance.floor_mm
    return _failing_and_least(
        [
            at_least(
                "floor clearance",
                one.label,
                value=_floor_gap_mm(one, stages),
                limit=limit,
                unit="mm",
                slack=one.item.uncertainty_mm,
                note=(
                    f"Raise {one.label} by {limit - _floor_gap_mm(one, stages):.1f} mm, or ask for "
                    "a thinner floor."
                ),
                source=SHEET,
            )
            for one in stages.placed
            if one.item.mount is None  # it stands on its rails
        ],
        "The lowest item.",
    )


def to_lid(stages: Stages) -> tuple[Finding, ...]:
    """Room above each item: to the lid's panel, or in a pair to the closing plane (the recess)."""
    limit = stages.payload.case.clearance.lid_mm
    pair = stages.payload.case.form == "pair"
    # what is mounted is judged by the closing gap
    gaps = [(one, _lid_gap_mm(one, stages)) for one in stages.placed if one.item.mount is None]
    return _failing_and_least(
        [
            at_least(
                "recess" if pair else "lid clearance",
                one.label,
                value=gap,
                limit=limit,
                unit="mm",
                slack=one.item.uncertainty_mm,
                note=(
                    f"Make the {one.placement.half if pair else 'shallow'} half "
                    f"{limit - gap:.1f} mm deeper, or lower {one.label}."
                ),
                source=SHEET,
            )
            for one, gap in gaps
        ],
        "The nearest to the closing plane." if pair else "The nearest to the lid.",
    )


def _floor_gap_mm(one: Placed, stages: Stages) -> float:
    if one.placement.half == "shallow":
        return stages.interior.height_mm - one.solid.z1_mm
    return one.solid.z0_mm


def _lid_gap_mm(one: Placed, stages: Stages) -> float:
    room = stages.interior
    facing = room.closing_mm if stages.payload.case.form == "pair" else room.height_mm
    if one.placement.half == "shallow":
        return one.solid.z0_mm - (facing if stages.payload.case.form == "pair" else 0.0)
    return facing - one.solid.z1_mm


def _failing_and_least(findings: list[Finding], note: str) -> tuple[Finding, ...]:
    """All that fail, then the one with the least margin among the others, with ``note``."""
    return tuple(_pick(findings, note))


def _pick(findings: list[Finding], note: str) -> Iterator[Finding]:
    yield from (finding for finding in findings if finding.verdict == "fails")
    holding = [finding for finding in findings if finding.verdict != "fails"]
    tight = [finding for finding in holding if finding.verdict == "tight"]
    if tight:
        least = min(tight, key=lambda finding: finding.margin or 0.0)
        others = len(tight) - 1
        more = f" ({others} more {'is' if others == 1 else 'are'} as near)" if others else ""
        yield _with_note(
            least,
            "Holds as measured, but not if that is off by its uncertainty: measure "
            f"{least.subject} again, or ask for more clearance{more}.",
        )
    elif holding:
        yield _with_note(min(holding, key=lambda finding: finding.margin or 0.0), note)


def _with_note(finding: Finding, note: str) -> Finding:
    return evolve(finding, note=note)


def _away(one: Placed, by_mm: float, stages: Stages) -> str:
    """Which way an item goes to leave the wall that it is nearest to."""
    x0, y0, x1, y1 = one.solid.silhouette.bounds
    room = stages.interior
    _, way = min(
        (x0, "right"),
        (room.length_mm - x1, "left"),
        (y0, "back"),
        (room.width_mm - y1, "front"),
    )
    return f"Move {one.label} by {by_mm:.1f} mm to the {way}."


def _share_height(one: Placed, other: Placed) -> bool:
    a, b = one.solid, other.solid
    return a.z0_mm < b.z1_mm - ACCURACY_MM and b.z0_mm < a.z1_mm - ACCURACY_MM


def items_above_each_other(stages: Stages) -> tuple[Finding, ...]:
    """The pad between items that lie above each other, against the tier clearance.

    In one half, and across the closing plane of a box (a pair's recess is judged on its own).
    """
    pair = stages.payload.case.form == "pair"
    limit = stages.payload.case.clearance.tier_mm
    placed = stages.placed
    findings = []
    for i, one in enumerate(placed):
        for other in placed[:i]:
            facing = one.placement.half != other.placement.half
            mounted = one.item.mount is not None or other.item.mount is not None
            if (facing and (pair or mounted)) or _share_height(one, other):
                continue
            if not one.solid.silhouette.intersects(other.solid.silhouette):
                continue
            upper, lower = (one, other) if one.solid.z0_mm > other.solid.z0_mm else (other, one)
            gap = upper.solid.z0_mm - lower.solid.z1_mm
            findings.append(
                at_least(
                    "tier clearance",
                    f"{lower.label}, {upper.label}",
                    value=gap,
                    limit=limit,
                    unit="mm",
                    slack=one.item.uncertainty_mm + other.item.uncertainty_mm,
                    note=(
                        f"Make either half {limit - gap:.1f} mm deeper: the two face each other."
                        if facing
                        else f"Raise {upper.label} by {limit - gap:.1f} mm: the pad is too thin."
                    ),
                    source=SHEET,
                )
            )
    return _failing_and_least(findings, "The thinnest pad between two items above each other.")
