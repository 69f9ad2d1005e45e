"""A half of the case seen from above, one drawing per tier: gear white, foam dotted, walls hatched.

The deep half is drawn as it stands; the shallow half as it lies open on the bench, turned over
about its long side, so that its pockets look up as well.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import shapely
from attrs import frozen
from shapely import Polygon
from shapely.geometry.base import BaseGeometry

from fitkit.documents.furniture import scale_for, tag, title_block, witness
from fitkit.documents.labels import Board, key_number, name_beside, name_inside, tag_spot
from fitkit.documents.lettering import cut_to
from fitkit.documents.mount_marks import is_flat, support_marks, support_shapes
from fitkit.documents.mount_words import recess_words, supports_of
from fitkit.documents.naming import half_names, size
from fitkit.documents.plan_frame import (
    Frame,
    dimension_marks,
    lean_marks,
    outside_box,
    room_at,
    wall_marks,
)
from fitkit.documents.plan_side import Keyed, finding_lines, side_column
from fitkit.documents.reliefs import relief_marks, relief_names, reliefs_of
from fitkit.documents.sheet import (
    MEASURED,
    Hatch,
    Mark,
    Path,
    Role,
    Sheet,
    Style,
    Text,
    contours_of,
)
from fitkit.fit.gaps import Gap, gaps_of
from fitkit.fit.layout import HalfName
from fitkit.fit.move import PlanBox, key_of
from fitkit.fit.place import Placed, place_all
from fitkit.foam.model import Layer
from fitkit.payload.pose import Room, posed
from fitkit.plan import Plan
from fitkit.shell.gap.facing import recess_mm

A4, A3 = (297.0, 210.0), (420.0, 297.0)
MANY_ITEMS = 14
SMALL_MM = 6.0
MOST_GAPS = 14
SIDE_MM = 66.0
FOOT_MM, HEAD_MM = 27.0, 42.0
LEFT_MM = 25.0


@frozen
class View:
    """What one drawing shows: a half, one of its tiers, and how many there are."""

    half: HalfName
    tier: int
    tiers: int
    placed: tuple[Placed, ...]

    @property
    def name(self) -> str:
        """The drawing's file name, without its ending."""
        return self.half if self.tiers == 1 else f"{self.half}-tier-{self.tier}"

    @property
    def z_mm(self) -> tuple[float, float]:
        """Height band of the tier's items [mm]."""
        return (
            min(one.solid.z0_mm for one in self.placed),
            max(one.solid.z1_mm for one in self.placed),
        )


def views_of(plan: Plan) -> tuple[View, ...]:
    """The drawings that a plan needs: each half that carries something, tier by tier."""
    placed = place_all(plan.payload, plan.fit.placements)
    views: list[View] = []
    for half in plan.fit.interior.halves:
        mine = [one for one in placed if one.placement.half == half.name]
        tiers = sorted({one.placement.tier for one in mine})
        for tier in tiers:
            chosen = tuple(one for one in mine if one.placement.tier == tier)
            views.append(View(half.name, tier, len(tiers), chosen))
    return tuple(views)


def view_sheet(plan: Plan, view: View, *, number: int, total: int) -> Sheet:
    """The drawing of one tier of one half."""
    interior = plan.fit.interior
    frame, paper = _frame(plan, view)
    marks: list[Mark] = _title(plan, view, frame, paper)
    wall = wall_marks(plan, frame)
    layers = [la for la in plan.foam.layers if la.half == view.half and _meets(la, view.z_mm)]
    reliefs = reliefs_of(plan, view.placed, layers)
    holes = [frame.shape(relief.shape) for relief in reliefs]
    marks += wall + _foam_marks(plan, view, layers, frame, holes)
    marks += lean_marks(plan, view.z_mm, frame)
    marks += dimension_marks(plan, frame)
    bodies = [frame.shape(one.solid.silhouette) for one in view.placed]
    inside = frame.shape(outside_box(plan))
    steps = {one: _steps(one, frame) for one in view.placed}
    assert isinstance(inside, Polygon)  # a box stays one, however it is moved and scaled
    board = Board([*bodies, *holes], inside)
    clear = frame.shape(interior.outline_at(interior.closing_mm))
    held = support_shapes(plan, view.placed, frame)
    names, keyed = _name_marks(plan, view, bodies, (steps, held), board, clear)
    names += relief_names(reliefs, holes, board, clear)
    gap_marks, seen = _gap_marks(plan, view, frame, board)
    marks += gap_marks + names
    kinds = {room.kind for one in view.placed for room in _rooms(plan, one)}
    _, low, plan_right, _ = inside.bounds
    upright = interior.width_mm > interior.length_mm
    left = plan_right + 18.0 if upright else paper[0] - 12.0 - SIDE_MM
    column = (left, paper[1] - 26.5, paper[0] - 12.0)
    side, end = side_column(
        plan, view.half, layers, kinds, seen, keyed, column=column, placed=view.placed
    )
    marks += side
    # findings stand under the plan, or under the column where the plan is as tall as the paper
    under = (left, end - 6.0, column[2]) if upright else (LEFT_MM - 13.0, low - 9.0, left - 6.0)
    marks += finding_lines(plan, [one.label for one in view.placed], *under)
    marks += title_block(plan, width_mm=paper[0], number=number, total=total, scale=frame.scale)
    room = f"interior {size(interior.length_mm)} by {size(interior.width_mm)} mm"
    title = f"{plan.payload.title}: {_what(plan, view)}; {room}"
    return Sheet(*paper, title, tuple(marks))


def _frame(plan: Plan, view: View) -> tuple[Frame, tuple[float, float]]:
    interior = plan.fit.interior
    over = view.half == "shallow"
    for paper in (A4, A3):
        room = (paper[0] - LEFT_MM - SIDE_MM - 18.0, paper[1] - FOOT_MM - HEAD_MM)
        scale = scale_for(plan.outside_mm[0], plan.outside_mm[1], room)
        small = sum(min(_spans(one)) / scale < SMALL_MM for one in view.placed)
        crowded = len(view.placed) > MANY_ITEMS or small > 3
        if paper == A3 or not crowded:
            break
    out_x = (plan.outside_mm[0] - interior.length_mm) / 2 / scale
    out_y = (plan.outside_mm[1] - interior.width_mm) / 2 / scale
    spare = room[1] - plan.outside_mm[1] / scale
    low = FOOT_MM + spare + out_y
    # no wider than it has to be: a tall interior leaves the paper's middle empty
    needed = LEFT_MM + plan.outside_mm[0] / scale + 18.0 + SIDE_MM
    paper = (min(paper[0], max(A4[0], needed)), paper[1])
    return Frame(scale, LEFT_MM + out_x, low, interior.width_mm, over), paper


def _spans(one: Placed) -> tuple[float, float]:
    left, low, right, high = one.solid.silhouette.bounds
    return (right - left, high - low)


def _what(plan: Plan, view: View) -> str:
    name = half_names(plan)[view.half]
    tier = f", tier {view.tier} of {view.tiers}" if view.tiers > 1 else ""
    how = "lying open, seen from above" if view.half == "shallow" else "seen from above"
    return f"{name}{tier}, {how}"


def _title(plan: Plan, view: View, frame: Frame, paper: tuple[float, float]) -> list[Mark]:
    top = paper[1] - 15.0
    title = cut_to(plan.payload.title, width_mm=paper[0] - 24.0, size_mm=6.2, bold=True)
    second = f"{_what(plan, view)} · scale 1 : {size(frame.scale, 2)} · sizes in mm"
    return [
        Text(12.0, top, title, 6.2, bold=True),
        Text(12.0, top - 5.5, second, 3.0, role="quiet"),
    ]


def _meets(layer: Layer, band: tuple[float, float]) -> bool:
    return layer.z0_mm < band[1] - 1e-6 and layer.z1_mm > band[0] + 1e-6


def _foam_marks(
    plan: Plan,
    view: View,
    layers: Sequence[Layer],
    frame: Frame,
    holes: Sequence[BaseGeometry],
) -> list[Mark]:
    """Foam with this tier's pockets cut out, the items in them, and the zones beside them."""
    interior = plan.fit.interior
    keys = {key_of(one.placement) for one in view.placed}
    cut = [c.shape for la in layers for c in la.cutouts if (c.item, c.copy) in keys]
    open_area = frame.shape(shapely.union_all(cut)) if cut else None
    clear = frame.shape(interior.outline_at(interior.closing_mm))
    foam = clear if open_area is None else clear.difference(open_area)
    foam_contours = contours_of(foam)
    marks: list[Mark] = []
    if layers:  # a half of mounted gear alone has none
        marks = [Path(foam_contours, Style(None, fill="foam")), Hatch(foam_contours, "foam")]
    if open_area is not None:
        marks.append(Path(contours_of(open_area), Style(None, fill="paper")))
    marks += relief_marks(holes)
    under, hidden = support_marks(plan, view.placed, frame)
    marks += under
    for one in view.placed:
        for room in _rooms(plan, one):
            area = frame.shape(room.outline.difference(one.solid.silhouette))
            if area.is_empty:
                continue
            contours = contours_of(area)
            role: Role = "connector" if room.kind == "connector" else "zone"
            marks += [Hatch(contours, room.kind), Path(contours, Style(role, 0.3))]
    for one in view.placed:
        body = contours_of(frame.shape(one.solid.silhouette))
        marks.append(Path(body, Style(None, fill="white")))
        marks += [Path(contours_of(step), Style("quiet", 0.13)) for step in _steps(one, frame)]
    if open_area is not None:
        marks.append(Path(contours_of(open_area), Style("ink", 0.35)))
    for one in view.placed:
        body = contours_of(frame.shape(one.solid.silhouette))
        held = (
            one.item.mount is None
            and open_area is not None
            and open_area.boundary.intersects(frame.shape(one.solid.silhouette).buffer(2.0))
        )
        marks.append(Path(body, Style("quiet", 0.18, MEASURED) if held else Style("ink", 0.35)))
    marks += hidden
    marks.append(Path(contours_of(clear), Style("ink", 0.35)))
    return marks


def _rooms(plan: Plan, one: Placed) -> list[Room]:
    """The zones to draw beside a body: those of a mount only while nothing real is known of it."""
    known = bool(supports_of(plan, one))
    return [
        room
        for room in one.solid.rooms
        if room.kind != "mount" or not (known or is_flat(room, one))
    ]


def _steps(one: Placed, frame: Frame) -> list[BaseGeometry]:
    """On the sheet, where a body steps in, for bodies that stand as they were measured."""
    bands = one.solid.bands
    if one.placement.up not in ("top", "bottom") or not 1 < len(bands) <= 6:
        return []
    outer = one.solid.silhouette
    return [frame.shape(band.shape) for band in bands if outer.area - band.shape.area > 1.0]


def fact_of(one: Placed) -> str:
    """An item's size as it stands: length by width, or diameter, and how deep it goes."""
    solid = posed(one.item, one.placement.up)
    left, low, right, high = solid.silhouette.bounds
    wide, deep = right - left, high - low
    round_one = (
        abs(wide - deep) < 0.05 and abs(solid.silhouette.area / (wide * deep) - 0.7854) < 0.002
    )
    plan_size = f"⌀ {size(wide)}" if round_one else f"{size(wide)} × {size(deep)}"
    return f"{plan_size}, {size(solid.height_mm)} deep"


def _name_marks(
    plan: Plan,
    view: View,
    bodies: list[BaseGeometry],
    inner: tuple[dict[Placed, list[BaseGeometry]], list[BaseGeometry]],
    board: Board,
    clear: BaseGeometry,
) -> tuple[list[Mark], list[Keyed]]:
    """Names inside the items; where there is no room beside them, or as numbers with a key."""
    marks: list[Mark] = []
    rest: list[tuple[Placed, BaseGeometry]] = []
    steps, held = inner
    for one, body in zip(view.placed, bodies, strict=True):
        fact = fact_of(one)
        if one.item.mount is not None and one.item.mount.faces == "closing plane":
            fact += f"; {recess_words(recess_mm(one, plan.fit.interior))}"
        lines = [*steps[one], *(shape for shape in held if shape.intersects(body))]
        found = name_inside(board, body, one.label, fact, inner=lines)
        if found is None:
            rest.append((one, body))
        else:
            marks += found
    beside: list[tuple[Placed, BaseGeometry]] = []
    for one, body in rest:
        found = name_beside(board, body, one.label, clear=clear) if len(rest) <= 8 else None
        if found is None:
            beside.append((one, body))
        else:
            marks += found
    keyed: list[Keyed] = []
    beside.sort(key=lambda pair: key_of(pair[0].placement))
    for number, (one, body) in enumerate(beside, start=1):
        marks += key_number(board, body, number)
        keyed.append(Keyed(number, one.item.name, one.placement.copy, one.label, fact_of(one)))
    return marks, keyed


def _gap_marks(plan: Plan, view: View, frame: Frame, board: Board) -> tuple[list[Mark], set[str]]:
    """The tightest gaps, each with its line and number; also which verdicts are shown."""
    lines: list[Mark] = []
    tags: list[Mark] = []
    seen: set[str] = set()
    shown = 0
    for gap in _gaps(plan, view):
        if shown >= 6 + min(len(view.placed), MOST_GAPS) and gap.verdict == "ok":
            break
        a, b = frame.point(*gap.a_mm), frame.point(*gap.b_mm)
        line = shapely.LineString([a, b])
        if gap.verdict == "ok" and not _clear_line(board, line):
            continue
        text = size(gap.gap_mm)
        if gap.verdict == "fails":
            text = f"{text} < {size(gap.limit_mm)}"
        before = list(board.lines)
        spot = tag_spot(board, a, b, text)
        if spot is None and gap.verdict == "ok":
            continue
        board.lines = [*before, line]
        lines += witness(a, b, gap.verdict)
        if spot is None:
            tags += tag((a[0] + b[0]) / 2, (a[1] + b[1]) / 2, text, gap.verdict)
        else:
            tags += tag(spot.x_mm, spot.y_mm, text, gap.verdict, turn_deg=spot.turn_deg)
        seen.add(gap.verdict)
        shown += 1
    return lines + tags, seen


def _clear_line(board: Board, line: BaseGeometry) -> bool:
    return not any(line.crosses(other) for other in board.lines) and not any(
        area.intersects(line) for area in board.taken
    )


def _gaps(plan: Plan, view: View) -> list[Gap]:
    """Gaps of this tier's items, each once: what fails first, then by what is left over."""
    room = PlanBox(*room_at(plan, view.z_mm).bounds)
    placements = tuple(one.placement for one in view.placed)
    rank: Callable[[Gap], tuple[bool, float]] = lambda gap: (  # noqa: E731  # a key, used twice
        gap.verdict != "fails",
        gap.gap_mm - gap.limit_mm,
    )
    found: dict[frozenset[object], Gap] = {}
    for placement in placements:
        for gap in gaps_of(plan.payload, placements, key_of(placement), box=room, most=3):
            ends = frozenset([gap.left, gap.right, gap.kind])
            if gap.kind != "zone" and (ends not in found or rank(gap) < rank(found[ends])):
                found[ends] = gap
    return sorted(found.values(), key=rank)
