"""A plan's sizes in words that a builder understands."""

from __future__ import annotations

from fitkit.documents.naming import size, sizes
from fitkit.plan import Plan


def interior_words(plan: Plan) -> str:
    """Interior sizes."""
    return f"interior {sizes(plan.fit.interior.size_mm)}"


def outside_words(plan: Plan) -> str:
    """Outside sizes and mass."""
    more = " and more" if plan.mass.unknown else ""
    return f"outside {sizes(plan.outside_mm)} · {size(plan.mass.total_kg, 2)} kg{more}"
