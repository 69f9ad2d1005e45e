"""The room inside a ready-made case: its interior, its volume, and an upright room within it."""

from __future__ import annotations

from attrs import evolve

from fitkit.fit.layout import Half, Interior
from fitkit.payload.model import Limits, Payload, Profile, ReadyMade

NO_PROFILE = Profile(
    outer_leaf_mm=0.0,
    slot_mm=0.0,
    inner_leaf_mm=0.0,
    slot_web_mm=0.0,
    leg_mm=0.0,
    corner_mm=0.0,
    closing_leaf_mm=0.0,
)
"""A wall of no thickness: outside sizes are those of the room."""


def inside_of(case: ReadyMade, *, turned: bool = False) -> Interior:
    """The interior of a case; ``turned`` by a quarter, its length along y."""

    def way(sides: tuple[float, float]) -> tuple[float, float]:
        return (sides[1], sides[0]) if turned else sides

    length, width = way((case.length_mm, case.width_mm))
    return Interior(
        length_mm=length,
        width_mm=width,
        halves=(Half("deep", case.deep_mm), Half("shallow", case.shallow_mm)),
        corner_mm=case.corner_mm,
        floors_mm=(way(case.floor_mm), way(case.top_mm)),
    )


def volume_mm3(case: ReadyMade) -> float:
    """Inside volume [mm3]: two frustums, corners taken as square.

    A frustum of height h between rectangles a by b and c by d whose sides change evenly holds
    h (2 a b + a d + b c + 2 c d) / 6: the integral of its cross-section.

    >>> volume_mm3(ReadyMade("cube", 100, 100, (100, 100), (100, 100), 60, 40)) == 100.0**3
    True
    """
    a, b = case.length_mm, case.width_mm
    total = 0.0
    for (c, d), high in ((case.floor_mm, case.deep_mm), (case.top_mm, case.shallow_mm)):
        total += high * (2 * a * b + a * d + b * c + 2 * c * d) / 6
    return total


def upright_mm(payload: Payload, case: ReadyMade) -> tuple[float, float]:
    """Length and width of the upright room in which everything may stand anywhere [mm].

    Bodies are at least the floor clearance above the floor and the lid clearance below the top:
    the room is measured where its walls stand in most between the two.
    """
    clear, inside = payload.case.clearance, inside_of(case)
    ends = (min(clear.floor_mm, inside.closing_mm), inside.height_mm - clear.lid_mm)
    insets = [inside.inset_mm(min(max(z, 0.0), inside.height_mm)) for z in ends]
    return (
        inside.length_mm - 2 * max(x for x, _ in insets),
        inside.width_mm - 2 * max(y for _, y in insets),
    )


def bare(payload: Payload, *, depths_mm: tuple[float | None, float | None]) -> Payload:
    """The payload without profiles, limits and list, in halves of the given depths."""
    wishes = evolve(
        payload.case,
        objective="first",
        depths_mm=depths_mm,
        limits=Limits(),
        corner_mm=0.0,
        draft_deg=0.0,
        ready_made=(),
        rank="volume",
        several=False,
    )
    return evolve(payload, case=wishes, wall=evolve(payload.wall, profile=NO_PROFILE))


def as_limits(payload: Payload, case: ReadyMade, size_mm: tuple[float, float]) -> Payload:
    """The payload asked to fit into an upright room of that size, with the case's depths.

    The search knows limits on the outside; without profiles they are those of the room.
    """
    asked = bare(payload, depths_mm=(case.deep_mm, case.shallow_mm))
    wishes = evolve(
        asked.case, limits=Limits(outside_mm=(*size_mm, None)), corner_mm=case.corner_mm
    )
    return evolve(asked, case=wishes)
