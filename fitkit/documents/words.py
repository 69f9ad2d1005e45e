"""A plan's sizes in words that a builder understands."""

from __future__ import annotations

from fitkit.documents.naming import size, sizes
from fitkit.plan import Plan


def interior_words(plan: Plan) -> str:
    """Interior sizes, and the ready-made case that they are of."""
    case = plan.fit.ready_made
    of = "" if case is None else f"{case.name}: "
    return f"{of}interior {sizes(plan.fit.interior.size_mm)}"


def outside_words(plan: Plan) -> str:
    """Outside sizes and mass."""
    more = " and more" if plan.mass.unknown else ""
    outside = sizes(plan.outside_mm) if plan.outside_known else "not measured"
    return f"outside {outside} · {size(plan.mass.total_kg, 2)} kg{more}"
