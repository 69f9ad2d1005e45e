"""The page's sections on mounted gear, the closing gap, cables and use, read as HTML."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from attrs import evolve

from fitkit.documents.layer_pictures import layers_sheet
from fitkit.documents.page import page
from fitkit.documents.page_mounting import (
    MOST_TABLES,
    cable_parts,
    gap_parts,
    mounting_parts,
)
from fitkit.documents.route_words import route_troubles
from fitkit.documents.sheet import Sheet, Text
from fitkit.plan import Plan
from mounted_plans import lid, pair, shell_of
from page_tables import Tables

SECTIONS = {"Mounted gear", "The closing gap", "Cables", "In use"}


def read(plan: Plan, **drawn: list[tuple[str, Sheet]]) -> tuple[str, Tables]:
    """The page of a plan, as text and read; ``drawn`` are pictures by section."""
    layers = layers_sheet(plan, number=1, total=1) if plan.foam.layers else None
    html = page(plan, views=[], layers=layers, exploded=None, why="", names=(), **drawn)
    tables = Tables()
    tables.feed(html)
    assert not tables.open
    return html, tables


def text_of(tables: Tables) -> str:
    """All text, with single spaces."""
    return " ".join(" ".join(tables.text).split())


def test_sections_are_there_only_where_there_is_something(plan: Plan) -> None:
    """All for the pair, but use without a picture; no cables in the lid; none for plain foam."""
    assert SECTIONS & set(read(pair())[1].headings) == SECTIONS - {"In use"}
    assert SECTIONS & set(read(lid())[1].headings) == {"Mounted gear", "The closing gap"}
    assert not SECTIONS & set(read(plan)[1].headings)
    for parts in (mounting_parts, gap_parts, cable_parts):
        assert parts(plan) is None


def test_a_case_without_foam_speaks_of_none() -> None:
    """No heading, no link and no list of foam; where there are notes on it, they stand there."""
    html, tables = read(pair())
    assert not [one for one in tables.headings if "oam" in one or one == "Sheets to buy"]
    assert not [link for link in tables.links if link.startswith("foam/")]
    assert 'id="layers"' not in html
    noted = evolve(pair(), foam=evolve(pair().foam, notes=("rails are packed up by 3 mm",)))
    _, tables = read(noted)
    assert "Foam" in tables.headings
    assert "Rails are packed up by 3 mm." in text_of(tables)
    assert "Foam, layer by layer" in read(lid())[1].headings


@pytest.mark.parametrize("make", [pair, lid])
def test_what_is_mounted_stands_with_its_recess_and_its_pieces(make: Callable[[], Plan]) -> None:
    """Every mounted copy once, with recess and room behind; pieces and screws add up to all."""
    plan = make()
    _, tables = read(plan)
    _, *held = tables.rows["Mounted gear"]
    copies = [p for p in plan.fit.placements if p.item == "field screen"]
    assert len(held) == len(copies)
    recess, behind = ("14", "23") if make is pair else ("13.6", "26.4")
    assert {row[3] for row in held} == {f"recess {recess}, {behind} mm behind it"}
    head, *pieces = tables.rows["Pieces that hold it"]
    made = shell_of(plan)
    assert sum(int(row[head.index("count")]) for row in pieces) == len(made.supports)
    for one, row in zip(made.supports, pieces, strict=False):
        assert row[head.index("size")].startswith(f"{one.length_mm:g} × {one.width_mm:g}")
    if made.screwings:
        _, *screws = tables.rows["Screws of the mounts"]
        assert len(screws) == len(made.screwings)
        assert "Together: 8 × M4 × 25, 8 × 4.0 × 20." in text_of(tables)


def test_a_mount_that_is_not_worked_out_yet_is_said_by_its_kind() -> None:
    """Without supports the item is still listed, held by what the sheet says."""
    bare = evolve(shell_of(pair()), supports=(), screwings=())
    _, tables = read(evolve(pair(), shell=bare))
    _, *held = tables.rows["Mounted gear"]
    assert {row[2] for row in held} == {"held by rails"}
    assert "Pieces that hold it" not in tables.headings


def test_every_contribution_to_a_gap_stands_in_its_table() -> None:
    """Planned, each tolerance as ±, each shift with its sign, what is left, what must be left."""
    _, tables = read(pair())
    (gap,) = shell_of(pair()).gaps
    _, planned, *rows = tables.rows["field screen 1 to field screen 2"]
    assert planned[:2] == ["gap as planned", "28"]
    for one, row in zip(gap.contributions, rows, strict=False):
        sign = "± " if one.kind == "tolerance" else "− "
        assert row == [one.what, f"{sign}{one.mm:g}", one.source]
    worst, rss, keep = rows[len(gap.contributions) :]
    assert float(worst[1]) == pytest.approx(gap.worst_mm, abs=0.005)
    assert float(rss[1]) == pytest.approx(gap.rss_mm, abs=0.005)
    assert float(keep[1]) == gap.keep_mm
    assert "17 of 28 mm are left at worst, 2 mm are to be kept." in text_of(tables)


def test_a_gap_that_is_not_wholly_known_says_so() -> None:
    """The unknown is a question mark, never a number, and the verdict is unknown."""
    html, tables = read(lid())
    rows = tables.rows["field screen 1 to foam of the upper half"]
    assert ["foam gives way", "?", "no curve for this foam: measure it"] in rows
    assert sum(row[2] == "of what is known" for row in rows) == 2
    section = html[html.index("<h2>The closing gap</h2>") :]
    assert '<span class="tag unknown">UNKNOWN</span>' in section


def test_many_gaps_are_all_judged_and_the_tightest_told() -> None:
    """A verdict for each of nine, tables for the six with least left over, the rest by number."""
    (gap,) = shell_of(pair()).gaps
    many = tuple(evolve(gap, deep=f"screen {k}", nominal_mm=10.0 + k) for k in range(9))
    parts = gap_parts(evolve(pair(), shell=evolve(shell_of(pair()), gaps=many[::-1])))
    assert parts is not None
    assert [row[1] for row in parts["rows"]] == [f"screen {k} to field screen 2" for k in range(9)]
    assert {row[0] for row in parts["rows"]} == {"fails", "tight", "ok"}
    told = [one["title"] for one in parts["told"]]
    assert told == [f"screen {k} to field screen 2" for k in range(MOST_TABLES)]
    assert parts["more"] == 3


def test_gaps_of_copies_with_the_same_figures_are_told_once() -> None:
    """Two batteries alike share a table; another that differs by a hundredth has its own."""
    (gap,) = shell_of(pair()).gaps
    many = (
        evolve(gap, deep="battery 1"),
        evolve(gap, deep="battery 2"),
        evolve(gap, deep="recorder", nominal_mm=gap.nominal_mm + 0.01),
    )
    html, tables = read(evolve(pair(), shell=evolve(shell_of(pair()), gaps=many)))
    titles = [one for one in tables.headings if one.endswith("to field screen 2")]
    assert titles == ["battery 1 to field screen 2", "recorder to field screen 2"]
    assert "And, with the same figures, battery 2 to field screen 2." in text_of(tables)
    assert html.count('<span class="tag ok">OK</span>') >= 3


def test_cables_are_listed_and_what_is_wrong_comes_first() -> None:
    """One row a route; too short, bent too tightly, no place for the coil, blocked: each by mm."""
    html, tables = read(pair())
    head, *rows = tables.rows["Cables"]
    made = shell_of(pair())
    assert [row[0] for row in rows] == [one.label for one in made.routes]
    for one, row in zip(made.routes, rows, strict=True):
        assert row[head.index("needed")] == f"{one.needed_mm:g}"
        assert row[head.index("through")] == one.through
    text = text_of(tables)
    for sentence in (
        "link is 20 mm too short: take one of 900 mm or more, or move its connectors nearer",
        "power 2 bends 8 mm tighter than its 28 mm: give it more room",
        "power 2 has no place for its spare length, 12 mm lack",
        "power 2: the rail field screen 2 rail 1 stands in its way by 4 mm.",
    ):
        assert sentence in text
    assert html.index("too short") < html.index("<th>from</th>")
    assert len(tables.rows["Bundles"]) == 1 + len(made.bundles)
    assert tables.rows["Cable exits"][1][:3] == [
        "exit deep front left", "bottom of the lower half", "front left"
    ]  # fmt: skip


def test_a_route_in_order_has_no_trouble() -> None:
    """Long enough by a hair, bent as tightly as allowed, with a place for its coil: nothing."""
    power = shell_of(pair()).routes[0]
    assert route_troubles(power) == []
    exact = evolve(power, given_mm=power.needed_mm, tightest_mm=power.bend_mm)
    assert route_troubles(exact) == []
    assert route_troubles(evolve(power, given_mm=power.needed_mm - 1.0)) != []


def test_pictures_stand_in_their_sections() -> None:
    """A drawing for each section is there once, under its heading; use has its heading with it."""
    sheet = Sheet(100.0, 50.0, "Tideline: as drawn", (Text(5.0, 5.0, "seen"),))
    drawn = {name: [(f"picture-{name}", sheet)] for name in ("mounting", "gap", "cables", "use")}
    html, tables = read(pair(), **drawn)
    assert "In use" in tables.headings
    order = [html.index(f"<h2>{name}</h2>") for name in
             ("Mounted gear", "The closing gap", "Cables", "In use", "The shell")]  # fmt: skip
    assert order == sorted(order)
    for name, start, end in zip(drawn, order, order[1:], strict=False):
        assert html.count(f'<figure id="picture-{name}">') == 1
        assert start < html.index(f'<figure id="picture-{name}">') < end


def test_names_are_no_markup() -> None:
    """Whatever the gear, a support or a cable is called, it is shown and never run."""
    made = shell_of(pair())
    bad = "<script>alert(1)</script>"
    hostile = evolve(
        made,
        supports=tuple(evolve(one, material=bad) for one in made.supports),
        screwings=tuple(evolve(one, note=bad) for one in made.screwings),
        routes=tuple(evolve(one, label=bad, blocked=bad) for one in made.routes),
        gaps=tuple(evolve(one, deep=bad) for one in made.gaps),
        exits=tuple(evolve(one, note=bad) for one in made.exits),
    )
    html, tables = read(evolve(pair(), shell=hostile))
    assert "<script" not in html
    assert bad in text_of(tables)


def test_a_cable_short_of_its_slack_alone_still_reaches() -> None:
    """As the finding says: too short by what the path lacks; else short of the slack only."""
    link = shell_of(pair()).routes[2]
    (short,) = route_troubles(evolve(link, given_mm=link.open_mm - 7.0))
    assert "link is 7 mm too short: take one of 900 mm or more" in short
    (tight,) = route_troubles(evolve(link, given_mm=link.open_mm + 30.0))
    assert "too short" not in tight
    assert "link reaches, but is 50 mm short of its slack" in tight
    (outside,) = route_troubles(evolve(link, to="outside", given_mm=100.0))
    assert "and what you want outside" in outside


def test_a_way_that_was_not_found_has_no_figures() -> None:
    """Blocked: no lengths and no bend in its row, but what is had."""
    link = shell_of(pair()).routes[2]
    none = evolve(
        link, path_mm=(), closed_mm=0.0, open_mm=0.0, needed_mm=0.0, blocked="no room for it"
    )
    _, tables = read(evolve(pair(), shell=evolve(shell_of(pair()), routes=(none,))))
    head, row = tables.rows["Cables"]
    for key in ("shut", "open", "needed", "tightest bend"):
        assert row[head.index(key)] == ""
    assert row[head.index("you have")] == "800"
