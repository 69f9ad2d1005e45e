"""A gap drawn many times from its tolerances: a histogram, with worst case and RSS beside it."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from fitkit.documents.gap_words import sides_text
from fitkit.documents.lettering import cut_to, width_of
from fitkit.documents.naming import size
from fitkit.documents.sheet import DASHED, Mark, Path, Role, Sheet, Style, Text, box, polyline
from fitkit.shell.gap.model import Gap

BINS = 36
LEFT_MM, RIGHT_MM = 6.0, 6.0
LOW_MM, HEAD_MM = 12.0, 39.0
STEPS_MM = (0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0)
_LEAST_MM = 0.05
SPREADS = {
    "uniform": "each tolerance anywhere within its ±",
    "normal": "each spread normally, its ± three standard deviations",
}


def histogram_sheet(
    gap: Gap,
    drawn_mm: NDArray[np.float64],
    *,
    spread: Literal["uniform", "normal"] = "uniform",
    wide_mm: float = 120.0,
    tall_mm: float = 84.0,
) -> Sheet:
    """How often which gap comes out, of ``drawn_mm`` [mm]; what is short of its limit stands out.

    Marked are what must be kept, the worst case, and the root of the sum of squares. ``spread``
    says how the draws were made. ValueError where nothing was drawn.
    """
    if drawn_mm.size == 0:
        raise ValueError("nothing was drawn")
    axis = _Axis(gap, drawn_mm, wide_mm=wide_mm, tall_mm=tall_mm)
    room = wide_mm - LEFT_MM - RIGHT_MM
    lines = (sides_text(gap), SPREADS[spread], short_text(gap, drawn_mm))
    marks: list[Mark] = [
        Text(LEFT_MM, tall_mm - 9.0, "How the gap comes out", 4.0, bold=True),
        *(
            Text(
                LEFT_MM,
                tall_mm - 13.6 - 3.9 * k,
                cut_to(line, width_mm=room, size_mm=2.6),
                2.6,
                role="quiet",
            )
            for k, line in enumerate(lines)
        ),
        *axis.bars(),
        *axis.ticks(),
        *axis.limits(),
    ]
    title = f"{lines[0]}: {lines[2]}"
    return Sheet(wide_mm, tall_mm, title, tuple(marks))


def short_text(gap: Gap, drawn_mm: NDArray[np.float64]) -> str:
    """How many of the draws leave less than must be kept, in words.

    >>> from fitkit.shell.gap.model import Gap
    >>> gap = Gap("a", "b", 10.0, (5.0, 5.0), (0.0, 0.0, 0.0), 2.0, (), (0.0, 0.0))
    >>> short_text(gap, np.array([1.0, 3.0, 4.0, 5.0]))
    '1 of 4 draws leaves less than 2 mm'
    """
    short = int(np.count_nonzero(drawn_mm < gap.keep_mm - 1e-9))
    verb = "leaves" if short == 1 else "leave"
    some, many = (f"{one:,}".replace(",", " ") for one in (short, drawn_mm.size))
    return f"{some if short else 'none'} of {many} draws {verb} less than {size(gap.keep_mm)} mm"


class _Axis:
    """From millimetres of gap to the sheet."""

    def __init__(
        self, gap: Gap, drawn_mm: NDArray[np.float64], *, wide_mm: float, tall_mm: float
    ) -> None:
        self.gap, self.drawn = gap, drawn_mm
        self.wide, self.tall = wide_mm, tall_mm
        low = min(float(drawn_mm.min()), gap.worst_mm, gap.keep_mm)
        high = max(float(drawn_mm.max()), gap.rss_mm, gap.keep_mm)
        pad = max(0.04 * (high - low), _LEAST_MM)
        self.low, self.high = low - pad, high + pad
        room = wide_mm - LEFT_MM - RIGHT_MM
        for mm, text, _, _ in self.named():  # names stand to the right of their lines
            beside = 1.0 + width_of(text, size_mm=2.6, bold=True)
            self.high = max(self.high, self.low + (mm - self.low) * room / (room - beside))
        self.foot, self.head = LOW_MM, tall_mm - HEAD_MM

    def x(self, mm: float) -> float:
        share = (mm - self.low) / (self.high - self.low)
        return LEFT_MM + share * (self.wide - LEFT_MM - RIGHT_MM)

    def bars(self) -> list[Mark]:
        """Equal steps over what was drawn; one of them ends at the limit where it lies among."""
        low, high = float(self.drawn.min()), float(self.drawn.max())
        if high - low < _LEAST_MM:
            low, high = low - _LEAST_MM / 2, high + _LEAST_MM / 2
        step = (high - low) / BINS
        steps_down = (
            math.ceil((self.gap.keep_mm - low) / step) if low < self.gap.keep_mm < high else 0
        )
        low = self.gap.keep_mm - steps_down * step if steps_down else low
        edges = low + step * np.arange(BINS + 2)
        counts, _ = np.histogram(self.drawn, bins=edges)
        most = max(int(counts.max()), 1)
        marks: list[Mark] = []
        for count, a, b in zip(counts, edges[:-1], edges[1:], strict=True):
            if not count:
                continue
            high_mm = self.foot + (self.head - self.foot) * int(count) / most
            shape = box(self.x(float(a)), self.foot, self.x(float(b)), high_mm)
            short = float(b) <= self.gap.keep_mm + 1e-9
            fill: Role = "fails" if short else "foam"
            marks.append(Path((shape,), Style("ink", 0.15, fill=fill)))
        return marks

    def ticks(self) -> list[Mark]:
        """The axis with round figures, and its unit once."""
        span = self.high - self.low
        step = next((s for s in STEPS_MM if span / s <= 9), STEPS_MM[-1])
        left, right = self.x(self.low), self.x(self.high)
        lines = [polyline([(left, self.foot), (right, self.foot)])]
        marks: list[Mark] = []
        for k in range(math.ceil(self.low / step), math.floor(self.high / step) + 1):
            x = self.x(k * step)
            text = size(k * step, 2)
            half = width_of(text, size_mm=2.5) / 2
            lines.append(polyline([(x, self.foot), (x, self.foot - 1.2)]))
            if left + half - 1.0 <= x <= right - half + 1.0:
                marks.append(Text(x, self.foot - 4.2, text, 2.5, "middle"))
        unit = Text(
            self.wide / 2, self.foot - 8.2, "mm left between them", 2.5, "middle", role="quiet"
        )
        return [Path(tuple(lines), Style("ink", 0.25)), *marks, unit]

    def named(self) -> list[tuple[float, str, Role, tuple[float, ...]]]:
        """What is marked: where, its name, its colour and dashes."""
        gap = self.gap
        return [
            (gap.keep_mm, f"to keep {size(gap.keep_mm)}", "ok", (0.8, 0.6)),
            (gap.worst_mm, f"worst case {size(gap.worst_mm)}", "fails", ()),
            (gap.rss_mm, f"RSS {size(gap.rss_mm)}", "connector", DASHED),
        ]

    def limits(self) -> list[Mark]:
        """Upright lines with their names, each name a line higher than the one to its right."""
        marks: list[Mark] = []
        for k, (mm, text, role, dash) in enumerate(sorted(self.named(), reverse=True)):
            x, high = self.x(mm), self.head + 1.5 + 4.2 * k
            line = polyline([(x, self.foot), (x, high + 2.0)])
            marks.append(Path((line,), Style(role, 0.5, dash)))
            marks.append(Text(x + 1.0, high, text, 2.6, bold=True, role=role))
        return marks
