"""The PDF pen: true to scale, type embedded, the same bytes for the same sheets."""

from __future__ import annotations

import io
import math
from collections.abc import Iterable, Mapping
from typing import Any

from fitkit.documents.lettering import MM_PER_PT, printable, registered
from fitkit.documents.sheet import (
    HATCHES,
    LIGHT,
    Circle,
    Contour,
    Hatch,
    HatchLines,
    Inset,
    Path,
    Role,
    Sheet,
    Style,
    Text,
)
from fitkit.geometry.arcs import arc_of

LARGEST_PART = math.radians(45.0)
"""Sweep that one cubic curve stands for; it is then within radius x 5e-6 of the arc."""


def pdf(
    sheets: Iterable[Sheet],
    *,
    title: str,
    subject: str = "",
    colours: Mapping[Role, str] = LIGHT,
) -> bytes:
    """Sheets as the pages of one PDF, each at its own size, 1:1; asks for no scaling in print."""
    from reportlab import rl_config
    from reportlab.pdfgen.canvas import Canvas

    out = io.BytesIO()
    before = rl_config.useA85
    rl_config.useA85 = 0  # plain bytes: smaller, and faster to write
    try:
        canvas = Canvas(out, invariant=1, pageCompression=1, pagesize=(100, 100), lang="en-GB")
        canvas.setTitle(title)
        canvas.setSubject(subject)
        canvas.setAuthor("fitkit")
        canvas.setCreator("fitkit")
        canvas.setProducer("fitkit")
        canvas.setViewerPreference("PrintScaling", "None")
        pen = _Pen(canvas, colours)
        for sheet in sheets:
            canvas.setPageSize((sheet.width_mm / MM_PER_PT, sheet.height_mm / MM_PER_PT))
            pen.forms(sheet)
            canvas.scale(1 / MM_PER_PT, 1 / MM_PER_PT)
            canvas.setFillColor(pen.colours["paper"])
            canvas.rect(0, 0, sheet.width_mm, sheet.height_mm, stroke=0, fill=1)
            pen.marks(sheet)
            canvas.showPage()
        canvas.save()
    finally:
        rl_config.useA85 = before
    return out.getvalue()


class _Pen:
    """Draws marks on a reportlab canvas whose unit is the millimetre."""

    def __init__(self, canvas: Any, colours: Mapping[Role, str]) -> None:
        from reportlab.lib.colors import HexColor

        self.canvas = canvas
        self.colours = {role: HexColor(value) for role, value in colours.items()}
        self.fonts = registered()
        self._stored: set[str] = set()

    def forms(self, sheet: Sheet) -> None:
        """Store the sheets that this one shows in windows, each once."""
        for mark in sheet.marks:
            if isinstance(mark, Inset) and mark.key not in self._stored:
                self._stored.add(mark.key)
                self.canvas.beginForm(mark.key, 0, 0, mark.sheet.width_mm, mark.sheet.height_mm)
                self.marks(mark.sheet)
                self.canvas.endForm()

    def marks(self, sheet: Sheet) -> None:
        for mark in sheet.marks:
            if isinstance(mark, Path):
                self.path(mark)
            elif isinstance(mark, Circle):
                self.circle(mark)
            elif isinstance(mark, Text):
                self.text(mark)
            elif isinstance(mark, Hatch):
                self.hatch(mark)
            else:
                self.inset(mark)

    def path(self, mark: Path) -> None:
        self._draw(self.outline(mark.contours), mark.style)

    def circle(self, mark: Circle) -> None:
        path = self.canvas.beginPath()
        path.circle(mark.x_mm, mark.y_mm, mark.diameter_mm / 2)
        self._draw(path, mark.style)

    def _draw(self, path: Any, style: Style) -> None:
        c = self.canvas
        if style.stroke:
            c.setStrokeColor(self.colours[style.stroke])
            c.setLineWidth(style.width_mm)
            c.setDash(list(style.dash_mm) if style.dash_mm else [])
        if style.fill:
            c.setFillColor(self.colours[style.fill])
        c.drawPath(path, stroke=int(bool(style.stroke)), fill=int(bool(style.fill)), fillMode=0)
        if style.stroke and style.dash_mm:
            c.setDash([])

    def text(self, mark: Text) -> None:
        c = self.canvas
        c.setFillColor(self.colours[mark.role])
        c.setFont(self.fonts[mark.bold], mark.size_mm)
        draw = {"start": c.drawString, "middle": c.drawCentredString, "end": c.drawRightString}[
            mark.anchor
        ]
        words = printable(mark.text)
        if mark.turn_deg:
            c.saveState()
            c.translate(mark.x_mm, mark.y_mm)
            c.rotate(mark.turn_deg)
            draw(0, 0, words)
            c.restoreState()
        else:
            draw(mark.x_mm, mark.y_mm, words)

    def hatch(self, mark: Hatch) -> None:
        c = self.canvas
        xs = [v[0] for contour in mark.contours for v in _points(contour)]
        ys = [v[1] for contour in mark.contours for v in _points(contour)]
        if not xs:
            return
        c.saveState()
        c.clipPath(self.outline(mark.contours), stroke=0, fill=0, fillMode=0)
        for lines in HATCHES[mark.kind]:
            self._lines(lines, min(xs), min(ys), max(xs), max(ys))
        c.restoreState()

    def _lines(self, lines: HatchLines, left: float, low: float, right: float, high: float) -> None:
        c = self.canvas
        c.setStrokeColor(self.colours[lines.role])
        c.setLineWidth(lines.width_mm)
        if lines.dot_step_mm:
            c.setLineCap(1)
        path = c.beginPath()
        a = math.radians(lines.turn_deg)
        ux, uy = math.cos(a), math.sin(a)
        corners = [(x, y) for x in (left, right) for y in (low, high)]
        across = [-uy * x + ux * y for x, y in corners]
        along = [ux * x + uy * y for x, y in corners]
        # lines stand at fixed places on the sheet, so that neighbouring areas match
        step = lines.step_mm
        k = math.floor((min(across) - lines.shift_mm) / step)
        start = math.floor(min(along) / step) * step - step + lines.shift_mm
        if lines.dot_step_mm:
            c.setDash([0.01, lines.dot_step_mm - 0.01])
        while k * step + lines.shift_mm <= max(across):
            t = k * step + lines.shift_mm
            path.moveTo(ux * start - uy * t, uy * start + ux * t)
            end = max(along) + step
            path.lineTo(ux * end - uy * t, uy * end + ux * t)
            k += 1
        c.drawPath(path, stroke=1, fill=0)

    def inset(self, mark: Inset) -> None:
        c = self.canvas
        left, low, right, high = mark.box_mm
        c.saveState()
        window = c.beginPath()
        window.rect(left, low, right - left, high - low)
        c.clipPath(window, stroke=0, fill=0)
        c.translate(mark.x_mm, mark.y_mm)
        c.doForm(mark.key)
        c.restoreState()

    def outline(self, contours: tuple[Contour, ...]) -> Any:
        """A reportlab path of contours, arcs as cubic curves."""
        path = self.canvas.beginPath()
        for contour in contours:
            first = contour.vertices[0]
            path.moveTo(first[0], first[1])
            follow = [*contour.vertices[1:], first] if contour.closed else contour.vertices[1:]
            for before, after in zip(contour.vertices, follow, strict=False):
                if before[2]:
                    _curve(path, before[:2], after[:2], before[2])
                else:
                    path.lineTo(after[0], after[1])
            if contour.closed:
                path.close()
        return path


def _points(contour: Contour) -> list[tuple[float, float]]:
    """Points whose box holds the contour."""
    points: list[tuple[float, float]] = []
    follow = [*contour.vertices[1:], contour.vertices[0]]
    for before, after in zip(contour.vertices, follow, strict=True):
        points.append(before[:2])
        if before[2]:
            cx, cy, r, _, _ = arc_of(before[:2], after[:2], before[2])
            points.extend([(cx - r, cy - r), (cx + r, cy + r)])
    return points


def _curve(path: Any, start: tuple[float, float], end: tuple[float, float], bulge: float) -> None:
    cx, cy, radius, first, sweep = arc_of(start, end, bulge)
    parts = max(1, math.ceil(abs(sweep) / LARGEST_PART))
    step = sweep / parts
    reach = 4 / 3 * math.tan(step / 4) * radius
    for k in range(parts):
        a, b = first + k * step, first + (k + 1) * step
        x0, y0 = cx + radius * math.cos(a), cy + radius * math.sin(a)
        x1, y1 = (cx + radius * math.cos(b), cy + radius * math.sin(b)) if k < parts - 1 else end
        path.curveTo(
            x0 - reach * math.sin(a), y0 + reach * math.cos(a),
            x1 + reach * math.sin(b), y1 - reach * math.cos(b), x1, y1,
        )  # fmt: skip
