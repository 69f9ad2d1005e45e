"""Panels by closed formulas on the interior: an oracle for the graph of the box."""

from __future__ import annotations

from collections.abc import Iterator

from attrs import frozen

from fitkit.fit.layout import HalfName, Interior
from fitkit.payload.model import Wall
from fitkit.payload.walls import build_up_mm
from fitkit.payload.workshop import Side
from fitkit.shell.panels import slot_bottom_mm

PLAY_MM = 0.5
TONGUE_RIM_MM = 4.0
GROOVE_RIM_MM = 6.0


@frozen
class Panel:
    """One panel as cut [mm], and where its middle is in the case's coordinates.

    ``length_mm`` runs along the case's longer way (x, or y for the end walls), ``width_mm`` across
    it: y for bottom and top, upwards for walls.
    """

    half: HalfName
    side: Side
    length_mm: float
    width_mm: float
    centre_mm: tuple[float, float, float]


def panels_by_interior(interior: Interior, *, wall: Wall) -> tuple[Panel, ...]:
    """The panels of a case with square corners, as cut, those left out that have no size."""
    return tuple(
        panel for panel in _panels(interior, wall) if panel.length_mm > 0 and panel.width_mm > 0
    )


def _panels(interior: Interior, wall: Wall) -> Iterator[Panel]:
    profile = wall.profile
    thick = build_up_mm(profile)
    inset = slot_bottom_mm(profile) + PLAY_MM
    length, width, height = interior.size_mm
    long_mm = length + 2 * thick - 2 * inset
    short_mm = width + 2 * thick - 2 * inset
    # from the room's face out to the middle of the panel in its slot
    out = thick - profile.outer_leaf_mm - profile.slot_mm / 2
    floor, lid = interior.halves[0].name, interior.halves[-1].name
    yield Panel(floor, "bottom", long_mm, short_mm, (length / 2, width / 2, -out))
    yield Panel(lid, "top", long_mm, short_mm, (length / 2, width / 2, height + out))
    closing = interior.closing_mm
    for upper, half in enumerate(interior.halves):
        rim = (GROOVE_RIM_MM if upper else TONGUE_RIM_MM) + PLAY_MM
        tall = half.depth_mm + thick - inset - rim
        z = closing + rim + tall / 2 if upper else closing - rim - tall / 2
        yield Panel(half.name, "front", long_mm, tall, (length / 2, -out, z))
        yield Panel(half.name, "back", long_mm, tall, (length / 2, width + out, z))
        yield Panel(half.name, "left", short_mm, tall, (-out, width / 2, z))
        yield Panel(half.name, "right", short_mm, tall, (length + out, width / 2, z))
