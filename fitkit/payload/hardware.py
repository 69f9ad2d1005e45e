"""The hardware that a case gets: the builder's own types, and generic ones for the rest."""

from __future__ import annotations

from functools import cache
from typing import cast, get_args

from attrs import evolve

from fitkit.payload.model import Payload
from fitkit.payload.workshop import Fixing, HardwareKind, HardwareType, HoleAt
from fitkit.reference.hardware import GenericHardware, generic_hardware

RIVET_PLAY_MM = 0.1
"""How much wider a rivet's hole is than the rivet [mm] (rivet rules, source S03, read)."""

BOLT_HOLE_MM = 6.6
"""Hole for the M6 bolt of a foot or castor [mm]: ISO 273, medium (source S09, read)."""

KINDS: tuple[HardwareKind, ...] = get_args(HardwareKind)


def generic(*, rivet_mm: float = 4.0) -> dict[HardwareKind, HardwareType]:
    """A generic type for every kind, as a placeholder; each says that it is an assumption.

    Holes for rivets are 0.1 mm wider than the rivet of ``rivet_mm``.

    >>> sorted(generic()) == sorted(KINDS), generic()["latch"].holes[0].diameter_mm
    (True, 4.1)
    """
    return {kind: _made(kind, rivet_mm) for kind in KINDS}


LOW: dict[HardwareKind, str] = {"handle": "low handle", "latch": "low latch"}
"""Kinds that have a generic piece which is not sunk, for where a sunk one has no room."""


def low_type(kind: HardwareKind, *, rivet_mm: float = 4.0) -> HardwareType | None:
    """The generic piece that is not sunk: nothing is cut for it; None if its kind has none.

    >>> low = low_type("handle")
    >>> low is not None and low.dish_mm is None, low_type("foot")
    (True, None)
    """
    return evolve(_made(LOW[kind], rivet_mm), kind=kind) if kind in LOW else None


def type_named(payload: Payload, kind: HardwareKind, name: str) -> HardwareType:
    """The type that a fitted piece is of, by its kind and its type's name.

    The case's type of that kind, unless the name is that of the generic one that is not sunk.

    >>> type_named(Payload("kit", ()), "handle", "strap handle").flange_mm
    (150.0, 30.0)
    """
    own = type_for(payload, kind)
    low = low_type(kind, rivet_mm=payload.workshop.hardware.rivet_mm)
    return low if low is not None and name == low.name != own.name else own


def with_low(payload: Payload, kind: HardwareKind) -> Payload | None:
    """The payload with the generic piece that is not sunk, where a generic sunk one would be.

    None where the builder has a piece of that kind, or nothing would change.
    """
    wishes = payload.workshop.hardware
    low = low_type(kind, rivet_mm=wishes.rivet_mm)
    own = type_for(payload, kind)
    if low is None or own in wishes.types or own.dish_mm is None:
        return None
    shop = evolve(payload.workshop, hardware=evolve(wishes, types=(*wishes.types, low)))
    return evolve(payload, workshop=shop)


@cache
def _made(kind: str, rivet_mm: float) -> HardwareType:
    row: GenericHardware = generic_hardware()[kind]
    across = rivet_mm + RIVET_PLAY_MM if row.fixing == "rivet" else BOLT_HOLE_MM
    return HardwareType(
        kind=cast(HardwareKind, row.kind),
        name=row.name,
        flange_mm=row.flange_mm,
        dish_mm=row.dish_mm,
        dish_corner_mm=row.dish_corner_mm,
        depth_mm=row.depth_mm,
        stands_mm=row.stands_mm,
        holes=tuple(HoleAt(x, y, across) for x, y in row.holes),
        fixing=cast(Fixing, row.fixing),
        mass_kg=row.mass_kg,
        known=row.known,
    )


def type_for(payload: Payload, kind: HardwareKind) -> HardwareType:
    """The builder's own type of that kind, or the generic one.

    A generic corner reaches as far along the edges as the builder's profile says.

    >>> type_for(Payload("kit", ()), "handle").known
    'assumption'
    """
    wishes = payload.workshop.hardware
    for own in wishes.types:
        if own.kind == kind:
            return own
    found = _made(kind, wishes.rivet_mm)
    if kind == "corner":
        reach = payload.wall.profile.corner_reach_mm
        found = evolve(found, flange_mm=(reach, reach))
    return found
