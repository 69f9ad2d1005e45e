"""Cells of a CSV read strictly: lengths, masses and prices, each fault with line and column."""

from __future__ import annotations

import csv
import io
import math
import re
from pathlib import Path
from typing import NoReturn

from attrs import frozen

from fitkit.errors import BadInput, Fault
from fitkit.payload.bounds import LEAST_MM, MOST_MM
from fitkit.payload.text_in import read_text
from fitkit.units import Units, length_mm, length_text, mass_kg

LENGTH_UNITS = ("mm", "cm", "m", "in", "ft")
MASS_UNITS = ("kg", "g", "lb", "oz")
_NUMBER = re.compile(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)")


@frozen
class Column:
    """One column of the list: its name, and the unit that its heading gives (or "")."""

    name: str
    unit: str = ""


class Faults:
    """Faults in the order of the file."""

    def __init__(self, place: str) -> None:
        """Collect the faults of the file called ``place``."""
        self.place = place
        self.found: list[Fault] = []

    def add(self, line: int | None, column: str, found: str, remedy: str) -> None:
        """Note one fault; ``line`` None is the file as a whole, ``column`` may be empty."""
        place = self.place if line is None else f"{self.place} line {line}"
        if column:
            place += f", column {column}"
        self.found.append(Fault(_plain(place), _plain(found), _plain(remedy)))

    def stop(self, line: int | None, found: str, remedy: str) -> NoReturn:
        """Note a fault after which nothing more can be read, and raise BadInput with all."""
        self.add(line, "", found, remedy)
        raise BadInput(self.found)


def length_cell(
    cell: str,
    column: Column,
    line: int,
    faults: Faults,
    *,
    units: Units,
    needed: bool = False,
    least_mm: float = LEAST_MM,
) -> float | None:
    """A length from ``least_mm`` up [mm]; None where the cell is empty or wrong.

    A plain number is in the column's unit, or in ``units``. An empty cell is a fault if ``needed``.
    """
    if not cell:
        if needed:
            faults.add(line, column.name, "the cell is empty", "measure it")
        return None
    plain = _NUMBER.fullmatch(cell)
    try:
        if plain and column.unit:
            value = length_mm(f"{cell} {column.unit}")
        elif plain:
            value = length_mm(float(cell), units=units)
        else:
            value = length_mm(cell)
    except BadInput as refused:
        for fault in refused.faults:
            bare = column.unit or units
            remedy = (
                fault.remedy
                if "comma" in fault.found
                else f'give a number in {bare}, or a length with its unit such as "31.5 cm"'
            )
            faults.add(line, column.name, fault.found, remedy)
        return None
    if not math.isfinite(value) or not least_mm <= value <= MOST_MM:
        low, high = (length_text(edge, units=units) for edge in (least_mm, MOST_MM))
        faults.add(line, column.name, f"{cut_short(cell)} is out of range", f"give {low} to {high}")
        return None
    return value


def mass_cell(column: Column, cell: str, line: int, faults: Faults) -> float | None:
    """A mass above 0 with its unit, or in the column's unit [kg]; None if empty or wrong."""
    if not cell:
        return None
    plain = _NUMBER.fullmatch(cell)
    try:
        if plain and not column.unit:
            faults.add(
                line,
                "mass",
                f"the number {cut_short(cell)} has no unit",
                'write "3.2 kg", or head the column "mass (kg)"',
            )
            return None
        value = mass_kg(f"{cell} {column.unit}" if plain else cell)
    except BadInput as refused:
        for fault in refused.faults:
            faults.add(line, "mass", fault.found, fault.remedy)
        return None
    if not 0 < value <= 5000:
        faults.add(
            line, "mass", f"{cut_short(cell)} is out of range", "give more than 0, to 5000 kg"
        )
        return None
    return value


def price_cell(cell: str, line: int, faults: Faults) -> float | None:
    """A plain number of 0 or more; None where the cell is empty or wrong."""
    if not cell:
        return None
    if not _NUMBER.fullmatch(cell) or not 0 <= float(cell) <= 1e9:
        hint = "write a decimal point" if re.fullmatch(r"\d+,\d+", cell) else "give a plain number"
        faults.add(line, "price", f'"{cut_short(cell)}" is no price', f"{hint}, without a currency")
        return None
    return float(cell)


def cut_short(text: str) -> str:
    """A text on one line of 40 characters at most."""
    flat = " ".join(text.split())
    return flat if len(flat) <= 40 else flat[:37] + "..."


def _plain(text: str) -> str:
    return "".join(char if char.isprintable() else f"U+{ord(char):04X}" for char in text)


def rows_of(text: str, faults: Faults) -> list[tuple[int, list[str]]]:
    """Lines that hold something, each with the number of its first line in the file."""
    reader = csv.reader(io.StringIO(text, newline=""), strict=True)
    rows: list[tuple[int, list[str]]] = []
    last = 0
    try:
        for cells in reader:
            first, last = last + 1, reader.line_num
            if any(cell.strip() for cell in cells):
                rows.append((first, cells))
    except csv.Error as refused:
        faults.stop(
            max(reader.line_num, 1),
            f"this is not CSV ({refused})",
            "close every quote, and write a quote within a text twice",
        )
    return rows


def list_text(path: Path) -> str:
    """The text of a list that a sheet names. BadInput if it is missing or not UTF-8."""
    return read_text(
        path,
        kind="list",
        ending=".csv",
        missing="give its path from the sheet's folder",
        save="save the list as CSV in UTF-8",
    )
