"""Figures of a plan in words: sizes, masses, and how far from the best a case can be."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Literal

from fitkit.fit.words import AIMS, above_least, amount, grid_words
from fitkit.units import number_text

if TYPE_CHECKING:
    from fitkit.fit.layout import Fit
    from fitkit.fit.state import Progress

MM_PER_INCH = 25.4
GOALS = {
    "volume": "least volume",
    "plan": "least plan area",
    "longest": "shortest longest side",
    "linear": "least sum of the three sides",
    "first": "first case within the limits",
}


def size(lengths_mm: tuple[float, ...], units: Literal["mm", "in"]) -> str:
    """A size in mm, and in inches where the sheet is in inches.

    >>> size((580.0, 380.26, 280.0), "mm")
    '580 x 380.3 x 280 mm'
    >>> size((254.0, 127.0), "in")
    '254 x 127 mm (10 x 5 in)'
    """
    text = f"{' x '.join(number_text(length, places=1) for length in lengths_mm)} mm"
    if units == "mm":
        return text
    inches = " x ".join(number_text(length / MM_PER_INCH, places=2) for length in lengths_mm)
    return f"{text} ({inches} in)"


def distance_from_best(fit: Fit) -> str:
    """How far the case can be from the smallest possible one, in a sentence."""
    what = AIMS[fit.objective]
    if fit.ready_made is not None:
        return (
            "Certain: no case of your list that ranks before it holds the kit."
            if fit.proven
            else "Not certain: cases that rank before it are not all ruled out; search longer."
        )
    name = f"{fit.bound_name}, {grid_words(fit)}" if grid_words(fit) else fit.bound_name
    if fit.proven:
        return f"Proven: no case for this kit and these wishes has a smaller {what} ({name})."
    value, bound = amount(fit.value, fit.objective), amount(fit.bound, fit.objective)
    if fit.objective == "first":
        return f"The first case found within the limits; no case is below {bound} ({name})."
    if not math.isfinite(fit.bound) or fit.bound <= 0:
        return f"Not proven: no lower bound on the {what} is known."
    return (
        f"The {what} is {value}, {above_least(fit)}: no case can be below {bound} "
        f"({name}), so {100 * fit.gap:.1f} % is the most that could be saved."
    )


def standing(now: Progress) -> str:
    """Where the search stands, on one line of a progress bar."""
    if now.value is None or now.interior is None:
        if now.stage in ("boxes", "outlines"):
            return "first layout ..."
        return f"{now.stage} ..."
    best = size(now.interior.size_mm, "mm")
    gap = f"gap {100 * now.gap:.1f} %" if now.gap is not None and now.bound > 0 else "no bound"
    return f"{now.seconds:4.1f} s  {best}  {gap}  by {now.by}"


def figure(value: float | None, unit: str) -> str:
    """A value of a finding with its unit; a dash where it is not known.

    >>> figure(15.04, "mm"), figure(None, "mm"), figure(3.0, "items")
    ('15 mm', '-', '3 items')
    """
    if value is None:
        return "-"
    number = number_text(value, places=2 if unit == "kg" else 1)
    if unit == "items" and number == "1":
        unit = "item"
    return f"{number} {unit}".strip()
