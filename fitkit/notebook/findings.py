"""Findings as every bench shows them: a tag, what was asked, and what to do in one sentence."""

from __future__ import annotations

import html
from collections.abc import Iterable

from attrs import frozen

from fitkit.checks.finding import Finding, Verdict

TAGS: dict[Verdict, str] = {"fails": "FAILS", "tight": "TIGHT", "unknown": "UNKNOWN", "ok": "OK"}
"""Verdicts by how much they matter to who builds, and the word on the tag."""


@frozen
class Row:
    """One finding in words; ``caution`` stands in italics after the sentence."""

    verdict: Verdict
    head: str
    text: str
    caution: str = ""

    @classmethod
    def of(cls, finding: Finding) -> Row:
        """A finding of a plan."""
        head = f"{finding.check}, {finding.subject}" if finding.subject else finding.check
        return cls(finding.verdict, head, finding.note, finding.caution or "")


def rows_html(rows: Iterable[Row]) -> str:
    """The rows, in the style of ``look.css``."""
    return f"<div class='fk-findings'>{''.join(_row(row) for row in rows)}</div>"


def _row(row: Row) -> str:
    caution = f" <em>{html.escape(row.caution)}</em>" if row.caution else ""
    return (
        f"<div class='fk-finding'><span class='fk-tag fk-is-{row.verdict}'>{TAGS[row.verdict]}"
        f"</span><b>{html.escape(row.head)}</b>"
        f"<span>{html.escape(row.text)}{caution}</span></div>"
    )
