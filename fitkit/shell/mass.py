"""What the loaded case weighs, part by part, and where its centre is.

Only what is known is weighed: items whose mass was given, foam by volume and density, panels by
area. What is missing is named, never counted as nothing: :attr:`Mass.unknown` lists it, and
:attr:`Mass.total_kg` is then the least that the case weighs.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from attrs import evolve, frozen

from fitkit.fit.layout import Interior, Placement
from fitkit.fit.place import place_all, turned_item
from fitkit.foam.model import Foam, Layer
from fitkit.payload.model import Face, Item, Payload, ReadyMade
from fitkit.payload.pose import Solid
from fitkit.shell.bare_shell import bare_shell
from fitkit.shell.model import Shell
from fitkit.shell.weights import Weight, Weights, weights_of

Point = tuple[float, float, float]

NOT_WEIGHED = ("corners", "latches, hinges, handles, feet and rivets")
"""Parts of the shell that are not weighed where its hardware is not known."""


@frozen
class MassPart:
    """A share of the case's mass: what it is, how heavy [kg], where its centre is [mm]."""

    name: str
    mass_kg: float
    centre_mm: tuple[float, float, float]


@frozen
class Mass:
    """Mass of the loaded case by part.

    ``unknown`` names items and hardware whose mass was not given, ``left_out`` the parts of the
    shell that are not weighed. ``total_kg`` and ``centre_mm`` are those of ``parts``: without the
    rest. ``pieces`` are the shell's panels, profiles, hardware and fasteners one by one; ``parts``
    has them by group.
    """

    parts: tuple[MassPart, ...]
    total_kg: float
    centre_mm: tuple[float, float, float]
    unknown: tuple[str, ...] = ()
    left_out: tuple[str, ...] = ()
    pieces: tuple[MassPart, ...] = ()


def weigh(
    payload: Payload,
    *,
    interior: Interior,
    placements: tuple[Placement, ...],
    foam: Foam,
    ready_made: ReadyMade | None = None,
    shell: Shell | None = None,
) -> Mass:
    """The mass of the loaded case and the centre of what is known of it.

    An item's mass is taken to be spread evenly over its solid. A lining of one density: an accent
    layer is weighed as foam. The shell is weighed piece by piece (:mod:`fitkit.shell.weights`);
    without a ``shell`` its panels and profiles are. A ``ready_made`` case has none of these: it
    counts as it was weighed when empty, its centre taken to be that of the room.

    KeyError if a placement names an item that the payload lacks.
    """
    parts: list[MassPart] = []
    unknown: list[str] = []
    for placed in place_all(payload, placements):
        if placed.item.mass_kg is None:
            unknown.append(placed.label)
        else:
            parts.append(MassPart(placed.label, placed.item.mass_kg, centre_of(placed.solid)))
    density = payload.foam.density_kg_m3
    for half in interior.halves:
        layers = [layer for layer in foam.layers if layer.half == half.name]
        shares = [
            MassPart("", _volume_mm3(layer) * 1e-9 * density, _centre_of_layer(layer))
            for layer in layers
            if not layer.shape.is_empty
        ]
        if shares:
            parts.append(_joined(f"foam, {half.name} half", shares))
    case = _empty(payload, interior, ready_made, shell)
    return _mass(parts, unknown, case)


def known(
    payload: Payload,
    interior: Interior,
    placements: tuple[Placement, ...],
    *,
    ready_made: ReadyMade | None = None,
    shell: Shell | None = None,
) -> Mass:
    """What is known of a loaded case's mass before its foam is cut, and the centre of that.

    Items and the empty case are as for :func:`weigh`. The foam is the room's volume less the
    items', ``m = (L W H - sum of V) density``, never below 0: pockets and notches only take away
    from that. Quick enough for every move of an item. KeyError for an item that is not known.
    """
    items = {item.name: item for item in payload.items}
    parts: list[MassPart] = []
    unknown: list[str] = []
    length, width, height = interior.size_mm
    volume = length * width * height
    moment = [volume * side / 2 for side in (length, width, height)]
    for place in placements:
        item = items[place.item]
        body_mm3, centre = _spread(item, place.up, place.turn_deg)
        at = (centre[0] + place.x_mm, centre[1] + place.y_mm, centre[2] + place.z_mm)
        volume -= body_mm3
        moment = [m - body_mm3 * c for m, c in zip(moment, at, strict=True)]
        label = item.name if item.count == 1 else f"{item.name} {place.copy}"
        if item.mass_kg is None:
            unknown.append(label)
        else:
            parts.append(MassPart(label, item.mass_kg, at))
    if volume > 0:
        x, y, z = (m / volume for m in moment)
        parts.append(MassPart("foam", volume * 1e-9 * payload.foam.density_kg_m3, (x, y, z)))
    return _mass(parts, unknown, _empty(payload, interior, ready_made, shell))


def _empty(
    payload: Payload, interior: Interior, ready_made: ReadyMade | None, shell: Shell | None
) -> Weights:
    """The empty case: as it was weighed, or piece by piece."""
    if ready_made is not None:
        if ready_made.mass_kg is None:
            return Weights((), (f"the empty case {ready_made.name} (mass not given)",))
        length, width, height = interior.size_mm
        middle = (length / 2, width / 2, height / 2)
        name = f"empty case, {ready_made.name}"
        return Weights((Weight(name, name, ready_made.mass_kg, middle),))
    if shell is not None:
        return weights_of(payload, shell)
    # gear and foam change no panel: one answer serves every place of the items
    return _frame(evolve(payload, items=(), assumptions=()), interior)


@lru_cache(maxsize=64)
def _frame(payload: Payload, interior: Interior) -> Weights:
    bare = bare_shell(payload, interior=interior)
    return evolve(weights_of(payload, bare), left_out=NOT_WEIGHED)


def _mass(parts: list[MassPart], unknown: list[str], case: Weights) -> Mass:
    groups: dict[str, list[MassPart]] = {}
    pieces = [MassPart(one.name, one.mass_kg, one.centre_mm) for one in case.pieces]
    for one, piece in zip(case.pieces, pieces, strict=True):
        groups.setdefault(one.group, []).append(piece)
    parts = [*parts, *(_joined(name, each) for name, each in groups.items())]
    whole = _joined("all", parts)
    return Mass(
        tuple(parts),
        whole.mass_kg,
        whole.centre_mm,
        (*unknown, *case.unknown),
        case.left_out,
        tuple(pieces),
    )


def centre_of(solid: Solid) -> Point:
    """Centre of a solid of even density [mm].

    >>> from fitkit.geometry.shapes import rectangle
    >>> from fitkit.payload.pose import Band
    >>> centre_of(Solid((Band(0.0, 10.0, rectangle(40.0, 20.0)),), ()))
    (20.0, 10.0, 5.0)
    """
    return _joined(
        "",
        [
            MassPart(
                "",
                float(band.shape.area) * (band.z1_mm - band.z0_mm),
                (
                    float(band.shape.centroid.x),
                    float(band.shape.centroid.y),
                    (band.z0_mm + band.z1_mm) / 2,
                ),
            )
            for band in solid.bands
        ],
    ).centre_mm


@lru_cache(maxsize=4096)
def _spread(item: Item, up: Face, turn_deg: float) -> tuple[float, Point]:
    """Volume [mm3] and centre [mm] of an item as it stands, its box's corner at the origin."""
    solid = turned_item(item, up, turn_deg).solid
    volume = sum(float(band.shape.area) * (band.z1_mm - band.z0_mm) for band in solid.bands)
    return volume, centre_of(solid)


def _volume_mm3(layer: Layer) -> float:
    return float(layer.shape.area) * layer.thickness_mm


def _centre_of_layer(layer: Layer) -> Point:
    middle = layer.shape.centroid
    return (float(middle.x), float(middle.y), (layer.z0_mm + layer.z1_mm) / 2)


def _joined(name: str, parts: Iterable[MassPart]) -> MassPart:
    """Several parts as one: masses added, centres weighted. Without mass the centre is 0."""
    parts = list(parts)
    total = sum(part.mass_kg for part in parts)
    if total <= 0:
        return MassPart(name, 0.0, (0.0, 0.0, 0.0))
    x, y, z = (
        sum(part.mass_kg * part.centre_mm[axis] for part in parts) / total for axis in range(3)
    )
    return MassPart(name, total, (x, y, z))
