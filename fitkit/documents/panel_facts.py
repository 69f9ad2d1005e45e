"""The column beside a panel's drawing: which face, what board, which way up, holes, cautions."""

from __future__ import annotations

from collections import Counter

from fitkit.documents.furniture import arrow
from fitkit.documents.hole_rows import Row
from fitkit.documents.lettering import cut_to, wrapped
from fitkit.documents.naming import size, sizes
from fitkit.documents.sheet import Circle, Mark, Path, Role, Style, Text, box, polyline
from fitkit.documents.shell_faces import Face, edge_words, same_from_inside
from fitkit.plan import Plan
from fitkit.reference.cautions import cautions
from fitkit.shell.model import Opening

WIDE_MM = 67.0
USES = {"rivet": "rivets", "screw": "wood screws", "bolt": "bolts", "tee nut": "tee nuts"}

Kind = tuple[float, str, str, float, float, bool]
"""Diameter, use, fastener, pilot and sink of holes that are drilled alike [mm], 0 for none; and
whether they go through a profile too."""


def opening_words(opening: Opening, *, single: bool) -> tuple[str, str]:
    """What an opening is for, and its size; owners of alike panels lose their place and number.

    So do pockets and exits, which are named after the panel that they are drawn on.
    """
    left, low, right, high = opening.shape.bounds
    words = opening.owner.split()
    plain = {"finger": "finger pocket", "exit": "cable exit"}
    kind = plain.get(words[0], words[0])
    name = opening.owner if single and words[0] not in plain else kind
    fact = sizes((right - left, high - low))
    return name, f"{fact} at 45°" if words[0] == "exit" else fact


def kinds_of(face: Face) -> list[tuple[Kind, int]]:
    """Holes drilled alike with their count, the widest first."""
    holes = [one.hole for one in face.holes]
    kinds: Counter[Kind] = Counter(
        (h.diameter_mm, h.use, h.fastener, h.pilot_mm or 0.0, h.sink_mm or 0.0, len(h.pieces) > 1)
        for h in holes
    )
    return sorted(kinds.items(), key=lambda kind: (-kind[0][0], kind[0]))


def fact_marks(
    plan: Plan, face: Face, count: int, *, x_mm: float, top_mm: float, rows: list[tuple[str, Row]]
) -> list[Mark]:
    """The column, its upper left corner at (x, top)."""
    if plan.shell is None:
        raise ValueError("the plan has no shell to draw")
    panel = face.panel
    marks: list[Mark] = []
    y = top_mm
    seen = "SEEN FROM INSIDE" if face.inside else "SEEN FROM OUTSIDE"
    frame = Style("ink", 0.5, fill="ink" if face.inside else None)
    marks.append(Path((box(x_mm, y - 8.0, x_mm + WIDE_MM, y),), frame))
    role: Role = "white" if face.inside else "ink"
    marks.append(Text(x_mm + WIDE_MM / 2, y - 5.6, seen, 4.4, "middle", True, role))
    y -= 13.6
    if face.inside:
        marks.append(Text(x_mm, y, "Mirrored: mark on the inner face.", 2.8, bold=True))
        y -= 4.6
    column = _Column(x_mm, y)
    pieces = f"{count} pieces alike" if count > 1 else "1 piece"
    column.line(f"{pieces}, {sizes((panel.length_mm, panel.width_mm))}", bold=True, size_mm=3.2)
    column.line(f"{panel.board}, {size(panel.thickness_mm, 2)} mm thick")
    column.line(edge_words(plan.shell, panel, inside=face.inside))
    marks += _grain(face, column)
    if not face.inside and not face.blank and same_from_inside(face):
        column.line("looks the same from inside")
    if face.openings:
        column.head("Openings")
        for name, fact in sorted({opening_words(o, single=count == 1) for o in face.openings}):
            column.line(f"{name}: {fact}", quiet=True)
    if face.holes:
        column.head("Holes")
        for (across, use, fastener, pilot, sink, both), many in kinds_of(face):
            marks.append(Circle(x_mm + 1.6, column.y + 1.0, 2.2, Style("ink", 0.25)))
            column.line(f"{size(across)}, {many} ×", bold=True, indent=5.0)
            column.line(f"{USES[use]}{f': {fastener}' if fastener else ''}", indent=5.0, quiet=True)
            steps = []
            if pilot:
                steps.append(f"drill {size(pilot)} first")
            if sink:
                steps.append(f"sink to {size(sink)}")
            if both:
                steps.append("with the profile in place")
            if steps:
                column.line(", ".join(steps), indent=5.0, quiet=True)
            column.gap(1.0)
    for letter, row in rows:
        column.line(f"row {letter}: {row.words}")
    if not face.blank:
        column.gap(2.0)
        column.line(
            "Places count from the circled corner, marked 0; in bold type: edges of openings. "
            "Rows of holes tell their steps.", quiet=True,
        )  # fmt: skip
        column.gap(1.0)
        column.line(cautions()["riveting"].text if _riveted(face) else "", quiet=True)
        column.line(cautions()["wood dust"].text.split(";")[0].rstrip(".") + ".", quiet=True)
    return [*marks, *column.marks]


def _riveted(face: Face) -> bool:
    return any(one.hole.use == "rivet" for one in face.holes)


def _grain(face: Face, column: _Column) -> list[Mark]:
    grain = face.panel.grain
    if grain is None:
        column.line("grain: either way")
        return []
    level = grain == "length"
    column.line(f"grain: {'left to right' if level else 'upright'}")
    x0, x1 = column.x + 46.0, column.x + 62.0
    y = column.y + 5.4
    if level:
        line = polyline([(x0, y), (x1, y)])
        return [Path((line,), Style("ink", 0.25)), arrow(x0, y, -1, 0), arrow(x1, y, 1, 0)]
    x, low, high = x0 + 8.0, y - 3.0, y + 6.0
    line = polyline([(x, low), (x, high)])
    return [Path((line,), Style("ink", 0.25)), arrow(x, low, 0, -1), arrow(x, high, 0, 1)]


class _Column:
    """Lines of text, one under another."""

    def __init__(self, x: float, y: float) -> None:
        self.x, self.y = x, y
        self.marks: list[Mark] = []

    def gap(self, by_mm: float) -> None:
        self.y -= by_mm

    def head(self, text: str) -> None:
        self.y -= 2.2
        self.line(text, bold=True, size_mm=3.4)

    def line(
        self,
        text: str,
        *,
        bold: bool = False,
        size_mm: float = 2.7,
        indent: float = 0.0,
        quiet: bool = False,
    ) -> None:
        room = WIDE_MM - indent
        shown = 2.5 if quiet else size_mm
        for line in wrapped(text, width_mm=room, size_mm=shown, bold=bold):
            cut = cut_to(line, width_mm=room, size_mm=shown, bold=bold)
            self.marks.append(
                Text(self.x + indent, self.y, cut, shown, bold=bold,
                     role="quiet" if quiet else "ink")
            )  # fmt: skip
            self.y -= shown * 1.55
