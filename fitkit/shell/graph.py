"""The graph of the box: parts made by cutting one box, with their faces, edges and corners.

Every form of case is one box, cut by planes into parts. A cut opens the two faces that meet
there; all other faces keep their panel. Panels, profiles and corners follow from that alone:

- each closed face has a panel: 6 n less the open faces, for n parts;
- each edge of a part carries one profile: an edge profile between two closed faces, a closing
  profile along an open one;
- each corner is where three faces of a part meet; Euler's relation V - E + F = 2 holds for each.

A flat part (a plate: a loose lid, a flat door) is one panel in a frame of edge profiles.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import product
from typing import Literal

from attrs import evolve, frozen

from fitkit.fit.layout import Interior
from fitkit.payload.model import Payload
from fitkit.payload.walls import build_up_mm
from fitkit.payload.workshop import SIDES, Side
from fitkit.shell.forms import halves_row, tray_row
from fitkit.shell.frame import AXES, opposite, out_of, plane_mm, side_at
from fitkit.shell.model import Assembly, Axis, BarKind, Corner, Part, Point, Split


@frozen
class Cut:
    """One plane through the part ``part``, at ``at_mm`` along ``axis``.

    ``below`` and ``above`` name what it becomes; ``tongue`` is the one that gets the tongue, None
    where a plate closes a part, that has no groove. ``plate`` is the one that is flat, if any.
    """

    part: str
    axis: Axis
    at_mm: float
    below: str
    above: str
    tongue: Literal["below", "above"] | None = "below"
    plate: Literal["below", "above"] | None = None


@frozen
class Edge:
    """One edge of a part: between which of its faces, from where to where, and its profile.

    ``sides`` are those of a :class:`~fitkit.shell.model.Bar`: for a closing profile the wall, then
    the open face. ``kind`` is None where there is none (the rest of a plate). ``low_mm``
    and ``high_mm`` are its ends; ``ends`` the third face that meets it at each.
    """

    part: str
    kind: BarKind | None
    sides: tuple[Side, Side]
    low_mm: Point
    high_mm: Point
    ends: tuple[Side, Side]

    @property
    def axis(self) -> int:
        """The axis that it lies along: 0 x, 1 y, 2 z."""
        return out_of(self.ends[0])[0]


def split_box(low_mm: Point, high_mm: Point, *, name: str, cuts: Sequence[Cut] = ()) -> Assembly:
    """The box from corner to corner, called ``name``, cut into parts one cut after the other.

    Each cut goes right through one part, whose name then ends, and may be of any axis: further
    cuts of a part are drawers and doors in it. ValueError if a cut misses its part, cuts a
    plate, or takes a name twice; KeyError if there is no such part.

    >>> box = split_box((0.0, 0.0, 0.0), (600.0, 400.0, 300.0), name="box",
    ...                 cuts=(Cut("box", "z", 200.0, "deep", "shallow"),))
    >>> [(part.name, part.open) for part in box.parts]
    [('deep', ('top',)), ('shallow', ('bottom',))]
    """
    whole = Assembly(low_mm, high_mm, (Part(name, low_mm, high_mm),))
    for cut in cuts:
        whole = _cut(whole, cut)
    return whole


def _cut(whole: Assembly, cut: Cut) -> Assembly:
    old = whole.part(cut.part)
    axis = AXES.index(cut.axis)
    if not old.low_mm[axis] < cut.at_mm < old.high_mm[axis]:
        raise ValueError(f"a cut at {cut.axis} = {cut.at_mm} mm misses {cut.part}")
    if old.plate:
        raise ValueError(f"{cut.part} is flat: it cannot be cut")
    others = [part.name for part in whole.parts if part.name != cut.part]
    if len({*others, cut.below, cut.above}) < len(others) + 2:
        raise ValueError(f"{cut.below} or {cut.above} is the name of two parts")
    up, down = side_at(cut.axis, high=True), side_at(cut.axis, high=False)
    below = evolve(
        old,
        name=cut.below,
        high_mm=_with(old.high_mm, axis, cut.at_mm),
        open=_opened(old.open, up),
        plate=cut.plate == "below",
    )
    above = evolve(
        old,
        name=cut.above,
        low_mm=_with(old.low_mm, axis, cut.at_mm),
        open=_opened(old.open, down),
        plate=cut.plate == "above",
    )
    for part in (below, above):
        if part.plate and len(part.open) != 1:
            raise ValueError(f"{part.name} is flat: it can close one opening only")
    parts = [new for part in whole.parts for new in ((below, above) if part is old else (part,))]
    splits = [new for split in whole.splits for new in _renamed(whole, split, old, (below, above))]
    tongue = {"below": cut.below, "above": cut.above, None: None}[cut.tongue]
    splits.append(Split(cut.axis, cut.at_mm, cut.below, cut.above, tongue))
    return evolve(whole, parts=tuple(parts), splits=tuple(splits))


def _with(point: Point, axis: int, value: float) -> Point:
    found = [*point]
    found[axis] = value
    return (found[0], found[1], found[2])


def _opened(already: tuple[Side, ...], side: Side) -> tuple[Side, ...]:
    return tuple(one for one in SIDES if one in already or one == side)


def _renamed(whole: Assembly, split: Split, old: Part, new: tuple[Part, Part]) -> tuple[Split, ...]:
    """An earlier split, told of each new part that still closes there on its neighbour."""
    if old.name not in (split.below, split.above):
        return (split,)
    low_side = old.name == split.below
    side = side_at(split.axis, high=low_side)
    neighbour = whole.part(split.above if low_side else split.below)
    return tuple(
        evolve(
            split,
            below=part.name if low_side else split.below,
            above=split.above if low_side else part.name,
            tongue=part.name if split.tongue == old.name else split.tongue,
        )
        for part in new
        if plane_mm(part, side) == split.at_mm and _face_each_other(part, neighbour, split.axis)
    )


def _face_each_other(one: Part, two: Part, axis: Axis) -> bool:
    """Whether two parts share some area, seen along an axis."""
    return all(
        max(one.low_mm[across], two.low_mm[across]) < min(one.high_mm[across], two.high_mm[across])
        for across in range(3)
        if across != AXES.index(axis)
    )


def order_of(assembly: Assembly, part: Part, side: Side) -> int:
    """The rank of the cut that opened ``side`` of a part: later cuts have higher ones.

    ValueError if that face is not open.
    """
    axis, sense = out_of(side)
    if side in part.open:
        for rank, split in enumerate(assembly.splits):
            mine = split.below if sense > 0 else split.above
            if split.axis == AXES[axis] and mine == part.name:
                return rank
    raise ValueError(f"the {side} of {part.name} is closed")


def rim_of(assembly: Assembly, part: Part, side: Side) -> Literal["tongue", "groove"]:
    """Which closing profile edges the walls of a part along its open face ``side``.

    Where a plate closes it there is no groove: the rim is that of the tongue's side.
    """
    split = assembly.splits[order_of(assembly, part, side)]
    return "tongue" if split.tongue in (part.name, None) else "groove"


def edge_kinds(assembly: Assembly) -> tuple[Edge, ...]:
    """Every edge of every part, twelve each, with the profile that it carries.

    Where a part has two open faces side by side, the edge between them carries the closing
    profile of the later cut, whose frame goes round whole.
    """
    return tuple(edge for part in assembly.parts for edge in edges_of_part(assembly, part))


def edges_of_part(assembly: Assembly, part: Part) -> tuple[Edge, ...]:
    """The twelve edges of one part, in the order of its faces."""
    found = []
    for index, first in enumerate(SIDES):
        for second in SIDES[index + 1 :]:
            if second == opposite(first):
                continue
            kind, sides = _profile(assembly, part, first, second)
            axis = 3 - out_of(first)[0] - out_of(second)[0]
            line = {out_of(one)[0]: plane_mm(part, one) for one in (first, second)}
            ends = (side_at(AXES[axis], high=False), side_at(AXES[axis], high=True))
            low, high = (_point({**line, axis: plane_mm(part, end)}) for end in ends)
            found.append(Edge(part.name, kind, sides, low, high, ends))
    return tuple(found)


def _point(found: dict[int, float]) -> Point:
    return (found[0], found[1], found[2])


def _profile(
    assembly: Assembly, part: Part, first: Side, second: Side
) -> tuple[BarKind | None, tuple[Side, Side]]:
    if part.plate:
        face = opposite(part.open[0])
        return ("edge" if face in (first, second) else None), (first, second)
    opened = [side for side in (first, second) if side in part.open]
    if not opened:
        return "edge", (first, second)
    last = max(opened, key=lambda side: order_of(assembly, part, side))
    wall = second if last == first else first
    return rim_of(assembly, part, last), (wall, last)


def corners_of(assembly: Assembly) -> tuple[Corner, ...]:
    """The corners of every part: outer ones between closed faces, the others of closing frames.

    A plate has those four of its panel. Counting identities: eight outer corners to a box,
    8 (n - 1) closing ones for n parts stacked.
    """
    found = []
    for part in assembly.parts:
        for sides in product(SIDES[:2], SIDES[2:4], SIDES[4:]):
            corner = _corner(part, sides)
            if corner is not None:
                found.append(corner)
    return tuple(found)


def _corner(part: Part, sides: tuple[Side, Side, Side]) -> Corner | None:
    opened = any(side in part.open for side in sides)
    if part.plate and opened:
        return None
    at = _point({out_of(side)[0]: plane_mm(part, side) for side in sides})
    return Corner(part.name, "closing" if opened else "outer", sides, at)


def euler(assembly: Assembly, name: str) -> tuple[int, int, int]:
    """Corners, edges and faces (open ones too) of the part ``name``: V - E + F is 2 for a body."""
    edges = edges_of_part(assembly, assembly.part(name))
    points = {point for edge in edges for point in (edge.low_mm, edge.high_mm)}
    faces = {side for edge in edges for side in edge.sides}
    return (len(points), len(edges), len(faces))


def closed_sides(part: Part) -> tuple[Side, ...]:
    """The faces of a part that have a panel: all that are not open, or the one of a plate."""
    if part.plate:
        return (opposite(part.open[0]),)
    return tuple(side for side in SIDES if side not in part.open)


def assembly_of(interior: Interior, *, payload: Payload) -> Assembly:
    """The closed case around an interior, cut into its parts as the builder wishes.

    The outside is E = interior + 2 T (T the wall build-up), the parts fill it exactly. A box and a
    pair are cut at their closing plane into "deep" and "shallow"; loose rings, "ring 1" the lowest,
    are cut from the deep half below that plane. With doors each half of a pair is cut once more,
    near its back: "door deep" and "door shallow" are flat, T thick, or pans of ``door_mm``. A tray
    is cut where it opens; what closes it there is flat: "lid", "drawer front", "door left", "door
    right". Rings of a tray lie between it and the opening (the right one of two).

    The tongue lies on the deep half's side of each closing plane, or on the other by the builder's
    switch; a door counts as the other side of its half. Rings or doors that leave nothing of the
    half are left out, and :func:`fitkit.shell.shortfalls.troubles_of` says so.

    >>> from fitkit.fit.layout import Half
    >>> inside = Interior(580.0, 380.0, (Half("deep", 190.0), Half("shallow", 90.0)))
    >>> case = assembly_of(inside, payload=Payload("kit", ()))
    >>> [(part.name, part.low_mm, part.high_mm) for part in case.parts]
    [('deep', (-10.0, -10.0, -10.0), (590.0, 390.0, 190.0)), \
('shallow', (-10.0, -10.0, 190.0), (590.0, 390.0, 290.0))]
    """
    thick = build_up_mm(payload.wall.profile)
    length, width, height = interior.size_mm
    low = (-thick, -thick, -thick)
    high = (length + thick, width + thick, height + thick)
    if len(interior.halves) == 1:
        row = tray_row(interior.size_mm, payload=payload)
    else:
        deep, shallow = interior.halves
        row = halves_row((deep.depth_mm, shallow.depth_mm), payload=payload)
    last = row.names[-1]
    cuts = [
        Cut(last, row.axis, meeting.at_mm, name, last, meeting.tongue, meeting.plate)
        for name, meeting in zip(row.names, row.meetings, strict=False)
    ]
    return split_box(low, high, name=last, cuts=cuts)
