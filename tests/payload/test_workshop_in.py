"""What the shell is made from, as typed: read whole, refused whole, kept by every editor."""
# ruff: noqa: E501 (tables, one thing on a line)

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import tomlkit
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from fitkit.errors import BadInput, Fault
from fitkit.fit.layout import Half, Interior
from fitkit.payload.boards import board_of, wall_board
from fitkit.payload.hardware import generic
from fitkit.payload.hardware_in import key_of
from fitkit.payload.model import CaseWishes, Payload, Profile, Wall
from fitkit.payload.sheet import parse_sheet
from fitkit.payload.sheet_edit import SheetText
from fitkit.payload.workshop import (
    HardwareType,
    Laminate,
    Price,
    Workshop,
)
from fitkit.payload.workshop_in import OPENINGS, panel_names
from fitkit.shell.graph import assembly_of
from fitkit.shell.panels import panels_of
from workshop_kits import workshops

ITEM = '\n[[item]]\nname = "probe"\nbody = [ { rectangle = [80, 40], z = [0, 20] } ]\n'
SAMPLES = Path(__file__).parents[2] / "sample_payloads"


def read(text: str) -> Payload:
    """The payload of a sheet with one item after ``text``."""
    return parse_sheet(text + ITEM, name="kit.toml")


def faults_of(text: str) -> tuple[Fault, ...]:
    """The faults of a sheet with one item after ``text``."""
    with pytest.raises(BadInput) as refused:
        read(text)
    return refused.value.faults


def said(one: HardwareType) -> dict[str, Any]:
    """A piece of hardware as a table of a sheet."""
    table: dict[str, Any] = {
        "name": one.name, "flange": list(one.flange_mm), "dish_corner": one.dish_corner_mm,
        "depth": one.depth_mm, "stands": one.stands_mm, "fixing": one.fixing,
        "holes": [[hole.x_mm, hole.y_mm, hole.diameter_mm] for hole in one.holes],
    }  # fmt: skip
    if one.dish_mm is None:
        del table["dish_corner"], table["depth"]
    else:
        table["dish"] = list(one.dish_mm)
    table |= {"count": one.count} if one.count else {}
    table |= {"sides": list(one.sides)} if one.sides else {}
    table |= {"mass": f"{one.mass_kg} kg"} if one.mass_kg else {}
    table |= {"load": f"{one.load_kg} kg"} if one.load_kg else {}
    return table


def typed_out(shop: Workshop) -> str:
    """A workshop as a sheet of a pair."""
    ware, stock = shop.hardware, shop.stock
    shell: dict[str, Any] = {
        "tongue": shop.tongue,
        "rings": list(shop.rings_mm),
        "doors": shop.doors,
    }
    shell |= {} if shop.door_mm is None else {"door": shop.door_mm}
    return tomlkit.dumps({
        "case": {"form": "pair"},
        "wall": {"grain": shop.grain},
        "shell": shell,
        "hardware": {
            "lid": ware.lid, "use": ware.use, "ground": ware.ground, "braces": ware.braces,
            "person": f"{ware.person_kg} kg", "rivet": ware.rivet_mm, "washers": ware.washers,
            "pitch": ware.pitch_mm, "spares": ware.spares,
            **{key_of(one.kind): said(one) for one in ware.types},
        },
        "stock": {
            "bars": list(stock.bars_mm), "bar_trim": stock.bar_trim_mm, "bar_kerf": stock.bar_kerf_mm,
            "offcuts": [{"kind": o.kind, "length": o.length_mm, "count": o.count} for o in stock.offcuts],
            "sheet_trim": stock.sheet_trim_mm, "sheet_kerf": stock.sheet_kerf_mm,
            "stages": stock.stages, "foam": list(stock.foam_mm), "foam_gap": stock.foam_gap_mm,
            "keep": stock.keep_mm, **({"currency": stock.currency} if stock.currency else {}),
        },
    })  # fmt: skip


@settings(max_examples=40, deadline=None)
@given(workshops())
def test_what_is_typed_of_the_workshop_is_what_is_planned(shop: Workshop) -> None:
    """Any workshop, typed out as a sheet, comes back exactly as it was."""
    assert read(typed_out(shop)).workshop == shop


@settings(max_examples=15, deadline=None)
@given(workshops(), st.sampled_from(("mm", "in")))
def test_editing_a_sheet_keeps_its_workshop(shop: Workshop, units: str) -> None:
    """An edit elsewhere, as the form makes it, leaves [shell], [hardware] and [stock] as they were."""
    before = SheetText(typed_out(shop) + ITEM)
    after = before.set(("case", "tiers"), 2).copy(("item", 0), name="float")
    for key in ("shell", "hardware", "stock", "wall"):
        assert after.get((key,)) == before.get((key,))
    assert parse_sheet(after.text, name="kit.toml").workshop == shop
    changed = (
        after.set(("hardware", "pitch"), 90).set(("stock", "keep"), 111).set(("units",), units)
    )
    assert changed.get(("hardware", "pitch")) == 90
    assert changed.get(("stock", "offcuts")) == before.get(("stock", "offcuts"))


def test_a_sheet_that_says_nothing_has_the_defaults() -> None:
    """Without the new tables a sheet is read as ever: plain wall, plain workshop."""
    payload = read("")
    assert (payload.wall, payload.workshop) == (Wall(), Workshop())
    old = read('[wall]\npanel = "birch plywood 9"\nprofile = { slot = 9.5, leg = 34 }\n')
    assert old.wall == Wall(
        "birch plywood 9", 9.2, 6.38, Profile(slot_mm=9.5, leg_mm=34, corner_mm=34)
    )
    assert wall_board(old.wall).most_mm == 9.5


def test_inches_go_all_the_way_down() -> None:
    """In a sheet in inches every length of hardware and stock is in inches; 5/32 in is a 4 mm rivet."""
    shop = read(
        'units = "in"\n[hardware]\nrivet = "5/32 in"\npitch = 4\n'
        "latch = { flange = [4, 3], dish = [3, 2], depth = 0.5, holes = [[1.75, 1, 0.16]] }\n"
        "[stock]\nbars = [120]\nfoam = [72, 48]\nsheet = [96, 48]\n"
    )
    ware, stock = shop.workshop.hardware, shop.workshop.stock
    (latch,) = ware.types
    assert (ware.rivet_mm, ware.pitch_mm) == (4.0, 101.6)
    assert latch.dish_mm == pytest.approx((76.2, 50.8))
    assert latch.holes[0].x_mm == pytest.approx(44.45)
    assert stock.bars_mm == (3048.0,)
    assert shop.wall.sheet_mm == pytest.approx((2438.4, 1219.2))


def test_a_count_alone_keeps_the_generic_piece() -> None:
    """What is said of a piece without its flange is added to the generic one, still an assumption."""
    (latch,) = read('[hardware.latch]\ncount = 6\nload = "80 kg"\n').workshop.hardware.types
    assert latch == evolve(generic()["latch"], count=6, load_kg=80.0)
    assert latch.known == "assumption"


def test_boards_of_single_panels() -> None:
    """A trade name, a measured board and a laminate, each for its panels; the grain of the wall holds."""
    payload = read(
        '[wall]\ngrain = "long"\nprofile = { slot = 9.5 }\n[wall.panels]\n'
        'top = "birch plywood 9"\n"deep front" = { panel = "ours", thickness = 5, least = 4.8, most = 5.3, '
        'kg_per_m2 = 3.1, grain = "short", sheet = [1500, 900] }\n'
        '"shallow back" = { panel = "polypropylene 8" }\n'
        '"deep back" = { panel = "birch plywood 6.5", laminate = { faces = 1, thickness = 0.6 } }\n'
    )
    top, front, back, faced = payload.workshop.panels
    assert (top.where, top.board, top.grain) == ("top", board_of("birch plywood 9"), "long")
    assert (front.board.least_mm, front.board.most_mm, front.grain) == (4.8, 5.3, "short")
    assert (front.board.grain, front.board.wood, front.board.sheet_mm) == (
        True,
        False,
        (1500.0, 900.0),
    )
    assert (back.board.name, back.grain) == ("polypropylene 8", "any")
    assert faced.board.thickness_mm == pytest.approx(7.0)
    assert faced.board.most_mm == pytest.approx(7.5)
    assert faced.board.areal_kg_m2 == pytest.approx(4.37 + 0.9)
    assert faced.board.name != "birch plywood 6.5"


def test_the_walls_board_for_one_panel_is_the_walls_board() -> None:
    """The wall's trade name for a panel, with a grain of its own, is the board as it was measured."""
    payload = read(
        '[wall]\npanel = "birch plywood 6.5"\nthickness = 6.6\nkg_per_m2 = 4.5\n'
        '[wall.panels]\ntop = { panel = "birch plywood 6.5", grain = "short" }\n'
    )
    (top,) = payload.workshop.panels
    assert (top.board, top.grain) == (wall_board(payload.wall), "short")


def test_a_laminated_wall() -> None:
    """Both faces add to thickness, range and mass; a measured thickness has its laminate already."""
    text = "[wall]\nprofile = { slot = 8.5 }\nlaminate = { faces = 2, thickness = 0.5, kg_per_m2 = 0.8 }\n"
    wall = read(text).wall
    assert (wall.panel_mm, wall.areal_kg_m2) == (pytest.approx(7.4), pytest.approx(5.97))
    board = wall_board(wall)
    assert (board.least_mm, board.most_mm) == (pytest.approx(7.1), pytest.approx(7.9))
    assert wall.laminate == Laminate(2, 0.5, 0.8)
    assert read(text.replace("[wall]", "[wall]\nthickness = 7.2")).wall.panel_mm == 7.2
    assert read("[wall]\nlaminate = { faces = 0 }\n").wall == Wall()


def test_sheets_by_board() -> None:
    """One size of sheet for all boards, or one for each; a board's own size wins."""
    panels = '[wall.panels]\ntop = "poplar plywood 6"\nbottom = { panel = "ABS 6", sheet = [900, 800] }\n'
    every = read(panels + "[stock]\nsheet = [1525, 1525]\n")
    assert every.wall.sheet_mm == (1525.0, 1525.0)
    assert [c.board.sheet_mm for c in every.workshop.panels] == [(1525.0, 1525.0), (900.0, 800.0)]
    one = read(panels + '[stock.sheet]\n"poplar plywood 6" = [2500, 1250]\n')
    assert one.wall.sheet_mm is None
    assert [c.board.sheet_mm for c in one.workshop.panels] == [(2500.0, 1250.0), (900.0, 800.0)]


FORMS = [
    ("box", Workshop()), ("box", Workshop(rings_mm=(60.0, 70.0))), ("pair", Workshop(doors=True)),
    ("pair", Workshop(doors=True, door_mm=70.0)), *(("tray", Workshop(opening=one)) for one in OPENINGS),
    ("tray", Workshop(opening="left", rings_mm=(60.0,))),
]  # fmt: skip


@pytest.mark.parametrize(("form", "shop"), FORMS, ids=str)
def test_the_panels_that_may_be_named_are_those_of_the_case(form: str, shop: Workshop) -> None:
    """For every form, the names that a sheet may use are exactly the panels of its graph."""
    halves = (
        (Half("deep", 300.0),) if form == "tray" else (Half("deep", 300.0), Half("shallow", 300.0))
    )
    kit = Payload("kit", (), case=CaseWishes(form=form), workshop=shop)  # type: ignore[arg-type]  # by test
    made = panels_of(assembly_of(Interior(580.0, 380.0, halves), payload=kit), payload=kit)
    assert sorted(panel.name for panel in made) == sorted(panel_names(form, shop))  # type: ignore[arg-type]  # by test


ONE_FAULT = {
    "unknown key": ('[hardware]\nlatches = 2\n', "line 2, hardware latches", '"latches" is not known', "latch"),
    "unknown key of the stock": ("[stock]\nbar = [3000]\n", "line 2", '"bar"', "did you mean bars?"),
    "unknown kind": ("[hardware.castors]\n", "line 1", '"castors"', "did you mean castor?"),
    "unknown profile key": ("[wall.profile]\ntongue_rin = 4\n", "line 2", "tongue_rin", "tongue_rim"),
    "opening of a box": ('[shell]\nopening = "front"\n', "line 2", "a box opens between its halves", 'form = "tray"'),
    "doors of a box": ("[shell]\ndoors = true\n", "line 2", "a box has no doors", 'form = "pair"'),
    "tongue of a tray": ('[case]\nform = "tray"\n[shell]\ntongue = "deep"\n', "line 4", "no tongue", "take it out"),
    "a door without doors": ('[case]\nform = "pair"\n[shell]\ndoor = 80\n', "line 4", "no doors", "doors = true"),
    "a low ring": ("[shell]\nrings = [60, 50]\n", "line 2, shell rings 2", "no higher than the leaves", "more than 50 mm"),
    "rings that take all": ("[case]\ndepths = [110, 90]\n[shell]\nrings = [60, 60]\n", "line 4", "rings of 120 mm", "lower rings"),
    "a low door": ('[case]\nform = "pair"\n[shell]\ndoors = true\ndoor = 55\n', "line 5", "no length", "more than 55 mm"),
    "a deep tongue": ("[wall.profile]\ntongue = 5\n", "line 2", "5 mm does not go into a groove of 4 mm", "1 mm deeper"),
    "a groove into the slot": ("[wall.profile]\ngroove_rim = 4.5\n", "line 2", "leaves 0.5 mm before the slot", "5 mm or more"),
    "a shallow slot": ("[wall.profile]\nengagement = 1\n", "line 2", "slips out", "more than 1 mm"),
    "a wide rim": ("[wall.profile]\ngroove_rim = 25\n", "line 2", "no leaf before it", "measure both"),
    "an odd end": ('[wall.profile]\nclosing_ends = "square"\n', "line 2", '"square"', '"mitred" or "butt"'),
    "no flange": ("[hardware.latch]\ndish = [60, 44]\ndepth = 10\n", "line 1", "the latch has no flange", "flange = ["),
    "a dish too large": ("[hardware.latch]\nflange = [60, 60]\ndish = [70, 50]\ndepth = 9\n", "line 3", "larger than its flange", "measure both"),
    "a dish without depth": ("[hardware.latch]\nflange = [90, 60]\ndish = [70, 50]\n", "line 3", "no depth", "depth = 14"),
    "a depth without dish": ("[hardware.latch]\nflange = [90, 60]\ndepth = 9\n", "line 3", "no dish does", "dish = ["),
    "a hole outside": ("[hardware.latch]\nflange = [90, 60]\nholes = [[44, 0, 4.1]]\n", "line 3, hardware latch holes 1", "not within the flange", "middle"),
    "a hole over the dish": ("[hardware.latch]\nflange = [90, 60]\ndish = [70, 50]\ndepth = 9\nholes = [[30, 0, 4.1]]\n", "line 5", "over the dish", "measure again"),
    "holes that meet": ("[hardware.foot]\nflange = [90, 60]\nholes = [[0, 0, 6], [5, 0, 6]]\n", "holes 2", "run into each other", "5 mm apart"),
    "a hole of two": ("[hardware.foot]\nflange = [90, 60]\nholes = [[0, 0]]\n", "holes 1", "a list of 2", "[x, y, diameter]"),
    "a latch on top": ('[hardware.latch]\nflange = [90, 60]\nsides = ["top"]\n', "sides 1", "goes on no top", '"front"'),
    "a side misspelt": ('[hardware.handle]\nsides = ["lefft"]\n', "sides 1", "no side", 'did you mean "left"?'),
    "an odd rivet": ("[hardware]\nrivet = 3.6\n", "line 2", "a rivet of 3.6 mm", "4 mm"),
    "a mass without unit": ("[hardware]\nperson = 25\n", "line 2", "the number 25", '"1.2 kg"'),
    "spares in percent": ("[hardware]\nspares = 10\n", "line 2", "the number 10", "0 to 1"),
    "one stage": ("[stock]\nstages = 1\n", "line 2", "the number 1", "2 (strips"),
    "a bar used up": ("[stock]\nbars = [150]\nbar_trim = 80\n", "line 2", "used up by trimming", "more than 160 mm"),
    "an offcut without length": ('[stock]\noffcuts = [ { kind = "edge" } ]\n', "offcuts 1", "no length", "length = 1240"),
    "an odd offcut": ('[stock]\noffcuts = [ { kind = "corner", length = 900 } ]\n', "offcuts 1 kind", '"corner"', '"edge", "tongue" or "groove"'),
    "no such prices": ('[stock]\nprices = "none.csv"\n', "line 2", "there is no such list", "sheet's folder"),
    "a sheet of one side": ("[stock]\nsheet = [2440]\n", "line 2", "a list of 1", "2 lengths"),
    "a sheet of no board": ('[stock.sheet]\n"birch plywood 9" = [2440, 1220]\n', "line 2", "not known", 'birch plywood 6.5'),
    "a panel that is not there": ('[wall.panels]\n"deep top" = "birch plywood 6.5"\n', "line 2", 'no panel "deep top"', "deep bottom"),
    "a panel twice": ('[wall.panels]\n"lid" = "ABS 6"\n"lid top" = "ABS 6"\n[case]\nform = "tray"\n', "line 3", "the same panel", "one of them"),
    "a board without a name": ("[wall.panels]\ntop = { thickness = 5 }\n", "line 2", "no name", "panel ="),
    "an unknown board": ('[wall.panels]\ntop = "birch plywod 9"\n', "line 2", "not a panel known here", 'did you mean "birch plywood 9"?'),
    "grain in plastic": ('[wall.panels]\ntop = { panel = "ABS 6", grain = "long" }\n', "line 2", "ABS 6 has no grain", "take it out"),
    "wood that is none": ('[wall.panels]\ntop = { panel = "ABS 6", wood = true }\n', "line 2", "is no wood", "another name"),
    "most below least": ('[wall.panels]\ntop = { panel = "ours", thickness = 5, least = 5.2 }\n', "least", "more than the measured 5 mm", "again"),
    "three faces": ("[wall]\nlaminate = { faces = 3 }\n", "laminate faces", "the number 3", "0, 1 or 2"),
    # what cannot be built
    "one name for two boards": ('[wall.panels]\ntop = { panel = "ours", thickness = 5 }\nbottom = { panel = "ours", thickness = 6 }\n', "line 3", "two different boards", "another name"),
    "a board too thick": ('[wall]\npanel = "birch plywood 9"\n', "line 2, wall panel", "8.8 mm thick at least", "1.8 mm too thick"),
    "one board too thick": ('[wall.panels]\ntop = "laminated plywood 6.5"\n', "line 2, wall panels top", "7.1 mm thick at least", "0.1 mm too thick"),
    "a wide latch": ('[case]\nlimits = { outside = [300, 250, "free"] }\n[hardware.latch]\nflange = [240, 60]\n', "line 4", "takes a side of 306 mm", "6 mm too much"),
    "a high latch": ("[case]\ndepths = [100, 60]\n[hardware.latch]\nflange = [80, 90]\n", "line 4", "the shallow half is 70 mm high", "8 mm too much"),
    "a short bar": ("[stock]\nbars = [150]\n", "line 2", 'around "probe" alone needs a profile of 140 mm', "160 mm or more"),
    "a small sheet": ("[stock]\nsheet = [130, 110]\n", "line 2", "a panel of 119 mm", "139 mm or more"),
}  # fmt: skip


@pytest.mark.parametrize(
    ("text", "place", "found", "remedy"), ONE_FAULT.values(), ids=list(ONE_FAULT)
)
def test_a_fault_of_the_workshop_is_said_once_and_in_full(
    text: str, place: str, found: str, remedy: str
) -> None:
    """One mistake gives one fault: its place, what stands there in millimetres, what would do."""
    faults = faults_of(text)
    assert len(faults) == 1, [str(fault) for fault in faults]
    assert place in faults[0].place, faults[0].place
    assert found in faults[0].found, faults[0].found
    assert remedy in faults[0].remedy, faults[0].remedy


def test_every_fault_of_the_workshop_at_once() -> None:
    """Faults of wall, shell, hardware and stock come together, in the order of the file."""
    faults = faults_of(
        '[wall]\npanels = { lid = "ABS 6" }\n[shell]\nopening = "top"\n[hardware]\nrivet = 9\n'
        "latch = { flange = 3 }\n[stock]\nstages = 4\nbars = []\n"
    )
    assert [fault.place.split(",")[0] for fault in faults] == [
        f"kit.toml line {line}" for line in (2, 4, 6, 7, 9, 10)
    ]


def test_a_price_list_beside_the_sheet(tmp_path: Path) -> None:
    """Prices are read from the sheet's folder; the heading says the currency, the sheet may too."""
    (tmp_path / "prices.csv").write_text("name,price (crowns),unit\nsunk latch,6.4,each\n", "utf-8")
    text = '[stock]\nprices = "prices.csv"\n' + ITEM
    stock = parse_sheet(text, name=str(tmp_path / "kit.toml")).workshop.stock
    assert (stock.prices, stock.currency) == ((Price("sunk latch", 6.4, "each"),), "crowns")
    (tmp_path / "prices.csv").write_text("name,price,unit\nsunk latch,much,each\n", "utf-8")
    with pytest.raises(BadInput, match=r"prices\.csv line 2, column price"):
        parse_sheet(text, name=str(tmp_path / "kit.toml"))


@pytest.mark.parametrize("name", ["tideline", "twin_screens"])
def test_the_samples_say_what_they_are_made_from(name: str) -> None:
    """The two samples have boards of their own, hardware and stock; twin screens has prices."""
    sheet = (SAMPLES / f"{name}.toml").read_text("utf-8")
    payload = parse_sheet(sheet, name=str(SAMPLES / f"{name}.toml"))
    assert "invented" in sheet.split("title")[0]
    assert payload.workshop.panels
    assert bool(payload.workshop.stock.prices) == (name == "twin_screens")
