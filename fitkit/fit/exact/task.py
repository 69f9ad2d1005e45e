"""What is asked of the exact search, in whole numbers: blocks, their orientations, an objective."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Literal

from attrs import frozen

Goal = Literal["volume", "plan", "longest", "linear"]
"""What is made small: product of the sides, first times second, the longest, or their sum."""

Sides = tuple[int, int, int]
"""Sides along x, y and z; a plane problem has 1 along z."""

WIDEST = 1 << 20
"""Boxes are looked at up to this side, in units."""


@frozen
class Task:
    """Blocks to be put into the least box.

    ``ways`` holds, for every block, the orientations that it may take, as sides along x, y and z.
    ``at_most`` limits the box's sides. A plane task has ``axes`` 2 and all third sides 1.
    """

    ways: tuple[tuple[Sides, ...], ...]
    goal: Goal
    axes: int
    at_most: Sides

    @property
    def volume(self) -> int:
        """Sum of the blocks' volumes (areas in the plane)."""
        return sum(math.prod(ways[0]) for ways in self.ways)

    def value(self, sides: Sequence[int]) -> int:
        """The objective for a box of these sides."""
        x, y, z = sides[0], sides[1], sides[2] if self.axes == 3 else 1
        if self.goal == "plan":
            return x * y
        if self.goal == "longest":
            return max(x, y, z)
        if self.goal == "linear":
            return x + y + (z if self.axes == 3 else 0)
        return x * y * z

    def longest_side(self, axis: int, low: Sequence[int], below: int) -> int:
        """The longest side along an axis for which a box with these other sides is below a value.

        ``low`` holds the least sides; the result is zero or less where there is none.
        """
        others = [low[d] for d in range(self.axes) if d != axis]
        if self.goal == "longest":
            most = below - 1 if all(side < below for side in others) else 0
        elif self.goal == "linear":
            most = below - 1 - sum(others)
        elif self.goal == "plan":
            area = low[0] * low[1]
            if axis < 2:
                most = (below - 1) // low[1 - axis]
            else:
                most = self.at_most[2] if area < below else 0
        else:
            most = (below - 1) // math.prod(others)
        return min(most, self.at_most[axis])

    def alike(self, first: int, second: int) -> bool:
        """Whether the task stays the same when two axes change places."""
        if self.goal == "plan" and 2 in (first, second):
            return False
        if self.at_most[first] != self.at_most[second]:
            return False
        for ways in self.ways:
            own = set(ways)
            for way in ways:
                other = list(way)
                other[first], other[second] = other[second], other[first]
                if (other[0], other[1], other[2]) not in own:
                    return False
        return True


def sums(ways: Sequence[Sequence[int]]) -> list[int]:
    """All sums of one side each of some blocks, without the empty sum.

    >>> sums([(1,), (2, 4)])
    [1, 2, 3, 4, 5]
    """
    reached = 1
    for sides in ways:
        grown = reached
        for side in set(sides):
            grown |= reached << side
        reached = grown
    text = bin(reached)[:1:-1]
    return [k for k, bit in enumerate(text) if bit == "1" and k]


def box_sides(task: Task, axis: int) -> list[int]:
    """The sides that a least box can have along an axis: sums of blocks' sides, from the longest.

    Every block must fit, so nothing is below the longest of the blocks' least sides.
    """
    if axis >= task.axes:
        return [1]
    ways = [tuple(way[axis] for way in block) for block in task.ways]
    least = max(min(sides) for sides in ways)
    return [side for side in sums(ways) if least <= side <= task.at_most[axis]]


def row_sides(task: Task) -> Sides:
    """Sides of a box that holds all blocks in a row along some axis, the best of these rows.

    It is the first upper bound. ValueError if no row keeps the box's limits.
    """
    found: list[Sides] = []
    for axis in range(task.axes):
        sides = [0, 0, 0]
        for ways in task.ways:
            way = min(ways, key=lambda way: (way[axis], way))
            for d in range(3):
                sides[d] = sides[d] + way[d] if d == axis else max(sides[d], way[d])
        if all(side <= most for side, most in zip(sides, task.at_most, strict=True)):
            found.append((sides[0], sides[1], sides[2]))
    if not found:
        raise ValueError("no row of blocks keeps the limits")
    return min(found, key=task.value)
