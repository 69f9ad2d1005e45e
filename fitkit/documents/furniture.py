"""What stands around a drawing: dimensions, tags, scale bar, title block. All in mm on paper."""

from __future__ import annotations

import math

from fitkit.checks.finding import Verdict
from fitkit.documents.lettering import CAP_SHARE, cut_to, width_of
from fitkit.documents.naming import plan_id, size
from fitkit.documents.sheet import (
    DASH_DOT,
    DASHED,
    DOTTED,
    Anchor,
    Mark,
    Path,
    Role,
    Style,
    Text,
    box,
    disc,
    polyline,
)
from fitkit.documents.words import interior_words, outside_words
from fitkit.fit.words import above_least, bound_words, key_figure
from fitkit.plan import Plan

SCALES = (
    1.0,
    1.1,
    1.2,
    1.4,
    1.6,
    1.8,
    2.0,
    2.2,
    2.5,
    2.8,
    3.2,
    3.6,
    4.0,
    4.5,
    5.0,
    5.6,
    6.3,
    7.1,
    8.0,
    9.0,
    10.0,
)
"""Scales 1 : n that drawings use: preferred numbers, rounded (the R20 series, from memory)."""

ARROW = (1.8, 0.6)
WIDTHS: dict[Verdict, float] = {"ok": 0.45, "tight": 0.45, "fails": 1.1, "unknown": 0.45}
DASHES: dict[Verdict, tuple[float, ...]] = {
    "ok": (),
    "tight": DASHED,
    "fails": DASH_DOT,
    "unknown": DOTTED,
}
ROLES: dict[Verdict, Role] = {"ok": "ok", "tight": "tight", "fails": "fails", "unknown": "unknown"}


def scale_for(length_mm: float, width_mm: float, room_mm: tuple[float, float]) -> float:
    """The largest usual scale 1 : n at which a thing fits into a room on paper; its n."""
    least = max(length_mm / room_mm[0], width_mm / room_mm[1])
    for n in SCALES:
        if n >= least - 1e-9:
            return n
    return math.ceil(least / 10) * 10.0


def arrow(x: float, y: float, dx: float, dy: float, role: Role = "ink") -> Path:
    """A slim arrow head with its tip at (x, y), pointing along (dx, dy)."""
    long, half = ARROW
    bx, by = x - dx * long, y - dy * long
    return Path(
        (
            polyline(
                [(x, y), (bx - dy * half, by + dx * half), (bx + dy * half, by - dx * half)],
                closed=True,
            ),
        ),
        Style(None, fill=role),
    )


def dimension(
    a: tuple[float, float], b: tuple[float, float], text: str, *, from_mm: float, role: Role = "ink"
) -> list[Mark]:
    """A level or upright dimension from ``a`` to ``b`` with its number in the line.

    Extension lines come from ``from_mm``: the y (level) or x (upright) where the object ends.
    """
    level = a[1] == b[1]
    marks: list[Mark] = []
    for x, y in (a, b):
        if level:
            over = 1.0 if y > from_mm else -1.0
            line = [(x, from_mm + 0.8 * over), (x, y + over)]
        else:
            over = 1.0 if x > from_mm else -1.0
            line = [(from_mm + 0.8 * over, y), (x + over, y)]
        marks.append(Path((polyline(line),), Style("quiet", 0.13)))
    half = width_of(text, size_mm=2.6) / 2 + 1.0
    mx, my = (a[0] + b[0]) / 2, (a[1] + b[1]) / 2
    if level:
        pieces = [polyline([a, (mx - half, my)]), polyline([(mx + half, my), b])]
        marks.append(Text(mx, my - 2.6 * CAP_SHARE / 2, text, 2.6, "middle", role=role))
        heads = (arrow(*a, -1, 0, role), arrow(*b, 1, 0, role))
    else:
        pieces = [polyline([a, (mx, my - half)]), polyline([(mx, my + half), b])]
        marks.append(
            Text(mx + 2.6 * CAP_SHARE / 2, my, text, 2.6, "middle", role=role, turn_deg=90.0)
        )
        heads = (arrow(*a, 0, -1, role), arrow(*b, 0, 1, role))
    marks.append(Path(tuple(pieces), Style(role, 0.18)))
    return [*marks, *heads]


def tag_size(text: str) -> tuple[float, float]:
    """Width and height of a gap's tag [mm]."""
    return (width_of(text, size_mm=2.5, bold=True) + 2.6, 3.5)


def tag(x: float, y: float, text: str, verdict: Verdict, *, turn_deg: float = 0.0) -> list[Mark]:
    """A number in a tag whose form tells its verdict, its middle at (x, y)."""
    w, h = tag_size(text)
    if turn_deg:
        w, h = h, w
    role = ROLES[verdict]
    frame = box(
        x - w / 2,
        y - h / 2,
        x + w / 2,
        y + h / 2,
        corner_mm=0.0 if verdict in ("fails", "unknown") else 1.75,
    )
    filled = verdict == "fails"
    rise = 2.5 * CAP_SHARE / 2
    at = (x + rise, y) if turn_deg else (x, y - rise)
    return [
        Path(
            (frame,),
            Style(
                role, 0.25, (1.0, 0.6) if verdict == "tight" else (), role if filled else "paper"
            ),
        ),
        Text(*at, text, 2.5, "middle", True, "white" if filled else role, turn_deg),
    ]


def witness(a: tuple[float, float], b: tuple[float, float], verdict: Verdict) -> list[Mark]:
    """The line of a gap with a point at each end."""
    long = math.hypot(b[0] - a[0], b[1] - a[1])
    role = ROLES[verdict]
    radius = min(0.7, max(0.3, long / 5))
    line = Path((polyline([a, b]),), Style(role, WIDTHS[verdict], DASHES[verdict]))
    return [line, Path((disc(*a, radius), disc(*b, radius)), Style(None, fill=role))]


def word_tag(x: float, y: float, verdict: Verdict, *, width_mm: float = 17.0) -> list[Mark]:
    """OK, TIGHT, FAILS or UNKNOWN in its frame, the lower left corner at (x, y)."""
    role = ROLES[verdict]
    filled = verdict == "fails"
    words: Role = "white" if filled else role
    dash = () if verdict in ("ok", "fails") else DASHES[verdict]
    corner = 2.1 if verdict in ("ok", "tight") else 0.0
    return [
        Path((box(x, y, x + width_mm, y + 4.3, corner_mm=corner),),
             Style(role, 0.35, dash, role if filled else None)),
        Text(x + width_mm / 2, y + 1.25, verdict.upper(), 2.5, "middle", True, words),
    ]  # fmt: skip


def scale_bar(x: float, y: float, scale: float) -> list[Mark]:
    """A bar of a round length at 1 : scale, its left end at (x, y)."""
    real = next((r for r in (50.0, 100.0, 200.0, 500.0, 1000.0) if r / scale >= 18.0), 1000.0)
    long = real / scale
    lines = (
        polyline([(x, y), (x + long, y)]),
        polyline([(x, y - 1.2), (x, y + 1.2)]),
        polyline([(x + long, y - 1.2), (x + long, y + 1.2)]),
    )
    return [
        Path(lines, Style("ink", 0.4)),
        Text(
            x + long + 1.8, y - 0.9, f"{size(real)} mm at 1 : {size(scale, 2)}", 2.5, role="quiet"
        ),
    ]


def title_block(
    plan: Plan, *, width_mm: float, number: int, total: int, scale: float | None
) -> list[Mark]:
    """The rule along the foot with name, sizes, key figure and sheet number."""
    left, right = 12.0, width_mm - 12.0
    at = [left, left + 0.19 * (right - left), left + 0.46 * (right - left)]

    def line(x: float, y: float, text: str, shown: float, role: Role = "ink", *, bold: bool = False,
             anchor: Anchor = "start", room: float = 0.0) -> Text:  # fmt: skip
        if room:
            text = cut_to(text, width_mm=room, size_mm=shown, bold=bold)
        return Text(x, y, text, shown, anchor, bold, role)

    marks: list[Mark] = [
        Path((polyline([(left, 20.0), (right, 20.0)]),), Style("ink", 0.5)),
        line(left, 14.8, "fitkit", 3.4, bold=True),
        line(left, 10.8, f"plan {plan_id(plan)}", 2.5, "quiet"),
        line(at[1], 15.0, interior_words(plan), 2.7, room=at[2] - at[1] - 4),
        line(at[1], 11.0, outside_words(plan), 2.7, room=at[2] - at[1] - 4),
        line(
            at[2],
            15.0,
            f"{key_figure(plan.fit)}, {above_least(plan.fit)}",
            2.7,
            room=right - at[2] - 26,
        ),
        line(at[2], 11.0, bound_words(plan.fit), 2.5, "quiet", room=right - at[2] - 4),
        line(right, 15.0, f"sheet {number} of {total}", 2.7, anchor="end"),
    ]
    if scale is not None:
        marks += scale_bar(right - 72.0, 6.0, scale)
    return marks
