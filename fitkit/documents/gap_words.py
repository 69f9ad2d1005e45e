"""A closing gap in words: its verdict, what is left, and what to do."""

from __future__ import annotations

import math

from fitkit.checks.closing_gap import verdict_of as verdict_of
from fitkit.documents.naming import size
from fitkit.payload.model import Payload
from fitkit.shell.gap.model import Contribution, Gap
from fitkit.shell.gap.recess import item_named

_EXACT_MM = 0.005


def by_margin(gaps: tuple[Gap, ...]) -> tuple[Gap, ...]:
    """Gaps with the least left over first."""
    return tuple(sorted(gaps, key=lambda one: (one.worst_mm - one.keep_mm, one.deep, one.shallow)))


def sides_text(gap: Gap) -> str:
    """What faces what."""
    return f"{gap.deep} to {gap.shallow}"


def what_to_do(gap: Gap, *, payload: Payload | None = None) -> str:
    """One sentence: how much is left, or by how much to set either back.

    With ``payload`` only its items are set back: not the foam or the panel that an item faces.
    """
    verdict = verdict_of(gap)
    left = f"{size(gap.worst_mm)} of {size(gap.nominal_mm)} mm are left at worst"
    if verdict == "ok":
        return f"{left}, {size(gap.keep_mm)} mm are to be kept."
    missing = ", ".join(one.what for one in gap.contributions if one.mm is None)
    if verdict == "unknown":
        return f"Find out: {missing}. Without that, {left}."
    rare = " (by root of the sum of squares it is kept)" if verdict == "tight" else ""
    more = f"; not counted yet: {missing}" if missing else ""
    short = gap.keep_mm - gap.worst_mm
    return f"{size(short)} mm short at worst{rare}{_set_back(gap, short, payload)}{more}."


def _set_back(gap: Gap, short_mm: float, payload: Payload | None) -> str:
    """By how much to set back either of what faces each other, or both."""
    sides = zip((gap.deep, gap.shallow), gap.least_recess_mm, gap.recess_mm, strict=True)
    backs = [
        f"{name} to {size(_up(least))} mm"
        for name, least, now in sides
        if least > now + _EXACT_MM and (payload is None or item_named(name, payload) is not None)
    ]
    if not backs:
        return ""
    both = f", or both by {size(_up(short_mm / 2))} mm" if len(backs) == 2 else ""
    return f": set {' or '.join(backs)} behind the closing plane{both}"


def _up(mm: float) -> float:
    """Rounded up to a tenth, so that what one sets back by it is not a hair short."""
    return math.ceil(mm * 10.0 - 1e-6) / 10.0


def amount_text(one: Contribution) -> str:
    """How much a contribution takes: plus or minus for a tolerance, a question if not known.

    >>> amount_text(Contribution("saw", 0.5, "tolerance", ""))
    '± 0.5'
    """
    if one.mm is None:
        return "?"
    return f"± {size(one.mm, 2)}" if one.kind == "tolerance" else size(one.mm, 2)
