"""What a fall asks of gear: how far it must be let move, or how hard it pulls at its mount.

Here and everywhere in fitkit, G is the greatest acceleration in units of g: G = a / g. The force
between a thing and what stops it from falling is then F = m g (G + 1): it carries the weight too.
Speed at impact after a free fall from the height h is v = sqrt(2 g h).
"""

from __future__ import annotations

import math
from typing import Literal

GRAVITY_M_S2 = 9.80665
"""Standard acceleration of free fall [m/s2]."""

Cushion = Literal["linear", "ideal"]


def stopping_mm(drop_mm: float, shock_g: float, *, cushion: Cushion = "linear") -> float:
    """The least way in which a thing can be stopped without more than ``shock_g`` [mm].

    With G = a / g: ``h / G`` for an ideal cushion, that pushes back alike all the way, and
    ``2 h / (G - 1)`` for a linear one, whose push grows with the way: from m g (h + s) = F s / 2
    and F = m g (G + 1). Foam lies between the two; the linear one is on the safe side.
    (G = F / W, the force over the weight, would be h / (G - 1) and 2 h / (G - 2).)

    Valid for G above 1; ValueError below, and for a fall from below 0.

    >>> stopping_mm(460.0, 47.0), stopping_mm(460.0, 46.0, cushion="ideal")
    (20.0, 10.0)
    """
    if shock_g <= 1:
        raise ValueError("nothing is stopped with a shock of 1 G or less")
    if drop_mm < 0:
        raise ValueError("a fall is from 0 or above")
    return drop_mm / shock_g if cushion == "ideal" else 2 * drop_mm / (shock_g - 1)


def impact_m_s(drop_mm: float) -> float:
    """Speed at impact after a free fall [m/s]: v = sqrt(2 g h).

    >>> round(impact_m_s(460.0), 2)
    3.0
    """
    return math.sqrt(2 * GRAVITY_M_S2 * drop_mm / 1000)


def weight_n(mass_kg: float) -> float:
    """Weight of a mass [N]: m g."""
    return mass_kg * GRAVITY_M_S2


def weights_in_fall(drop_mm: float, sag_mm: float) -> float:
    """How many times its weight a thing pulls at a springy mount that hits the ground from h.

    ``sag_mm`` is how far the mount gives way under the weight at rest, w. A fall of height h onto a
    linear spring: m g (h + s) = m g s^2 / 2 w, so s / w = 1 + sqrt(1 + 2 h / w). Infinite for
    a mount that does not give way at all. ValueError for a height or a sag below 0.

    >>> weights_in_fall(0.0, 1.0), weights_in_fall(460.0, 0.0)
    (2.0, inf)
    """
    if drop_mm < 0 or sag_mm < 0:
        raise ValueError("heights of fall and sags are 0 or above")
    return math.inf if sag_mm == 0 else 1 + math.sqrt(1 + 2 * drop_mm / sag_mm)
