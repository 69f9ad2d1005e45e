"""The builder's own list of ready-made cases: CSV in, cases out, and every fault at once.

The list is strict: known columns, one case a line, commas between cells. Lengths are numbers in
the unit that stands in the column's heading (``length (mm)``), in the sheet's units where none
does, or texts with their unit. Optional columns may be left out, and their cells empty.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Sequence
from pathlib import Path

from fitkit.errors import BadInput
from fitkit.payload.bounds import LEAST_MM
from fitkit.payload.csv_cells import (
    LENGTH_UNITS,
    MASS_UNITS,
    Column,
    Faults,
    cut_short,
    length_cell,
    list_text,
    mass_cell,
    price_cell,
    rows_of,
)
from fitkit.payload.model import ReadyMade
from fitkit.units import Units, length_text

REQUIRED = ("name", "length", "width", "base_depth", "lid_depth")
LENGTHS = (
    "length", "width", "floor_length", "floor_width", "lid_length", "lid_width", "corner",
    "base_depth", "lid_depth", "outside_length", "outside_width", "outside_height",
)  # fmt: skip
OUTSIDE = ("outside_length", "outside_width", "outside_height")
COLUMNS = (
    "name", "length", "width", "floor_length", "floor_width", "lid_length", "lid_width", "corner",
    "base_depth", "lid_depth", "mass", "price", *OUTSIDE,
)  # fmt: skip
MOST_CASES = 1000
"""Most cases of one list (builder's setting, assumption)."""

MOST_NAME = 60
"""Most characters of a name: it must fit on a line (builder's setting, assumption)."""

_HEADING = re.compile(r"\s*(?P<name>[^()]*?)\s*(?:\(\s*(?P<unit>[^()]*?)\s*\))?\s*")
_EXAMPLE = "name,length (mm),width (mm),base_depth (mm),lid_depth (mm)"


def read_ready_made(path: Path, *, units: Units = "mm") -> tuple[ReadyMade, ...]:
    """The cases listed in the CSV at ``path``; plain lengths are in ``units``.

    BadInput lists every fault with file, line and column: a missing file, a text that is not
    UTF-8, and all that :func:`parse_ready_made` refuses.
    """
    return parse_ready_made(list_text(path), name=str(path), units=units)


def parse_ready_made(text: str, *, name: str, units: Units = "mm") -> tuple[ReadyMade, ...]:
    r"""The cases of a list given as ``text``; ``name`` says where it is from in messages.

    >>> case, = parse_ready_made(
    ...     "name,length,width,floor_length,base_depth,lid_depth,mass (kg)\n"
    ...     "case 01,420,300,404,110,45,2.6\n", name="cases.csv")
    >>> case.floor_mm, case.deep_mm, case.mass_kg
    ((404.0, 300.0), 110.0, 2.6)
    """
    faults = Faults(name)
    rows = rows_of(text, faults)
    if not rows:
        faults.stop(None, "the list is empty", f"begin with a heading such as {_EXAMPLE}")
    (head_line, heading), *lines = rows
    columns = _columns(heading, head_line, faults)
    if not lines:
        faults.stop(None, "the list has no case in it", "write one line for each case")
    if len(lines) > MOST_CASES:
        faults.stop(
            lines[MOST_CASES][0], f"there are {len(lines)} cases", f"list {MOST_CASES} at most"
        )
    cases: list[ReadyMade] = []
    seen: dict[str, int] = {}
    for line, cells in lines:
        if len(cells) != len(heading):
            faults.add(
                line,
                "",
                f"{_count(len(cells), 'cell')} where the heading has {len(heading)}",
                "give every column a cell, empty where nothing is known; quote texts with commas",
            )
            continue
        found = _case(dict(zip(columns, cells, strict=True)), line, units, faults)
        called = cells[_index(columns, "name")].strip() if _has(columns, "name") else ""
        if called:
            key = " ".join(called.split()).casefold()
            if key in seen:
                faults.add(
                    line,
                    "name",
                    f'"{cut_short(called)}" is on line {seen[key]} already',
                    "rename one",
                )
            seen.setdefault(key, line)
        if found is not None:
            cases.append(found)
    if faults.found:
        raise BadInput(faults.found)
    return tuple(cases)


def _columns(heading: Sequence[str], line: int, faults: Faults) -> tuple[Column, ...]:
    """The columns by name; stops where the heading cannot be used at all."""
    if len(heading) == 1:
        for sign, called in ((";", "semicolons"), ("\t", "tabs"), ("|", "upright strokes")):
            if sign in heading[0]:
                faults.stop(
                    line,
                    f"the cells are set apart by {called}",
                    "save the list with commas between cells and points in decimals",
                )
    columns = tuple(_column(cell, line, faults) for cell in heading)
    names = [column.name for column in columns]
    for name in dict.fromkeys(names):
        if name and names.count(name) > 1:
            faults.add(line, name, "the heading names it twice", "keep one of the two")
    missing = [name for name in REQUIRED if name not in names]
    if missing:
        known = "the others may be left out: " + ", ".join(c for c in COLUMNS if c not in REQUIRED)
        lacking = "column" if len(missing) == 1 else "columns"
        faults.add(line, "", f"the heading lacks the {lacking} {', '.join(missing)}", known)
    given = [name for name in OUTSIDE if name in names]
    if given and len(given) < len(OUTSIDE):
        lacking = ", ".join(name for name in OUTSIDE if name not in given)
        faults.add(line, given[0], f"stands without {lacking}", "give all three outside sizes")
    if faults.found:
        raise BadInput(faults.found)  # lines cannot be judged by columns that are not known
    return columns


def _column(cell: str, line: int, faults: Faults) -> Column:
    match = _HEADING.fullmatch(cell)
    said = cell.strip()
    if match is None or not said:
        found = f'the heading "{cut_short(said)}" cannot be read' if said else "a heading is empty"
        faults.add(line, "", found, f"name the column, one of {', '.join(COLUMNS)}")
        return Column("")
    name = re.sub(r"[\s_-]+", "_", match["name"].strip().casefold())
    unit = (match["unit"] or "").strip()
    if name not in COLUMNS:
        near = difflib.get_close_matches(name, COLUMNS, n=1)
        remedy = f"did you mean {near[0]}?" if near else f"known here: {', '.join(COLUMNS)}"
        faults.add(line, "", f'the column "{cut_short(said)}" is not known', remedy)
        return Column("")
    allowed = LENGTH_UNITS if name in LENGTHS else MASS_UNITS if name == "mass" else ()
    if unit and allowed and unit.casefold() not in allowed:
        faults.add(
            line, name, f'the unit "{cut_short(unit)}" is not known', f"write {', '.join(allowed)}"
        )
    elif unit and name == "name":
        faults.add(
            line, name, f'a name has no unit "{cut_short(unit)}"', "take it out of the heading"
        )
    return Column(name, unit.casefold() if allowed else unit)


def _case(cells: dict[Column, str], line: int, units: Units, faults: Faults) -> ReadyMade | None:
    """One case; None where anything in its line is wrong."""
    before = len(faults.found)
    by_name = {column.name: (column, cell.strip()) for column, cell in cells.items()}
    name = " ".join(by_name["name"][1].split())
    if not name:
        faults.add(line, "name", "the case has no name", "give it one")
    elif not name.isprintable() or len(name) > MOST_NAME:
        faults.add(
            line,
            "name",
            f'"{cut_short(name)}" is no name',
            f"write up to {MOST_NAME} plain characters",
        )
    read: dict[str, float | None] = {}
    for key in LENGTHS:
        if key in by_name:
            column, cell = by_name[key]
            read[key] = length_cell(
                cell,
                column,
                line,
                faults,
                units=units,
                needed=key in REQUIRED,
                least_mm=0.0 if key == "corner" else LEAST_MM,
            )
    mass = mass_cell(*by_name["mass"], line, faults) if "mass" in by_name else None
    price = price_cell(by_name["price"][1], line, faults) if "price" in by_name else None
    if len(faults.found) > before:
        return None
    made = _shaped(name, read, mass, price)
    _judge(made, read, line, units, faults)
    return made if len(faults.found) == before else None


def _shaped(
    name: str, read: dict[str, float | None], mass: float | None, price: float | None
) -> ReadyMade:
    """The case, with floor and top where the list does not give them.

    Where the floor is not given the walls are upright. A lid's top that is not given follows
    from the base: the lid's walls lean as the base's do.
    """

    def given(key: str, otherwise: float) -> float:
        value = read.get(key)
        return otherwise if value is None else value

    length, width = given("length", 0.0), given("width", 0.0)
    deep, shallow = given("base_depth", 0.0), given("lid_depth", 0.0)
    floor = (given("floor_length", length), given("floor_width", width))
    top = tuple(
        given(key, rim - (rim - low) * shallow / deep)
        for key, rim, low in (("lid_length", length, floor[0]), ("lid_width", width, floor[1]))
    )
    outside = [value for key in OUTSIDE if (value := read.get(key)) is not None]
    return ReadyMade(
        name=name,
        length_mm=length,
        width_mm=width,
        floor_mm=floor,
        top_mm=(top[0], top[1]),
        deep_mm=deep,
        shallow_mm=shallow,
        corner_mm=given("corner", 0.0),
        mass_kg=mass,
        price=price,
        outside_mm=(outside[0], outside[1], outside[2]) if len(outside) == 3 else None,
    )


def _judge(
    made: ReadyMade, read: dict[str, float | None], line: int, units: Units, faults: Faults
) -> None:
    """What no cell alone can tell: sizes that contradict each other."""

    def say(value_mm: float) -> str:
        return length_text(value_mm, units=units)

    for keys, sizes in (
        (("floor_length", "floor_width"), made.floor_mm),
        (("lid_length", "lid_width"), made.top_mm),
    ):
        for key, rim_key, value, rim in zip(
            keys, ("length", "width"), sizes, (made.length_mm, made.width_mm), strict=True
        ):
            if value > rim + 1e-9 and read.get(key) is not None:
                faults.add(
                    line,
                    key,
                    f"{say(value)} is wider than the rim's {say(rim)}",
                    f"measure again: {rim_key} is taken at the rim, where base and lid meet",
                )
            elif value <= 0:
                faults.add(line, key, "the lid's walls would meet", "give lid_length and lid_width")
    least = min(made.length_mm, made.width_mm, *made.floor_mm, *made.top_mm)
    if made.corner_mm * 2 > least > 0:
        faults.add(
            line,
            "corner",
            f"a radius of {say(made.corner_mm)} does not go into a side of {say(least)}",
            f"give half the shortest side or less: {say(least / 2)}",
        )
    outside = [read.get(key) for key in OUTSIDE]
    some = [key for key, value in zip(OUTSIDE, outside, strict=True) if value is not None]
    if some and len(some) < len(OUTSIDE):
        faults.add(line, some[0], "stands without the other outside sizes", "give all three")
    inside = (made.length_mm, made.width_mm, made.deep_mm + made.shallow_mm)
    for key, size, room in zip(OUTSIDE, outside, inside, strict=True):
        if size is not None and size < room - 1e-9:
            faults.add(
                line,
                key,
                f"{say(size)} outside is less than the {say(room)} inside",
                "measure both again",
            )


def _has(columns: Sequence[Column], name: str) -> bool:
    return any(column.name == name for column in columns)


def _index(columns: Sequence[Column], name: str) -> int:
    return next(k for k, column in enumerate(columns) if column.name == name)


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
