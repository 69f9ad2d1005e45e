"""Beside a closing section: where a gap goes, contribution by contribution, and all gaps."""

from __future__ import annotations

from collections.abc import Sequence

from attrs import frozen

from fitkit.documents.furniture import word_tag
from fitkit.documents.gap_words import amount_text, sides_text, verdict_of, what_to_do
from fitkit.documents.lettering import cut_to, wrapped
from fitkit.documents.naming import size
from fitkit.documents.sheet import Mark, Path, Role, Style, Text, box
from fitkit.payload.model import Payload
from fitkit.shell.gap.model import Contribution, Gap

ROW_MM = 4.1
_SHIFTS: tuple[Role, ...] = ("quiet", "connector", "zone", "ink")


@frozen
class Share:
    """One part of a gap: what takes it, how much [mm], and the colour that tells it."""

    what: str
    mm: float
    role: Role
    text: str


def shares_of(gap: Gap) -> tuple[Share, ...]:
    """The parts of a gap at worst: tolerances, then shifts, each with its own figure.

    What is not known takes no part here, and shows a question mark.
    """
    ordered = sorted(gap.contributions, key=lambda one: one.kind == "shift")
    shifts = [one for one in ordered if one.kind == "shift"]

    def role(one: Contribution) -> Role:
        if one.kind == "tolerance":
            return "tight"
        return _SHIFTS[shifts.index(one) % len(_SHIFTS)]

    return tuple(Share(one.what, one.mm or 0.0, role(one), amount_text(one)) for one in ordered)


def share_marks(gap: Gap, at: tuple[float, float], size_mm: tuple[float, float]) -> list[Mark]:
    """Where a gap goes: a bar, a row for each contribution, and what is left; from ``at`` down.

    ``size_mm``: how wide, and how far down at most; the smallest contributions are counted
    together where there is no room for all.
    """
    (left, top), (wide, tall) = at, size_mm
    right = left + wide
    head = cut_to(f"Where the {size(gap.nominal_mm)} mm go", width_mm=wide, size_mm=4.0, bold=True)
    second = cut_to(sides_text(gap), width_mm=wide, size_mm=2.7)
    marks: list[Mark] = [
        Text(left, top, head, 4.0, bold=True),
        Text(left, top - 4.8, second, 2.7, role="quiet"),
        *_bar(gap, left, top - 12.4, wide),
    ]
    y = top - 17.2
    rows = _fitting(shares_of(gap), most=int((tall - 17.2) / ROW_MM) - 2)
    for row in rows:
        marks.append(
            Path((box(left, y - 0.2, left + 2.3, y + 2.1),), Style("ink", 0.18, (), row.role))
        )
        marks.append(Text(left + 4.2, y, cut_to(row.what, width_mm=wide - 15.0, size_mm=2.7), 2.7))
        marks.append(Text(right, y, row.text, 2.7, "end"))
        y -= ROW_MM
    over = gap.worst_mm < 0
    known = all(one.mm is not None for one in gap.contributions)
    added = "all added up" if known else "what is known added up"
    for what, value, dash in (
        ("to be kept", gap.keep_mm, (0.8, 0.6)),
        (f"left at worst, {added}", gap.worst_mm, ()),
    ):
        style = Style("fails" if over and not dash else "ok", 0.3, dash)
        marks.append(Path((box(left, y - 0.2, left + 2.3, y + 2.1),), style))
        marks.append(Text(left + 4.2, y, what, 2.7, bold=not dash))
        marks.append(Text(right, y, size(value, 2), 2.7, "end", bold=not dash))
        y -= ROW_MM
    return marks


def _fitting(rows: Sequence[Share], *, most: int) -> list[Share]:
    """As many rows as have room: the smallest ones are counted together in one.

    What is not known is the last to be counted so: nobody can say that it is small.
    """
    if len(rows) <= most:
        return list(rows)
    ranked = sorted(rows, key=lambda one: (one.text != "?", -one.mm))
    kept = sorted(ranked[: most - 1], key=rows.index)
    rest = [one for one in rows if one not in kept]
    total = sum(one.mm for one in rest)
    known = all(one.text != "?" for one in rest)
    text = size(total, 2) if known else f"{size(total, 2)} and ?"
    return [*kept, Share(f"{len(rest)} smaller ones together", total, rest[0].role, text)]


def _bar(gap: Gap, left: float, low: float, wide: float) -> list[Mark]:
    """The gap from end to end: what each contribution takes at worst, and what is left."""
    shares = [one for one in shares_of(gap) if one.mm > 0]
    taken = sum(one.mm for one in shares)
    whole = max(gap.nominal_mm, taken, 1e-6)
    high = low + 4.2
    marks: list[Mark] = []
    x = left
    for one in shares:
        end = x + wide * one.mm / whole
        marks.append(Path((box(x, low, end, high),), Style("paper", 0.2, (), one.role)))
        x = end
    if taken < gap.nominal_mm:
        kept = x + wide * min(gap.keep_mm, gap.worst_mm) / whole
        marks.append(Path((box(x, low, kept, high),), Style("ok", 0.3, (0.8, 0.6), "white")))
        marks.append(Path((box(kept, low, left + wide, high),), Style("ok", 0.35, (), "white")))
        return marks
    end = left + wide * gap.nominal_mm / whole
    over = box(end, low - 1.0, left + wide, high + 1.0)
    return [*marks, Path((over,), Style("fails", 0.8, (2.2, 0.7, 0.5, 0.7)))]


def gap_rows(
    gaps: Sequence[Gap],
    at: tuple[float, float],
    size_mm: tuple[float, float],
    *,
    payload: Payload,
) -> list[Mark]:
    """All gaps, the least left over first: verdict, figures, and what to do; from ``at`` down."""
    (left, top), (wide, tall) = at, size_mm
    marks: list[Mark] = [Text(left, top, "Gaps", 4.0, bold=True)]
    if not gaps:
        return [
            *marks,
            Text(
                left,
                top - 7.0,
                "Nothing faces anything that it must stay clear of.",
                2.7,
                role="quiet",
            ),
        ]
    y = top - 7.0
    inner = wide - 20.0
    for shown, gap in enumerate(gaps):
        said = wrapped(what_to_do(gap, payload=payload), width_mm=inner, size_mm=2.7)
        need = 4.0 * (2 + len(said)) + 1.6
        last = shown + 1 == len(gaps)
        if y - need < top - tall - (0.0 if last else -4.0) and shown:
            word = f"{len(gaps) - shown} more in the list of closing gaps"
            return [*marks, Text(left + 20.0, y, word, 2.5, role="quiet")]
        name = cut_to(sides_text(gap), width_mm=inner, size_mm=2.9, bold=True)
        marks += word_tag(left, y - 1.3, verdict_of(gap))
        marks.append(Text(left + 20.0, y, name, 2.9, bold=True))
        y -= 4.0
        figures = (
            f"nominal {size(gap.nominal_mm)} · worst case {size(gap.worst_mm)} · "
            f"RSS {size(gap.rss_mm)} · to keep {size(gap.keep_mm)}"
        )
        marks.append(
            Text(left + 20.0, y, cut_to(figures, width_mm=inner, size_mm=2.5), 2.5, role="quiet")
        )
        for line in said:
            y -= 4.0
            marks.append(Text(left + 20.0, y, line, 2.7))
        y -= 5.6
    return marks
