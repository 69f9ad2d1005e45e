"""How a part of the case is moved as a whole: turned and shifted, never bent or mirrored."""

from __future__ import annotations

import math

from attrs import frozen

from fitkit.shell.model import Point

_UNIT: tuple[Point, Point, Point] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


@frozen
class Move:
    """A turn, then a shift: ``rows`` times the point, and ``shift_mm`` on top [mm].

    ``rows`` are the three rows of a rotation matrix: at right angles, of length 1, determinant 1.

    >>> Move().at((1.0, 2.0, 3.0))
    (1.0, 2.0, 3.0)
    """

    rows: tuple[Point, Point, Point] = _UNIT
    shift_mm: Point = (0.0, 0.0, 0.0)

    def at(self, point: Point) -> Point:
        """Where a point comes to lie [mm]."""
        x, y, z = (
            sum(factor * value for factor, value in zip(row, point, strict=True)) + shift
            for row, shift in zip(self.rows, self.shift_mm, strict=True)
        )
        return (x, y, z)

    def way(self, direction: Point) -> Point:
        """Where a direction comes to point."""
        x, y, z = (sum(f * v for f, v in zip(row, direction, strict=True)) for row in self.rows)
        return (x, y, z)

    def then(self, after: Move) -> Move:
        """This move, then another one, as one move."""
        columns = [self.way_back(axis) for axis in range(3)]
        moved = [after.way(column) for column in columns]
        rows = tuple((moved[0][i], moved[1][i], moved[2][i]) for i in range(3))
        return Move((rows[0], rows[1], rows[2]), after.at(self.shift_mm))

    def way_back(self, axis: int) -> Point:
        """Where the axis (0 x, 1 y, 2 z) comes to point: a column of the matrix."""
        return (self.rows[0][axis], self.rows[1][axis], self.rows[2][axis])

    def shifted(self, by_mm: Point) -> Move:
        """This move, and farther by that much [mm]."""
        x, y, z = (a + b for a, b in zip(self.shift_mm, by_mm, strict=True))
        return Move(self.rows, (x, y, z))


def turned_about(point: Point, *, axis: int, by_deg: float) -> Move:
    """A turn about a line through ``point`` along an axis, counter-clockwise seen against it.

    >>> [round(v, 9) + 0.0 for v in turned_about((1.0, 0.0, 0.0), axis=2, by_deg=90.0).at(
    ...     (2.0, 0.0, 5.0))]
    [1.0, 1.0, 5.0]
    """
    angle = math.radians(by_deg)
    cos, sin = math.cos(angle), math.sin(angle)
    one, two = ((1, 2), (2, 0), (0, 1))[axis]
    found = [[1.0 if i == j else 0.0 for j in range(3)] for i in range(3)]
    found[one][one], found[one][two] = cos, -sin
    found[two][one], found[two][two] = sin, cos
    rows = tuple((row[0], row[1], row[2]) for row in found)
    turn = Move((rows[0], rows[1], rows[2]))
    x, y, z = (a - b for a, b in zip(point, turn.at(point), strict=True))
    return turn.shifted((x, y, z))


def laid(*, down: Point, towards: Point) -> Move:
    """The turn that brings one axis of the case to point down, another one to the onlooker.

    ``down`` and ``towards`` are directions along two different axes of the case. Afterwards x is
    to the right, y away from the onlooker, z up.

    >>> laid(down=(0.0, 1.0, 0.0), towards=(0.0, 0.0, 1.0)).at((1.0, 2.0, 3.0))
    (-1.0, -3.0, -2.0)
    """
    across = _cross(down, towards)  # to the left, as down times towards the onlooker is
    rows: list[Point] = []
    for vector in (across, towards, down):
        rows.append((-vector[0], -vector[1], -vector[2]))
    return Move((rows[0], rows[1], rows[2]))


def _cross(a: Point, b: Point) -> Point:
    return (
        a[1] * b[2] - a[2] * b[1] + 0.0,
        a[2] * b[0] - a[0] * b[2] + 0.0,
        a[0] * b[1] - a[1] * b[0] + 0.0,
    )
