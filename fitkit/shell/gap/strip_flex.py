"""How far a board on two opposite edges gives way, its other two edges free."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.polynomial import legendre
from numpy.typing import NDArray

from fitkit.reference.moduli import Rigidity
from fitkit.shell.gap.flex import Pair

WAVES = 39
"""Half-waves along the span that are counted."""

SHAPES = 61
"""Polynomials across the board that are counted."""

Array = NDArray[np.float64]


def strip_compliance(
    sides_mm: Pair,
    rigidity: Rigidity,
    *,
    load_at_mm: Pair,
    load_mm: Pair,
    at_mm: Pair,
    coupling_nmm: float = 0.0,
) -> float:
    """How far a board on its two short ends gives way at a point for each newton [mm/N].

    ``sides_mm`` are the span between the two edges that it lies on, and its width between the two
    free ones; points count from a corner, along the span first. The force is spread evenly over a
    patch of ``load_mm`` round ``load_at_mm``. By the method of Ritz, half-waves along the span and
    Legendre polynomials across, from the energy ``Dx wxx2 + 2 D1 wxx wyy + Dy wyy2 + 2 (H - D1)
    wxy2`` over 2: from below, within 1 % of the printed tables. ``coupling_nmm`` is D1 (Poisson's
    ratio times D; 0: never too stiff). ValueError where a side or a rigidity is not above 0.

    A uniform load on a square, ratio 0.3: 0.01309 q a^4 / D in its middle (Timoshenko and
    Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed., table 47; from memory).

    >>> square = strip_compliance((1.0, 1.0), Rigidity(1.0, 1.0, 1.0), load_at_mm=(0.5, 0.5),
    ...                           load_mm=(1.0, 1.0), at_mm=(0.5, 0.5), coupling_nmm=0.3)
    >>> round(square, 4)
    0.0131
    """
    if min(*sides_mm, rigidity.along_nmm, rigidity.across_nmm, rigidity.twist_nmm) <= 0:
        raise ValueError("a board has sides and a rigidity above 0")
    return _ritz(sides_mm, rigidity, load_at_mm, load_mm, at_mm, coupling_nmm)


@lru_cache(maxsize=512)
def _ritz(
    sides: Pair, rigidity: Rigidity, load_at: Pair, load: Pair, at: Pair, coupling: float
) -> float:
    a, b = sides
    flat, slope, bent, mixed = _across()
    here = legendre.legvander(np.array([2 * at[1] / b - 1]), SHAPES - 1)[0]
    pushed = _pushed(b, load_at[1], load[1])
    total = 0.0
    for m in range(1, WAVES + 1):
        wave = m * math.pi / a
        stiff = (a / 2) * (
            rigidity.along_nmm * wave**4 * flat * (b / 2)
            - coupling * wave**2 * mixed * (2 / b)
            + rigidity.across_nmm * bent * (2 / b) ** 3
            + 2 * (rigidity.twist_nmm - coupling) * wave**2 * slope * (2 / b)
        )
        along = math.sin(wave * load_at[0]) * float(np.sinc(m * load[0] / (2 * a)))
        shape = np.linalg.solve(stiff, pushed * along)
        total += math.sin(wave * at[0]) * float(here @ shape)
    return total


@lru_cache(maxsize=1)
def _across() -> tuple[Array, Array, Array, Array]:
    """Integrals from -1 to 1 of products of the polynomials, their slopes and their bends."""
    at, weight = legendre.leggauss(SHAPES + 2)
    one: Array = legendre.legvander(at, SHAPES - 1).astype(np.float64)
    unit = np.eye(SHAPES)
    first: Array = np.stack(
        [legendre.legval(at, legendre.legder(row)) for row in unit], axis=1
    ).astype(np.float64)
    second: Array = np.stack(
        [legendre.legval(at, legendre.legder(row, 2)) for row in unit], axis=1
    ).astype(np.float64)

    def product(left: Array, right: Array) -> Array:
        return np.asarray(left.T @ (weight[:, None] * right), dtype=np.float64)

    return (
        product(one, one),
        product(first, first),
        product(second, second),
        product(one, second) + product(second, one),
    )


def _pushed(width: float, middle: float, patch: float) -> Array:
    """The mean of each polynomial over the patch, or its value at a point."""
    low, high = (2 * (middle + side * patch / 2) / width - 1 for side in (-1, 1))
    if high - low < 1e-9:
        return np.asarray(legendre.legvander(np.array([low]), SHAPES - 1)[0], dtype=np.float64)
    at, weight = legendre.leggauss(SHAPES + 2)
    values = legendre.legvander((low + high) / 2 + at * (high - low) / 2, SHAPES - 1)
    return np.asarray(weight @ values / 2, dtype=np.float64)
