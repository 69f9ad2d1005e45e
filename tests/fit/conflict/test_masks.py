"""Masks of conflicting offsets say the same as shapely."""

from __future__ import annotations

import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from fitkit.fit.conflict.lattice import lattice_mm
from fitkit.fit.conflict.masks import Shape, Table
from fitkit.fit.conflict.turns import turns_of
from fitkit.fit.pieces import Margins, Piece, Spot
from fitkit.geometry.shapes import circle, rectangle
from fitkit.payload.model import Body, Face, Item, Section, Zone
from gear import gear_like

NO_MARGINS = Margins(0.0, 0.0)


def block(name: str, outline: shapely.Polygon, *, zones: tuple[Zone, ...] = ()) -> Piece:
    """A piece from an outline."""
    return Piece(Item(name, Body((Section(outline, 0.0, 20.0),)), zones=zones), "top")


def zone(face: Face) -> Zone:
    """A plug 20 mm long and 10 mm wide, 15 mm along a face."""
    return Zone("connector", face, (15.0, 10.0), (10.0, 10.0), 20.0)


def gap_mm(one: tuple[Piece, Spot], other: tuple[Piece, Spot]) -> float:
    """The least distance of body from body or zone; below nothing by the area that they share."""
    (a, at_a), (b, at_b) = one, other
    pairs = [(at_a.body(a), at_b.body(b))]
    pairs += [(at_a.body(a), room) for room in at_b.rooms(b)]
    pairs += [(room, at_b.body(b)) for room in at_a.rooms(a)]
    return min(
        -shared if (shared := p.intersection(q).area) > 1e-9 else p.distance(q) for p, q in pairs
    )


@settings(deadline=None, max_examples=60)
@given(
    seed=st.integers(0, 400),
    web=st.sampled_from([0.0, 3.0, 12.0]),
    step=st.sampled_from([1.0, 2.7, 5.0]),
    turns=st.tuples(st.sampled_from([0.0, 90.0, 33.0]), st.sampled_from([0.0, 180.0, 217.0])),
    pick=st.tuples(st.integers(0, 5), st.integers(0, 5)),
    zoned=st.booleans(),
    data=st.data(),
)
def test_a_mask_marks_what_is_nearer_than_the_web(
    seed: int,
    web: float,
    step: float,
    turns: tuple[float, float],
    pick: tuple[int, int],
    zoned: bool,
    data: st.DataObject,
) -> None:
    """An unmarked offset keeps the web; a marked one does not, but for a tenth on round parts."""
    items = gear_like(6, seed=seed, turn="free")
    pieces = []
    for index in pick:
        item = items[index]
        reach = (zone("right"), zone("front")) if zoned else ()
        pieces.append(Piece(Item(item.name, item.body, zones=reach, turn="free"), "top"))
    shapes = [
        Shape.of(piece, turn, NO_MARGINS, tolerance_mm=0.05)
        for piece, turn in zip(pieces, turns, strict=True)
    ]
    table = Table.of(shapes, [(0, 1)], web_mm=web, step_mm=step)
    low, size = table.low[0], table.shape[0]
    stay = Spot(turns[1], *shapes[1].shift_mm)
    for _ in range(12):
        dx = data.draw(st.integers(int(low[0]) - 2, int(low[0] + size[0]) + 2))
        dy = data.draw(st.integers(int(low[1]) - 2, int(low[1] + size[1]) + 2))
        moved = Spot(turns[0], shapes[0].shift_mm[0] + dx * step, shapes[0].shift_mm[1] + dy * step)
        gap = gap_mm((pieces[0], moved), (pieces[1], stay))
        depth = table.depth(0, 1, dx, dy)
        assert depth == table.depth(1, 0, -dx, -dy)
        if depth == 0:
            assert gap >= web - 1e-6
        else:
            assert gap < web + 0.11


def test_touching_is_no_conflict_and_depth_grows_inwards() -> None:
    """Squares of 4 on a grid of 1, no web: conflict at offsets -3 to 3, deepest in the middle."""
    square = Shape.of(block("square", rectangle(4.0, 4.0)), 0.0, NO_MARGINS, tolerance_mm=0.01)
    table = Table.of([square, square], [(0, 1)], web_mm=0.0, step_mm=1.0)
    marked = [d for d in range(-6, 7) if table.depth(0, 1, d, 0)]
    assert marked == list(range(-3, 4))
    depths = [table.depth(0, 1, d, 0) for d in range(5)]
    assert depths == [20, 15, 10, 5, 0]


def test_zones_may_lie_on_zones_but_not_on_bodies() -> None:
    """Two plugs that face each other share their space; a plug and a body keep the web."""
    plug = (zone("right"),)
    one = Shape.of(
        block("left", rectangle(40.0, 40.0), zones=plug), 0.0, NO_MARGINS, tolerance_mm=0.01
    )
    other = Shape.of(
        block("right", rectangle(40.0, 40.0), zones=plug), 180.0, NO_MARGINS, tolerance_mm=0.01
    )
    table = Table.of([one, other], [(0, 1)], web_mm=5.0, step_mm=1.0)
    # the first's body from 0 to 40, its zone to 60; the second's zone first, its body from 20 on
    assert table.depth(1, 0, 45, 0) == 0
    assert table.depth(1, 0, 44, 0) > 0


def test_a_lattice_is_found_where_there_is_one() -> None:
    """Whole numbers times 24.9975 are a lattice of that; a circle is on none."""
    step = 24.9975
    ell = shapely.Polygon([(0, 0), (4, 0), (4, 1), (1, 1), (1, 3), (0, 3)])
    scaled = shapely.transform(ell, lambda xy: xy * step)
    wide = shapely.transform(ell, lambda xy: xy * step * [2, 5])
    pieces = [
        Piece(Item(name, Body((Section(shape, 0.0, 10.0),)), turn="quarter"), "top")
        for name, shape in (("ell", scaled), ("wide", wide))
    ]
    found = lattice_mm(pieces)
    assert found is not None
    assert abs(found - step) < 1e-9 * step
    assert lattice_mm([*pieces, block("can", circle(30.0))]) is None


def test_turns_that_change_nothing_are_left_out() -> None:
    """A can has one turn, a rectangle two, an angle four."""
    ell = shapely.Polygon([(0, 0), (90, 0), (90, 20), (30, 20), (30, 60), (0, 60)])
    counts = [
        len(turns_of(block("x", shape), 5.0)) for shape in (circle(30.0), rectangle(60, 30), ell)
    ]
    assert counts == [1, 2, 4]
