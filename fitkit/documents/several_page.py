"""One page for a kit in several cases: which copy goes where, and the way to each case's page."""

from __future__ import annotations

from functools import lru_cache
from importlib.resources import files
from typing import Any

from fitkit.documents.naming import size, sizes
from fitkit.documents.plan_view import views_of
from fitkit.fit.several import copies_in
from fitkit.payload.model import Payload
from fitkit.plan_json.cases import folder_of
from fitkit.plan_several import Cases
from fitkit.reference.cautions import cautions


def copies_words(copies: range, count: int) -> str:
    """Which copies of an item are meant; of a single one there is nothing to tell but that it is.

    >>> copies_words(range(1, 4), 6), copies_words(range(2, 4), 6), copies_words(range(1, 2), 1)
    ('1 to 3', '2, 3', 'yes')
    """
    if not len(copies):
        return ""
    if count == 1:
        return "yes"
    if len(copies) <= 2:
        return ", ".join(str(copy) for copy in copies)
    return f"{copies[0]} to {copies[-1]}"


def where_table(cases: Cases, payload: Payload) -> list[tuple[str, int, list[str]]]:
    """For each item its name, its count, and the copies that go into each case."""
    shares = cases.several.shares
    return [
        (
            item.name,
            item.count,
            [copies_words(copies_in(shares, case, k), item.count) for case in range(len(shares))],
        )
        for k, item in enumerate(payload.items)
    ]


def several_page(cases: Cases, payload: Payload) -> str:
    """The page as HTML; it shows pictures from the cases' own folders."""
    return str(_template().render(**_values(cases, payload)))


def _values(cases: Cases, payload: Payload) -> dict[str, Any]:
    several = cases.several
    rows = []
    for number, (plan, share) in enumerate(zip(cases.plans, several.shares, strict=True), start=1):
        fails = sum(f.verdict == "fails" for f in plan.findings)
        folder = folder_of(number)
        views = views_of(plan)
        rows.append(
            {
                "number": number,
                "folder": folder,
                "interior": sizes(plan.fit.interior.size_mm),
                "outside": sizes(plan.outside_mm),
                "mass": size(plan.mass.total_kg, 2),
                "more": bool(plan.mass.unknown or plan.mass.left_out),
                "misses": share.misses,
                "fails": fails,
                "picture": f"{folder}/views/{views[0].name}.png" if views else "",
            }
        )
    left_out = list(dict.fromkeys(text for plan in cases.plans for text in plan.mass.left_out))
    return {
        "style": _style(),
        "title": payload.title,
        "said": str(several),
        "interrupted": several.interrupted,
        "cases": rows,
        "where": where_table(cases, payload),
        "left_out": left_out,
        "cautions": [cautions()["lifting"].text],
    }


@lru_cache(maxsize=1)
def _template() -> Any:
    from jinja2 import Environment, StrictUndefined

    text = (files("fitkit.documents") / "several.html.j2").read_text(encoding="utf-8")
    return Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    ).from_string(text)


def _style() -> Any:
    """The style of a plan's page: one look for both."""
    from markupsafe import Markup

    text = (files("fitkit.documents") / "page.html.j2").read_text(encoding="utf-8")
    return Markup(text.split("<style>", 1)[1].split("</style>", 1)[0])  # our own
