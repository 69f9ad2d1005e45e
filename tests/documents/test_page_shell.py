"""The page's sections on the shell and on what to buy: there where there is something to say."""

from __future__ import annotations

import re

import pytest
from attrs import evolve

from fitkit.documents.layer_pictures import layers_sheet
from fitkit.documents.page import page
from fitkit.documents.page_shell import shell_parts, stock_parts
from fitkit.documents.stock_view import stock_sheets
from fitkit.plan import Plan
from fitkit.reference.cautions import cautions
from page_tables import Tables
from shell_kits import shell, with_shell


@pytest.fixture(scope="module")
def fitted(plan: Plan) -> Plan:
    """The demo plan with the worked example's shell and a stock."""
    return with_shell(plan)


def read(plan: Plan, *, names: tuple[str, ...] = (), drawn: bool = False) -> tuple[str, Tables]:
    """The page of a plan, as text and read."""
    html = page(
        plan,
        views=[],
        layers=layers_sheet(plan, number=1, total=1),
        exploded=None,
        why="",
        names=names,
        cuts=stock_sheets(plan) if drawn else (),
    )
    tables = Tables()
    tables.feed(html)
    assert not tables.open
    return html, tables


def test_sections_are_there_only_where_there_is_something(plan: Plan, fitted: Plan) -> None:
    """Neither, a shell alone, a stock alone, both; the foam's own table is said accordingly."""
    shell_only, stock_only = evolve(fitted, stock=None), evolve(fitted, shell=None)
    for one, has_shell, has_stock in (
        (evolve(plan, shell=None, stock=None), False, False),
        (shell_only, True, False),
        (stock_only, False, True),
        (fitted, True, True),
    ):
        _, tables = read(one)
        assert ("The shell" in tables.headings) is has_shell
        assert ("What to buy and how to cut it" in tables.headings) is has_stock
        assert ("Foam by thickness" in tables.headings) is has_stock
        assert ("Sheets to buy" in tables.headings) is not has_stock


def test_parts_of_the_shell_that_are_empty_have_no_table(fitted: Plan) -> None:
    """Without hardware, fasteners and notes their headings stay away; panels stay."""
    bare = evolve(shell(), hardware=(), corners=(), fasteners=(), notes=(), troubles=())
    _, tables = read(evolve(fitted, shell=bare))
    assert {"Panels", "Profiles"} <= set(tables.headings)
    assert not {"Hardware", "Fasteners", "Mind"} & set(tables.headings)


def test_counts_on_the_page_add_up(fitted: Plan) -> None:
    """Panels, profiles and hardware by the count in each row: all of them, none twice."""
    _, tables = read(fitted)
    made = shell()

    def total(heading: str) -> int:
        head, *rows = tables.rows[heading]
        return sum(int(row[head.index("count")]) for row in rows)

    assert total("Panels") == len(made.panels)
    assert total("Profiles") == len(made.bars)
    assert total("Hardware") == len(made.hardware) + len(made.corners)
    head, *rows = tables.rows["Fasteners"]
    used = [int(row[head.index("used")]) for row in rows]
    assert used == [fastener.used for fastener in made.fasteners]


def test_money_is_shown_with_its_sum_or_not_at_all(fitted: Plan) -> None:
    """Priced: the foot is the sum of the rows. Unpriced: no column of money, and a word on why."""
    assert fitted.stock is not None
    _, tables = read(fitted)
    head, *rows, foot = tables.rows["To buy"]
    at = head.index("total")
    assert sum(float(row[at]) for row in rows if row[at]) == pytest.approx(
        float(foot[-2]), abs=0.01
    )
    assert foot[0] == "total, 6 without a price"
    lines = tuple(
        evolve(line, price=None, total=None, waste_cost=None) for line in fitted.stock.buying
    )
    bare = evolve(fitted.stock, buying=lines, total=None, waste_cost=None)
    _, tables = read(evolve(fitted, stock=bare))
    assert tables.rows["To buy"][0] == ["what", "unit", "amount"]
    assert "No prices given" in " ".join(tables.text)


def test_waste_stands_against_the_naive_way(fitted: Plan) -> None:
    """Each profile's row has its bars, its bound, its waste, and what piece by piece takes."""
    _, tables = read(fitted)
    row = tables.rows["What to buy and how to cut it"][1]
    assert row == ["edge profile", "2 bars of 3000", "proven least", "28.7", "3 bars, 9000 mm"]


def test_troubles_come_first_with_what_would_do(fitted: Plan) -> None:
    """A trouble is said with its place, millimetres and remedy, and is no markup."""
    made = shell()
    hostile = evolve(made.troubles[0], where="handle <b>", remedy="take a flatter one.")
    html, tables = read(evolve(fitted, shell=evolve(made, troubles=(hostile,))))
    text = " ".join(tables.text)
    assert "handle <b>: its dish meets recorder, 3 mm short: take a flatter one." in text
    assert "<b>" not in html
    assert html.index("handle &lt;b&gt;") < html.index("<h3>Panels</h3>")


def test_the_usual_cautions_of_the_work_are_printed(plan: Plan, fitted: Plan) -> None:
    """Saw, drill, riveting and aluminium with a shell; none of them without."""
    with_it = " ".join(read(fitted)[1].text)
    without = " ".join(read(evolve(plan, shell=None, stock=None))[1].text)
    for hazard in ("saw", "drill", "riveting", "aluminium"):
        assert cautions()[hazard].text in with_it
        assert cautions()[hazard].text not in without
    assert "machine's manual" in cautions()["saw"].text
    screwed = evolve(shell(), fasteners=tuple(f for f in shell().fasteners if f.kind != "rivet"))
    assert cautions()["riveting"].text not in " ".join(read(evolve(fitted, shell=screwed))[1].text)


def test_only_drawings_that_are_written_are_linked(fitted: Plan) -> None:
    """A panel's row leads to its own drawing, and no link leads nowhere."""
    names = ("shell/deep-front.svg", "shell/panels.pdf", "shell/stock.pdf", "lists/holes.csv")
    _, tables = read(fitted, names=names)
    inside = [link for link in tables.links if not link.startswith("foam/")]
    assert set(inside) == set(names)
    assert not [link for link in read(fitted)[1].links if link.startswith("shell/")]


def test_pictures_of_the_cuts_stand_on_the_page(fitted: Plan) -> None:
    """Every drawing has its figure; the ids of their patterns are used and unique."""
    html, _ = read(fitted, drawn=True)
    for name, _sheet in stock_sheets(fitted):
        assert f'<figure id="{name}">' in html
    ids = re.findall(r'<pattern id="([\w-]+)"', html)
    assert len(ids) == len(set(ids))
    assert set(re.findall(r"url\(#([\w-]+)\)", html)) == set(ids)


def test_the_parts_say_nothing_of_nothing(plan: Plan) -> None:
    """None for a plan without shell and stock."""
    bare = evolve(plan, shell=None, stock=None)
    assert shell_parts(bare) is None
    assert stock_parts(bare) is None
