"""Where two cables take the same room: they cross, or run along one line for a while.

Paths are found one by one, each short; a builder lays one cable over the other where they meet. A
channel in foam is open up to the closing plane, so that there is room for that.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations

import numpy as np
from attrs import frozen
from numpy.typing import NDArray

from fitkit.shell.cables.model import Route

STEP_MM = 2.0
"""Distance of the places on a cable that are looked at [mm]."""

SHARED_MM = 40.0
"""As far from an end that both share, such as an exit, they are one bundle [mm] (assumption)."""

LONG = 3.0
"""Beyond so many times both diameters together they run along one line, and do not cross."""

Line = NDArray[np.float64]


@frozen
class Meeting:
    """A place where two cables take the same room: its middle, and for how long [mm]."""

    first: Route
    second: Route
    at_mm: tuple[float, float, float]
    along_mm: float

    @property
    def crosses(self) -> bool:
        """Whether they cross there; else they run along one line."""
        return self.along_mm <= LONG * (self.first.diameter_mm + self.second.diameter_mm)

    @property
    def over(self) -> Route:
        """The one that is laid over the other: the thinner, else the second."""
        thicker = self.second.diameter_mm > self.first.diameter_mm
        return self.first if thicker else self.second


def meetings_of(routes: Sequence[Route]) -> tuple[Meeting, ...]:
    """Every place where two of the routes come nearer than half of both diameters."""
    laid = [route for route in routes if len(route.path_mm) > 1]
    return tuple(found for a, b in combinations(laid, 2) for found in _met(a, b))


def _met(first: Route, second: Route) -> Iterator[Meeting]:
    a, b = (np.array(route.path_mm, dtype=np.float64) for route in (first, second))
    near = (first.diameter_mm + second.diameter_mm) / 2
    points = _stepped(a)
    meets = _distance_mm(points, b) < near - 1e-9
    for end in (a[0], a[-1]):
        if min(np.linalg.norm(end - other) for other in (b[0], b[-1])) < 2 * near:
            meets &= np.linalg.norm(points - end, axis=1) > SHARED_MM
    edges = np.flatnonzero(np.diff(np.concatenate(([0], meets.astype(np.int8), [0]))))
    for start, stop in zip(edges[::2], edges[1::2], strict=True):
        middle = points[(start + stop - 1) // 2]
        at = (float(middle[0]), float(middle[1]), float(middle[2]))
        steps = np.linalg.norm(np.diff(points[start:stop], axis=0), axis=1)
        yield Meeting(first, second, at, float(steps.sum()) + STEP_MM)


def _stepped(line: Line) -> Line:
    """Points along a line, :data:`STEP_MM` apart or less."""
    parts = [line[:1]]
    for start, end in zip(line[:-1], line[1:], strict=True):
        count = max(1, int(np.ceil(np.linalg.norm(end - start) / STEP_MM)))
        share = np.arange(1, count + 1)[:, None] / count
        parts.append(start + (end - start) * share)
    return np.vstack(parts)


def _distance_mm(points: Line, line: Line) -> Line:
    """How far each point is from a line of straight parts [mm]."""
    start, along = line[:-1], np.diff(line, axis=0)
    size = np.maximum((along**2).sum(axis=1), 1e-12)
    from_start = points[:, None, :] - start[None, :, :]
    share = np.clip((from_start * along).sum(axis=2) / size, 0.0, 1.0)
    away = from_start - share[:, :, None] * along
    nearest: Line = np.sqrt((away**2).sum(axis=2)).min(axis=1)
    return nearest


def meeting_words(meetings: Sequence[Meeting]) -> tuple[str, ...]:
    """What to do where cables meet, a sentence for each two."""
    pairs: dict[tuple[str, str], list[Meeting]] = {}
    for one in meetings:
        pairs.setdefault((one.first.label, one.second.label), []).append(one)
    said = []
    for (first, second), found in pairs.items():
        places = "; ".join(
            f"{'cross' if one.crosses else f'run along one line for {one.along_mm:.0f} mm'} about "
            f"x {one.at_mm[0]:.0f}, y {one.at_mm[1]:.0f}"
            for one in found
        )
        over = found[0].over.label
        under = second if over == first else first
        said.append(f"{first} and {second} {places}: lay {over} over {under} there")
    return tuple(said)
