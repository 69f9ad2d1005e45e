"""Lengths, masses and angles in and out: typed texts in, mm, kg and degrees inside.

An inch is 25.4 mm and a pound 0.45359237 kg, both exactly: the international yard and pound
agreement of 1959, as in NIST Special Publication 811, appendix B.8 (from memory; the tests
compare them with pint's registry). A foot is 12 inches, an ounce a sixteenth of a pound.
"""

from __future__ import annotations

import math
import re
import unicodedata
from collections.abc import Callable
from fractions import Fraction
from typing import Literal

from fitkit.errors import BadInput, Fault

Units = Literal["mm", "in"]

MM_PER_INCH = 25.4
"""Millimetres in an inch, exact by definition."""

KG_PER_POUND = 0.45359237
"""Kilograms in a pound, exact by definition."""

_INCH = Fraction(254, 10)
_POUND = Fraction(45359237, 100000000)

_LENGTHS: dict[str, Fraction] = {
    **dict.fromkeys(("mm", "millimetre", "millimetres", "millimeter", "millimeters"), Fraction(1)),
    **dict.fromkeys(("cm", "centimetre", "centimetres", "centimeter", "centimeters"), Fraction(10)),
    **dict.fromkeys(("m", "metre", "metres", "meter", "meters"), Fraction(1000)),
    **dict.fromkeys(("in", "inch", "inches", '"'), _INCH),
    **dict.fromkeys(("ft", "foot", "feet", "'"), 12 * _INCH),
}
_MASSES: dict[str, Fraction] = {
    **dict.fromkeys(("kg", "kilogram", "kilograms"), Fraction(1)),
    **dict.fromkeys(("g", "gram", "grams"), Fraction(1, 1000)),
    **dict.fromkeys(("lb", "lbs", "pound", "pounds"), _POUND),
    **dict.fromkeys(("oz", "ounce", "ounces"), _POUND / 16),
}
_ANGLES: dict[str, Fraction] = dict.fromkeys(("deg", "degree", "degrees", "°"), Fraction(1))

_KINDS = {"length": _LENGTHS, "mass": _MASSES, "angle": _ANGLES}
_PAIRS = (("ft", "in"), ("'", '"'), ("lb", "oz"))
_WITH_ARTICLE = {"length": "a length", "mass": "a mass", "angle": "an angle"}
_LIKE = {
    "length": '"12 3/8 in", "31.5 cm" or "44 mm"',
    "mass": '"1.2 kg", "350 g" or "2 lb 3 oz"',
    "angle": '"3 deg"',
}
_TERM = re.compile(
    r"\s*(?:(?P<whole>\d+)[ -]+)?(?:(?P<over>\d+)/(?P<under>\d+)|(?P<number>\d+(?:\.\d+)?|\.\d+))"
    r"\s*(?P<unit>[a-zA-Zµ]+|[\"'°])?"
)


def length_mm(value: str | float, *, units: Units = "mm", place: str = "length") -> float:
    """A typed length as millimetres [mm]; a plain number is in ``units``.

    Texts carry their unit: mm, cm, m, in (or "), ft (or '); feet go with inches. BadInput says
    what was found at ``place`` and what would be right.

    >>> length_mm("12 3/8 in"), length_mm("2 ft 3 in"), length_mm(2, units="in")
    (314.325, 685.8, 50.8)
    """
    if isinstance(value, str):
        return float(_parsed(value, "length", place))
    number = _finite(value, place)
    return float(Fraction(number) * _INCH) if units == "in" else number


def mass_kg(value: str, *, place: str = "mass") -> float:
    """A typed mass as kilograms [kg]: kg, g, lb, oz, or pounds with ounces.

    >>> mass_kg("350 g"), round(mass_kg("2 lb 3 oz"), 6)
    (0.35, 0.992233)
    """
    if not isinstance(value, str):
        raise BadInput([Fault(place, f"the number {value} has no unit", f"write {_LIKE['mass']}")])
    return float(_parsed(value, "mass", place))


def angle_deg(value: str | float, *, place: str = "angle") -> float:
    """A typed angle in degrees [deg]; a plain number is degrees.

    >>> angle_deg("2.5 deg"), angle_deg(3)
    (2.5, 3.0)
    """
    if isinstance(value, str):
        return float(_parsed(value, "angle", place))
    return _finite(value, place)


def length_text(value_mm: float, *, units: Units = "mm") -> str:
    """A length for people to read, in ``units``.

    Millimetres to a tenth. Inches as a fraction down to 1/64 where the length is one (within
    0.01 mm), to a thousandth otherwise.

    >>> length_text(212.04), length_text(314.325, units="in"), length_text(100, units="in")
    ('212 mm', '12 3/8 in', '3.937 in')
    """
    if units == "mm":
        return f"{number_text(value_mm, places=1)} mm"
    inches = value_mm / MM_PER_INCH
    steps = round(abs(inches) * 64)
    if steps and abs(abs(inches) - steps / 64) * MM_PER_INCH <= 0.01:
        whole, rest = divmod(steps, 64)
        parts = [str(whole)] if whole or not rest else []
        if rest:
            parts.append(str(Fraction(rest, 64)))
        return ("-" if inches < 0 else "") + " ".join(parts) + " in"
    return f"{number_text(inches, places=3)} in"


def mass_text(value_kg: float, *, units: Units = "mm") -> str:
    """A mass for people to read: grams under a kilogram, or pounds and ounces with inches.

    >>> mass_text(1.4), mass_text(0.35), mass_text(0.9922333, units="in")
    ('1.4 kg', '350 g', '2 lb 3 oz')
    """
    if units == "in":
        tenths = round(abs(value_kg) / KG_PER_POUND * 160)
        pounds, rest = divmod(tenths, 160)
        parts = [f"{pounds} lb"] if pounds or not rest else []
        if rest:
            parts.append(f"{number_text(rest / 10, places=1)} oz")
        return ("-" if value_kg < 0 else "") + " ".join(parts)
    if abs(value_kg) < 0.9995:
        return f"{number_text(value_kg * 1000, places=0)} g"
    return f"{number_text(value_kg, places=2)} kg"


def number_text(value: float, *, places: int) -> str:
    """A number rounded to ``places`` without needless noughts.

    >>> number_text(6.40, places=2), number_text(-0.001, places=1)
    ('6.4', '0')
    """
    text = f"{value:.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def _finite(value: float, place: str) -> float:
    if isinstance(value, bool):
        found = str(value).lower()
        raise BadInput([Fault(place, f"{found} stands where a number belongs", "give a number")])
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise BadInput([Fault(place, "the number has no end (inf or nan)", "give a plain number")])
    return number


def _tidy(text: str) -> str:
    """Fraction signs, primes and typographic quotes as they would be typed."""
    spread = "".join(
        f" {unicodedata.normalize('NFKC', char)}"
        if unicodedata.decomposition(char).startswith("<fraction>")
        else char
        for char in text
    )
    for odd, plain in (
        ("⁄", "/"),
        ("″", '"'),
        ("”", '"'),
        ("′", "'"),
        ("’", "'"),
        ("−", "-"),
        ("''", '"'),
        ("\u00a0", " "),
    ):
        spread = spread.replace(odd, plain)
    return spread.strip()


def _parsed(text: str, kind: str, place: str) -> Fraction:
    """A text with its unit as an exact fraction of mm, kg or degrees."""

    def refuse(found: str, remedy: str = "") -> BadInput:
        return BadInput(
            [Fault(place, found, remedy or f"write {_WITH_ARTICLE[kind]} such as {_LIKE[kind]}")]
        )

    shown = _shown(text)
    tidy = _tidy(text)
    sign = -1 if tidy.startswith("-") else 1
    rest = tidy[1:] if tidy[:1] in ("+", "-") else tidy
    if not rest:
        raise refuse(f"{shown} is empty")
    total = Fraction(0)
    seen: list[str] = []
    while rest:
        term = _TERM.match(rest)
        if term is None or term.end() == 0:
            if re.search(r"\d,\d", rest):
                raise refuse(f"{shown} has a decimal comma", "write a decimal point")
            raise refuse(f"{shown} is not {_WITH_ARTICLE[kind]}")
        unit = (term["unit"] or "").lower()
        if not unit:
            if re.match(r"\s*,\d", rest[term.end() :]):
                raise refuse(f"{shown} has a decimal comma", "write a decimal point")
            raise refuse(f"{shown} has no unit", f"write {_bare(kind, tidy)}")
        factor = _KINDS[kind].get(unit)
        if factor is None:
            other = next((name for name, known in _KINDS.items() if unit in known), None)
            if other is not None:
                raise refuse(f"{shown} is {_WITH_ARTICLE[other]}, not {_WITH_ARTICLE[kind]}")
            raise refuse(f"{shown}: the unit {term['unit']} is not known")
        total += _amount(term, refuse, shown) * factor
        seen.append(unit)
        rest = rest[term.end() :].strip()
    if len(seen) > 1 and not _goes_together(seen, kind):
        raise refuse(
            f"{shown} mixes units",
            'write one unit, or feet with inches ("2 ft 3 in"), or '
            'pounds with ounces ("2 lb 3 oz")',
        )
    return sign * total


def _amount(term: re.Match[str], refuse: Callable[[str], BadInput], shown: str) -> Fraction:
    if term["over"] is not None:
        if int(term["under"]) == 0:
            raise refuse(f"{shown} divides by nought")
        return Fraction(int(term["whole"] or 0)) + Fraction(int(term["over"]), int(term["under"]))
    if term["whole"] is not None:
        raise refuse(f"{shown} has two numbers before its unit")
    return Fraction(term["number"])


def _goes_together(seen: list[str], kind: str) -> bool:
    """Two units, the large one first: feet and inches, pounds and ounces."""
    sizes = [_KINDS[kind][unit] for unit in seen]
    return any(
        sizes == [_KINDS[kind].get(large), _KINDS[kind].get(small)] for large, small in _PAIRS
    )


def _bare(kind: str, tidy: str) -> str:
    if kind == "mass":
        return f'the unit too, such as "{tidy} kg"'
    if kind == "angle":
        return f'the number without quotes, or "{tidy} deg"'
    return f'the number without quotes, or its unit too, such as "{tidy} mm"'


def _shown(text: str) -> str:
    """A typed text in quotes, cut short when it is long."""
    flat = " ".join(text.split())
    return f'"{flat if len(flat) <= 40 else flat[:37] + "..."}"'
