"""What a way of cutting is worth, in words: how much is bought, whether less would do, waste."""

from __future__ import annotations

from collections import Counter

from fitkit.documents.naming import size
from fitkit.stock.model import BarPlan, FoamPlan, SheetPlan


def count_words(count: int, one: str, several: str = "") -> str:
    """A number and its word.

    >>> count_words(1, "sheet"), count_words(3, "sheet")
    ('1 sheet', '3 sheets')
    """
    return f"{count} {one}" if count == 1 else f"{count} {several or one + 's'}"


def bars_bought_words(plan: BarPlan) -> str:
    """How many bars of which length, and how many kept pieces."""
    new = Counter(bar.length_mm for bar in plan.bars if not bar.offcut)
    parts = [
        f"{count_words(count, 'bar')} of {size(long)}" for long, count in sorted(new.items())[::-1]
    ]
    kept = sum(bar.offcut for bar in plan.bars)
    if kept:
        parts.append(count_words(kept, "piece that you have", "pieces that you have"))
    return " and ".join(parts) or "nothing to buy"


def bar_plan_words(plan: BarPlan) -> list[str]:
    """Bound, waste, and what the naive way would take; then how the saw is set."""
    if plan.proven:
        least = f"proven: no way of sawing takes less than {size(plan.bound_mm)} mm of new bars"
    else:
        least = f"at least {size(plan.bound_mm)} mm of new bars are needed; not proven to be least"
    sums = f"{share(plan.waste)} % waste"
    first = f"piece by piece in the order of the list: {count_words(plan.first_fit, 'new bar')}"
    saved = plan.first_fit_mm - plan.bought_mm
    more = f", {size(saved)} mm more" if saved > 0 else ", no more"
    setting = f"kerf {size(plan.kerf_mm)}"
    if plan.trim_mm:
        setting += f", {size(plan.trim_mm)} trimmed off each end of a new bar"
    return [f"{least}; bound: {plan.bound_name}", f"{sums}; {first}{more}; {setting}"]


def sheet_plan_words(plan: SheetPlan) -> str:
    """Bound, waste, and what the naive way would take."""
    whole = sum(sheet.length_mm * sheet.width_mm for sheet in plan.sheets)
    kept = sum(o.length_mm * o.width_mm for sheet in plan.sheets for o in sheet.offcuts)
    return _sheets_words(len(plan.sheets), plan.bound, plan.bound_name, plan.proven, plan.waste,
                         plan.first_fit, kept=kept / whole if whole else 0.0)  # fmt: skip


def foam_plan_words(plan: FoamPlan) -> str:
    """Bound, waste, and what the naive way would take."""
    return _sheets_words(len(plan.sheets), plan.bound, "", plan.proven, plan.waste, plan.first_fit)


def _sheets_words(
    count: int,
    bound: int,
    name: str,
    proven: bool,
    waste: float,
    first_fit: int,
    kept: float = 0.0,
) -> str:
    keep = f" ({share(kept)} % in offcuts worth keeping)" if kept else ""
    by = f"; bound: {name}" if name else ""
    if proven:
        least = f"{count_words(count, 'sheet')}, proven to be the least{by}"
    else:
        least = f"{count_words(count, 'sheet')}, at least {bound} needed{by}"
    naive = f"piece by piece in the order of the list: {count_words(first_fit, 'sheet')}"
    return f"{least}; {share(waste)} % waste{keep}; {naive}"


def share(value: float) -> str:
    """A share as a percentage, to a tenth.

    >>> share(0.2867)
    '28.7'
    """
    return size(100.0 * value)
