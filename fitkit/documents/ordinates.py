"""Dimensions from one corner: each place told once, labels spread so that none overlap."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from attrs import frozen

from fitkit.documents.lettering import CAP_SHARE
from fitkit.documents.naming import size
from fitkit.documents.sheet import Anchor, Mark, Path, Style, Text, polyline

LABEL_MM = 2.6
GAP_MM = 3.5
"""From one label's line to the next [mm]."""
JOG_MM = (1.6, 4.2, 5.6)
"""How far from the edge a leader bends, stands straight again, and ends [mm]."""
WITNESS_MM = 0.08
"""Width of the lines that lead from a feature to the edge [mm]."""
TIER_MM = 11.0
"""How much further out a second row of labels stands [mm]."""


@frozen
class Place:
    """A place along an edge [mm] at the drawing's own size, and where on paper it is [mm].

    ``to_mm`` is where on paper, across the edge, the nearest feature of that place stands.
    """

    value_mm: float
    at_mm: float
    to_mm: float
    bold: bool = False


def merged(
    places: Iterable[Place],
    *,
    same_mm: float = 0.05,
    nearest: Callable[[float, float], float] = min,
) -> list[Place]:
    """Places in order, those that would read alike told once: the nearest feature, bold if any.

    ``nearest`` picks of two features the one nearer to the edge.
    """
    found: list[Place] = []
    for one in sorted(places, key=lambda place: place.value_mm):
        if found and one.value_mm - found[-1].value_mm < same_mm:
            last = found[-1]
            near = nearest(last.to_mm, one.to_mm)
            found[-1] = Place(last.value_mm, last.at_mm, near, last.bold or one.bold)
        else:
            found.append(one)
    return found


def spread(wanted: Sequence[float], *, gap: float, low: float, high: float) -> list[float]:
    """Places in order, at least ``gap`` apart and within the ends, as near to ``wanted`` as may be.

    Least squares by pooling neighbours (isotonic regression of x - k gap). Where they have no room
    between the ends they run over the high one.

    >>> spread([0.0, 1.0, 10.0], gap=3.0, low=-5.0, high=20.0)
    [-1.0, 2.0, 10.0]
    """
    pools: list[list[float]] = []  # sum, count
    for k, value in enumerate(wanted):
        pools.append([value - k * gap, 1.0])
        while len(pools) > 1 and pools[-2][0] / pools[-2][1] > pools[-1][0] / pools[-1][1]:
            total, count = pools.pop()
            pools[-1][0] += total
            pools[-1][1] += count
    flat = [total / count for total, count in pools for _ in range(int(count))]
    n = len(flat)
    placed = [value + k * gap for k, value in enumerate(flat)]
    placed = [min(value, high - (n - 1 - k) * gap) for k, value in enumerate(placed)]
    return [max(value, low + k * gap) for k, value in enumerate(placed)]


def below(places: Iterable[Place], *, edge_mm: float, low: float, high: float) -> list[Mark]:
    """Places along a lower edge at height ``edge_mm``, read from the right."""
    return _ordinates(places, edge_mm, low, high, level=True, out=-1.0)


def above(places: Iterable[Place], *, edge_mm: float, low: float, high: float) -> list[Mark]:
    """Places along an upper edge at height ``edge_mm``, read from the right."""
    return _ordinates(places, edge_mm, low, high, level=True, out=1.0)


def beside(places: Iterable[Place], *, edge_mm: float, low: float, high: float) -> list[Mark]:
    """Places along a left edge at ``edge_mm``, read from below."""
    return _ordinates(places, edge_mm, low, high, level=False, out=-1.0)


def _ordinates(
    places: Iterable[Place], edge: float, low: float, high: float, *, level: bool, out: float
) -> list[Mark]:
    found = merged(places, nearest=min if out < 0 else max)
    tiers = 1 if (len(found) - 1) * GAP_MM <= high - low else 2
    spots = [0.0] * len(found)
    for tier in range(tiers):
        part = found[tier::tiers]
        spots[tier::tiers] = spread([p.at_mm for p in part], gap=GAP_MM, low=low, high=high)
    marks: list[Mark] = []
    for k, (place, spot) in enumerate(zip(found, spots, strict=True)):
        end = JOG_MM[2] + TIER_MM * (k % tiers)
        path = [(place.at_mm, edge + 0.5 * out), (place.at_mm, edge + JOG_MM[0] * out),
                (spot, edge + JOG_MM[1] * out), (spot, edge + end * out)]  # fmt: skip
        witness = [(place.at_mm, edge), (place.at_mm, place.to_mm)]
        if not level:
            path, witness = [(y, x) for x, y in path], [(y, x) for x, y in witness]
        if abs(place.to_mm - edge) > 0.3:
            marks.append(Path((polyline(witness),), Style("quiet", WITNESS_MM)))
        marks.append(Path((polyline(path),), Style("quiet", 0.13)))
        text, rise = size(place.value_mm), LABEL_MM * CAP_SHARE / 2
        foot = edge + (end + 0.8) * out
        at, turn = ((spot + rise, foot), 90.0) if level else ((foot, spot - rise), 0.0)
        anchor: Anchor = "end" if out < 0 else "start"
        marks.append(Text(*at, text, LABEL_MM, anchor, place.bold, "ink", turn))
    return marks
