"""Strict readers for the tables of a sheet: every fault is noted, none stops the reading.

A reader returns the value, or None where it is missing or wrong; what is wrong is noted with its
line. Numbers are numbers, texts are texts, and no unknown key passes.
"""

from __future__ import annotations

import datetime
import difflib
import math
from collections.abc import Callable, Iterable, Sequence

from attrs import evolve

from fitkit.errors import BadInput, Fault
from fitkit.payload.bounds import MOST_MASS_KG, MOST_MM
from fitkit.payload.toml_lines import Path, line_of
from fitkit.units import Units, angle_deg, length_mm, length_text, mass_kg


class Notes:
    """The faults noted so far, each with its line, and the units of plain numbers."""

    def __init__(self, name: str, lines: dict[Path, int]) -> None:
        """Note faults of the sheet called ``name`` whose keys stand on ``lines``."""
        self.name = name
        self.lines = lines
        self.units: Units = "mm"
        self.called: dict[Path, str] = {}
        self._noted: list[tuple[int, Fault]] = []

    def fault(self, path: Path, found: str, remedy: str) -> None:
        """Note one fault at ``path``."""
        line = line_of(self.lines, path)
        where = self.name if line is None else f"{self.name} line {line}"
        words = self._words(path)
        place = f"{where}, {words}" if words else where
        self._noted.append((line or 0, Fault(_plain(place), _plain(found), _plain(remedy), path)))

    def others(self, path: Path, faults: Iterable[Fault]) -> None:
        """Note faults of another file, which the key at ``path`` names."""
        line = line_of(self.lines, path) or 0
        self._noted.extend((line, evolve(fault, path=path)) for fault in faults)

    def say(self, length_mm: float) -> str:
        """A length in the sheet's units, for people to read."""
        return length_text(length_mm, units=self.units)

    def __len__(self) -> int:
        """How many faults there are."""
        return len(self._noted)

    def settle(self) -> None:
        """Raise BadInput with every fault, in the order of the file, if there is any."""
        if self._noted:
            raise BadInput(fault for _, fault in sorted(self._noted, key=lambda pair: pair[0]))

    def _words(self, path: Path) -> str:
        """A path as a builder would say it: ``item "recorder" body 2 z``."""
        words: list[str] = []
        for size, key in enumerate(path, start=1):
            if path[:size] in self.called:
                words.append(f'"{self.called[path[:size]]}"')
            else:
                words.append(str(key + 1) if isinstance(key, int) else key)
        return " ".join(words)


def _plain(text: str) -> str:
    """A text on one line: what does not print is written as its code."""
    return "".join(char if char.isprintable() else f"U+{ord(char):04X}" for char in text)


def shown(value: object) -> str:
    """What stands in the sheet, in a few words.

    >>> shown("12"), shown(True), shown([1, 2])
    ('the text "12"', 'true', 'a list of 2')
    """
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int | float):
        if isinstance(value, int) and abs(value) >= 10**20:
            return "a number of more than 20 digits"
        return f"the number {value}"
    if isinstance(value, str):
        return f'the text "{value if len(value) <= 40 else value[:37] + "..."}"'
    if isinstance(value, list):
        return f"a list of {len(value)}" if value else "an empty list"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, datetime.date | datetime.time):
        return "a date or time"
    return "something else"


def listed(words: Iterable[str]) -> str:
    """Words as a choice: ``a, b or c``."""
    every = list(words)
    return " or ".join([", ".join(every[:-1]), every[-1]] if len(every) > 1 else every)


class Table:
    """One table of the sheet, read key by key."""

    def __init__(self, data: dict[str, object], path: Path, notes: Notes) -> None:
        """Read ``data``, which stands at ``path``."""
        self.data = data
        self.path = path
        self.notes = notes

    def __contains__(self, key: str) -> bool:
        """Whether the key is given at all."""
        return key in self.data

    def fault(self, key: str | None, found: str, remedy: str) -> None:
        """Note a fault at one of this table's keys, or at the table itself."""
        self.notes.fault(self.path if key is None else (*self.path, key), found, remedy)

    def only(self, known: Sequence[str], *, later: dict[str, str] | None = None) -> None:
        """Note every key that is not ``known``; ``later`` ones with what to do until then."""
        for key in self.data:
            if key in known:
                continue
            if later and key in later:
                self.fault(key, f"{key} is not planned by this version of fitkit", later[key])
                continue
            near = difflib.get_close_matches(key, known, n=1, cutoff=0.6)
            remedy = f"did you mean {near[0]}?" if near else f"known here: {', '.join(known)}"
            self.fault(key, f'the key "{key}" is not known', remedy)

    def table(self, key: str) -> Table | None:
        """A table within this one."""
        value = self.data.get(key)
        if value is None:
            return None
        if not isinstance(value, dict):
            self.fault(key, f"{shown(value)} where a table belongs", f"write {key} = {{ ... }}")
            return None
        return Table(value, (*self.path, key), self.notes)

    def tables(self, key: str) -> list[Table] | None:
        """A list of tables; None where it is missing or no list at all."""
        value = self.data.get(key)
        if value is None:
            return None
        if not isinstance(value, list):
            self.fault(
                key,
                f"{shown(value)} where a list of tables belongs",
                f"write {key} = [ {{ ... }} ], or a heading in double brackets",
            )
            return None
        found = []
        for index, entry in enumerate(value):
            path = (*self.path, key, index)
            if isinstance(entry, dict):
                found.append(Table(entry, path, self.notes))
            else:
                self.notes.fault(path, f"{shown(entry)} where a table belongs", "write { ... }")
        return found

    def text(self, key: str) -> str | None:
        """A text."""
        value = self.data.get(key)
        if value is None or isinstance(value, str):
            return value
        self.fault(key, f"{shown(value)} where a text belongs", "write it in quotes")
        return None

    def flag(self, key: str) -> bool | None:
        """True or false."""
        value = self.data.get(key)
        if value is None or isinstance(value, bool):
            return value
        self.fault(key, f"{shown(value)} where true or false belongs", "write true or false")
        return None

    def choice(
        self, key: str, known: Sequence[str], *, later: dict[str, str] | None = None
    ) -> str | None:
        """One of a few words."""
        value = self.data.get(key)
        if value is None or (isinstance(value, str) and value in known):
            return value if isinstance(value, str) else None
        quoted = listed(f'"{word}"' for word in known)
        if isinstance(value, str) and later and value in later:
            self.fault(key, f'"{value}" is not planned by this version of fitkit', later[value])
            return None
        near = difflib.get_close_matches(value, known, n=1) if isinstance(value, str) else []
        self.fault(
            key,
            f"{shown(value)} is none of the words known here",
            f'did you mean "{near[0]}"? write {quoted}' if near else f"write {quoted}",
        )
        return None

    def whole(self, key: str, *, most: int) -> int | None:
        """A whole number from 1 to ``most``."""
        value = self.data.get(key)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int):
            self.fault(key, f"{shown(value)} where a whole number belongs", f"give 1 to {most}")
            return None
        if not 1 <= value <= most:
            self.fault(
                key, f"{key} is {shown(value).removeprefix('the number ')}", f"give 1 to {most}"
            )
            return None
        return value

    def number(
        self, key: str, *, least: float, most: float, unit: str, more: bool = False
    ) -> float | None:
        """A plain number from ``least`` (above it with ``more``) to ``most``."""
        value = self.data.get(key)
        if value is None:
            return None
        if isinstance(value, bool) or not isinstance(value, int | float):
            self.fault(
                key, f"{shown(value)} where a plain number belongs", f"give {unit} as a number"
            )
            return None
        if not (least <= value <= most) or (more and value <= least):
            self.fault(
                key,
                f"{shown(value)} is out of range",
                f"give {unit} {'above' if more else 'from'} {least:g} to {most:g}",
            )
            return None
        return float(value)

    def angle(self, key: str, *, most_deg: float) -> float | None:
        """An angle from 0 to below ``most_deg`` [deg]."""
        value = self.data.get(key)
        if value is None:
            return None
        angle = self._quantity(key, value, lambda typed: angle_deg(typed))
        if angle is not None and not 0 <= angle < most_deg:
            self.fault(
                key, f"{shown(value)} is out of range", f"give 0 to under {most_deg:g} degrees"
            )
            return None
        return angle

    def mass(self, key: str, *, free: bool = False) -> float | None:
        """A mass with its unit, above nought [kg]."""
        value = self.data.get(key)
        if value is None or (free and value == "free"):
            return None
        if not isinstance(value, str):
            self.fault(
                key,
                f"{shown(value)} where a mass with its unit belongs",
                'write a mass such as "1.2 kg", "350 g" or "2 lb 3 oz"',
            )
            return None
        mass = self._quantity(key, value, lambda typed: mass_kg(str(typed)))
        if mass is not None and not 0 < mass <= MOST_MASS_KG:
            remedy = f"give a mass above 0 and up to {MOST_MASS_KG:g} kg"
            self.fault(key, f"{shown(value)} is out of range", remedy)
            return None
        return mass

    def length(
        self, key: str, *, least_mm: float = 0.0, most_mm: float = MOST_MM, free: bool = False
    ) -> float | None:
        """A length within its range [mm]; None also for "free" where that is allowed."""
        if key not in self.data:
            return None
        return self.length_at(
            (*self.path, key), self.data[key], least_mm=least_mm, most_mm=most_mm, free=free
        )

    def lengths(
        self,
        key: str,
        *,
        sizes: Sequence[int],
        least_mm: float = 0.0,
        most_mm: float = MOST_MM,
        free: bool = False,
    ) -> tuple[float | None, ...] | None:
        """A list of so many lengths [mm]; None where any of them is wrong."""
        value = self.data.get(key)
        if value is None:
            return None
        if not isinstance(value, list) or len(value) not in sizes:
            word = listed(str(size) for size in sizes) if len(sizes) < 4 else "1 or more"
            self.fault(
                key, f"{shown(value)} where {word} lengths belong", f"write {word} lengths in [ ]"
            )
            return None
        before = len(self.notes)
        read = tuple(
            self.length_at(
                (*self.path, key, index), entry, least_mm=least_mm, most_mm=most_mm, free=free
            )
            for index, entry in enumerate(value)
        )
        return read if len(self.notes) == before else None

    def length_at(
        self,
        path: Path,
        value: object,
        *,
        least_mm: float = 0.0,
        most_mm: float = MOST_MM,
        free: bool = False,
    ) -> float | None:
        """A length that stands at ``path`` [mm]."""
        if free and value == "free":
            return None
        units = self.notes.units
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            choice = ' or "free"' if free else ""
            self.notes.fault(
                path,
                f"{shown(value)} where a length belongs",
                f'give a number in {units}, or a text with its unit such as "31.5 cm"{choice}',
            )
            return None
        if free and isinstance(value, str) and value.isalpha():
            self.notes.fault(path, f"{shown(value)} is not a length", 'give a length or "free"')
            return None
        try:
            length = length_mm(value, units=units)
        except BadInput as refused:
            for fault in refused.faults:
                self.notes.fault(path, fault.found, fault.remedy)
            return None
        if not least_mm <= length <= most_mm or not math.isfinite(length):
            low, high = (self.notes.say(edge) for edge in (least_mm, most_mm))
            kind = (
                "negative"
                if length < 0
                else "nought"
                if length == 0
                else ("too small" if length < least_mm else "too large")
            )
            self.notes.fault(
                path, f"{shown(value)} is {kind}", f"give a length from {low} to {high}"
            )
            return None
        return length

    def _quantity(
        self, key: str, value: object, read: Callable[[str | float], float]
    ) -> float | None:
        if isinstance(value, bool) or not isinstance(value, int | float | str):
            self.fault(
                key, f"{shown(value)} where a number with its unit belongs", "write it in quotes"
            )
            return None
        try:
            return read(value)
        except BadInput as refused:
            for fault in refused.faults:
                self.fault(key, fault.found, fault.remedy)
            return None
