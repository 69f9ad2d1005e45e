"""The answer of one check, as a value."""

from __future__ import annotations

from typing import Literal

from attrs import frozen

Verdict = Literal["ok", "tight", "fails", "unknown"]


@frozen
class Finding:
    """What one check found.

    ``value`` against ``limit`` in ``unit`` (None where not known), ``margin`` is positive when
    there is room. ``note`` is one sentence that says what to do or what it means; ``source``
    says where the limit comes from; ``caution`` is printed with it when not empty.
    """

    check: str
    subject: str
    value: float | None
    limit: float | None
    unit: str
    margin: float | None
    verdict: Verdict
    note: str
    source: str
    caution: str = ""
