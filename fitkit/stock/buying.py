"""What to buy, and what it costs where the builder gave a price."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence

from attrs import frozen

from fitkit.payload.workshop import HardwareType, Price, PriceUnit, StockWishes
from fitkit.shell.model import Shell
from fitkit.stock.model import BarPlan, Cost, FoamPlan, SheetPlan


@frozen
class Bought:
    """One thing to buy, in each unit by which it may be sold, the usual unit first.

    ``waste`` is the share of it that is thrown away or kept as offcuts (None: it is not cut).
    """

    what: str
    amounts: Mapping[PriceUnit, float]
    waste: float | None = None


def buying_of(
    wishes: StockWishes,
    *,
    shell: Shell,
    bars: Sequence[BarPlan],
    sheets: Sequence[SheetPlan],
    foam: Sequence[FoamPlan],
    types: Sequence[HardwareType] = (),
) -> tuple[tuple[Cost, ...], float | None, float | None, tuple[str, ...]]:
    """The buying list, its total, the cost of what is wasted, and the names without a price.

    A price goes by name, whatever its case, and by the unit that it is given for: each, bar, sheet,
    m, m2, or kg where the mass is known. Bars of different lengths are lines of their own where
    they are sold by the bar. ``types`` are the hardware's records, for their mass. Totals are None
    where nothing has a price.
    """
    lines = [
        _line(thing, wishes.prices)
        for thing in [
            *_bars(bars),
            *_sheets(sheets),
            *_foam(foam),
            *_hardware(shell, types),
            *_fasteners(shell),
        ]
    ]
    known = [line for line in lines if line.total is not None]
    total = math.fsum(line.total or 0.0 for line in known) if known else None
    waste = math.fsum(line.waste_cost or 0.0 for line in known) if known else None
    unpriced = tuple(dict.fromkeys(line.what for line in lines if line.total is None))
    return tuple(lines), total, waste, unpriced


def _line(thing: Bought, prices: Sequence[Price]) -> Cost:
    """The line of one thing: by the unit of its price, or by its usual unit without one."""
    given = {
        price.unit: price.price
        for price in prices
        if price.name.casefold() in (thing.what.casefold(), _plain(thing.what))
    }
    for unit, amount in thing.amounts.items():
        if unit in given:
            total = amount * given[unit]
            waste = None if thing.waste is None else total * thing.waste
            return Cost(thing.what, unit, amount, given[unit], total, waste)
    unit, amount = next(iter(thing.amounts.items()))
    return Cost(thing.what, unit, amount, None, None)


def _plain(what: str) -> str:
    """A bar's or sheet's name without its size.

    >>> _plain("Edge profile, bar of 3000 mm")
    'edge profile'
    """
    return what.casefold().rsplit(", bar of ", 1)[0]


def _bars(plans: Iterable[BarPlan]) -> Iterable[Bought]:
    for plan in plans:
        new = Counter(bar.length_mm for bar in plan.bars if not bar.offcut)
        for length, count in sorted(new.items(), reverse=True):
            bought = [b for b in plan.bars if not b.offcut and b.length_mm == length]
            used = math.fsum(stick.length_mm for bar in bought for stick in bar.sticks)
            what = plan.what if len(new) == 1 else f"{plan.what}, bar of {length:g} mm"
            metres = count * length / 1000
            yield Bought(what, {"bar": count, "m": metres}, 1 - used / (count * length))


def _sheets(plans: Iterable[SheetPlan]) -> Iterable[Bought]:
    for plan in plans:
        if plan.sheets:
            area = sum(sheet.length_mm * sheet.width_mm for sheet in plan.sheets) * 1e-6
            yield Bought(plan.what, {"sheet": len(plan.sheets), "m2": area}, plan.waste)


def _foam(plans: Iterable[FoamPlan]) -> Iterable[Bought]:
    for plan in plans:
        if plan.sheets:
            area = sum(sheet.length_mm * sheet.width_mm for sheet in plan.sheets) * 1e-6
            yield Bought(plan.what, {"sheet": len(plan.sheets), "m2": area}, plan.waste)


def _hardware(shell: Shell, types: Sequence[HardwareType]) -> Iterable[Bought]:
    masses = {one.name: one.mass_kg for one in types}
    for name, count in Counter(fitted.type for fitted in shell.hardware).items():
        yield Bought(name, _pieces(count, masses.get(name)))
    closing = sum(corner.kind == "closing" for corner in shell.corners)
    if closing:
        yield Bought("closing corner", {"each": closing})
    # a shell whose hardware is not placed has its outer corners all the same
    outer = sum(corner.kind == "outer" for corner in shell.corners)
    if outer and not any(fitted.kind == "corner" for fitted in shell.hardware):
        yield Bought("corner", {"each": outer})


def _fasteners(shell: Shell) -> Iterable[Bought]:
    for fastener in shell.fasteners:
        yield Bought(fastener.name, _pieces(fastener.buy, fastener.mass_kg))


def _pieces(count: int, mass_kg: float | None) -> dict[PriceUnit, float]:
    amounts: dict[PriceUnit, float] = {"each": count}
    if mass_kg is not None:
        amounts["kg"] = count * mass_kg
    return amounts
