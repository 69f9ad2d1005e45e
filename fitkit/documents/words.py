"""A plan's key figures in words that a builder understands."""

from __future__ import annotations

from fitkit.documents.naming import size, sizes
from fitkit.plan import Plan

AIMS = {
    "volume": "inside volume",
    "plan": "floor area",
    "longest": "longest outside side",
    "linear": "sum of the outside sides",
    "first": "inside volume",
}


def amount(plan: Plan, value: float) -> str:
    """A value of the plan's objective with its unit: litres, square decimetres or millimetres."""
    objective = plan.fit.objective
    if objective in ("volume", "first"):
        return f"{size(value / 1e6, 2)} L"
    if objective == "plan":
        return f"{size(value / 1e4, 2)} dm²"
    return f"{size(value)} mm"


def key_figure(plan: Plan) -> str:
    """What the search aimed at, and the value it reached."""
    return f"{AIMS[plan.fit.objective]} {amount(plan, plan.fit.value)}"


def above_least(plan: Plan) -> str:
    """How far the value can be from the least possible."""
    fit = plan.fit
    if fit.misses:
        return "nearest that was found; it misses a limit"
    if fit.proven:
        return "proven: nothing smaller exists"
    if fit.bound <= 0:
        return "how far from the least is not known"
    return f"at most {size((fit.value / fit.bound - 1) * 100)} % above the least"


def bound_words(plan: Plan) -> str:
    """The proven least, and how it is known."""
    fit = plan.fit
    if fit.proven:
        return f"bound: {fit.bound_name}"
    return f"bound {amount(plan, fit.bound)}: {fit.bound_name}"


def interior_words(plan: Plan) -> str:
    """Interior sizes."""
    return f"interior {sizes(plan.fit.interior.size_mm)}"


def outside_words(plan: Plan) -> str:
    """Outside sizes and mass."""
    more = " and more" if plan.mass.unknown else ""
    return f"outside {sizes(plan.outside_mm)} · {size(plan.mass.total_kg, 2)} kg{more}"
