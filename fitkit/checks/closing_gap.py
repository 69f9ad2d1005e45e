"""Does what faces each other across the closing plane stay apart when all is at its worst?"""

from __future__ import annotations

import math

from fitkit.checks.finding import Finding, Verdict
from fitkit.checks.judge import names
from fitkit.checks.stages import ACCURACY_MM, Stages
from fitkit.payload.model import Item, Payload
from fitkit.shell.gap.make import gaps_of
from fitkit.shell.gap.model import Contribution, Gap
from fitkit.shell.gap.moves import BENT
from fitkit.shell.gap.recess import item_named

CHECK = "closing gap"

SOURCE = "your sheet: closing; worst case, and root of the sum of squares"

CAUTION = (
    "Mounted gear has no cushion of its own: pad the case outside, and let it fall with a dummy "
    "load before you trust it with the gear."
)


def closing_gap(stages: Stages) -> tuple[Finding, ...]:
    """One finding for each gap, the least left over first; those alike are told apart by place.

    ``value`` is the gap at worst, ``limit`` what must be left. "fails": it is not left even
    where tolerances add up as the root of the sum of squares. "tight": it is left then, but not
    when all are at their worst. "unknown": something that would take from it is not known (of a
    ready-made case, how far its backs give way).
    """
    gaps = sorted(_gaps(stages), key=lambda gap: (gap.worst_mm - gap.keep_mm, _between(gap)))
    return tuple(_finding(gap, stages.payload) for gap in gaps)


def _gaps(stages: Stages) -> tuple[Gap, ...]:
    """The shell's gaps; a ready-made case has no shell, but gear that faces other gear too."""
    if stages.shell is not None:
        return stages.shell.gaps
    return gaps_of(
        stages.payload,
        interior=stages.interior,
        placements=stages.fit.placements,
        panels=(),
        supports=(),
    )


def verdict_of(gap: Gap) -> Verdict:
    """Whether a gap leaves what must be left: "ok" only where it does at worst, and all is known.

    >>> saw = Contribution("saw", 0.5, "tolerance", "")
    >>> verdict_of(Gap("a", "b", 10.0, (5.0, 5.0), (0.0, 0.0, 0.0), 2.0, (saw,), (0.0, 0.0)))
    'ok'
    """
    if gap.rss_mm < gap.keep_mm - ACCURACY_MM:
        return "fails"
    if not gap.known:
        return "unknown"
    return "ok" if gap.worst_mm >= gap.keep_mm - ACCURACY_MM else "tight"


def _finding(gap: Gap, payload: Payload) -> Finding:
    verdict = verdict_of(gap)
    return Finding(
        check=CHECK,
        subject=_between(gap),
        value=gap.worst_mm,
        limit=gap.keep_mm,
        unit="mm",
        margin=None if verdict == "unknown" else gap.worst_mm - gap.keep_mm,
        verdict=verdict,
        note=_note(gap, verdict, payload),
        source=SOURCE,
        caution=CAUTION if _mounted(gap, payload) else "",
    )


def _between(gap: Gap) -> str:
    return f"{gap.deep}, {gap.shallow}"


def _mounted(gap: Gap, payload: Payload) -> bool:
    sides = (item_named(gap.deep, payload), item_named(gap.shallow, payload))
    return any(item is not None and item.mount is not None for item in sides)


def _note(gap: Gap, verdict: Verdict, payload: Payload) -> str:
    """What is left, what takes most of it, and what to do."""
    x, y, _ = gap.at_mm
    planned = f"Planned as {gap.nominal_mm:.1f} mm (at x {x:.0f}, y {y:.0f})"
    left = f"{planned}, {gap.worst_mm:.1f} at worst"
    if verdict == "unknown":
        missing = [one for one in gap.contributions if one.mm is None]
        asks = "; ".join(dict.fromkeys(one.source for one in missing))
        return f"{left} without {names([one.what for one in missing])}. Find out: {asks}."
    most = _greatest(gap)
    takes = "" if most is None else f"; most is taken by {most.what}: {most.mm:.1f} mm"
    if verdict == "ok":
        return f"{left}{takes}{_bent(gap)}."
    rare = "kept by root of the sum of squares, not at worst; " if verdict == "tight" else ""
    return f"{left}{takes}; {rare}{_remedy(gap, payload)}"


def _greatest(gap: Gap) -> Contribution | None:
    return max(
        (one for one in gap.contributions if one.mm), key=lambda one: one.mm or 0.0, default=None
    )


def _bent(gap: Gap) -> str:
    """Which backs bend so far that a thicker one is wiser, even where the gap is kept."""
    backs = dict.fromkeys(one.what.partition(":")[0] for one in gap.contributions
                          if BENT in one.source)  # fmt: skip
    if not backs:
        return ""
    return f"; {names(list(backs))} would bend by more than half its thickness: take a thicker one"


def _remedy(gap: Gap, payload: Payload) -> str:
    """Which recess would do, rounded up to a tenth of a millimetre, and what else."""
    short = gap.keep_mm - gap.worst_mm
    sides = [
        (item, label, recess)
        for label, recess in zip((gap.deep, gap.shallow), gap.recess_mm, strict=True)
        if (item := item_named(label, payload)) is not None
    ]
    by = f"{_up(short):.1f} mm"
    if len(sides) == 2 and sides[0][0] == sides[1][0]:
        recess = (sum(gap.recess_mm) + short) / 2
        first = f"{_verb(sides[0][0], sides[0][0].name)} both to a recess of {_up(recess):.1f} mm"
    else:
        ways = [
            f"{_verb(item, label)} by {by} (to a recess of {_up(recess + short):.1f})"
            for item, label, recess in sides
        ]
        first = ", or ".join(ways) or f"make the halves {by} deeper"
        if len(ways) == 2:
            first += f", or both by {_up(short / 2):.1f} mm"
    stiffer = any(
        one.kind == "shift" and (one.mm or 0.0) > short / 2 and "panel" in one.what
        for one in gap.contributions
    )
    also = "; a thicker back would give way less" if stiffer else ""
    return f"{first}{also}."


def _verb(item: Item, label: str) -> str:
    """What is done with it: a mounted item has one recess for all copies, one in foam its own."""
    return f"lower {label}" if item.mount is None else f"set back {item.name}"


def _up(mm: float) -> float:
    """Rounded up to a tenth, so that what is told is enough."""
    return math.ceil(round(mm * 10, 6)) / 10
