"""The builder's list of ready-made cases, read strictly."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from fitkit.errors import BadInput, Fault
from fitkit.payload.model import ReadyMade
from fitkit.payload.ready_made import COLUMNS, parse_ready_made, read_ready_made
from fitkit.payload.sheet import read_sheet
from fitkit.units import Units

HEAD = "name,length,width,base_depth,lid_depth"


def faults_of(text: str, units: Units = "mm") -> list[str]:
    """The faults of a list, each on one line."""
    with pytest.raises(BadInput) as caught:
        parse_ready_made(text, name="cases.csv", units=units)
    return [str(fault) for fault in caught.value.faults]


def test_a_full_line_is_read_with_every_column() -> None:
    """Each cell lands in its field; lengths are mm whatever unit stands in the heading."""
    text = (
        "Name,length (cm),width,floor length,floor-width,lid_length,lid_width,corner,"
        "base_depth (in),lid_depth,mass (g),price (crowns),outside_length,outside_width,"
        "outside_height\r\n"
        '"case 01, low",42,300,404,290,410,295,20,4,45,2600,79.5,450,330,"18 cm"\r\n'
    )
    (case,) = parse_ready_made(text, name="cases.csv")
    assert case.name == "case 01, low"
    assert (case.length_mm, case.width_mm) == (420.0, 300.0)
    assert case.floor_mm == (404.0, 290.0)
    assert case.top_mm == (410.0, 295.0)
    assert (case.deep_mm, case.shallow_mm, case.corner_mm) == (101.6, 45.0, 20.0)
    assert (case.mass_kg, case.price) == (2.6, 79.5)
    assert case.outside_mm == (450.0, 330.0, 180.0)


def test_plain_numbers_are_in_the_units_of_the_sheet() -> None:
    """A bare 10 is ten inches in a sheet in inches; a text keeps its own unit."""
    (case,) = parse_ready_made(f'{HEAD}\na,10,"8 1/2 in",30 mm,2\n', name="c.csv", units="in")
    assert case.length_mm == 254.0
    assert case.width_mm == 215.9
    assert case.deep_mm == 30.0
    assert case.shallow_mm == 50.8


def test_what_is_left_empty_follows_from_the_rest() -> None:
    """No floor: upright walls. A floor, but no lid's top: the lid leans as the base does."""
    text = f"{HEAD},floor_length,lid_width\nupright,400,300,100,50,,\nleaning,400,300,100,50,380,\n"
    upright, leaning = parse_ready_made(text, name="c.csv")
    assert upright.floor_mm == upright.top_mm == (400.0, 300.0)
    assert leaning.floor_mm == (380.0, 300.0)
    assert leaning.top_mm == (390.0, 300.0)
    assert upright.mass_kg is upright.price is upright.outside_mm is None


ONE_FAULT = {
    "empty file": ("", "cases.csv: the list is empty; begin with"),
    "blank lines only": ("\n\n ,\n", "cases.csv: the list is empty"),
    "no case": (f"{HEAD}\n", "cases.csv: the list has no case in it; write one line"),
    "semicolons": (f"{HEAD.replace(',', ';')}\na;1;1;1;1\n", "line 1: the cells are set apart by semicolons; save the list with commas"),  # noqa: E501
    "tabs": (HEAD.replace(",", "\t"), "line 1: the cells are set apart by tabs"),
    "a column that is not known": (f"{HEAD},weight\na,1,1,1,1,1\n", 'line 1: the column "weight" is not known'),  # noqa: E501
    "a column misspelt": (f"{HEAD},floor_lenght\na,1,1,1,1,1\n", "did you mean floor_length?"),
    "a column twice": (f"{HEAD},length (mm)\na,1,1,1,1,1\n", "column length: the heading names it twice"),  # noqa: E501
    "columns missing": ("name,length,width\na,1,1\n", "lacks the columns base_depth, lid_depth"),
    "a heading left empty": (f"{HEAD},\na,1,1,1,1,1\n", "line 1: a heading is empty; name the column"),  # noqa: E501
    "an unknown unit": (HEAD.replace("width", "width (ell)") + "\na,1,1,1,1\n", 'the unit "ell" is not known; write mm'),  # noqa: E501
    "outside in part": (f"{HEAD},outside_width\na,1,1,1,1,9\n", "stands without outside_length, outside_height"),  # noqa: E501
    "a ragged line": (f"{HEAD}\na,400,300,100\n", "line 2: 4 cells where the heading has 5"),
    "a line too long": (f"{HEAD}\na,400,300,100,50,\n", "line 2: 6 cells where the heading has 5"),
    "no name": (f"{HEAD}\n ,400,300,100,50\n", "line 2, column name: the case has no name"),
    "a name twice": (f"{HEAD}\na b,400,300,100,50\n\nA  B,400,300,100,50\n", 'line 4, column name: "A B" is on line 2 already'),  # noqa: E501
    "a length left empty": (f"{HEAD}\na,,300,100,50\n", "line 2, column length: the cell is empty"),
    "no number": (f"{HEAD}\na,400,wide,100,50\n", 'column width: "wide" is not a length; give a number in mm'),  # noqa: E501
    "a decimal comma": (f'{HEAD}\na,400,"300,5",100,50\n', "has a decimal comma; write a decimal point"),  # noqa: E501
    "nothing deep": (f"{HEAD}\na,400,300,0,50\n", "column base_depth: 0 is out of range"),
    "negative": (f"{HEAD}\na,400,-300,100,50\n", "column width: -300 is out of range"),
    "a slip of the unit": (f"{HEAD}\na,40000,300,100,50\n", "40000 is out of range; give 0.1 mm to 20000 mm"),  # noqa: E501
    "infinite": (f"{HEAD}\na,inf,300,100,50\n", '"inf" is not a length'),
    "a floor wider than the rim": (f"{HEAD},floor_width\na,400,300,100,50,310\n", "column floor_width: 310 mm is wider than the rim's 300 mm"),  # noqa: E501
    "a top wider than the rim": (f"{HEAD},lid_length\na,400,300,100,50,401\n", "column lid_length: 401 mm is wider"),  # noqa: E501
    "a corner too round": (f"{HEAD},corner\na,400,300,100,50,151\n", "a radius of 151 mm does not go into a side of 300 mm"),  # noqa: E501
    "lid's walls that meet": (f"{HEAD},floor_length\na,400,300,10,100,300\n", "column lid_length: the lid's walls would meet"),  # noqa: E501
    "a mass without unit": (f"{HEAD},mass\na,400,300,100,50,3\n", 'the number 3 has no unit; write "3.2 kg"'),  # noqa: E501
    "a mass of nought": (f"{HEAD},mass (kg)\na,400,300,100,50,0\n", "column mass: 0 is out of range"),  # noqa: E501
    "no price": (f"{HEAD},price\na,400,300,100,50,free\n", 'column price: "free" is no price'),
    "smaller outside": (f"{HEAD},outside_length,outside_width,outside_height\na,400,300,100,50,390,320,160\n", "390 mm outside is less than the 400 mm inside"),  # noqa: E501
    "outside cells in part": (f"{HEAD},outside_length,outside_width,outside_height\na,400,300,100,50,410,,\n", "column outside_length: stands without the other outside sizes"),  # noqa: E501
    "an open quote": (f'{HEAD}\n"a,400,300,100,50\n', "this is not CSV"),
}  # fmt: skip


@pytest.mark.parametrize(("text", "said"), ONE_FAULT.values(), ids=ONE_FAULT.keys())
def test_a_fault_is_said_once_with_its_place(text: str, said: str) -> None:
    """One mistake gives one fault: file, line, column, what stands there, what would be right."""
    faults = faults_of(text)
    assert len(faults) == 1, faults
    assert faults[0].startswith("cases.csv")
    assert said in faults[0]


def test_every_fault_is_said_at_once() -> None:
    """Faults on several lines and in several columns come together, in the order of the file."""
    text = (
        f"{HEAD},floor_length,mass,price\n"
        "a,wide,300,100,50,,,\n"
        "b,400,300,0,50,410,3,x\n"
        "a,400,300\n"
        "A,400,300,100,50,420,,\n"
    )
    places = [fault.split(":")[0] for fault in faults_of(text)]
    assert places == [
        "cases.csv line 2, column length",
        "cases.csv line 3, column base_depth",
        "cases.csv line 3, column mass",
        "cases.csv line 3, column price",
        "cases.csv line 4",
        "cases.csv line 5, column floor_length",
        "cases.csv line 5, column name",
    ]


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    """A missing list, a folder and a text that is not UTF-8 are said with what to do."""
    (tmp_path / "cases.csv").write_bytes(HEAD.encode() + b"\n\xff,400,300,100,50\n")
    for name, said in (
        ("case.csv", f"did you mean {tmp_path / 'cases.csv'}?"),
        (".", "this is a folder"),
        ("cases.csv", "line 2: the text is not UTF-8"),
        ("a\0b.csv", "cannot be read"),
    ):
        with pytest.raises(BadInput, match="fault") as caught:
            read_ready_made(tmp_path / name)
        assert said in str(caught.value)


def test_a_list_from_a_spreadsheet(tmp_path: Path) -> None:
    """A byte order mark, CR LF and quotes are what spreadsheets write; they are read."""
    path = tmp_path / "cases.csv"
    path.write_bytes(f'{HEAD}\r\n"a ""b""",400,300,100,50\r\n'.encode("utf-8-sig"))
    assert [case.name for case in read_ready_made(path)] == ['a "b"']


SHEET = """
title = "kit"
[case]
{case}
[[item]]
name = "brick"
body = [ {{ rectangle = [40, 30], z = [0, 20] }} ]
"""


def sheet(folder: Path, case: str) -> Path:
    """A sheet with these lines about the case, two lists beside it."""
    (folder / "cases.csv").write_text(f"{HEAD},mass (kg)\na,400,300,100,50,\nb,300,200,90,40,\n")
    (folder / "bad.csv").write_text(f"{HEAD}\na,400,300,100\n")
    path = folder / "kit.toml"
    path.write_text(SHEET.format(case=case))
    return path


def test_the_list_is_found_beside_the_sheet(tmp_path: Path) -> None:
    """The list's path counts from the sheet's folder, wherever the program was started."""
    payload = read_sheet(sheet(tmp_path, 'ready_made = "cases.csv"'))
    assert [case.name for case in payload.case.ready_made] == ["a", "b"]
    assert payload.case.ready_case("b").length_mm == 300.0
    assert payload.case.rank == "volume"


@pytest.mark.parametrize(
    ("case", "said"),
    [
        ('rank = "mass"', "there is no list to rank"),
        ('ready_made = "cases.csv"\nrank = "size"', 'write "volume", "mass" or "price"'),
        ('ready_made = "cases.csv"\nrank = "mass"', "the list gives no mass"),
        ('ready_made = "cases.csv"\nrank = "price"', "the list gives no price"),
        ('ready_made = "cases.csv"\nform = "tray"', "a base with a lid, not a tray"),
        ('ready_made = "cases.csv"\ndraft = 2', "draft and ready_made contradict each other"),
        ('ready_made = "cases.csv"\ndepths = [90, 40]', "depths and ready_made contradict"),
        ('ready_made = "cases.csv"\nobjective = "plan"', "the list is ranked by rank"),
        ('ready_made = "cases.csv"\nseveral = true', "do not go together"),
        ("several = 1", "true or false"),
        ('ready_made = ""', "the name of the list is empty"),
        ("ready_made = 3", "a text"),
        ('ready_made = "bad.csv"', "bad.csv line 2: 4 cells where the heading has 5"),
    ],
)
def test_wishes_that_contradict_the_list(tmp_path: Path, case: str, said: str) -> None:
    """Keys that the list makes pointless, or that it cannot serve, are one fault each."""
    with pytest.raises(BadInput) as caught:
        read_sheet(sheet(tmp_path, case))
    assert len(caught.value.faults) == 1
    assert said in str(caught.value)


def test_faults_of_sheet_and_list_come_together(tmp_path: Path) -> None:
    """A wrong key in the sheet does not hide what is wrong in the list."""
    with pytest.raises(BadInput) as caught:
        read_sheet(sheet(tmp_path, 'tears = 2\nready_made = "bad.csv"'))
    assert len(caught.value.faults) == 2


cells = st.text(st.sampled_from("0123456789.,;-+ \"'\n\rabcmkgin()é\x00½"), max_size=12)


@given(st.lists(st.lists(cells, max_size=7), max_size=5), st.booleans())
def test_whatever_is_in_the_file_nothing_but_bad_input_is_raised(
    rows: list[list[str]], headed: bool
) -> None:
    """Any text is either a list of cases or BadInput with a place for every fault."""
    text = "\n".join(",".join(row) for row in rows)
    if headed:
        text = ",".join(COLUMNS[:5]) + "\n" + text
    cases: tuple[ReadyMade, ...] = ()
    faults: tuple[Fault, ...] = ()
    try:
        cases = parse_ready_made(text, name="cases.csv")
    except BadInput as refused:
        faults = refused.faults
    assert bool(cases) != bool(faults)
    assert all(fault.place.startswith("cases.csv") and fault.remedy for fault in faults)
    assert all(case.length_mm > 0 and case.deep_mm > 0 for case in cases)
