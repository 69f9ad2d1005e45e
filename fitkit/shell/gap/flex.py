"""How far boards and rails give way: plates on four edges, beams on two ends.

A panel sits in slots on all four edges: it is taken as simply supported, which lets it give way
more than slots do. Deflections are those of thin plates (small against the thickness): above half
of the thickness a plate is stiffer than counted here, so the figures are on the safe side.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from fitkit.reference.moduli import Rigidity

TERMS = 101
"""Terms of the double series along each side; the middle is then right within 0.1 %."""

RITZ_TERMS = 8
"""Waves along each side of a plate held fast."""

Pair = tuple[float, float]


def plate_compliance(
    sides_mm: Pair, rigidity: Rigidity, *, load_at_mm: Pair, load_mm: Pair, at_mm: Pair
) -> float:
    """How far a plate gives way at a point for each newton on a patch [mm/N].

    Navier's double series for a plate a x b, simply supported, under a force P spread evenly over
    a patch u x v about (x0, y0)::

        w(x, y) = sum over m, n of P_mn sin(m pi x / a) sin(n pi y / b)
                  / (pi^4 (Dx (m/a)^4 + 2 H (m n)^2 / (a b)^2 + Dy (n/b)^4))
        P_mn = 4 P / (a b) sin(m pi x0 / a) sin(n pi y0 / b) sinc(m u / 2 a) sinc(n v / 2 b)

    ``sides_mm`` are a and b; ``rigidity`` has Dx along a, Dy along b and H; all three are D for a
    board that is alike every way. ``load_mm`` 0 x 0 is a force at one point, a x b an even
    pressure. Points count from the plate's corner. ValueError where a side or a rigidity is not
    above 0.

    Square of side a, force in the middle: 0.0116 P a^2 / D (Timoshenko and Woinowsky-Krieger,
    Theory of Plates and Shells, 2nd ed., table 23; from memory).

    >>> square = plate_compliance((1.0, 1.0), Rigidity(1.0, 1.0, 1.0), load_at_mm=(0.5, 0.5),
    ...                           load_mm=(0.0, 0.0), at_mm=(0.5, 0.5))
    >>> round(square, 4)
    0.0116
    """
    if min(*sides_mm, rigidity.along_nmm, rigidity.across_nmm, rigidity.twist_nmm) <= 0:
        raise ValueError("a plate has sides and a rigidity above 0")
    return _series(sides_mm, rigidity, load_at_mm, load_mm, at_mm)


@lru_cache(maxsize=4096)
def _series(sides: Pair, rigidity: Rigidity, load_at: Pair, load: Pair, at: Pair) -> float:
    a, b = sides
    dx, dy = rigidity.along_nmm, rigidity.across_nmm
    m = np.arange(1, TERMS + 1, dtype=float)
    along = np.sin(m * math.pi * load_at[0] / a) * np.sinc(m * load[0] / (2 * a))
    across = np.sin(m * math.pi * load_at[1] / b) * np.sinc(m * load[1] / (2 * b))
    along *= np.sin(m * math.pi * at[0] / a)
    across *= np.sin(m * math.pi * at[1] / b)
    p, q = (m / a) ** 2, (m / b) ** 2
    stiff = dx * (p**2)[:, None] + 2 * rigidity.twist_nmm * np.outer(p, q) + dy * (q**2)[None, :]
    total = float(np.sum(np.outer(along, across) / stiff))
    return 4 * total / (a * b * math.pi**4)


def middle_mm(force_n: float, sides_mm: Pair, rigidity: Rigidity) -> float:
    """How far the middle of a plate gives way to a force there [mm].

    ``w = alpha P a^2 / D``, alpha from the series of :func:`plate_compliance`.

    >>> round(middle_mm(100.0, (460.0, 300.0), Rigidity(278244.0, 104049.0, 27088.0)), 2)
    1.5
    """
    middle = (sides_mm[0] / 2, sides_mm[1] / 2)
    return force_n * plate_compliance(
        sides_mm, rigidity, load_at_mm=middle, load_mm=(0.0, 0.0), at_mm=middle
    )


def beam_compliance(span_mm: float, stiffness_nmm2: float) -> float:
    """How far a beam on two ends gives way in its middle for each newton there [mm/N].

    ``w = P L^3 / (48 E I)``; ``stiffness_nmm2`` is E I [N mm2]. A uniform load of the same sum
    gives 5/8 of it. From memory, in every table of beams. ValueError where either is not above 0.

    >>> round(100 * beam_compliance(400.0, 69000.0 * 30 * 20**3 / 12), 4)
    0.0966
    """
    if span_mm <= 0 or stiffness_nmm2 <= 0:
        raise ValueError("a beam has a span and a stiffness above 0")
    return span_mm**3 / (48 * stiffness_nmm2)


def held_compliance(sides_mm: Pair, rigidity: Rigidity, *, load_mm: Pair) -> float:
    """How far the middle of a plate held fast on all edges gives way for each newton [mm/N].

    The force is spread evenly over a patch in the middle (0 x 0: one point). By the method of Ritz
    with ``(1 - cos 2 pi m x / a)(1 - cos 2 pi n y / b)``, m and n up to 8: from below, and
    within 1 % of the printed tables. ValueError where a side or a rigidity is not above 0.

    Square, force in the middle: 0.0056 P a^2 / D (Timoshenko and Woinowsky-Krieger, Theory of
    Plates and Shells, 2nd ed., table 37; from memory).

    >>> round(held_compliance((1.0, 1.0), Rigidity(1.0, 1.0, 1.0), load_mm=(0.0, 0.0)), 4)
    0.0056
    """
    if min(*sides_mm, rigidity.along_nmm, rigidity.across_nmm, rigidity.twist_nmm) <= 0:
        raise ValueError("a plate has sides and a rigidity above 0")
    return _ritz(sides_mm, rigidity, load_mm)


@lru_cache(maxsize=512)
def _ritz(sides: Pair, rigidity: Rigidity, load: Pair) -> float:
    a, b = sides
    m = np.arange(1, RITZ_TERMS + 1, dtype=float)
    whole = np.ones((m.size, m.size)) + 0.5 * np.eye(m.size)
    wave_x, wave_y = (2 * math.pi * m / a) ** 2, (2 * math.pi * m / b) ** 2
    stiff = (
        rigidity.along_nmm * np.kron(np.diag(wave_x**2) * a / 2, b * whole)
        + 2 * rigidity.twist_nmm * np.kron(np.diag(wave_x) * a / 2, np.diag(wave_y) * b / 2)
        + rigidity.across_nmm * np.kron(a * whole, np.diag(wave_y**2) * b / 2)
    )
    sign = np.cos(math.pi * m)
    pushed = np.kron(1 - sign * np.sinc(m * load[0] / a), 1 - sign * np.sinc(m * load[1] / b))
    middle = np.kron(1 - sign, 1 - sign)
    return float(middle @ np.linalg.solve(stiff, pushed))
