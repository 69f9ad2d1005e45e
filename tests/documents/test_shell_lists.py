"""Lists of the shell, read back with the csv module, against the shell that they list."""

from __future__ import annotations

import csv
import io
from collections import Counter

import pytest
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from assemblies import kits
from fitkit.documents.bar_groups import bars_alike, work_on
from fitkit.documents.csv_text import FORMULA_STARTS
from fitkit.documents.shell_lists import tables
from fitkit.documents.shell_words import (
    bars_in_order,
    panels_in_order,
    piece_words,
    said_together,
)
from fitkit.fit.layout import Interior
from fitkit.payload.model import Payload
from fitkit.payload.workshop import Side
from fitkit.plan import Plan
from fitkit.shell.bare_shell import bare_shell
from fitkit.shell.frame import from_panel, out_of, plane_mm
from fitkit.shell.model import Bar, BarCut, Hole, Shell
from shell_kits import shell, with_shell

NAMES = (
    "cutting.csv", "hardware.csv", "fasteners.csv", "holes.csv", "shell_mass.csv", "buying.csv",
)  # fmt: skip


@pytest.fixture(scope="module")
def fitted(plan: Plan) -> Plan:
    """The demo plan with the worked example's shell and a stock."""
    return with_shell(plan)


def rows(plan: Plan, name: str) -> list[dict[str, str]]:
    """The rows of a list by its headers."""
    text = tables(plan)[name].decode("utf-8-sig")
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_every_piece_is_cut_as_often_as_it_is(fitted: Plan) -> None:
    """For each kind and size the counts add up to the pieces of the shell; none is left out."""
    made = shell()
    wanted = Counter(("panel", p.length_mm, p.width_mm) for p in made.panels)
    wanted += Counter((f"{b.kind} profile", b.length_mm, 0.0) for b in made.bars)
    found: Counter[tuple[str, float, float]] = Counter()
    for row in rows(fitted, "cutting.csv"):
        key = (row["kind"], float(row["length (mm)"]), float(row["width (mm)"] or 0))
        found[key] += int(row["count"])
    assert found == wanted
    assert sum(found.values()) == len(made.panels) + len(made.bars) == 34


def test_every_piece_is_named_in_the_cutting_list(fitted: Plan) -> None:
    """A row of n pieces names n places: split at commas and "and", they add up to all."""
    count = 0
    for row in rows(fitted, "cutting.csv"):
        text = row["piece"]
        for group in text.split("; "):
            where = group.split(" of the ")[0] if row["kind"] == "panel" else group
            if row["kind"] != "panel":
                # "edge profile: bottom left and bottom right, deep half"
                where = where.split(": ", 1)[-1].removeprefix(f"{row['kind']}, ")
                where = where.removesuffix(", deep half").removesuffix(", shallow half")
            count += len(where.replace(" and ", ", ").split(", "))
        assert all(word in text for word in row["part"].split("; ") if row["kind"] == "panel")
    assert count == 34


def test_a_row_holds_only_what_is_made_alike(fitted: Plan) -> None:
    """The front edge that has rivet holes stands alone; its bare neighbours share a row."""
    by_piece = {row["piece"]: row for row in rows(fitted, "cutting.csv")}
    drilled = by_piece["edge profile, bottom front, deep half"]
    assert (drilled["count"], drilled["holes"]) == ("1", "3")
    shared = [row for row in by_piece.values() if row["length (mm)"] == "540"]
    assert sorted(row["count"] for row in shared) == ["1", "3"]


def test_mitred_ends_have_their_short_point(fitted: Plan) -> None:
    """A mitred closing profile is shorter by twice the wall's build-up of 10 mm."""
    for row in rows(fitted, "cutting.csv"):
        if row["ends"] == "mitred":
            assert float(row["long point (mm)"]) - float(row["short point (mm)"]) == 20.0
        else:
            assert row["long point (mm)"] == row["short point (mm)"] == ""


def test_cutting_says_from_which_bar_or_sheet(fitted: Plan) -> None:
    """Bars named in a row hold as many of its pieces as it says."""
    assert fitted.stock is not None
    edges = fitted.stock.bars[0]
    for row in rows(fitted, "cutting.csv"):
        assert row["cut from"]
        if row["kind"] != "edge profile" or row["count"] == "1":
            continue
        for part in row["cut from"].split(", "):
            bar = edges.bars[int(part.split()[1]) - 1]
            fits = sum(s.length_mm == float(row["length (mm)"]) for s in bar.sticks)
            assert fits >= int(part.partition("(")[2].rstrip(")") or 1)


def test_a_panel_weighs_what_its_openings_leave(fitted: Plan) -> None:
    """The front of the deep half: 579 x 185 less 90 x 45 mm, at 4.37 kg/m2."""
    row = next(r for r in rows(fitted, "cutting.csv") if r["piece"] == "front of the deep half")
    wanted = (0.579 * 0.185 - 0.090 * 0.045) * 4.37
    assert float(row["mass of each (kg)"]) == pytest.approx(wanted, abs=5e-4)


def test_hardware_is_counted_by_face_with_its_figures(fitted: Plan) -> None:
    """Counts by kind are those of the shell; faces add up; masses multiply; measured is said."""
    read = {row["kind"]: row for row in rows(fitted, "hardware.csv")}
    counts = Counter(one.kind for one in shell().hardware)
    for kind, count in counts.items():
        row = read[kind]
        assert int(row["count"]) == count
        assert sum(int(part.split()[-1]) for part in row["where"].split(", ")) == count
    assert (read["latch"]["figures"], read["handle"]["figures"]) == ("measured", "assumption")
    assert float(read["latch"]["mass together (kg)"]) == pytest.approx(0.48)
    assert (read["outer corner"]["count"], read["closing corner"]["count"]) == ("8", "8")
    assert read["foot"]["opening width (mm)"] == ""


def test_fasteners_are_those_of_the_shell(fitted: Plan) -> None:
    """Name, used and to buy of each; never fewer bought than used; masses in grams."""
    read = rows(fitted, "fasteners.csv")
    assert [(r["name"], int(r["used"]), int(r["to buy"])) for r in read] == [
        (f.name, f.used, f.buy) for f in shell().fasteners
    ]
    assert all(int(r["to buy"]) >= int(r["used"]) for r in read)
    assert read[1]["mass of each (g)"] == "1.2"


def test_every_hole_lies_where_the_list_says(fitted: Plan) -> None:
    """From each row's u and v on a panel the point of the hole comes back, to 0.001 mm."""
    made = shell()
    said = piece_words(fitted)
    read = rows(fitted, "holes.csv")
    assert len(read) == sum(len(hole.pieces) for hole in made.holes)
    left = [(hole, piece) for hole in made.holes for piece in hole.pieces]
    for row in read:
        at = (float(row["u (mm)"]), float(row["v (mm)"]))
        name = next(name for name, words in said.items() if words == row["piece"])
        match = [
            (hole, piece)
            for hole, piece in left
            if piece == name and _point_of(made, name, hole.side, at, row) == _rounded(hole)
        ]
        assert len(match) == 1, row
        left.remove(match[0])
        assert float(row["diameter (mm)"]) == match[0][0].diameter_mm
    assert left == []


def _rounded(hole: Hole) -> tuple[float, ...]:
    axis = out_of(hole.side)[0]
    return tuple(round(v, 3) for k, v in enumerate(hole.at_mm) if k != axis)


def _point_of(
    made: Shell, name: str, side: Side, at: tuple[float, float], row: dict[str, str]
) -> tuple[float, ...]:
    axis = out_of(side)[0]
    if name in {panel.name for panel in made.panels}:
        assert row["measured from"] == "lower left corner"
        point = from_panel(made.panel(name), *at)
        return tuple(round(v, 3) for k, v in enumerate(point) if k != axis)
    # the drilled profile runs along the front's lower edge, from x = 20: 30 mm from the corner
    assert (name, row["measured from"]) == ("deep edge bottom front", "left end, outer edge")
    low = plane_mm(made.assembly, "bottom")
    return (round(20.0 + at[0], 3), round(low + at[1], 3))


def test_the_total_is_the_sum_of_what_has_a_price(fitted: Plan) -> None:
    """Amount times price is each total; they add up; lines without a price stay empty."""
    *lines, last = rows(fitted, "buying.csv")
    for line in lines:
        if line["price"]:
            wanted = float(line["amount"]) * float(line["price"])
            assert float(line["total"]) == pytest.approx(wanted, abs=0.005)
        else:
            assert line["total"] == line["cost of waste"] == ""
    for column in ("total", "cost of waste"):
        total = sum(float(line[column]) for line in lines if line[column])
        assert float(last[column]) == pytest.approx(total, abs=0.01)
    bare = sum(not line["price"] for line in lines)
    assert last["what"] == f"total, {bare} without a price"


def test_the_currency_stands_in_the_head(fitted: Plan) -> None:
    """The builder's own currency is named with every column of money, and nowhere else."""
    workshop = fitted.payload.workshop
    money = evolve(workshop, stock=evolve(workshop.stock, currency="crowns"))
    plan = evolve(fitted, payload=evolve(fitted.payload, workshop=money))
    head = tables(plan)["buying.csv"].decode("utf-8-sig").splitlines()[0].split(",")
    assert head[3:] == ["price (crowns)", "total (crowns)", "cost of waste (crowns)"]


def test_without_prices_there_is_no_total(fitted: Plan) -> None:
    """No line of a price, no sum: not a total of nothing."""
    assert fitted.stock is not None
    bare = tuple(
        evolve(line, price=None, total=None, waste_cost=None) for line in fitted.stock.buying
    )
    stock = evolve(fitted.stock, buying=bare, total=None, waste_cost=None)
    assert len(rows(evolve(fitted, stock=stock), "buying.csv")) == len(bare)


def test_lists_exist_only_where_there_is_something(plan: Plan, fitted: Plan) -> None:
    """No shell and no stock, no lists; a shell alone has all but the buying list."""
    assert tables(evolve(plan, shell=None, stock=None)) == {}
    assert tuple(tables(evolve(fitted, stock=None))) == NAMES[:-1]
    assert tuple(tables(fitted)) == NAMES


def test_no_cell_is_a_formula(fitted: Plan) -> None:
    """Names that look like formulas are led by an apostrophe in every list."""
    assert fitted.shell is not None
    hostile = evolve(
        fitted.shell,
        fasteners=tuple(evolve(f, name=f"={f.name}", where="@x") for f in fitted.shell.fasteners),
        holes=tuple(evolve(h, owner="+sum(a1)", fastener="-x") for h in fitted.shell.holes),
    )
    plan = evolve(fitted, shell=hostile)
    seen = 0
    for data in tables(plan).values():
        for line in csv.reader(io.StringIO(data.decode("utf-8-sig"), newline="")):
            for cell in line:
                seen += cell.startswith("'")
                numeric = cell.lstrip("-").replace(".", "", 1).isdigit()
                assert numeric or not cell.startswith(FORMULA_STARTS)
    assert seen >= 6


def test_pieces_come_in_the_order_of_building(fitted: Plan) -> None:
    """The deep half before the shallow one; floor first, lid last; edges before closing."""
    made = shell()
    panels = [panel.name for panel in panels_in_order(made)]
    assert panels[0] == "deep bottom"
    assert panels[-1] == "shallow top"
    parts = [name.split()[0] for name in panels]
    assert parts == sorted(parts)
    kinds = [(bar.part, bar.kind) for bar in bars_in_order(made)]
    assert list(dict.fromkeys(kinds)) == [
        ("deep", "edge"), ("deep", "tongue"), ("shallow", "edge"), ("shallow", "groove"),
    ]  # fmt: skip
    said = piece_words(fitted)
    assert said["deep front"] == "front of the deep half"
    assert said["deep edge front left"] == "edge profile, front left, deep half"
    assert said["deep tongue front top"] == "tongue profile, front"
    assert len(set(said.values())) == len(said) == 34


@st.composite
def drilled(draw: st.DrawFn) -> tuple[Shell, Bar]:
    """An upright of the deep half with holes and a cut-out on its leaves."""
    made = evolve(shell(), holes=(), bar_cuts=())
    bar = draw(st.sampled_from([b for b in made.bars if b.name.startswith("deep edge front")]))
    spots = st.tuples(st.sampled_from(bar.sides), st.integers(5, 140), st.integers(4, 26))
    holes = []
    for side, along, away in draw(st.lists(spots, min_size=1, max_size=4, unique=True)):
        other = bar.sides[1] if side == bar.sides[0] else bar.sides[0]
        axis, sense = out_of(other)
        point = list(bar.start_mm)
        point[2] += along
        point[axis] -= sense * away
        holes.append(Hole(side, (point[0], point[1], point[2]), 4.1, "rivet", "x", (bar.name,)))
    cut = BarCut(bar.name, "x", draw(st.sampled_from(bar.sides)), 10.0, 30.0, 12.0)
    return evolve(made, holes=tuple(holes), bar_cuts=(cut,)), bar


def renamed(made: Shell, old: Bar, new: Bar) -> Shell:
    """The shell with ``new`` for ``old``, its holes and cut-outs with it."""
    return evolve(
        made,
        bars=(new,),
        holes=tuple(evolve(hole, pieces=(new.name,)) for hole in made.holes),
        bar_cuts=tuple(evolve(cut, bar=new.name) for cut in made.bar_cuts),
    )


@given(case=drilled())
def test_a_profile_turned_over_is_the_same_and_its_mirror_image_is_not(
    case: tuple[Shell, Bar],
) -> None:
    """Written from its other end or with its faces the other way round: the same work.

    The one cut-out is on one leaf near one end, so the mirror image is never alike.
    """
    made, bar = case
    turned = evolve(bar, start_mm=bar.end_mm, end_mm=bar.start_mm)
    cuts = tuple(
        evolve(c, from_mm=bar.length_mm - c.to_mm, to_mm=bar.length_mm - c.from_mm)
        for c in made.bar_cuts
    )
    flipped = evolve(renamed(made, bar, turned), bar_cuts=cuts)
    assert work_on(flipped, turned) == work_on(made, bar)
    swapped = evolve(bar, sides=(bar.sides[1], bar.sides[0]))
    assert work_on(renamed(made, bar, swapped), swapped) == work_on(made, bar)
    mirror: dict[Side, Side] = {"left": "right", "right": "left", "front": "front"}

    def over(point: tuple[float, float, float]) -> tuple[float, float, float]:
        return (580.0 - point[0], point[1], point[2])

    sides = (mirror[bar.sides[0]], mirror[bar.sides[1]])
    image = evolve(bar, sides=sides, start_mm=over(bar.start_mm), end_mm=over(bar.end_mm))
    other = evolve(
        made,
        holes=tuple(evolve(h, side=mirror[h.side], at_mm=over(h.at_mm)) for h in made.holes),
        bar_cuts=tuple(evolve(c, side=mirror[c.side]) for c in made.bar_cuts),
    )
    assert work_on(renamed(other, bar, image), image) != work_on(made, bar)


def test_groups_of_profiles_are_a_partition() -> None:
    """Each profile is in one group, and those of a group have one length."""
    made = shell()
    groups = bars_alike(made)
    assert sorted(bar.name for group in groups for bar in group) == sorted(
        b.name for b in made.bars
    )
    assert all(len({bar.length_mm for bar in group}) == 1 for group in groups)


@settings(deadline=None, max_examples=60)
@given(kit=kits())
def test_any_form_is_said_without_doubt_and_cut_to_the_last_piece(
    plan: Plan, kit: tuple[Interior, Payload]
) -> None:
    """Rings, trays, doors, lids: no two pieces are said alike, and the counts add up to all."""
    interior, payload = kit
    made = bare_shell(payload, interior=interior)
    here = evolve(plan, payload=payload, fit=evolve(plan.fit, interior=interior), shell=made)
    said = piece_words(here)
    assert len(said) == len(set(said.values())) == len(made.panels) + len(made.bars)
    assert not any("_" in words or "  " in words for words in said.values())
    read = rows(here, "cutting.csv")
    assert sum(int(row["count"]) for row in read) == len(said)
    assert sum(int(row["count"]) for row in read if row["kind"] == "panel") == len(made.panels)


def test_pieces_of_doors_and_rings_are_said_together() -> None:
    """A door of a half is told from the half; a ring has its number and no article."""
    doors = [f"edge profile, bottom {side}, lower half's door" for side in ("front", "back")]
    assert said_together(doors) == "edge profile: bottom front and bottom back, lower half's door"
    rings = ["front of ring 1", "back of ring 1", "lower half's door panel"]
    assert said_together(rings) == "front and back of ring 1; lower half's door panel"


def test_holes_are_measured_from_the_end_that_one_sees_on_the_left(fitted: Plan) -> None:
    """It does not matter at which end a profile's record begins."""
    assert fitted.shell is not None
    turned = tuple(
        evolve(bar, start_mm=bar.end_mm, end_mm=bar.start_mm) for bar in fitted.shell.bars
    )
    other = evolve(fitted, shell=evolve(fitted.shell, bars=turned))
    assert rows(other, "holes.csv") == rows(fitted, "holes.csv")
    along = [row["u (mm)"] for row in rows(fitted, "holes.csv") if "edge profile" in row["piece"]]
    assert along == ["10", "230", "530"]
