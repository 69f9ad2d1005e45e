"""The bound is raised step by step: plans of less value are refuted, pattern by pattern.

Every pattern of heights has a value below which no layout of it is. The least of them all is the
bound. The pattern that has it is taken and its value raised: first by areas that are not divided
among ways, then by refuting all plans of less than a slightly larger value. Those lie in a few
larger *corner* plans: for whole widths from w0 to w1 they are within (longest length allowed at w0)
x w1. Corners that are not refuted are halved, down to one width. What holds everybody as far as the
conditions go is not refuted: its pattern stays, and the climb ends when it is the least.
"""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Callable, Iterator

from attrs import field, frozen, mutable

from fitkit.fit.bounds.areas import BOUND_NAME, DONE, Kit, rising
from fitkit.fit.bounds.frames import frame_of
from fitkit.fit.bounds.patterns import Kind, Pattern, Way, ways_of
from fitkit.fit.bounds.refuting import Edge, Plan, least_area, refuted
from fitkit.fit.bounds.shares import GRID_MM, objective_value

AREAS_NAME = "level areas, nobody divided"
"""The name of a bound from whole copies' areas."""

PLANS_NAME = "plans refuted by height"
"""The name of a bound from refuted plans."""

FIRST_STEP = 0.02
"""By how much a pattern's value is raised at first, as a share of it."""

LEAST_STEP = 0.002
"""A pattern that cannot be raised by this share is left."""

GLANCE_WORK = 0.003
SHORT_WORK = 0.02
LONG_WORK = 0.08
"""The solver's work on one plan (1 is about 10 s): where it is much larger than the areas ask, at
first, and before a pattern is given up."""

MUCH_LARGER = 1.02
""""Much larger" as a share of the area."""

CORNERS = 4
"""Corner plans that a step starts with."""

OVERHEAD = 0.004
"""Work that building one model counts as."""

Ways = tuple[tuple[Way, ...], ...]


@frozen
class Step:
    """A bound that holds, its name, and the work done so far."""

    value: float
    name: str
    work: float


@mutable
class _Known:
    """What is known about plans for the same ways: refuted ones, and ones that were not."""

    refuted: list[tuple[int, int]] = field(factory=list)
    kept: list[tuple[int, int, float]] = field(factory=list)

    def says(self, x: int, y: int, work: float) -> bool | None:
        """Whether a plan is refuted; None if it must be asked."""
        if any(x <= a and y <= b for a, b in self.refuted):
            return True
        if any(x >= a and y >= b and spent >= work for a, b, spent in self.kept):
            return False
        return None


@mutable
class _Cell:
    """A pattern on the climb."""

    pattern: Pattern
    ways: Ways
    name: str
    area_mm2: float = 0.0
    step: float = FIRST_STEP
    work: float = SHORT_WORK


class Climb:
    """Raises the bound of a kit; see the module."""

    def __init__(self, kit: Kit, *, wall_mm: float, stop: Callable[[], bool]) -> None:
        """``wall_mm`` is the wall clearance; ``stop`` is asked before every plan."""
        self.kit, self.stop, self.wall_mm = kit, stop, wall_mm
        self.edge = Edge(kit.grow_mm, wall_mm)
        self.turns = all(_upright(kind, self.edge) for kind in kit.kinds)
        self.work = 0.0
        self.known: dict[Ways, _Known] = {}

    def steps(self, best: float = math.inf) -> Iterator[Step]:
        """Bounds, each larger than the one before, up to ``best``, a value that is known."""
        number = itertools.count()
        waiting = rising(self.kit)
        ahead = next(waiting, None)
        heap: list[tuple[float, int, _Cell]] = []
        said = 0.0
        while not self.stop():
            while ahead is not None and (not heap or ahead[0] <= heap[0][0]):
                value, pattern, stage = ahead
                if stage == DONE:
                    ways = ways_of(pattern, self.kit.kinds)
                    assert ways is not None
                    cell = _Cell(pattern, tuple(map(tuple, ways)), BOUND_NAME)
                    heapq.heappush(heap, (value, next(number), cell))
                ahead = next(waiting, None)
            if not heap:
                return
            value, _, cell = heapq.heappop(heap)
            if value > said * (1 + 1e-9):
                said = value
                yield Step(value, cell.name, self.work)
            if value >= best * (1 - 1e-9):
                return
            raised = self._raised(cell, value, best)
            if raised is None:
                return
            heapq.heappush(heap, (raised, next(number), cell))

    def _raised(self, cell: _Cell, value: float, best: float) -> float | None:
        """A larger value that holds for a pattern, the same to try less, None at the end."""
        kit = self.kit
        if not cell.area_mm2:
            cell.area_mm2 = max(1.0, self._area(cell))
            sides = (0.0, 0.0)
            found = kit.value(cell.pattern, area_mm2=cell.area_mm2, sides_mm=sides)
            if found > value:
                cell.name = AREAS_NAME
                return found
            return value
        wanted = min(value * (1 + cell.step), best)
        if self._all_refuted(cell, wanted):
            cell.name = PLANS_NAME
            cell.step = min(cell.step * 1.5, 2 * FIRST_STEP)
            return wanted
        if self.stop():
            return None
        if cell.step > LEAST_STEP:
            cell.step = max(cell.step / 3, LEAST_STEP)
            return value
        if cell.work < LONG_WORK:
            cell.work = LONG_WORK
            cell.step = FIRST_STEP / 2
            return value
        return None

    def _area(self, cell: _Cell) -> float:
        area = least_area(self.kit.kinds, cell.ways, edge=self.edge, work=SHORT_WORK)
        self.work += SHORT_WORK / 4
        return area

    def _all_refuted(self, cell: _Cell, wanted: float) -> bool:
        """Whether all plans of less than ``wanted`` are refuted."""
        spans = self._widths(cell, wanted)
        while spans:
            if self.stop():
                return False
            low, high = spans.pop()
            longest = self._longest(cell.pattern, low, wanted)
            if longest < (low if self.turns else 1):
                continue
            x, y = high, longest
            if self._refuted(cell, x, y, exact=low == high):
                continue
            if low == high:
                return False
            middle = (low + high) // 2
            spans += [(middle + 1, high), (low, middle)]
        return True

    def _widths(self, cell: _Cell, wanted: float) -> list[tuple[int, int]]:
        """Spans of the width to look at [grid steps]; of a plan that may turn its shorter side."""
        least = max(1, math.ceil(max(self.kit.least_side_mm, 2 * self.wall_mm) / GRID_MM - 1e-6))
        most = least
        while self._longest(cell.pattern, most, wanted) >= (most if self.turns else least):
            most += max(1, most // 64)
        marks = [math.ceil(least * (most / least) ** (k / CORNERS)) for k in range(CORNERS + 1)]
        return [(a, b - 1) for a, b in itertools.pairwise(marks) if b > a][::-1]

    def _longest(self, pattern: Pattern, width: int, wanted: float) -> int:
        """The greatest length at a width with a value below ``wanted``, in steps of the grid."""
        objective, height = self.kit.objective, pattern.height_mm

        def value(length: int) -> float:
            return objective_value(objective, (length * GRID_MM, width * GRID_MM, height))

        low, high = 0, 1
        while value(high) < wanted * (1 - 1e-9):
            low, high = high, high * 2
            if high > 1e5:
                break
        while high - low > 1:
            middle = (low + high) // 2
            if value(middle) < wanted * (1 - 1e-9):
                low = middle
            else:
                high = middle
        return low

    def _refuted(self, cell: _Cell, x: int, y: int, *, exact: bool) -> bool:
        """Whether a plan is refuted; ``exact``: it is no corner that could be halved."""
        rim, between = self.kit.rim_mm, 2 * self.wall_mm
        length, width = x * GRID_MM, y * GRID_MM
        if length <= between or width <= between:
            return True
        area = (length - rim) * (width - rim)
        if area < cell.area_mm2 * (1 - 1e-9):
            return True
        known = self.known.setdefault(cell.ways, _Known())
        small = exact or area < cell.area_mm2 * MUCH_LARGER
        work = cell.work if small else GLANCE_WORK
        said = known.says(x, y, work)
        if said is None:
            plan = Plan(length - between, width - between, area)
            answer = refuted(self.kit.kinds, cell.ways, plan, edge=self.edge, work=work)
            self.work += answer.work + OVERHEAD
            said = answer.status == "infeasible"
            if said:
                known.refuted.append((x, y))
                if self.turns:
                    known.refuted.append((y, x))
            else:
                # one that everybody fits is never asked again
                spent = math.inf if answer.status in ("optimal", "feasible") else work
                known.kept.append((x, y, spent))
                if self.turns:
                    known.kept.append((y, x, spent))
        return said


def _upright(kind: Kind, edge: Edge) -> bool:
    """Whether a quarter turn of the whole plan leaves it as good for some copies."""
    if kind.asks[0].piece.item.turn in ("free", "quarter"):
        return True
    return all(
        frame == frame.turned()
        for frame in (frame_of(a.piece, edge.grow_mm, edge.wall_mm) for a in kind.asks)
    )
