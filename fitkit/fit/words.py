"""How good a fit is, in words: one way of saying it for terminal, page and notebook."""

from __future__ import annotations

import math

from fitkit.fit.layout import Fit
from fitkit.payload.model import Objective
from fitkit.units import number_text

AIMS: dict[Objective, str] = {
    "volume": "inside volume",
    "plan": "inside plan area",
    "longest": "longest inside side",
    "linear": "sum of the inside sides",
    "first": "inside volume",
}
"""What each objective makes small."""


def amount(value: float, objective: Objective) -> str:
    """A value of an objective with a unit that reads well: litres, square decimetres or mm.

    >>> amount(61_712_000.0, "volume"), amount(220_400.0, "plan"), amount(580.0, "longest")
    ('61.71 L', '22.04 dm²', '580 mm')
    """
    if objective in ("volume", "first"):
        return f"{number_text(value / 1e6, places=2)} L"
    if objective == "plan":
        return f"{number_text(value / 1e4, places=2)} dm²"
    return f"{number_text(value, places=1)} mm"


def key_figure(fit: Fit) -> str:
    """What the search aimed at, and the value it reached."""
    return f"{AIMS[fit.objective]} {amount(fit.value, fit.objective)}"


def above_least(fit: Fit) -> str:
    """How far the value can be from the least possible."""
    if fit.misses:
        return "the nearest that was found; it misses a limit"
    if fit.ready_made is not None:
        return (
            "proven: no case before it holds the kit"
            if fit.proven
            else "not proven: cases before it are still open"
        )
    if fit.proven:
        return "proven: nothing smaller exists"
    if not math.isfinite(fit.bound) or fit.bound <= 0:
        return "how far from the least is not known"
    return f"at most {number_text(100 * (fit.value / fit.bound - 1), places=1)} % above the least"


def bound_words(fit: Fit) -> str:
    """The bound, and the name under which it holds."""
    if fit.proven or fit.ready_made is not None:
        return f"bound: {fit.bound_name}"
    return f"bound {amount(fit.bound, fit.objective)}: {fit.bound_name}"
