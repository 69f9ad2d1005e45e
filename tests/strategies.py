"""Hypothesis strategies for outlines, bodies, items and payloads, valid by construction.

Sizes are whole or half millimetres and few, so that a plan of a drawn payload takes a moment.
Every item fits any case that is free in size: limits are drawn only by those who ask for them.
"""

from __future__ import annotations

import shapely
from attrs import evolve
from hypothesis import strategies as st
from shapely import Polygon

from fitkit.fit.layout import Half, Interior, Placement
from fitkit.geometry.shapes import arc_points, circle, moved, rectangle, regular
from fitkit.payload.model import (
    FACES,
    Body,
    CaseWishes,
    Clearance,
    Face,
    FoamWishes,
    Item,
    Payload,
    Section,
    Turn,
    Wall,
    Zone,
)
from fitkit.payload.pose import body_size

NAMES = (
    "recorder", "calibrator", "hydrophone", "probe", "float", "reel", "battery", "clamp",
    "preamp", "tripod head", "lamp", "spool",
)  # fmt: skip

TURNS: tuple[Turn, ...] = ("free", "quarter", "half", "fixed")


def halves(least: float, most: float) -> st.SearchStrategy[float]:
    """Multiples of half a millimetre between two sizes [mm]."""
    return st.integers(round(2 * least), round(2 * most)).map(lambda steps: steps / 2)


def at_origin(outline: Polygon) -> Polygon:
    """The outline shifted so that its box starts at 0, 0, normalised."""
    shifted = moved(outline, by=(-outline.bounds[0], -outline.bounds[1]))
    assert isinstance(shifted, Polygon)
    return shapely.normalize(shifted)


@st.composite
def rectangles(draw: st.DrawFn, *, least: float = 8.0, most: float = 120.0) -> Polygon:
    """Rectangles, their corners sharp or rounded."""
    width, depth = draw(halves(least, most)), draw(halves(least, most))
    corner = draw(st.sampled_from((0.0, 0.0, 2.0, 4.0)))
    return rectangle(width, depth, corner_mm=corner)


@st.composite
def discs(draw: st.DrawFn, *, least: float = 8.0, most: float = 120.0) -> Polygon:
    """Circles about no particular point."""
    return at_origin(circle(draw(halves(least / 2, most / 2))))


@st.composite
def prisms(draw: st.DrawFn, *, least: float = 8.0, most: float = 120.0) -> Polygon:
    """Regular polygons, flat side down."""
    return at_origin(regular(draw(st.integers(3, 8)), draw(halves(least, most))))


@st.composite
def hulls(draw: st.DrawFn, *, least: float = 8.0, most: float = 120.0) -> Polygon:
    """Convex outlines: a few points about a kernel that keeps them from being slivers."""
    points = draw(st.lists(st.tuples(halves(0, most), halves(0, most)), min_size=1, max_size=6))
    kernel = shapely.box(0, 0, least, least)
    hull = shapely.MultiPoint([*points, *kernel.exterior.coords]).convex_hull
    assert isinstance(hull, Polygon)
    return at_origin(hull)


@st.composite
def angles(draw: st.DrawFn, *, least: float = 8.0, most: float = 120.0) -> Polygon:
    """Concave outlines: L, U and T shapes made of two or three bars."""
    width, depth = draw(halves(2.5 * least, most)), draw(halves(2.5 * least, most))
    thick = draw(halves(least / 2, least))
    base = shapely.box(0, 0, width, thick)
    where = draw(st.sampled_from(("left", "both", "middle")))
    bars = {
        "left": [shapely.box(0, 0, thick, depth)],
        "both": [shapely.box(0, 0, thick, depth), shapely.box(width - thick, 0, width, depth)],
        "middle": [shapely.box((width - thick) / 2, 0, (width + thick) / 2, depth)],
    }[where]
    shape = shapely.union_all([base, *bars])
    assert isinstance(shape, Polygon)
    return at_origin(shape)


@st.composite
def arched(draw: st.DrawFn, *, least: float = 8.0, most: float = 120.0) -> Polygon:
    """Outlines with an arc: a bar whose far end bulges outwards or is scooped out."""
    length, width = draw(halves(2 * least, most)), draw(halves(least, most))
    outwards = draw(st.booleans())
    if outwards:
        radius = width / 2 * draw(st.sampled_from((1.0, 1.25, 2.0)))
    else:  # scooped less deep than the bar is long
        radius = max(width, width**2 / (4 * length))
    start, end = (length, 0.0), (length, width)
    bend = arc_points(start, end, radius if outwards else -radius, outside=outwards)
    outline = Polygon([(0.0, 0.0), start, *bend, end, (0.0, width)])
    assert outline.is_valid
    return at_origin(outline)


@st.composite
def holed(draw: st.DrawFn, *, least: float = 8.0, most: float = 120.0) -> Polygon:
    """Outlines with a hole: rings and frames."""
    outer = draw(
        st.one_of(rectangles(least=3 * least, most=most), discs(least=3 * least, most=most))
    )
    middle = outer.centroid
    hole = circle(draw(halves(1.0, least)), at=(middle.x, middle.y))
    ring = outer.difference(hole)
    assert isinstance(ring, Polygon)
    return at_origin(ring)


def outlines(*, least: float = 8.0, most: float = 120.0) -> st.SearchStrategy[Polygon]:
    """Outlines of every kind: convex, concave, with arcs, with holes; boxes start at 0, 0.

    ``least`` and ``most`` bound their sides [mm], roughly; ``most`` is at least 4 ``least``.
    """
    kinds = (rectangles, discs, prisms, hulls, angles, arched, holed)
    return st.one_of(*(kind(least=least, most=most) for kind in kinds))


@st.composite
def bodies(draw: st.DrawFn, *, least: float = 8.0, most: float = 120.0) -> Body:
    """Bodies of one to three sections in one piece, their box starting at 0, 0, 0.

    Each further section stands on, or overlaps, the one below and lies wholly or partly over it.
    """
    outline = draw(outlines(least=least, most=most))
    height = draw(halves(4, most / 2))
    sections = [Section(outline, 0.0, height)]
    for _ in range(draw(st.sampled_from((0, 0, 1, 2)))):
        below = sections[-1]
        x, y = below.outline.representative_point().coords[0]
        knob = draw(st.one_of(discs(least=4, most=most / 4), rectangles(least=4, most=most / 4)))
        middle = knob.centroid
        over = moved(knob, by=(x - middle.x, y - middle.y))
        assert isinstance(over, Polygon)
        z0 = below.z1_mm - draw(st.sampled_from((0.0, 0.0, 2.0)))
        sections.append(Section(over, z0, below.z1_mm + draw(halves(2, most / 4))))
    bounds = shapely.total_bounds([s.outline for s in sections])
    lined = []
    for section in sections:
        shifted = moved(section.outline, by=(-bounds[0], -bounds[1]))
        assert isinstance(shifted, Polygon)
        lined.append(evolve(section, outline=shapely.normalize(shifted)))
    return Body(tuple(lined))


@st.composite
def zones(draw: st.DrawFn, body: Body) -> Zone:
    """Zones on a face of ``body``, wholly on it unless the face is tiny."""
    face: Face = draw(st.sampled_from(FACES))
    width, depth, height = body_size(body)
    along, up = {"top": (width, depth), "bottom": (width, depth)}.get(
        face, (width if face in ("front", "back") else depth, height)
    )
    size = (max(1.0, along * draw(st.sampled_from((0.2, 0.5)))), max(1.0, up * 0.4))
    at = (along * draw(st.sampled_from((0.3, 0.5))), up / 2)
    kind = draw(st.sampled_from(("connector", "cable", "vent", "hand")))
    return Zone(kind, face, at, size, draw(halves(2, 30)))


@st.composite
def items(
    draw: st.DrawFn, *, name: str | None = None, most: float = 120.0, zones_at_most: int = 2
) -> Item:
    """Items with every kind of pose, with and without mass, fragility and zones."""
    body = draw(bodies(most=most))
    up = draw(
        st.one_of(
            st.just(("top",)),
            st.just(FACES),
            st.lists(st.sampled_from(FACES), min_size=1, max_size=3, unique=True).map(tuple),
        )
    )
    return Item(
        name=draw(st.sampled_from(NAMES)) if name is None else name,
        body=body,
        count=draw(st.sampled_from((1, 1, 1, 2, 3))),
        mass_kg=draw(st.none() | st.integers(1, 5000).map(lambda grams: grams / 1000)),
        up=up,
        turn=draw(st.sampled_from(TURNS)),
        proud=draw(st.booleans()),
        fragility_g=draw(st.none() | st.sampled_from((15.0, 40.0, 85.0))),
        power_w=draw(st.none() | st.sampled_from((0.0, 12.0))),
        reach=draw(st.sampled_from(("always", "any", "any"))),
        uncertainty_mm=draw(st.sampled_from((0.0, 0.5, 1.0))),
        zones=tuple(draw(st.lists(zones(body), max_size=zones_at_most))),
    )


@st.composite
def payloads(
    draw: st.DrawFn, *, max_items: int = 4, most: float = 120.0, zones_at_most: int = 1
) -> Payload:
    """Whole payloads without limits: any fits, so a planner must always find a layout.

    At most ``max_items`` kinds of items, three copies of each; boxes mostly, one or two tiers.
    """
    names = draw(st.lists(st.sampled_from(NAMES), min_size=1, max_size=max_items, unique=True))
    kit = tuple(draw(items(name=name, most=most, zones_at_most=zones_at_most)) for name in names)
    form = draw(st.sampled_from(("box", "box", "box", "pair", "tray")))
    case = CaseWishes(
        form=form,
        objective=draw(st.sampled_from(("volume", "plan", "longest", "linear", "first"))),
        tiers=draw(st.integers(1, 2)),
        clearance=Clearance(
            item_mm=draw(st.sampled_from((10.0, 15.0))),
            wall_mm=draw(st.sampled_from((10.0, 20.0))),
            floor_mm=draw(st.sampled_from((10.0, 25.0))),
            lid_mm=draw(st.sampled_from((5.0, 15.0))),
            tier_mm=10.0,
        ),
        corner_mm=draw(st.sampled_from((0.0, 0.0, 10.0))),
        draft_deg=draw(st.sampled_from((0.0, 0.0, 2.0))),
    )
    foam = FoamWishes(
        cutting=draw(st.sampled_from(("knife", "router", "hot wire"))),
        allowance_mm=draw(st.sampled_from((-0.5, 0.0, 0.5))),
        accent_mm=draw(st.sampled_from((None, None, 5.0))),
    )
    return Payload("Tideline trial", kit, case=case, wall=Wall(), foam=foam)


@st.composite
def layouts(draw: st.DrawFn) -> tuple[Payload, Interior, tuple[Placement, ...]]:
    """Any kit, strewn over both halves and up to three tiers, mostly overlapping something."""
    payload = draw(payloads(max_items=4, most=80.0))
    form = payload.case.form
    clear = payload.case.clearance
    gap = draw(st.sampled_from((0.0, 10.0, clear.item_mm)))
    payload = evolve(
        payload, case=evolve(payload.case, clearance=evolve(clear, item_mm=gap, tier_mm=10.0))
    )
    halves = ("tray",) if form == "tray" else ("deep", "shallow")
    placements = []
    for item in payload.items:
        for copy in range(1, item.count + 1):
            half = draw(st.sampled_from(halves))
            turn = draw(st.sampled_from((0.0, 90.0, 180.0, 270.0, 33.0)))
            x, y = draw(st.integers(0, 60)) * 4.0, draw(st.integers(0, 40)) * 4.0
            z = draw(st.integers(0, 30)) * 5.0
            tier = draw(st.integers(1, 3))
            up = draw(st.sampled_from(FACES))
            placements.append(Placement(item.name, copy, half, tier, up, turn, x, y, z))
    depths = (160.0,) if form == "tray" else draw(st.sampled_from(((90.0, 90.0), (120.0, 50.0))))
    interior = Interior(
        draw(st.sampled_from((250.0, 330.0))),
        draw(st.sampled_from((200.0, 260.0))),
        tuple(Half(name, depth) for name, depth in zip(halves, depths, strict=True)),
        corner_mm=payload.case.corner_mm,
        draft_deg=payload.case.draft_deg,
    )
    return payload, interior, tuple(placements)
