"""What hardware promises on every case: nothing collides, all is said, everything lines up.

Geometry alone: each promise is checked on the finished pieces, by other means than they were
placed by. No outside source is needed.
"""

from __future__ import annotations

import math

import pytest
import shapely
from attrs import evolve
from hypothesis import given, settings

from fitkit.payload.hardware import type_named
from fitkit.payload.workshop import HardwareKind, Side, Workshop
from fitkit.shell.closings import closings_of
from fitkit.shell.frame import from_panel, opposite, out_of, u_of
from fitkit.shell.openings import turned_size
from hardware_kits import Case, case_of, cases, covers, gap_to_item_mm, of_kind, with_hardware

NEAR_MM = 1e-6
GAP_MM = 3.0


@settings(max_examples=15, deadline=None)
@given(case=cases())
def test_no_two_flanges_touch(case: Case) -> None:
    """Any two pieces on one face lie 3 mm apart or more; a corner only covers its legs."""
    taken = [(one, side, box) for one in case.fitted().fitted for side, box in covers(case, one)]
    for index, (one, side, (low, high)) in enumerate(taken):
        for other, there, (start, end) in taken[index + 1 :]:
            if one is other or side != there or {one.kind, other.kind} <= {"corner", "brace"}:
                continue
            away = [
                max(start[axis] - high[axis], low[axis] - end[axis])
                for axis in range(3)
                if axis != out_of(side)[0]
            ]
            assert max(away) >= GAP_MM - NEAR_MM, (one.name, other.name)


@settings(max_examples=15, deadline=None)
@given(case=cases())
def test_pieces_lie_on_their_parts(case: Case) -> None:
    """Every flange lies within the outside of its parts; over a plane it reaches onto both."""
    for one in case.fitted().fitted:
        for side, (low, high) in covers(case, one):
            for axis in range(3):
                assert low[axis] >= case.assembly.low_mm[axis] - NEAR_MM, (one.name, side)
                assert high[axis] <= case.assembly.high_mm[axis] + NEAR_MM, (one.name, side)
        parts = [case.assembly.part(name) for name in one.parts]
        if one.kind == "corner":
            continue
        ((_, (low, high)),) = covers(case, one)
        normal = out_of(one.side)[0]
        shares = [
            math.prod(
                min(high[axis], part.high_mm[axis]) - max(low[axis], part.low_mm[axis])
                for axis in range(3)
                if axis != normal
            )
            for part in parts
        ]
        assert all(share > 0 for share in shares)
        assert sum(shares) == pytest.approx(math.prod(one.size_mm), rel=1e-9)


@settings(max_examples=15, deadline=None)
@given(case=cases())
def test_openings_stay_inside_their_panels(case: Case) -> None:
    """Openings are whole, inside their panel, and no two of a panel meet."""
    placed = case.fitted()
    panels = {panel.name: panel for panel in case.panels}
    for index, one in enumerate(placed.openings):
        panel = panels[one.panel]
        outer = shapely.box(0, 0, panel.length_mm, panel.width_mm)
        assert one.shape.is_valid
        assert one.shape.area > 0
        assert outer.buffer(NEAR_MM).covers(one.shape)
        for other in placed.openings[index + 1 :]:
            if other.panel == one.panel:
                assert one.shape.distance(other.shape) > GAP_MM - NEAR_MM


@settings(max_examples=15, deadline=None)
@given(case=cases())
def test_both_halves_of_a_latch_line_up(case: Case) -> None:
    """The openings for one dish are the dish itself, less what the closing profiles take of it.

    Put back into the case's coordinates they share both ends along the plane, and the profiles'
    cut-outs do too.
    """
    placed = case.fitted()
    panels = {panel.name: panel for panel in case.panels}
    bars = {bar.name: bar for bar in case.bars}
    for one in placed.fitted:
        kind = type_named(case.payload, one.kind, one.type)
        mine = [opening for opening in placed.openings if opening.owner == one.name]
        cuts = [cut for cut in placed.bar_cuts if cut.owner == one.name]
        if kind.dish_mm is None:
            assert not mine
            assert not cuts
            continue
        assert mine
        width, height = turned_size(kind.dish_mm, one.turn_deg)
        ends = set()
        for opening in mine:
            west, south, east, north = opening.shape.bounds
            corners = [
                from_panel(panels[opening.panel], u, v) for u, v in ((west, south), (east, north))
            ]
            normal = out_of(one.side)[0]
            for axis in range(3):
                if axis == normal:
                    continue
                low, high = sorted(corner[axis] for corner in corners)
                half = (width if axis == _right(one.side) else height) / 2
                assert low >= one.centre_mm[axis] - half - 1e-3
                assert high <= one.centre_mm[axis] + half + 1e-3
                if len(one.parts) == 2 and axis == _along(case, one.parts, normal):
                    ends.add((round(low, 3), round(high, 3)))
        assert len(ends) <= 1 or kind.dish_corner_mm > 0
        for cut in cuts:
            bar = bars[cut.bar]
            assert 0 <= cut.from_mm < cut.to_mm <= bar.length_mm
            assert cut.deep_mm > 0
            plates = [part.name for part in case.assembly.parts if part.plate]
            assert bar.kind != "edge" or bar.part in plates, "a dish cuts an edge profile"


def _right(side: Side) -> int:
    return u_of(side)[0]


def _along(case: Case, parts: tuple[str, ...], normal: int) -> int:
    split = next(one for one in case.assembly.splits if {one.below, one.above} == set(parts))
    return 3 - normal - "xyz".index(split.axis)


@settings(max_examples=15, deadline=None)
@given(case=cases())
def test_rooms_lie_inside_and_clear_or_it_is_said(case: Case) -> None:
    """Rooms lie in the interior, apart from each other, and clear of every item.

    A room that meets an item has a trouble by its name and the item's; one that comes nearer than
    the item clearance has a note with the distance.
    """
    placed = case.fitted()
    clear = case.payload.case.clearance.item_mm
    with_rooms = [(one, one.room) for one in placed.fitted if one.room is not None]
    for index, (one, room) in enumerate(with_rooms):
        for axis in range(3):
            assert -NEAR_MM <= room.low_mm[axis] < room.high_mm[axis]
            assert room.high_mm[axis] <= case.interior.size_mm[axis] + NEAR_MM
        for _, other in with_rooms[index + 1 :]:
            assert any(
                other.low_mm[axis] >= room.high_mm[axis] - NEAR_MM
                or room.low_mm[axis] >= other.high_mm[axis] - NEAR_MM
                for axis in range(3)
            )
        said = [trouble.what for trouble in placed.troubles if trouble.where == one.name]
        for label, gap in gap_to_item_mm(room, case).items():
            if gap <= NEAR_MM and any(label in what for what in said):
                continue
            if gap < clear - NEAR_MM:
                words = f"{one.name}: {gap:.1f} mm are left to {label}"
                assert any(note.startswith(words) for note in placed.notes), (one.name, label, gap)


@settings(max_examples=15, deadline=None)
@given(case=cases(gear=False))
def test_the_centre_of_mass_lies_between_the_handles(case: Case) -> None:
    """Handles that are set in pairs have the centre of mass between them, along every side.

    Where handles are opposite each other it lies between the two walls anyway, and along them
    within the row; a side with two or more spans it.
    """
    placed, centre = case.fitted(), case.centre_mm
    assert centre is not None
    handles = of_kind(placed, "handle")
    troubled = any(trouble.where.startswith("handle on") for trouble in placed.troubles)
    if troubled:
        return
    assert len(handles) >= 2
    assert len(handles) % 2 == 0
    for side in {one.side for one in handles}:
        row = [one for one in handles if one.side == side]
        if len(row) < 2:
            continue
        spread = [
            max(one.centre_mm[axis] for one in row) - min(one.centre_mm[axis] for one in row)
            for axis in range(3)
        ]
        along = spread.index(max(spread))
        low = min(one.centre_mm[along] for one in row)
        high = max(one.centre_mm[along] for one in row)
        assert low - 0.5 <= centre[along] <= high + 0.5


@settings(max_examples=15, deadline=None)
@given(case=cases(gear=False, own=False))
def test_opposite_sides_are_alike(case: Case) -> None:
    """Used flat with a lift-off lid, the latches of opposite sides stand across from each other.

    On each side they are mirrored about its middle. Not promised where handles, that follow the
    centre of mass, or the latches of another plane are in the way.
    """
    case = with_hardware(case, use="flat", lid="lift off")
    placed = case.fitted()
    middle = [
        (low + high) / 2
        for low, high in zip(case.assembly.low_mm, case.assembly.high_mm, strict=True)
    ]
    crowded = len(case.assembly.splits) > 1
    if crowded or any("left out" in trouble.what for trouble in placed.troubles):
        return
    latches = of_kind(placed, "latch")
    handled = {one.side for one in of_kind(placed, "handle")}
    for one in latches:
        across = [
            other
            for other in latches
            if other.side == opposite(one.side) and other.parts == one.parts
        ]
        axis = _along(case, one.parts, out_of(one.side)[0])
        if handled & {one.side, opposite(one.side)}:
            continue
        if across:
            assert min(abs(other.centre_mm[axis] - one.centre_mm[axis]) for other in across) < 0.01
        mirror = 2 * middle[axis] - one.centre_mm[axis]
        row = [o for o in latches if o.side == one.side and o.parts == one.parts]
        assert min(abs(other.centre_mm[axis] - mirror) for other in row) < 0.01


@settings(max_examples=15, deadline=None)
@given(case=cases(gear=False))
def test_more_mass_never_means_fewer_handles(case: Case) -> None:
    """The number of handles grows with the mass, or stays, on the same case."""
    counts = [
        len(of_kind(evolve(case, gross_kg=gross).fitted(), "handle"))
        for gross in (5.0, 24.0, 26.0, 49.0, 51.0, 80.0)
    ]
    assert counts == sorted(counts)


@settings(max_examples=15, deadline=None)
@given(case=cases())
def test_the_same_case_gets_the_same_hardware(case: Case) -> None:
    """Two runs are equal; names are unique; every hole is in a piece of its own parts."""
    placed = case.fitted()
    assert placed == case.fitted()
    names = [one.name for one in placed.fitted]
    assert len(set(names)) == len(names)
    parts = {one.name: one.parts for one in placed.fitted}
    pieces = {panel.name: panel.part for panel in case.panels}
    pieces |= {bar.name: bar.part for bar in case.bars}
    for hole in placed.holes:
        assert hole.pieces, hole.owner
        assert {pieces[piece] for piece in hole.pieces} <= set(parts[hole.owner])


@settings(max_examples=15, deadline=None)
@given(case=cases())
def test_every_closing_plane_is_held_or_it_is_said(case: Case) -> None:
    """Each closing plane has a latch (a door's: a door latch), or a trouble says why not."""
    placed = case.fitted()
    for closing in closings_of(case.assembly):
        pair = {closing.body.name, closing.lid.name}
        kind: HardwareKind = "door latch" if closing.door else "latch"
        held = [one for one in of_kind(placed, kind) if set(one.parts) == pair]
        said = any(trouble.where.startswith(kind) for trouble in placed.troubles)
        assert held or said


@settings(max_examples=15, deadline=None)
@given(case=cases(own=False, gear=False, least=260))
def test_an_ordinary_case_lacks_nothing(case: Case) -> None:
    """With generic hardware a box of two halves 100 mm deep or more gets all of it, no trouble."""
    low, high = case.interior.size_mm[:2]
    plain = case_of(size_mm=(low, high), depths_mm=(120.0, 100.0), shop=Workshop())
    placed = plain.fitted()
    assert not placed.troubles
    assert {one.kind for one in placed.fitted} == {"corner", "foot", "handle", "latch"}
    assert len(of_kind(placed, "foot")) == 4
    assert len(of_kind(placed, "corner")) == 8
