"""A closing gap in words: its verdict, what is left, and what to do."""

from __future__ import annotations

from fitkit.checks.finding import Verdict
from fitkit.documents.naming import size
from fitkit.shell.gap.model import Contribution, Gap

_EXACT_MM = 0.005


def verdict_of(gap: Gap) -> Verdict:
    """Whether a gap keeps what it must.

    "ok": at worst. "tight": by root of the sum of squares, but not at worst. "fails": not even so,
    whatever is not known would only take more. "unknown": something is not known, and what is
    known leaves enough.
    """
    if gap.rss_mm < gap.keep_mm - _EXACT_MM:
        return "fails"
    if not gap.known:
        return "unknown"
    return "ok" if gap.worst_mm >= gap.keep_mm - _EXACT_MM else "tight"


def by_margin(gaps: tuple[Gap, ...]) -> tuple[Gap, ...]:
    """Gaps with the least left over first."""
    return tuple(sorted(gaps, key=lambda one: (one.worst_mm - one.keep_mm, one.deep, one.shallow)))


def sides_text(gap: Gap) -> str:
    """What faces what."""
    return f"{gap.deep} to {gap.shallow}"


def what_to_do(gap: Gap) -> str:
    """One sentence: how much is left, or by how much to set either back."""
    verdict = verdict_of(gap)
    left = f"{size(gap.worst_mm)} of {size(gap.nominal_mm)} mm are left at worst"
    if verdict == "ok":
        return f"{left}, {size(gap.keep_mm)} mm are to be kept."
    missing = [one.what for one in gap.contributions if one.mm is None]
    if verdict == "unknown":
        return f"Find out: {', '.join(missing)}. Without that, {left}."
    short = size(gap.keep_mm - gap.worst_mm)
    backs = [
        f"{name} to {size(least)} mm"
        for name, least, now in zip(
            (gap.deep, gap.shallow), gap.least_recess_mm, gap.recess_mm, strict=True
        )
        if least > now + _EXACT_MM
    ]
    back = f": set {' or '.join(backs)} behind the closing plane" if backs else ""
    rare = " (by root of the sum of squares it is kept)" if verdict == "tight" else ""
    more = f"; not counted yet: {', '.join(missing)}" if missing else ""
    return f"{short} mm short at worst{rare}{back}{more}."


def amount_text(one: Contribution) -> str:
    """How much a contribution takes: plus or minus for a tolerance, a question if not known.

    >>> amount_text(Contribution("saw", 0.5, "tolerance", ""))
    '± 0.5'
    """
    if one.mm is None:
        return "?"
    return f"± {size(one.mm, 2)}" if one.kind == "tolerance" else size(one.mm, 2)
