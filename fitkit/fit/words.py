"""How good a fit is, in words: one way of saying it for terminal, page and notebook."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from fitkit.fit.layout import Fit, Improvement
from fitkit.payload.model import Objective
from fitkit.units import number_text

if TYPE_CHECKING:
    from fitkit.fit.state import Progress

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


def grid_words(fit: Fit) -> str:
    """The grid on which bound and proof hold: "sides in whole millimetres"; "" if not known."""
    if fit.grid_mm is None:
        return ""
    if fit.grid_mm == 1.0:
        return "sides in whole millimetres"
    return f"sides in steps of {number_text(fit.grid_mm, places=2)} mm"


def bound_words(fit: Fit) -> str:
    """The bound, the name under which it holds, and the grid on which it does."""
    if fit.ready_made is not None:
        return f"bound: {fit.bound_name}"
    grid = f", {grid_words(fit)}" if fit.grid_mm is not None else ""
    if fit.proven:
        return f"bound: {fit.bound_name}{grid}"
    if fit.bound <= 0:
        return "no bound was worked out"
    return f"bound {amount(fit.bound, fit.objective)}: {fit.bound_name}{grid}"


def found_words(fit: Fit) -> str:
    """Who found the layout and how it got better: first and last step; "" where nobody knows.

    Seconds are left out where work was counted instead of time.

    >>> from fitkit.fit.layout import Half, Improvement, Interior
    >>> steps = (Improvement(0.1, 62e6, "boxes"), Improvement(7.5, 58e6, "outlines"))
    >>> room = Interior(500.0, 400.0, (Half("deep", 290.0),))
    >>> found_words(Fit("volume", 58e6, 50e6, "areas", 0.138, False, 10.0, 1, room, (), steps))
    'found by outlines at 7.5 s; the first of 2, by boxes at 0.1 s, came to 62 L'
    """
    if not fit.history:
        return ""
    first, last = fit.history[0], fit.history[-1]
    timed = any(step.seconds > 0 for step in fit.history)

    def who(step: Improvement) -> str:
        return f"by {step.by}" + (f" at {step.seconds:.1f} s" if timed else "")

    if len(fit.history) == 1:
        return f"found {who(last)}, the first layout"
    return (
        f"found {who(last)}; the first of {len(fit.history)}, {who(first)}, came to "
        f"{amount(first.value, fit.objective)}"
    )


def standing_words(now: Progress, objective: Objective) -> str:
    """Where a running search stands: the best so far and who found it, the gap to which bound."""
    if now.value is None:
        return "no layout yet"
    best = f"{amount(now.value, objective)} by {now.by}"
    if now.gap is None or now.bound <= 0:
        return best
    return f"{best}, gap {100 * now.gap:.1f} % to {now.bound_name}"
