"""Does each plug, and the straight run of the cable behind it, have its room?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from attrs import evolve

from fitkit.foam.model import Point
from fitkit.shell.cables.blocks import Block
from fitkit.shell.cables.ends import End
from fitkit.shell.cables.surroundings import Surroundings
from fitkit.shell.cables.threads import Thread
from fitkit.shell.model import Trouble

SLIP_MM = 0.05
"""Reaching in by less is touching [mm]."""

BEYOND_MM = 1000.0


def plug_troubles(threads: Sequence[Thread], around: Surroundings) -> tuple[Trouble, ...]:
    """Every plug that meets a body, a wall, a support or a dish, with the millimetres missing."""
    return tuple(
        dict.fromkeys(
            trouble
            for thread in threads
            if thread.cable.plugged
            for end in (thread.start, thread.to)
            if end is not None and end.plug is not None
            for trouble in _troubles(thread, end, end.plug, around)
        )
    )


def _troubles(thread: Thread, end: End, plug: Block, around: Surroundings) -> Iterator[Trouble]:
    own = "" if end.copy is None else end.copy.label
    solid = [
        block
        for block in around.blocks
        if block.kind in ("body", "support", "dish") and block.owner != own
    ]
    found: dict[str, float] = {}
    for piece in _pieces(thread, end, plug):
        for block in (*solid, *_walls(around, end.half)):
            short = _reaches_in(piece, block, end.out)
            if short > SLIP_MM:
                found[block.owner] = max(found.get(block.owner, 0.0), short)
    straight = len(end.rays) == 1
    what = "the plug and the straight run behind it" if straight else "the plug"
    other = ", take an angled plug" if straight else ""
    for owner, short in found.items():
        yield Trouble(
            f"{thread.label} at {end.name}",
            f"{what} reach{'' if straight else 'es'} {short:.1f} mm into {owner}",
            short,
            f"make the zone there {short:.1f} mm deeper{other}, or turn the item",
        )


def _pieces(thread: Thread, end: End, plug: Block) -> Iterator[Block]:
    """The plug's body, and the cable's straight run behind a plug that is not angled."""
    yield plug
    if len(end.rays) == 1:
        ray, r = end.rays[0], thread.thick_mm / 2
        tip = tuple(a + w * ray.straight_mm for a, w in zip(ray.at_mm, ray.way, strict=True))
        low, high = [], []
        for a, b, w in zip(ray.at_mm, tip, ray.way, strict=True):
            aside = r * (1 - abs(w))  # no further ahead than the run is long
            low.append(min(a, b) - aside)
            high.append(max(a, b) + aside)
        yield evolve(plug, low_mm=(low[0], low[1], low[2]), high_mm=(high[0], high[1], high[2]))


def _reaches_in(piece: Block, block: Block, out: Point) -> float:
    """How far a piece reaches into a block along its way out [mm]; 0 where they do not meet."""
    for axis in range(3):
        low = max(piece.low_mm[axis], block.low_mm[axis])
        high = min(piece.high_mm[axis], block.high_mm[axis])
        if high - low <= SLIP_MM:
            return 0.0
    axis = max(range(3), key=lambda one: abs(out[one]))
    if out[axis] > 0:
        return piece.high_mm[axis] - max(block.low_mm[axis], piece.low_mm[axis])
    return min(block.high_mm[axis], piece.high_mm[axis]) - piece.low_mm[axis]


def _walls(around: Surroundings, half: str) -> Iterator[Block]:
    """The panels around a half, and the closing plane that it must not cross, as blocks."""
    (x0, y0, z0), (x1, y1, z1) = around.limits((half,), thick_mm=0.0)
    far = BEYOND_MM
    outer_low, outer_high = (-far, -far, -far), (x1 + far, y1 + far, z1 + far)
    names = {
        "the left wall": (0, x0, False),
        "the right wall": (0, x1, True),
        "the front wall": (1, y0, False),
        "the back wall": (1, y1, True),
        "the closing plane" if half == "shallow" else "the back panel": (2, z0, False),
        "the back panel" if half == "shallow" else "the closing plane": (2, z1, True),
    }
    for name, (axis, at, above) in names.items():
        low, high = list(outer_low), list(outer_high)
        if above:
            low[axis] = at
        else:
            high[axis] = at
        yield Block((low[0], low[1], low[2]), (high[0], high[1], high[2]), name, "dish")
