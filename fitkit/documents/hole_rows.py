"""Holes in rows of equal steps, so that a drawing says "6 × 92 = 552" and not six numbers."""

from __future__ import annotations

from attrs import frozen

from fitkit.documents.naming import size
from fitkit.documents.shell_faces import Drilled

LEAST_ROW = 4
SAME_MM = 0.05
"""Places and steps that differ by less are one number on a drawing [mm]."""


@frozen
class Row:
    """Holes alike on a level or upright line, in equal steps."""

    holes: tuple[Drilled, ...]
    level: bool

    @property
    def step_mm(self) -> float:
        """From one hole to the next [mm]."""
        return self.long_mm / (len(self.holes) - 1)

    @property
    def long_mm(self) -> float:
        """From the first hole to the last [mm]."""
        first, last = self.holes[0], self.holes[-1]
        return last.u_mm - first.u_mm if self.level else last.v_mm - first.v_mm

    @property
    def words(self) -> str:
        """The steps and their sum."""
        return steps_words(len(self.holes) - 1, self.step_mm)


def steps_words(count: int, step_mm: float) -> str:
    """Equal steps and what they add up to.

    >>> steps_words(6, 92.0), steps_words(6, 91.666666)
    ('6 × 92 = 552', '6 equal steps of 91.67 = 550')
    """
    total = count * step_mm
    for places in (1, 2):
        step = size(step_mm, places)
        if abs(float(step) * count - total) < 0.005:
            return f"{count} × {step} = {size(total)}"
    return f"{count} equal steps of {size(step_mm, 2)} = {size(total)}"


def rows_of(holes: tuple[Drilled, ...]) -> tuple[tuple[Row, ...], tuple[Drilled, ...]]:
    """The rows, longest first, and the holes that stand in none."""
    left = list(holes)
    rows: list[Row] = []
    while True:
        found = [row for level in (True, False) for row in _rows(left, level)]
        if not found:
            return tuple(rows), tuple(left)
        best = max(found, key=lambda row: len(row.holes))
        rows.append(best)
        gone = {id(one) for one in best.holes}
        left = [one for one in left if id(one) not in gone]


def _rows(holes: list[Drilled], level: bool) -> list[Row]:
    lines: dict[tuple[float, object], list[Drilled]] = {}
    for one in holes:
        hole = one.hole
        kind = (hole.diameter_mm, hole.use, hole.pilot_mm, hole.sink_mm)
        at = one.v_mm if level else one.u_mm
        lines.setdefault((round(at / SAME_MM) * SAME_MM, kind), []).append(one)
    found = []
    for line in lines.values():
        line.sort(key=lambda one: one.u_mm if level else one.v_mm)
        places = [one.u_mm if level else one.v_mm for one in line]
        start = 0
        while start + LEAST_ROW <= len(line):
            step, end = places[start + 1] - places[start], start + 1
            while end + 1 < len(line) and abs(places[end + 1] - places[end] - step) < SAME_MM:
                end += 1
            if end - start + 1 >= LEAST_ROW and step > SAME_MM:
                found.append(Row(tuple(line[start : end + 1]), level))
            start = end
    return found
