"""Hypothesis strategies for cases cut into parts, and their pieces as solid boxes.

Sizes are multiples of half a millimetre, large enough that every profile and panel has a length,
unless asked otherwise.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

import shapely
from hypothesis import strategies as st
from shapely import Polygon

from fitkit.fit.layout import Half, HalfName, Interior
from fitkit.payload.model import CaseWishes, Form, Payload, Profile, Wall
from fitkit.payload.walls import build_up_mm
from fitkit.payload.workshop import Side, Workshop
from fitkit.shell.frame import out_of, plane_mm, side_at, to_face
from fitkit.shell.graph import Cut, split_box
from fitkit.shell.model import Assembly, Axis, Bar, Panel, Part, Point
from strategies import halves

Box = tuple[Point, Point]
SIDES_OF_A_CUT: tuple[Literal["below", "above"], ...] = ("below", "above")


def three(values: Iterable[float]) -> Point:
    """Three lengths as a point."""
    x, y, z = values
    return (x, y, z)


FORMS: tuple[Form, ...] = ("box", "pair", "tray")


@st.composite
def profiles(
    draw: st.DrawFn,
    *,
    ends: tuple[Literal["square", "mitred", "butt"], ...] = ("square", "mitred", "butt"),
) -> Profile:
    """Profiles as extruded, with a corner's allowance no less than the leg."""
    leg = draw(halves(20, 35))
    return Profile(
        outer_leaf_mm=draw(halves(1, 2.5)),
        slot_mm=draw(halves(5, 12.5)),
        inner_leaf_mm=draw(halves(1, 2.5)),
        slot_web_mm=draw(halves(0, 2)),
        leg_mm=leg,
        corner_mm=leg + draw(halves(0, 10)),
        closing_leaf_mm=draw(halves(18, 30)),
        play_mm=draw(st.sampled_from((0.0, 0.3, 0.5, 1.0))),
        tongue_rim_mm=draw(halves(2, 8)),
        groove_rim_mm=draw(halves(4, 10)),
        ends=draw(st.sampled_from(ends)),
        closing_ends=draw(st.sampled_from(ends)),
    )


@st.composite
def walls(draw: st.DrawFn) -> Wall:
    """Walls whose panels enter their slots."""
    profile = draw(profiles())
    return Wall(profile=profile, panel_mm=profile.slot_mm - draw(st.sampled_from((0.0, 0.1, 0.6))))


@st.composite
def stacks(draw: st.DrawFn, *, most: int = 4, plates: bool = False) -> Assembly:
    """One to four parts along one axis; with ``plates`` the outermost may be flat, 12 mm thick."""
    axis: Axis = draw(st.sampled_from(("x", "y", "z")))
    index = "xyz".index(axis)
    count = draw(st.integers(1, most))
    heights = [draw(halves(100, 300)) for _ in range(count)]
    names = [f"part {number + 1}" for number in range(count)]
    flat: list[Literal["below", "above"] | None] = [None] * count
    if plates and draw(st.booleans()):
        heights, names, flat = [12.0, *heights], ["flat low", *names], ["below", *flat]
    if plates and (count == 1 or draw(st.booleans())):
        heights, names, flat = [*heights, 12.0], [*names, "flat high"], [*flat[:-1], "above", None]
    low = three(draw(halves(-50, 50)) for _ in range(3))
    size = [draw(halves(150, 900)) for _ in range(3)]
    size[index] = sum(heights)
    high = three(start + length for start, length in zip(low, size, strict=True))
    cuts = []
    at = low[index]
    for number, name in enumerate(names[:-1]):
        at += heights[number]
        tongue = None if flat[number] else draw(st.sampled_from(SIDES_OF_A_CUT))
        cuts.append(Cut(names[-1], axis, at, name, names[-1], tongue, flat[number]))
    return split_box(low, high, name=names[-1], cuts=cuts)


@st.composite
def nested(draw: st.DrawFn, *, most: int = 4) -> Assembly:
    """A box and up to four cuts, each through any part that is left, along any axis."""
    size = three(draw(halves(700, 1600)) for _ in range(3))
    whole = split_box((0.0, 0.0, 0.0), size, name="part 0")
    cuts: list[Cut] = []
    for number in range(draw(st.integers(0, most))):
        axis: Axis = draw(st.sampled_from(("x", "y", "z")))
        index = "xyz".index(axis)
        wide = [p for p in whole.parts if p.high_mm[index] - p.low_mm[index] >= 300]
        if not wide:
            continue
        part = draw(st.sampled_from(wide))
        room = part.high_mm[index] - part.low_mm[index] - 240
        at = part.low_mm[index] + 120 + draw(halves(0, 1)) * room
        names = (f"part {number}a", f"part {number}b")
        tongue = draw(st.sampled_from(SIDES_OF_A_CUT))
        cuts.append(Cut(part.name, axis, at, *names, tongue=tongue))
        whole = split_box((0.0, 0.0, 0.0), size, name="part 0", cuts=cuts)
    return whole


@st.composite
def kits(draw: st.DrawFn, *, plain: bool = False) -> tuple[Interior, Payload]:
    """An interior of every form, with rings, doors and openings that fit it; or plain ones."""
    form = draw(st.sampled_from(FORMS))
    wall = draw(walls())
    size = (draw(halves(250, 900)), draw(halves(250, 900)))
    depths = [draw(halves(250, 500)) for _ in range(1 if form == "tray" else 2)]
    names: tuple[HalfName, ...] = ("tray",) if form == "tray" else ("deep", "shallow")
    interior = Interior(
        *size,
        tuple(Half(name, depth) for name, depth in zip(names, depths, strict=True)),
    )
    shop = Workshop()
    if not plain:
        doors = form == "pair" and draw(st.booleans())
        shop = Workshop(
            tongue=draw(st.sampled_from(("deep", "shallow"))),
            opening=draw(st.sampled_from(("lid", "front", "left", "right", "ends"))),
            rings_mm=tuple(draw(st.lists(halves(65, 75), max_size=1))),
            doors=doors,
            door_mm=draw(halves(80, 95)) if doors and draw(st.booleans()) else None,
        )
    return interior, Payload("kit", (), case=CaseWishes(form=form), wall=wall, workshop=shop)


def panel_box(panel: Panel) -> Box:
    """A panel as a solid: opposite corners, worked out from its middle and its three sizes."""
    across, _ = out_of(panel.side)
    size = [0.0, 0.0, 0.0]
    along = {"bottom": 0, "top": 0, "front": 0, "back": 0, "left": 1, "right": 1}[panel.side]
    size[along] = panel.length_mm
    size[3 - along - across] = panel.width_mm
    size[across] = panel.thickness_mm
    low, high = (
        three(mid + sign * one / 2 for mid, one in zip(panel.centre_mm, size, strict=True))
        for sign in (-1, 1)
    )
    return low, high


def shared_mm3(one: Box, two: Box) -> float:
    """The volume that two boxes have in common."""
    volume = 1.0
    for axis in range(3):
        volume *= max(0.0, min(one[1][axis], two[1][axis]) - max(one[0][axis], two[0][axis]))
    return volume


def volume_mm3(box: Box) -> float:
    """A box's volume."""
    return shared_mm3(box, box)


def leg(bar: Bar, side: Side, part: Part, *, profile: Profile) -> Polygon | None:
    """A profile's leg on a face, as seen from outside; None where it has none there.

    An edge profile has a leg on each of its two faces, bevelled where it is mitred; a closing
    profile a leaf on its wall, square in that face. On the edge of a flat part the leg is as wide
    as that part is thick.
    """
    if side not in bar.sides or (bar.kind != "edge" and side != bar.sides[0]):
        return None
    other = bar.sides[1] if side == bar.sides[0] else bar.sides[0]
    axis, out = out_of(other)
    wide = profile.leg_mm if bar.kind == "edge" else profile.closing_leaf_mm
    wide = min(wide, part.high_mm[axis] - part.low_mm[axis])
    along = next(a for a in range(3) if bar.start_mm[a] != bar.end_mm[a])
    start, end = [*bar.start_mm], [*bar.end_mm]
    inner_start, inner_end = [*start], [*end]
    inner_start[axis] -= out * wide
    inner_end[axis] -= out * wide
    if bar.kind == "edge" and bar.ends == "mitred":
        # an end is bevelled where it reaches the part's own face
        if start[along] == part.low_mm[along]:
            inner_start[along] += wide
        if end[along] == part.high_mm[along]:
            inner_end[along] -= wide
    corners = (start, end, inner_end, inner_start)
    return Polygon([to_face(side, three(point)) for point in corners])


def frame_pieces(
    part: Part, bars: tuple[Bar, ...], side: Side, *, profile: Profile
) -> list[Polygon]:
    """The closing profiles round the open face ``side``, as one sees them in that face."""
    thick = build_up_mm(profile)
    found = []
    for bar in bars:
        if bar.part != part.name or bar.sides[1] != side or bar.kind == "edge":
            continue
        axis, out = out_of(bar.sides[0])
        along = next(a for a in range(3) if bar.start_mm[a] != bar.end_mm[a])
        start, end = [*bar.start_mm], [*bar.end_mm]
        inner_start, inner_end = [*start], [*end]
        inner_start[axis] -= out * thick
        inner_end[axis] -= out * thick
        if bar.ends == "mitred":
            inner_start[along] += thick
            inner_end[along] -= thick
        found.append(
            Polygon([to_face(side, three(p)) for p in (start, end, inner_end, inner_start)])
        )
    return found


def outline(part: Part, side: Side) -> Polygon:
    """The face of a part as a rectangle in its u and v."""
    low, high = to_face(side, part.low_mm), to_face(side, part.high_mm)
    return shapely.box(
        min(low[0], high[0]), min(low[1], high[1]), max(low[0], high[0]), max(low[1], high[1])
    )


def touching(assembly: Assembly) -> list[tuple[Part, Part, Axis, float]]:
    """Pairs of parts that share some of a plane: the lower one, the upper one, axis and place."""
    found = []
    axes: tuple[Axis, ...] = ("x", "y", "z")
    for axis in axes:
        high, low = side_at(axis, high=True), side_at(axis, high=False)
        for below in assembly.parts:
            for above in assembly.parts:
                at = plane_mm(below, high)
                if at != plane_mm(above, low):
                    continue
                if outline(below, low).intersection(outline(above, low)).area > 0:
                    found.append((below, above, axis, at))
    return found
