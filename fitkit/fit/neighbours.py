"""The one rule on who keeps which distance, used by the check, the board and the search.

Two bodies keep the item clearance (the web) from each other seen from above if they share a level,
or if their height ranges in the closed case overlap: then they stand beside each other, whichever
half or tier they belong to. All others may lie above each other; where they do, they keep the tier
clearance (the pad) from body to body, in one half and across the closing plane alike. A zone and a
body keep the item clearance if they share a level or the zone's height band meets the body's.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from fitkit.fit.place import Placed
from fitkit.payload.model import Payload

Heights = float | NDArray[np.float64]
"""One height, or one for each of many [mm]."""

TOLERANCE_MM = 1e-4
"""Heights that overlap by no more than this only touch [mm]."""


def heights_overlap(
    low_mm: Heights, high_mm: Heights, other_low_mm: Heights, other_high_mm: Heights
) -> NDArray[np.bool_]:
    """Whether the height ranges [low, high] and [other_low, other_high] overlap [mm].

    Numbers, or arrays of one shape. Ranges that touch do not overlap.

    >>> bool(heights_overlap(0.0, 40.0, 30.0, 50.0)), bool(heights_overlap(0.0, 40.0, 40.0, 50.0))
    (True, False)
    """
    below = np.less(low_mm, np.subtract(other_high_mm, TOLERANCE_MM))
    return np.asarray(below & np.less(other_low_mm, np.subtract(high_mm, TOLERANCE_MM)))


def keep_web(one: Placed, other: Placed) -> bool:
    """Whether two bodies keep the item clearance from each other, seen from above."""
    return one.level == other.level or bool(
        heights_overlap(one.z0_mm, one.z1_mm, other.z0_mm, other.z1_mm)
    )


def keep_web_from_zone(guest: Placed, owner: Placed, z0_mm: float, z1_mm: float) -> bool:
    """Whether ``guest``'s body keeps the item clearance from a zone of ``owner``.

    The zone's band is [z0, z1]. On one level the guest is lifted past the zone, so the band does
    not matter. The room before the front of a mounted item is its recess: what faces it across
    the closing plane is judged by the closing gap.
    """
    if before_front(owner, z0_mm, z1_mm) and guest.placement.half != owner.placement.half:
        return False
    return guest.level == owner.level or bool(
        heights_overlap(guest.z0_mm, guest.z1_mm, z0_mm, z1_mm)
    )


def before_front(owner: Placed, z0_mm: float, z1_mm: float) -> bool:
    """Whether a zone lies between a mounted item and the closing plane."""
    if owner.item.mount is None:
        return False
    if owner.placement.half == "shallow":
        return z1_mm <= owner.z0_mm + TOLERANCE_MM
    return z0_mm >= owner.z1_mm - TOLERANCE_MM


def pad_asked_mm(payload: Payload, *, facing: bool = False, mounted: bool = False) -> float:
    """The least height between two bodies above each other [mm].

    The tier clearance; for ``facing`` bodies of a pair, or where one of them is ``mounted``,
    nothing more than their recesses.
    """
    apart = facing and (mounted or payload.case.form == "pair")
    return 0.0 if apart else payload.case.clearance.tier_mm


def pad_short(payload: Payload, one: Placed, other: Placed) -> bool:
    """Whether two bodies that may lie above each other have too little height between them."""
    facing = one.placement.half != other.placement.half
    mounted = one.item.mount is not None or other.item.mount is not None
    asked_mm = pad_asked_mm(payload, facing=facing, mounted=mounted)
    return pad_mm(one, other) < asked_mm - TOLERANCE_MM


def pad_mm(one: Placed, other: Placed) -> float:
    """The height between two bodies; below nothing where their height ranges overlap [mm]."""
    return max(other.z0_mm - one.z1_mm, one.z0_mm - other.z1_mm)
