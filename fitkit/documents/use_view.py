"""How the case is used, on one sheet: closed, opening, in use, and in use as seen from above.

Pictures are in cabinet projection: fronts in true shape, depth at half its length.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product

import shapely

from fitkit.documents.clear_text import Taken, area_of, block, grounds
from fitkit.documents.furniture import scale_for, title_block, word_tag
from fitkit.documents.lettering import cut_to, wrapped
from fitkit.documents.naming import size
from fitkit.documents.oblique import Paper, Solid, drawn, extent, flat, largest_face, visible
from fitkit.documents.sheet import Mark, Path, Sheet, Style, Text, polyline
from fitkit.documents.shell_words import part_words
from fitkit.documents.spots import roomiest
from fitkit.documents.use_plan import from_above
from fitkit.documents.use_solids import case_solids, exit_signs, hardware_solids, share_of
from fitkit.payload.hardware import type_named
from fitkit.payload.walls import build_up_mm
from fitkit.plan import Plan
from fitkit.shell.frame import out_of
from fitkit.shell.model import Point, Shell
from fitkit.shell.use import Pose, Use, use_of

WIDTH_MM, HEIGHT_MM = 420.0, 297.0
LEFT_MM, RIGHT_MM = 14.0, 406.0
TOP_LOW_MM, TOP_HIGH_MM = 148.0, 260.0
FOOT_LOW_MM, FOOT_HIGH_MM = 32.0, 134.0
FACTS_MM = 104.0
"""Width of the column of facts at the upper right [mm]."""

_LABELLED = ("handle", "latch", "foot", "castor", "door latch")


def use_sheet(plan: Plan, *, number: int = 1, total: int = 1) -> Sheet:
    """The case closed, opening and in use, on A3; ValueError where the plan has no shell."""
    if plan.shell is None:
        raise ValueError("the plan has no shell to draw")
    shell = plan.shell
    use = use_of(plan.payload, shell)
    title = cut_to(plan.payload.title, width_mm=200.0, size_mm=6.2, bold=True)
    marks: list[Mark] = [
        Text(12.0, HEIGHT_MM - 16.0, title, 6.2, bold=True),
        Text(12.0, HEIGHT_MM - 21.5, _headline(use), 3.0, role="quiet"),
    ]
    closed = case_solids(plan, shell, use.pose("closed"))
    opening = case_solids(plan, shell, use.pose("opening"))
    room = (RIGHT_MM - FACTS_MM - LEFT_MM - 24.0, TOP_HIGH_MM - TOP_LOW_MM - 6.0)
    a, b = extent(closed), extent(opening)
    scale = scale_for(a[2] - a[0] + b[2] - b[0], max(a[3] - a[1], b[3] - b[1]), room)
    row = TOP_LOW_MM + max(a[3] - a[1], b[3] - b[1]) / scale
    x = LEFT_MM
    for text, solids, pose in (
        ("1  closed", closed, use.pose("closed")),
        ("2  opening", opening, use.pose("opening")),
    ):
        found, wide = _picture(plan, shell, use, solids, pose, text, x, TOP_LOW_MM, row, scale)
        marks += found
        x += wide + 18.0
    in_use = case_solids(plan, shell, use.pose("in use"))
    half = (RIGHT_MM - LEFT_MM - 12.0) * 0.53
    c = extent(in_use)
    wide_scale = scale_for(c[2] - c[0], c[3] - c[1], (half, FOOT_HIGH_MM - FOOT_LOW_MM - 8.0))
    found, wide = _picture(
        plan, shell, use, in_use, use.pose("in use"), "3  in use",
        LEFT_MM, FOOT_LOW_MM, FOOT_LOW_MM + (c[3] - c[1]) / wide_scale, wide_scale,
    )  # fmt: skip
    marks += found
    left = max(LEFT_MM + wide, LEFT_MM + half * 0.8) + 16.0
    marks += from_above(plan, shell, use, (left, FOOT_LOW_MM, RIGHT_MM, FOOT_HIGH_MM))
    marks += _facts(plan, shell, use)
    marks += title_block(plan, width_mm=WIDTH_MM, number=number, total=total, scale=None)
    named = f"{plan.payload.title}: closed, opening and in use"
    return Sheet(WIDTH_MM, HEIGHT_MM, named, tuple(marks))


def _headline(use: Use) -> str:
    how = (
        "upright, halves side by side" if use.side_by_side
        else "upright on a long side" if use.upright
        else "flat on its bottom"
    )  # fmt: skip
    return f"how the case is used: {how} · sizes in mm"


def _picture(
    plan: Plan,
    shell: Shell,
    use: Use,
    solids: Sequence[Solid],
    pose: Pose,
    title: str,
    left: float,
    low: float,
    high: float,
    scale: float,
) -> tuple[list[Mark], float]:
    """One state with its title, standing on ``low``; its marks and width."""
    x0, y0, x1, _ = (v / scale for v in extent(solids))
    y0 = min(y0, 0.0)  # feet that stand back from the front hide what they lift it by
    paper = Paper(scale, left - x0, low - y0)
    wide = x1 - x0
    marks: list[Mark] = list(drawn(solids, paper))
    table = low - min(y0, 0.0)
    line = Path(
        (polyline([(left - 2.0, table), (left + wide + 2.0, table)]),), Style("quiet", 0.18)
    )
    marks.insert(0, line)
    marks.append(Text(left, high + 3.4, title, 3.6, bold=True))
    marks.append(Text(left + 30.0, high + 3.4, f"1 : {size(scale)}", 2.5, role="quiet"))
    marks += _labels(plan, shell, use, pose, paper, solids)
    return marks, wide


def _labels(
    plan: Plan, shell: Shell, use: Use, pose: Pose, paper: Paper, solids: Sequence[Solid]
) -> list[Mark]:
    """Each kind of piece named once, parts by name, with leaders where they stand outside."""
    shown: list[tuple[str, Point]] = []
    for kind in _LABELLED[: 4 if pose.state == "in use" else 5]:
        spot = _spot(plan, shell, pose, kind)
        if spot is not None:
            shown.append((kind, spot))
    taken = Taken()
    x0, y0, x1, y1 = (v / paper.scale for v in extent(solids))
    frame = shapely.box(paper.x_mm + x0, paper.y_mm + y0, paper.x_mm + x1, paper.y_mm + y1)
    marks: list[Mark] = []
    if pose.state != "closed":
        marks += _parts(plan, shell, use, pose, paper, taken)
    for sign, middle in _exit_spots(shell, pose, paper):
        taken.take(sign.buffer(0.6))
        shown.append(("cable exit", middle))
    for text, spot in shown:
        x, y = paper.point(spot)
        for at_x, at_y in _around(x, y, frame.bounds):
            texts = block(at_x, at_y, [(text, 2.7, True)])
            area = area_of(texts[0]).buffer(0.5)
            if taken.free(area):
                taken.take(area)
                line = shapely.shortest_line(area, shapely.Point(x, y))
                marks.append(Path((polyline(list(line.coords)),), Style("quiet", 0.18)))
                marks += [*grounds(texts), *texts]
                break
    return marks


def _exit_spots(shell: Shell, pose: Pose, paper: Paper) -> Iterator[tuple[shapely.Polygon, Point]]:
    """Cut corners that one sees, on paper, and a point in the middle of each; closed case only."""
    for part in shell.assembly.parts:
        solid = Solid(part.low_mm, part.high_mm, pose.move_of(part.name), Style())
        for side, ring, _ in exit_signs(shell, part):
            if pose.state == "closed" and solid.faces_us(side):
                moved = [solid.move.at(point) for point in ring]
                x, y, z = (sum(values) / len(moved) for values in zip(*moved, strict=True))
                yield paper.shape(moved), (x, y, z)


def _around(
    x: float, y: float, frame: tuple[float, float, float, float]
) -> Iterator[tuple[float, float]]:
    """Places for a label near a point, mostly inside the picture."""
    for ways in (((0.7, 0.8), (-0.7, 0.8)), ((0.7, -0.8), (-0.7, -0.8), (1.4, 0), (-1.4, 0))):
        for away, (dx, dy) in product((7.0, 10.0, 14.0, 18.0), ways):
            at = (x + dx * away, y + dy * away)
            if frame[0] - 1 < at[0] < frame[2] + 6 and frame[1] + 2 < at[1] < frame[3] + 1:
                yield at


def _spot(plan: Plan, shell: Shell, pose: Pose, kind: str) -> Point | None:
    """The middle of a piece of that kind that one sees, the nearest to the user."""
    found: list[tuple[float, Point]] = []
    for one in shell.hardware:
        if one.kind != kind:
            continue
        stands = max(1.0, type_named(plan.payload, one.kind, one.type).stands_mm)
        name = one.parts[0]
        box = share_of(one, shell.assembly.part(name), stands)
        if box is None:
            continue
        axis, sense = out_of(one.side)
        solid = Solid(*box, pose.move_of(name), Style())
        if kind not in ("foot", "castor") and not solid.faces_us(one.side):
            continue
        low, high = box
        middle = [(a + b) / 2 for a, b in zip(low, high, strict=True)]
        middle[axis] = high[axis] if sense > 0 else low[axis]
        if kind in ("foot", "castor"):
            middle[axis] = (high[axis] + low[axis]) / 2
        point = pose.move_of(name).at((middle[0], middle[1], middle[2]))
        right, _ = flat(point, scale=1.0)
        found.append((point[1] * 2 - right * 0.01, point))
    return min(found)[1] if found else None


def _parts(
    plan: Plan, shell: Shell, use: Use, pose: Pose, paper: Paper, taken: Taken
) -> list[Mark]:
    """Names of halves and doors where one sees them."""
    words = part_words(plan)
    wall = build_up_mm(plan.payload.wall.profile)
    solids = {
        part.name: Solid(part.low_mm, part.high_mm, pose.move_of(part.name), Style())
        for part in shell.assembly.parts
    }
    seen = visible([*solids.values(), *hardware_solids(plan, shell, pose)], paper)
    marks: list[Mark] = []
    for part in shell.assembly.parts:
        hung = any(one.part == part.name for one in use.swings)
        if part.plate and not (hung and pose.state == "in use"):
            continue
        whole = seen[list(solids).index(part.name)]
        area = largest_face(solids[part.name], paper, whole).buffer(-wall / paper.scale - 0.4)
        name = words[part.name]
        if area.is_empty:
            continue
        spot = roomiest(area, name, largest_mm=2.8, smallest_mm=2.5)
        text = Text(spot.x_mm, spot.y_mm, name, spot.size_mm, "middle", True, "ink", spot.turn_deg)
        if area.covers(area_of(text)):
            taken.take(area_of(text).buffer(0.5))
            marks += [*grounds([text]), text]
    return marks


def _facts(plan: Plan, shell: Shell, use: Use) -> list[Mark]:
    """What stands where, and what the checks of the use position say."""
    x, y = RIGHT_MM - FACTS_MM, TOP_HIGH_MM + 3.4
    marks: list[Mark] = [Text(x, y, "Where things are", 3.6, bold=True)]
    y -= 6.0
    for line in facts_of(plan, shell, use):
        for text in wrapped(line, width_mm=FACTS_MM, size_mm=2.7):
            marks.append(Text(x, y, text, 2.7))
            y -= 4.0
        y -= 1.0
    found = [one for one in plan.findings if one.check.startswith("use: ")]
    if not found:
        return marks
    y -= 2.0
    marks.append(Text(x, y, "Checked", 3.6, bold=True))
    y -= 7.0
    order = ("fails", "unknown", "tight", "ok")
    for one in sorted(found, key=lambda f: order.index(f.verdict)):
        lines = wrapped(f"{one.check[5:]}, {one.subject}", width_mm=FACTS_MM - 20.0, size_mm=2.6)
        if y - 4.0 * len(lines) < TOP_LOW_MM - 8.0:
            rest = len(found) - sum(isinstance(m, Text) and m.text.isupper() for m in marks)
            marks.append(Text(x, y, f"and {rest} more in the findings", 2.6, role="quiet"))
            break
        marks += word_tag(x, y - 1.2, one.verdict)
        for text in lines:
            marks.append(Text(x + 20.0, y, text, 2.6))
            y -= 3.9
        y -= 2.2
    return marks


def facts_of(plan: Plan, shell: Shell, use: Use) -> list[str]:
    """Sentences: ground, feet, handles, latches, doors, exits."""
    words = part_words(plan)
    stands = f"stands on its {use.ground}"
    feet = [one for one in shell.hardware if one.kind in ("foot", "castor")]
    sides: dict[str, list[str]] = {}
    for one in shell.hardware:
        sides.setdefault(one.kind, []).append(one.side)
    if feet:
        name = "feet" if feet[0].kind == "foot" else "castors"
        each = "" if not use.side_by_side else f", {len(feet) // len(use.groups)} to a half"
        stands += f" on {len(feet)} {name}{each}"
    found = [stands]
    for kind, many in (("handle", "handles"), ("latch", "latches"), ("door latch", "door latches")):
        if kind in sides:
            on = " and ".join(dict.fromkeys(sides[kind]))
            count = len(sides[kind])
            found.append(f"{count} {kind if count == 1 else many} on the {on}")
    for swing in use.swings:
        meets = words.get(swing.stop, swing.stop)
        the = "the " if swing.stop in words else ""
        stop = f"; it then meets {the}{meets}" if swing.stop else ""
        found.append(
            f"{words[swing.part]}: hinges on the {swing.side}, opens {swing.most_deg:.0f} degrees"
            f"{stop}"
        )
    found += [
        f"{way.name}: legs of {size(way.leg_mm)}, passes a bundle {size(way.bundle_mm)} wide"
        for way in shell.exits
    ]
    if len(use.groups) > 1:
        two = "halves" if plan.payload.case.form != "tray" else "tray and what closes it"
        found.append(f"{size(use.beside_mm)} mm between the {two} side by side")
    return found
