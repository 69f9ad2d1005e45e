"""How deep a cut goes: over which layers of its half, from which to which."""

from __future__ import annotations

from attrs import frozen

from fitkit.fit.layout import HalfName
from fitkit.foam.model import CutoutKind, Foam


@frozen
class Depth:
    """A cut goes from the top of layer ``top`` down through layer ``bottom``: ``depth_mm`` in all.

    Layers count from the half's own floor. ``floor_mm`` is the foam left under the cut.
    """

    top: int
    bottom: int
    depth_mm: float
    floor_mm: float


def depth_of(
    foam: Foam, *, half: HalfName, key: tuple[str, int], kind: CutoutKind, index: int
) -> Depth:
    """How deep the cut of one copy and kind goes that crosses layer ``index`` of a half.

    Layers that follow each other count as one cut. ValueError if the layer has no such cut.
    """
    thick = {one.index: one.thickness_mm for one in foam.layers if one.half == half}
    crossed = {
        one.index
        for one in foam.layers
        if one.half == half and any((c.item, c.copy) == key and c.kind == kind for c in one.cutouts)
    }
    if index not in crossed:
        raise ValueError(f"layer {index} of the {half} half has no {kind} of {key[0]} {key[1]}")
    top = bottom = index
    while top + 1 in crossed:
        top += 1
    while bottom - 1 in crossed:
        bottom -= 1
    through = sum(thick[k] for k in range(bottom, top + 1))
    under = sum(mm for k, mm in thick.items() if k < bottom)
    return Depth(top, bottom, round(through, 6), round(under, 6))
