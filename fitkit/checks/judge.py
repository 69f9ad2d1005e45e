"""Verdicts on one number against one limit, so that every check judges alike."""

from __future__ import annotations

from fitkit.checks.finding import Finding, Verdict


def at_least(
    check: str,
    subject: str,
    *,
    value: float,
    limit: float,
    unit: str,
    note: str,
    source: str,
    slack: float = 0.0,
    accuracy: float = 0.01,
    caution: str = "",
) -> Finding:
    """The finding for a value that must not fall below its limit.

    ``margin`` is value - limit. ``slack`` is how far the value may be off in truth: a margin
    below it is tight.

    >>> at_least("web", "a, b", value=9.0, limit=15.0, unit="mm", note="", source="").verdict
    'fails'
    """
    margin = value - limit
    return Finding(
        check,
        subject,
        value,
        limit,
        unit,
        margin,
        _verdict(margin, slack, accuracy),
        note,
        source,
        caution,
    )


def at_most(
    check: str,
    subject: str,
    *,
    value: float,
    limit: float,
    unit: str,
    note: str,
    source: str,
    slack: float = 0.0,
    accuracy: float = 0.01,
    caution: str = "",
) -> Finding:
    """The finding for a value that must not rise above its limit; ``margin`` is limit - value.

    >>> at_most("lift", "case", value=21.0, limit=25.0, unit="kg", note="", source="").margin
    4.0
    """
    margin = limit - value
    return Finding(
        check,
        subject,
        value,
        limit,
        unit,
        margin,
        _verdict(margin, slack, accuracy),
        note,
        source,
        caution,
    )


def unknown(
    check: str,
    subject: str,
    *,
    note: str,
    source: str,
    value: float | None = None,
    limit: float | None = None,
    unit: str = "",
    caution: str = "",
) -> Finding:
    """The finding for a question that cannot be answered yet; ``note`` says what to find out."""
    return Finding(check, subject, value, limit, unit, None, "unknown", note, source, caution)


def names(labels: list[str], *, most: int = 4) -> str:
    """Labels as a phrase, the long tail counted.

    >>> names(["probe", "float", "lamp"]), names(list("abcdef"))
    ('probe, float and lamp', 'a, b, c, d and 2 more')
    """
    if len(labels) > most:
        return f"{', '.join(labels[:most])} and {len(labels) - most} more"
    if len(labels) == 1:
        return labels[0]
    return f"{', '.join(labels[:-1])} and {labels[-1]}"


def _verdict(margin: float, slack: float, accuracy: float) -> Verdict:
    if margin < -accuracy:
        return "fails"
    if margin - slack < -accuracy:
        return "tight"
    return "ok"
