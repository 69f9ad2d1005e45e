"""Whether outlines lie on a common lattice: then nothing is lost by moving in its steps."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import shapely

from fitkit.fit.pieces import Piece

SAME = 1e-6
"""Coordinates that differ by less than this share of the largest are the same."""

FINEST = 1 / 400
"""A lattice with more steps than this along the largest outline is none."""


def lattice_mm(pieces: Iterable[Piece]) -> float | None:
    """The step of the lattice on which the vertices of all pieces lie [mm]; None if there is none.

    Only pieces that turn by quarters at most stay on it. Along each axis the distances of an
    outline's vertices from its first are whole multiples of the step.
    """
    known = set(pieces)
    if any(piece.item.turn == "free" for piece in known):
        return None
    spans = []
    for piece in known:
        for outline in (piece.outline, *(room.outline for room in piece.plan.rooms)):
            xy = shapely.get_coordinates(outline)
            spans.append(np.abs(xy - xy[0]).ravel())
        spans.append(np.abs(shapely.get_coordinates(piece.outline)).ravel())
    values = np.unique(np.concatenate(spans))
    most = float(values.max())
    step = 0.0
    for value in values:
        step = _common(step, float(value), SAME * most)
        if 0.0 < step < FINEST * most:
            return None
    # the steps of the largest span are whole: that rules the rounding out
    return most / round(most / step) if step > 0 else None


def _common(a: float, b: float, same: float) -> float:
    """The largest number of which both are multiples, to within ``same``."""
    while b > same:
        a, b = b, a % b
        if a - b <= same:  # a remainder just below the divisor is rounding
            b = 0.0
    return a
