"""Every cable as it runs: in plan and from the side, with lengths, bends and coils beside it."""

from __future__ import annotations

from collections.abc import Sequence

from fitkit.checks.finding import Finding, Verdict
from fitkit.documents.cable_frames import half_marks, shown_halves
from fitkit.documents.furniture import title_block, word_tag
from fitkit.documents.lettering import cut_to, wrapped
from fitkit.documents.naming import size
from fitkit.documents.sheet import Mark, Path, Role, Sheet, Style, Text, disc, polyline
from fitkit.plan import Plan
from fitkit.shell.cables.model import Bundle, CableExit, Route

WIDTH_MM = 420.0
HEIGHTS_MM = (190.0, 210.0, 240.0, 270.0, 297.0)
"""The sheet is no higher than it has to be, up to A3 [mm]."""

LEFT_MM, FOOT_MM, HEAD_MM, SIDE_MM = 16.0, 28.0, 24.0, 108.0
NAME_MM, TEXT_MM, LEAD_MM = 3.0, 2.5, 3.7
CHECKS = ("cable path", "cable bend", "cable length", "cable stowed")
ORDER: tuple[Verdict, ...] = ("ok", "unknown", "tight", "fails")


def cable_sheet(plan: Plan, *, number: int = 1, total: int = 1) -> Sheet | None:
    """The drawing of every route, A3 wide; None for a plan without cables or without a shell."""
    if plan.shell is None or not plan.shell.routes:
        return None
    for high in HEIGHTS_MM[:-1]:
        sheet, whole, scale = _sheet(plan, high, number, total)
        if whole and scale <= _sheet(plan, HEIGHTS_MM[-1], number, total)[2]:
            return sheet
    return _sheet(plan, HEIGHTS_MM[-1], number, total)[0]


def _sheet(plan: Plan, high: float, number: int, total: int) -> tuple[Sheet, bool, float]:
    """The sheet at that height, whether all is on it, and its scale 1 : n."""
    assert plan.shell is not None  # its routes are drawn
    routes = list(enumerate(plan.shell.routes, start=1))
    named = [half.name for half in plan.fit.interior.halves]
    split = WIDTH_MM - 12.0 - SIDE_MM
    area = (LEFT_MM, FOOT_MM, split - 8.0, high - HEAD_MM)
    shown = shown_halves(plan, named, area=area)
    scale = shown[0].frame.scale
    title = cut_to(plan.payload.title, width_mm=WIDTH_MM - 24.0, size_mm=6.2, bold=True)
    second = f"cables, in plan and from the side · scale 1 : {size(scale, 2)} · sizes in mm"
    marks: list[Mark] = [
        Text(12.0, high - 15.0, title, 6.2, bold=True),
        Text(12.0, high - 20.5, second, 3.0, role="quiet"),
    ]
    for one in shown:
        marks += half_marks(plan, one, routes)
    column, whole = _column(plan, routes, split, high - HEAD_MM - 4.0)
    marks += column
    marks += title_block(plan, width_mm=WIDTH_MM, number=number, total=total, scale=scale)
    called = f"{plan.payload.title}: cables, in plan and from the side"
    sheet = Sheet(WIDTH_MM, high, called, tuple(marks))
    return sheet, whole, scale


def route_verdict(plan: Plan, route: Route) -> Verdict:
    """The worst verdict of the findings about a cable; "ok" where nothing is said against it."""
    about = [one for one in plan.findings if _about(one, route)]
    return max((one.verdict for one in about), key=ORDER.index, default="ok")


def _about(finding: Finding, route: Route) -> bool:
    named = finding.subject == route.label or finding.subject.startswith(f"{route.label} at ")
    return named and finding.check in (*CHECKS, "shell")


def _column(
    plan: Plan, routes: Sequence[tuple[int, Route]], left: float, top: float
) -> tuple[list[Mark], bool]:
    """A paragraph for each cable, then bundles and exits; what has no room is counted.

    Also whether all of it is there.
    """
    right, y = WIDTH_MM - 12.0, top
    marks: list[Mark] = []
    assert plan.shell is not None  # its routes are drawn
    extra = [*_bundles(plan.shell.bundles), *_exits(plan.shell.exits)]
    below = FOOT_MM + (len(extra) + 2) * LEAD_MM if extra else FOOT_MM
    for k, (number, route) in enumerate(routes):
        block, end = _paragraph(plan, number, route, left, right, y)
        if end < below + (LEAD_MM if k + 1 < len(routes) else 0.0):
            more = len(routes) - k
            said = f"{more} more {'cable' if more == 1 else 'cables'}: lists/cables.csv"
            marks.append(Text(left, y - TEXT_MM, said, TEXT_MM, role="quiet"))
            return marks, False
        marks += block
        y = end - 4.0
    if not extra:
        return marks, True
    marks.append(Path((polyline([(left, y), (right, y)]),), Style("quiet", 0.13)))
    y -= 1.4
    for text in extra:
        for line in wrapped(text, width_mm=right - left, size_mm=TEXT_MM):
            y -= LEAD_MM
            if y < FOOT_MM - 3.0:
                return marks, False
            marks.append(Text(left, y, line, TEXT_MM))
    return marks, True


def _paragraph(
    plan: Plan, number: int, route: Route, left: float, right: float, top: float
) -> tuple[list[Mark], float]:
    """One cable: number, name, verdict, and a few lines; where it ends."""
    verdict = route_verdict(plan, route)
    base = top - NAME_MM
    indent = left + 6.0
    marks: list[Mark] = [
        Path((disc(left + 1.9, base + 1.1, 1.9),), Style("zone", 0.3, fill="paper")),
        Text(left + 1.9, base + 0.18, str(number), TEXT_MM, "middle", True, "zone"),
        Text(
            indent,
            base,
            cut_to(route.label, width_mm=right - indent - 19.0, size_mm=NAME_MM, bold=True),
            NAME_MM,
            bold=True,
        ),
        *word_tag(right - 17.0, base - 1.0, verdict),
    ]
    y = base - 0.8
    for text, role in _facts(plan, route):
        for line in wrapped(text, width_mm=right - indent, size_mm=TEXT_MM):
            y -= LEAD_MM
            marks.append(Text(indent, y, line, TEXT_MM, role=role))
    return marks, y


def _facts(plan: Plan, route: Route) -> list[tuple[str, Role]]:
    """What a builder wants to know of one cable."""
    through = f" through the {route.through}" if route.through else ""
    found: list[tuple[str, Role]] = [(f"{route.start} to {route.to}{through}", "quiet")]
    if route.blocked:
        return [*found, (f"No way: {route.blocked}.", "ink")]
    if route.path_mm:
        found.append(
            (
                f"⌀ {size(route.diameter_mm)}, bends {size(route.bend_mm)} inside or more; path "
                f"{size(route.closed_mm, 0)}",
                "ink",
            )
        )
    if route.needed_mm > 0:
        opening = f"{size(route.open_mm, 0)} when open; " if route.open_mm > route.closed_mm else ""
        have = "" if route.given_mm is None else f", yours is {size(route.given_mm, 0)}"
        found.append((f"{opening}needs {size(route.needed_mm, 0)} with slack{have}", "ink"))
    coil = route.coil
    if coil is not None:
        wide = size(coil.outer_mm, 0)
        if coil.straight_mm > 0:
            wide = f"{size(coil.outer_mm + coil.straight_mm, 0)} × {wide}"
        place = "dashed on the plan" if coil.room else f"no place, {size(coil.short_mm, 0)} missing"
        thick = f"{size(coil.height_mm, 0)} {'thick, on edge' if coil.on_edge else 'high'}"
        found.append((f"spare: {size(coil.turns)} turns, {wide}, {thick}: {place}", "ink"))
    for finding in plan.findings:
        if _about(finding, route) and finding.verdict in ("fails", "tight"):
            found.append((finding.note, "fails" if finding.verdict == "fails" else "tight"))
    return found


def _bundles(bundles: Sequence[Bundle]) -> list[str]:
    return [
        f"Bundle at the {one.where}: ⌀ {size(one.diameter_mm)} ({', '.join(one.labels)})"
        for one in bundles
    ]


def _exits(exits: Sequence[CableExit]) -> list[str]:
    return [
        f"{one.name[:1].upper()}{one.name[1:]}: a corner cut with legs of {size(one.leg_mm)} "
        f"passes ⌀ {size(one.bundle_mm)}"
        for one in exits
    ]
