"""The SVG pen: millimetre units, one user unit per millimetre, y down, arcs as arcs."""

from __future__ import annotations

import math
from collections.abc import Mapping
from xml.sax.saxutils import escape, quoteattr

from fitkit.documents.sheet import (
    HATCHES,
    LIGHT,
    Circle,
    Contour,
    Hatch,
    HatchKind,
    Inset,
    Path,
    Role,
    Sheet,
    Style,
    Text,
)
from fitkit.geometry.arcs import arc_of

FAMILY = "'IBM Plex Sans','Source Sans 3','DejaVu Sans',sans-serif"


LONGEST_SWEEP = math.pi / 2
"""A longer arc is written as several [rad]."""


def number(value: float) -> str:
    """A length to a ten-thousandth of a millimetre, without idle zeros.

    >>> number(12.50001), number(-0.00001)
    ('12.5', '0')
    """
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def svg(
    sheet: Sheet,
    *,
    colours: Mapping[Role, str] = LIGHT,
    ids: str = "s",
    inline: bool = False,
    ground: bool = True,
    note: str = "",
) -> str:
    """The sheet as an SVG text.

    ``colours`` says how roles look (``var(--ink)`` works too), ``ids`` starts the names of its
    definitions, so that several drawings share one page. ``inline`` leaves out the XML head and
    lets the page size it; ``ground`` paints the paper; ``note`` is a sentence for those who open
    the file.
    """
    pen = _Pen(sheet.height_mm, colours, ids)
    body = pen.marks(sheet)
    w, h = number(sheet.width_mm), number(sheet.height_mm)
    size = "" if inline else f' width="{w}mm" height="{h}mm"'
    head = "" if inline else '<?xml version="1.0" encoding="UTF-8"?>\n'
    role = f' role="img" aria-label={quoteattr(sheet.title)}' if inline else ""
    title = "" if inline else f"<title>{escape(sheet.title)}</title>\n"
    desc = f"<desc>{escape(note)}</desc>\n" if note else ""
    defs = f"<defs>{''.join(pen.defs)}</defs>\n" if pen.defs else ""
    paper = f'<rect width="{w}" height="{h}" fill="{colours["paper"]}"/>\n' if ground else ""
    return (
        f'{head}<svg xmlns="http://www.w3.org/2000/svg"{size} viewBox="0 0 {w} {h}"{role} '
        f'font-family="{FAMILY}">\n{title}{desc}{defs}{paper}{body}\n</svg>\n'
    )


def path_data(contours: tuple[Contour, ...], height_mm: float) -> str:
    """Contours as SVG path data, y turned to run down from ``height_mm``."""
    parts: list[str] = []
    for contour in contours:
        first = contour.vertices[0]
        parts.append(f"M{number(first[0])},{number(height_mm - first[1])}")
        follow = [*contour.vertices[1:], first] if contour.closed else list(contour.vertices[1:])
        for k, (before, after) in enumerate(zip(contour.vertices, follow, strict=False)):
            x, y = number(after[0]), number(height_mm - after[1])
            if before[2]:
                cx, cy, radius, angle, sweep = arc_of(before[:2], after[:2], before[2])
                # counter-clockwise with y up is sweep flag 0 with y down
                way = 0 if sweep > 0 else 1
                # near a half circle the rounding of the ends moves the middle: short arcs only
                count = max(1, math.ceil(abs(sweep) / LONGEST_SWEEP - 1e-9))
                for step in range(1, count):
                    at = angle + sweep * step / count
                    mid = (cx + radius * math.cos(at), cy + radius * math.sin(at))
                    parts.append(
                        f"A{radius:.6f},{radius:.6f} 0 0 {way} "
                        f"{number(mid[0])},{number(height_mm - mid[1])}"
                    )
                parts.append(f"A{radius:.6f},{radius:.6f} 0 0 {way} {x},{y}")
            elif not (contour.closed and k == len(follow) - 1):
                parts.append(f"L{x},{y}")
        if contour.closed:
            parts.append("Z")
    return "".join(parts)


class _Pen:
    """Collects the elements of one sheet."""

    def __init__(self, height_mm: float, colours: Mapping[Role, str], ids: str) -> None:
        self.height_mm = height_mm
        self.colours = colours
        self.ids = ids
        self.defs: list[str] = []
        self._patterns: set[str] = set()

    def marks(self, sheet: Sheet) -> str:
        """All marks; those of one operation that follow each other stand in one group."""
        lines: list[str] = []
        group = ""
        for mark in sheet.marks:
            operation = mark.operation if isinstance(mark, Path | Circle | Text) else ""
            if operation != group:
                if group:
                    lines.append("</g>")
                if operation:
                    lines.append(f"<g id={quoteattr(operation)}>")
                group = operation
            if isinstance(mark, Path):
                lines.append(self.path(mark))
            elif isinstance(mark, Circle):
                lines.append(self.circle(mark))
            elif isinstance(mark, Text):
                lines.append(self.text(mark))
            elif isinstance(mark, Hatch):
                lines.append(self.hatch(mark))
            else:
                lines.append(self.inset(mark))
        if group:
            lines.append("</g>")
        return "\n".join(lines)

    def path(self, mark: Path) -> str:
        rule = ' fill-rule="evenodd"' if mark.style.fill and len(mark.contours) > 1 else ""
        data = path_data(mark.contours, self.height_mm)
        return f'<path d="{data}" {self.look(mark.style, rule)}/>'

    def circle(self, mark: Circle) -> str:
        x, y = number(mark.x_mm), number(self.height_mm - mark.y_mm)
        r = number(mark.diameter_mm / 2)
        return f'<circle cx="{x}" cy="{y}" r="{r}" {self.look(mark.style)}/>'

    def look(self, style: Style, rule: str = "") -> str:
        """Fill, stroke and dashes as attributes."""
        fill = self.colours[style.fill] if style.fill else "none"
        look = f'fill="{fill}"{rule}'
        if style.stroke:
            look += (
                f' stroke="{self.colours[style.stroke]}" stroke-width="{number(style.width_mm)}"'
            )
            if style.dash_mm:
                look += f' stroke-dasharray="{" ".join(number(d) for d in style.dash_mm)}"'
        return look

    def text(self, mark: Text) -> str:
        x, y = number(mark.x_mm), number(self.height_mm - mark.y_mm)
        weight = ' font-weight="600"' if mark.bold else ""
        turn = f' transform="rotate({number(-mark.turn_deg)} {x} {y})"' if mark.turn_deg else ""
        anchor = "" if mark.anchor == "start" else f' text-anchor="{mark.anchor}"'
        return (
            f'<text x="{x}" y="{y}" font-size="{number(mark.size_mm)}" '
            f'fill="{self.colours[mark.role]}"{anchor}{weight}{turn}>{escape(mark.text)}</text>'
        )

    def hatch(self, mark: Hatch) -> str:
        name = f"{self.ids}-{mark.kind}"
        if mark.kind not in self._patterns:
            self._patterns.add(mark.kind)
            self.defs.append(self._pattern(mark.kind, name))
        rule = ' fill-rule="evenodd"' if len(mark.contours) > 1 else ""
        return f'<path d="{path_data(mark.contours, self.height_mm)}" fill="url(#{name})"{rule}/>'

    def _pattern(self, kind: HatchKind, name: str) -> str:
        sets = HATCHES[kind]
        step = number(sets[0].step_mm)
        first = sets[0]
        if first.dot_step_mm:
            colour, r = self.colours[first.role], number(first.width_mm / 2)
            half = first.step_mm / 4
            inside = (
                f'<circle cx="{number(half)}" cy="{number(half)}" r="{r}" fill="{colour}"/>'
                f'<circle cx="{number(3 * half)}" cy="{number(3 * half)}" r="{r}" fill="{colour}"/>'
            )
            turn = ""
        else:
            line = (
                f'<path d="M0,0V{step}" stroke="{self.colours[first.role]}" '
                f'stroke-width="{number(2 * first.width_mm)}"/>'
            )
            inside = line + (line.replace(f"V{step}", f"H{step}") if len(sets) > 1 else "")
            # an upright line turned clockwise by 90 less its direction
            turn = f' patternTransform="rotate({number(90 - first.turn_deg)})"'
        return (
            f'<pattern id="{name}" width="{step}" height="{step}" '
            f'patternUnits="userSpaceOnUse"{turn}>{inside}</pattern>'
        )

    def inset(self, mark: Inset) -> str:
        left, low, right, high = mark.box_mm
        inner = _Pen(mark.sheet.height_mm, self.colours, f"{self.ids}-{mark.key}")
        body = inner.marks(mark.sheet)
        self.defs.extend(inner.defs)
        # the window in the inner sheet's own coordinates, y down
        x = left - mark.x_mm
        y = mark.sheet.height_mm - (high - mark.y_mm)
        w, h = number(right - left), number(high - low)
        return (
            f'<svg x="{number(left)}" y="{number(self.height_mm - high)}" width="{w}" height="{h}" '
            f'viewBox="{number(x)} {number(y)} {w} {h}">\n{body}\n</svg>'
        )
