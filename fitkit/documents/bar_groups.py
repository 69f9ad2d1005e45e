"""Which profiles are alike: cut, drilled and cut out in the same way, so that one drawing does."""

from __future__ import annotations

from fitkit.payload.workshop import Side
from fitkit.shell.frame import along, out_of, to_bar
from fitkit.shell.model import Bar, Shell

Work = tuple[int, float, float, float, str]
"""On which leaf, from where and to where along it or how far away from its edge, and what."""


def bars_alike(shell: Shell) -> tuple[tuple[Bar, ...], ...]:
    """Profiles in groups that are made alike, whichever edge of the case they lie on.

    An edge profile may be turned end for end, its leaves changing places; a closing profile has
    leaves that differ, and may not. Mirror images are not alike.
    """
    groups: dict[object, list[Bar]] = {}
    for bar in shell.bars:
        key = (bar.kind, bar.ends, round(bar.length_mm, 2), round(bar.short_mm, 2),
               work_on(shell, bar))  # fmt: skip
        groups.setdefault(key, []).append(bar)
    return tuple(tuple(group) for group in groups.values())


def work_on(shell: Shell, bar: Bar) -> tuple[Work, ...]:
    """Holes and cut-outs of a profile, the same for all that are made alike."""
    found = _work(shell, bar)
    if not found:
        return ()
    axis, sense = along(bar)
    (first, a), (second, b) = out_of(bar.sides[0]), out_of(bar.sides[1])
    turn = {(0, 1, 2): 1, (1, 2, 0): 1, (2, 0, 1): 1}.get((axis, first, second), -1)
    left_handed = turn * sense * a * b < 0
    if bar.kind != "edge":
        return tuple(sorted(_reversed(found, bar) if left_handed else found))
    if left_handed:
        found = _swapped(found)
    other = sorted(_swapped(_reversed(found, bar)))
    return tuple(min(sorted(found), other))


def _work(shell: Shell, bar: Bar) -> list[Work]:
    found: list[Work] = []
    for hole in shell.holes:
        if bar.name in hole.pieces:
            far, away = to_bar(bar, hole.at_mm, hole.side)
            what = f"hole {hole.diameter_mm} {hole.use} {hole.pilot_mm} {hole.sink_mm}"
            found.append(
                (_leaf(bar, hole.side), round(far, 2), round(far, 2), round(away, 2), what)
            )
    for cut in shell.bar_cuts:
        if cut.bar == bar.name:
            ends = (round(cut.from_mm, 2), round(cut.to_mm, 2))
            found.append((_leaf(bar, cut.side), *ends, round(cut.deep_mm, 2), "cut-out"))
    return found


def _leaf(bar: Bar, side: Side) -> int:
    return bar.sides.index(side)


def _swapped(work: list[Work]) -> list[Work]:
    return [(1 - leaf, start, end, away, what) for leaf, start, end, away, what in work]


def _reversed(work: list[Work], bar: Bar) -> list[Work]:
    long = bar.length_mm
    return [
        (leaf, round(long - end, 2), round(long - start, 2), away, what)
        for leaf, start, end, away, what in work
    ]
