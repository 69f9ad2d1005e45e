"""Profiles on bars: the least length of new bars, proven, and in which order to saw.

All new bars are trimmed at both ends first. Between two pieces lies the saw's kerf; a mitred end
takes sqrt 2 kerfs along the bar, for the blade crosses it at 45 degrees. A mitred piece counts with
its long point: the outer edge of a profile lies on one side of the bar, so pieces cannot be turned
head to tail. Pieces that the builder has left over are used only where they save new bar.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from attrs import frozen

from fitkit.errors import BadInput, Fault
from fitkit.stock.bar_search import LENGTH, least
from fitkit.stock.model import BarPlan, CutBar, Stick
from fitkit.stock.patterns import Job, Kind, Pattern

SLACK_UM = 1
"""Lengths count in thousandths of a millimetre; a bar holds what is too long by one of them."""


@frozen
class Piece:
    """What sticks of one length and end have in common, in thousandths of a millimetre."""

    length: int
    mitred: bool
    kerf: int

    @property
    def size(self) -> int:
        """Length with its kerf."""
        return self.length + self.kerf


@frozen
class Bars:
    """The bars that can be cut: of each kind the length, what is trimmed off each end, how many."""

    length_mm: float
    trim_mm: float
    count: int | None

    @property
    def clear_mm(self) -> float:
        """What can be cut from it."""
        return self.length_mm - 2 * self.trim_mm


def um(length_mm: float) -> int:
    """Thousandths of a millimetre, rounded.

    >>> um(314.325)
    314325
    """
    return round(length_mm * 1000)


def cut_bars(
    sticks: Sequence[Stick],
    *,
    what: str,
    bars_mm: Sequence[float],
    offcuts_mm: Sequence[float] = (),
    kerf_mm: float = 3.0,
    trim_mm: float = 10.0,
    keep_mm: float = 300.0,
    seconds: float = 1.0,
) -> BarPlan:
    """Cut all ``sticks`` of one profile from the least length of new bars, then the fewest bars.

    ``bars_mm`` are the lengths in which it is sold, ``offcuts_mm`` what is left over from before,
    one entry a piece (not trimmed again). Among equal plans the one whose offcuts of ``keep_mm``
    and more are the longest is taken. ``seconds`` is a limit of work, the same in every run; a plan
    that it cuts short says ``proven=False`` with the bound that holds.

    BadInput names every stick that no bar holds, and every length or kerf that is not a size.

    >>> sticks = [Stick(f"upright {n}", 900.0) for n in range(1, 5)]
    >>> plan = cut_bars(sticks, what="edge profile", bars_mm=[2000.0], trim_mm=10.0)
    >>> plan.bought, plan.proven, [bar.left_mm for bar in plan.bars]
    (2, True, [174.0, 174.0])
    """
    kinds = [Bars(length, trim_mm, None) for length in sorted(set(bars_mm), reverse=True)]
    kept = sorted(offcuts_mm, reverse=True)
    kinds += [Bars(length, 0.0, kept.count(length)) for length in dict.fromkeys(kept)]
    _refuse(sticks, kinds, what=what, kerf_mm=kerf_mm, trim_mm=trim_mm)
    if not sticks:
        return BarPlan(what, (), 0, 0.0, 0.0, LENGTH, True, 0, 0.0, 0.0, kerf_mm, trim_mm)
    pieces = [piece_of(stick, kerf_mm) for stick in sticks]
    types = sorted(set(pieces), key=lambda piece: (-piece.size, piece.mitred))
    sizes = tuple(piece.size for piece in types)
    demand = tuple(pieces.count(piece) for piece in types)

    def job_with(kerf: int) -> Job:
        return Job(
            sizes,
            demand,
            tuple(
                Kind(
                    um(kind.clear_mm) + kerf + SLACK_UM,
                    um(kind.length_mm) if kind.count is None else 0,
                    kind.count,
                )
                for kind in kinds
            ),
        )

    # the last piece of a bar needs no kerf: the narrowest one is spared for certain, the widest
    # at the most
    kerfs = [piece.kerf for piece in types]
    job = job_with(min(kerfs))
    found = least(job, loose=job_with(max(kerfs)), keep=um(keep_mm), seconds=seconds)
    cut_of = [sum(p.counts[at] for p in found.patterns) for at in range(len(types))]
    short = [piece for piece, n, need in zip(types, cut_of, demand, strict=True) if n < need]
    if short:
        raise BadInput(_too_few(sticks, short, kinds, what=what, kerf_mm=kerf_mm))
    cut = sawn(sticks, types, found.patterns, kinds, kerf_mm=kerf_mm)
    naive = first_fit(sticks, kinds, kerf_mm=kerf_mm)
    bought_mm = math.fsum(bar.length_mm for bar in cut if not bar.offcut)
    return BarPlan(
        what,
        cut,
        sum(not bar.offcut for bar in cut),
        bought_mm,
        min(found.bound / 1000, bought_mm),
        found.bound_name,
        found.bound / 1000 >= bought_mm - 1e-6,
        sum(not bar.offcut for bar in naive),
        math.fsum(bar.length_mm for bar in naive if not bar.offcut),
        math.fsum(stick.length_mm for stick in sticks),
        kerf_mm,
        trim_mm,
    )


def piece_of(stick: Stick, kerf_mm: float) -> Piece:
    """What the stick takes of a bar."""
    kerf = math.ceil(um(kerf_mm) * math.sqrt(2)) if stick.mitred else um(kerf_mm)
    return Piece(um(stick.length_mm), stick.mitred, kerf)


def sawn(
    sticks: Sequence[Stick],
    types: Sequence[Piece],
    patterns: Sequence[Pattern],
    kinds: Sequence[Bars],
    *,
    kerf_mm: float,
) -> tuple[CutBar, ...]:
    """The bars in the order of sawing.

    Bars that are cut alike lie next to each other, those with the longest pieces first. On a bar
    the mitred pieces come first, so that the saw is swung back once, then the longest, and equal
    lengths one after the other with one setting of the stop.
    """
    waiting: dict[Piece, list[Stick]] = {piece: [] for piece in types}
    for stick in sticks:
        waiting[piece_of(stick, kerf_mm)].append(stick)
    order = sorted(range(len(types)), key=lambda at: (not types[at].mitred, -types[at].length))

    def place(pattern: Pattern) -> tuple[tuple[int, ...], int]:
        return tuple(-pattern.counts[at] for at in order), pattern.kind

    bars = []
    for pattern in sorted(patterns, key=place):
        kind = kinds[pattern.kind]
        cut = [waiting[types[at]].pop(0) for at in order for _ in range(pattern.counts[at])]
        taken = sum(um(s.length_mm) + piece_of(s, kerf_mm).kerf for s in cut)
        left_mm = max(0.0, (um(kind.clear_mm) - taken) / 1000)
        bars.append(CutBar(kind.length_mm, kind.count is not None, tuple(cut), left_mm))
    return tuple(bars)


def first_fit(
    sticks: Sequence[Stick], kinds: Sequence[Bars], *, kerf_mm: float
) -> tuple[CutBar, ...]:
    """The naive way: sticks in their order, each from the first bar that still has room.

    What is left over from before is taken first, then new bars of the longest length.
    """
    ready = [kind for kind in kinds for _ in range(kind.count or 0)]
    new = [kind for kind in kinds if kind.count is None]
    bars: list[Bars] = list(ready)
    rooms = [um(bar.clear_mm) for bar in bars]
    held: list[list[Stick]] = [[] for _ in bars]
    for stick in sticks:
        piece = piece_of(stick, kerf_mm)
        at = next((at for at, room in enumerate(rooms) if room >= piece.length - SLACK_UM), None)
        if at is None:
            fit = [kind for kind in new if um(kind.clear_mm) >= piece.length - SLACK_UM]
            if not fit:
                continue  # it waits for a kept bar that an earlier piece took
            bars.append(fit[0])
            rooms.append(um(fit[0].clear_mm))
            held.append([])
            at = len(bars) - 1
        held[at].append(stick)
        rooms[at] -= piece.size
    return tuple(
        CutBar(bar.length_mm, bar.count is not None, tuple(cut), max(0, room) / 1000)
        for bar, cut, room in zip(bars, held, rooms, strict=True)
        if cut
    )


def _refuse(
    sticks: Sequence[Stick],
    kinds: Sequence[Bars],
    *,
    what: str,
    kerf_mm: float,
    trim_mm: float,
) -> None:
    """BadInput with every stick that no bar holds, and every size that is none."""
    faults = []
    for name, value in (("kerf", kerf_mm), ("trim", trim_mm)):
        if not 0 <= value < math.inf:
            faults.append(Fault(f"{what}, {name}", f"{value:g} mm", "give 0 mm or more"))
    for kind in kinds:
        if not 0 < kind.clear_mm < math.inf:
            faults.append(
                Fault(
                    f"{what}, bar of {kind.length_mm:g} mm",
                    f"{max(0.0, kind.clear_mm):g} mm of it are left after trimming",
                    f"give a length of more than {2 * kind.trim_mm:g} mm",
                )
            )
    if sticks and not kinds:
        faults.append(Fault(what, "there are no bars", "give a length in which it is sold"))
    longest = max((kind.clear_mm for kind in kinds), default=0.0)
    for stick in sticks:
        if not 0 < stick.length_mm < math.inf:
            faults.append(
                Fault(f"{what}, {stick.name}", f"{stick.length_mm:g} mm long", "give a length")
            )
        elif kinds and um(stick.length_mm) > um(longest) + SLACK_UM:
            faults.append(
                Fault(
                    f"{what}, {stick.name}",
                    f"{stick.length_mm:g} mm is {stick.length_mm - longest:g} mm longer than the "
                    f"longest bar after trimming ({longest:g} mm)",
                    f"buy bars of {stick.length_mm + 2 * trim_mm:g} mm or more, trim less, "
                    "or join two pieces",
                )
            )
    if faults:
        raise BadInput(faults)


def _too_few(
    sticks: Sequence[Stick],
    short: Sequence[Piece],
    kinds: Sequence[Bars],
    *,
    what: str,
    kerf_mm: float,
) -> list[Fault]:
    """Faults for pieces that only kept bars hold, of which there are too few."""
    longest = max((kind.clear_mm for kind in kinds if kind.count is None), default=0.0)
    return [
        Fault(
            f"{what}, {stick.name}",
            f"{stick.length_mm:g} mm is longer than new bars after trimming ({longest:g} mm), and "
            "too few of the offcuts hold it",
            f"buy bars that leave {stick.length_mm:g} mm after trimming",
        )
        for stick in sticks
        if piece_of(stick, kerf_mm) in short
    ]
