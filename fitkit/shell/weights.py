"""What the empty case weighs, piece by piece.

Panels: net area times mass per area. Profiles: length times mass per metre, as the builder weighed
it or as their section comes out (:func:`edge_kg_per_m`). Hardware and fasteners: as their records
say. Supports of mounted items: as their records say, each in its middle. What has no mass is named,
never counted as nothing.
"""

from __future__ import annotations

import math

from attrs import frozen

from fitkit.payload.hardware import KINDS, type_for, type_named
from fitkit.payload.model import Payload, Profile
from fitkit.reference.rivets import rivet_sizes
from fitkit.shell.frame import from_panel, out_of
from fitkit.shell.model import Bar, Panel, Point, Shell
from fitkit.shell.panels import wall_board

ALUMINIUM_KG_M3 = 2700.0
"""Density of aluminium and its wrought alloys [kg/m3] (EN 1999-1-1, read second hand)."""

FRAME = "profiles"
HARDWARE = "hardware"
RIVETS = "rivets (estimated as solid aluminium)"
SUPPORTS = "rails, sub-panels, battens and blocks"


@frozen
class Weight:
    """One piece of the empty case: what it is counted with, its mass [kg] and its centre [mm]."""

    name: str
    group: str
    mass_kg: float
    centre_mm: Point


@frozen
class Weights:
    """The pieces of an empty case, and what has no mass or is not weighed."""

    pieces: tuple[Weight, ...]
    unknown: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()


def edge_kg_per_m(profile: Profile) -> float:
    """Mass of a metre of edge profile by its section [kg/m]: m = rho A.

    A = (2 a - f) f + 2 (l wi + s wb): two outer legs ``a`` of thickness ``f`` that share their
    corner, two inner leaves of length ``l`` (``engagement``) and thickness ``wi``, and a web ``wb``
    at the bottom of each slot ``s``. An estimate: fillets and ribs are not in it. Valid for leaves
    thinner than their leg.

    >>> round(edge_kg_per_m(Profile()), 3)
    0.415
    """
    legs = (2 * profile.leg_mm - profile.outer_leaf_mm) * profile.outer_leaf_mm
    slots = profile.engagement_mm * profile.inner_leaf_mm + profile.slot_mm * profile.slot_web_mm
    return (legs + 2 * slots) * 1e-6 * ALUMINIUM_KG_M3


def closing_kg_per_m(profile: Profile) -> float:
    """Mass of a metre of closing profile by its section [kg/m]: m = rho A.

    A = q f + l wi + (f + s + wi) wb: the outer leaf ``q``, one inner leaf, and a web across the
    whole wall; the tongue is taken from the groove. An estimate, as for :func:`edge_kg_per_m`.

    >>> round(closing_kg_per_m(Profile()), 3)
    0.202
    """
    leaf = profile.closing_leaf_mm * profile.outer_leaf_mm
    inner = profile.engagement_mm * profile.inner_leaf_mm
    across = profile.outer_leaf_mm + profile.slot_mm + profile.inner_leaf_mm
    return (leaf + inner + across * profile.slot_web_mm) * 1e-6 * ALUMINIUM_KG_M3


def weights_of(payload: Payload, shell: Shell) -> Weights:
    """The mass of every piece of an empty case, and where it is.

    Openings are taken out of their panels, holes are not. A profile's mass lies a quarter of its
    leg in from its edge on both faces, rivets in the middle of their holes. Bolts, screws, nuts and
    washers belong to the hardware that they hold: weigh a foot with its bolt and nut.
    """
    profile = payload.wall.profile
    pieces: list[Weight] = []
    unknown: list[str] = []
    cut = {panel.name: 0.0 for panel in shell.panels}
    for opening in shell.openings:
        cut[opening.panel] += float(opening.shape.area)
    for panel in shell.panels:
        if panel.areal_kg_m2 is None:
            unknown.append(f"panels ({panel.board}: kg per m2 not given)")
            continue
        net_m2 = panel.area_m2 - cut[panel.name] * 1e-6
        mass_kg = net_m2 * panel.areal_kg_m2
        pieces.append(
            Weight(f"panel, {panel.name}", f"panels, {panel.board}", mass_kg, _middle(panel, shell))
        )
    per_m = {"edge": profile.kg_per_m, "tongue": profile.closing_kg_per_m}
    estimated = {"edge": edge_kg_per_m(profile), "tongue": closing_kg_per_m(profile)}
    for bar in shell.bars:
        kind = "edge" if bar.kind == "edge" else "tongue"
        given = per_m[kind]
        weight = (bar.length_mm + bar.short_mm) / 2000.0
        mass_kg = weight * (estimated[kind] if given is None else given)
        group = FRAME if given is not None else f"{FRAME} (estimated from their section)"
        pieces.append(Weight(f"profile, {bar.name}", group, mass_kg, _along(bar, profile)))
    for one in shell.hardware:
        each = type_named(payload, one.kind, one.type).mass_kg
        if each is None:
            unknown.append(f"{one.type} (mass not given)")
        else:
            pieces.append(Weight(one.name, HARDWARE, each, one.centre_mm))
    for fastener in shell.fasteners:
        if fastener.kind == "rivet":
            holes = [hole.at_mm for hole in shell.holes if hole.fastener == fastener.name]
            mass_kg = rivet_kg(fastener.size) if fastener.mass_kg is None else fastener.mass_kg
            pieces.append(
                Weight(fastener.name, RIVETS, mass_kg * fastener.used, _mean(holes, shell))
            )
    for support in shell.supports:
        if support.kg is None:
            unknown.append(f"{support.kind}s of the {support.item} (mass not given)")
        else:
            x, y, z = ((a + b) / 2 for a, b in zip(support.low_mm, support.high_mm, strict=True))
            pieces.append(Weight(support.name, SUPPORTS, support.kg, (x, y, z)))
    return Weights(tuple(pieces), tuple(dict.fromkeys(unknown)))


def rivet_kg(size: str) -> float:
    """Mass of one set blind rivet by its size, such as "4.0 x 16" [kg]: m = rho (V_body + V_head).

    Body and head as solid aluminium cylinders, the head as wide and high as the table says (two
    diameters by a quarter, where it knows none). An estimate, a little high: the body is a tube
    when the mandrel has gone.

    >>> round(rivet_kg("4.0 x 16") * 1000, 2)
    0.68
    """
    d_mm, length_mm = (float(word) for word in size.split(" x "))
    known = rivet_sizes().get(d_mm)
    head, high = (known.head_mm, known.head_height_mm) if known else (2 * d_mm, d_mm / 4)
    volume_mm3 = math.pi / 4 * (d_mm**2 * length_mm + head**2 * high)
    return volume_mm3 * 1e-9 * ALUMINIUM_KG_M3


def _mean(points: list[Point], shell: Shell) -> Point:
    """The middle of some places; without any, that of the case."""
    points = points or [shell.assembly.low_mm, shell.assembly.high_mm]
    x, y, z = (sum(point[k] for point in points) / len(points) for k in range(3))
    return (x, y, z)


def fills_its_openings(payload: Payload) -> bool:
    """Whether every sunk piece of hardware weighs at least what is cut out of a panel for it.

    Then a case with its hardware is never lighter than its panels and profiles alone.
    """
    shop = payload.workshop
    if shop.exits or shop.removable:  # cable exits and finger pockets are left open
        return False
    boards = [wall_board(payload), *(choice.board for choice in payload.workshop.panels)]
    areal = max(board.areal_kg_m2 or 0.0 for board in boards)
    for kind in KINDS:
        one = type_for(payload, kind)
        if one.dish_mm is not None:
            cut_kg = one.dish_mm[0] * one.dish_mm[1] * 1e-6 * areal
            if (one.mass_kg or 0.0) < cut_kg:
                return False
    return True


def _middle(panel: Panel, shell: Shell) -> Point:
    """The centre of a panel without its openings."""
    holes = [one.shape for one in shell.openings if one.panel == panel.name]
    area = panel.length_mm * panel.width_mm
    u, v = area * panel.length_mm / 2, area * panel.width_mm / 2
    for shape in holes:
        u -= float(shape.area * shape.centroid.x)
        v -= float(shape.area * shape.centroid.y)
        area -= float(shape.area)
    if area <= 0 or not holes:
        return panel.centre_mm
    outer, inner = (from_panel(panel, u / area, v / area, out=out) for out in (True, False))
    x, y, z = ((a + b) / 2 for a, b in zip(outer, inner, strict=True))
    return (x, y, z)


def _along(bar: Bar, profile: Profile) -> Point:
    """The middle of a profile, a quarter of its leg in from the edge on both faces."""
    at = [(a + b) / 2 for a, b in zip(bar.start_mm, bar.end_mm, strict=True)]
    for side in bar.sides:
        axis, sign = out_of(side)
        at[axis] -= sign * profile.leg_mm / 4
    return (at[0], at[1], at[2])
