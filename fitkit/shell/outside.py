"""The shell around an interior: outside sizes, and the panels that slide into the profiles.

Symbols, as in the drawings of the shell: ``f`` outer leaf, ``s`` slot, ``wb`` web at the slot's
bottom, ``g`` play per panel edge, ``d`` distance from the slot's bottom to the closing plane on
the tongue or the groove side. ``E`` is an outside size, ``h`` the outside height of a half, and
``e = f + s + wb`` how far the slot's bottom lies inside the outer face.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from attrs import frozen

from fitkit.fit.layout import Half, HalfName, Interior
from fitkit.payload.model import Profile, ReadyMade, Wall
from fitkit.payload.walls import build_up_mm, least_depth_mm, outside_mm

PLAY_MM = 0.5
"""Play per panel edge in its slot, ``g`` [mm] (common practice, no source; an assumption)."""

TONGUE_RIM_MM = 4.0
"""Slot bottom to closing plane on the tongue side [mm] (placeholder; measure your profile)."""

GROOVE_RIM_MM = 6.0
"""Slot bottom to closing plane on the groove side [mm] (placeholder; measure your profile)."""

Side = Literal["bottom", "top", "front", "back", "left", "right"]


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

    @property
    def area_m2(self) -> float:
        """Area of one face [m2]."""
        return self.length_mm * self.width_mm * 1e-6


@frozen
class Outside:
    """What the outside of a case measures over its profiles [mm].

    ``half_heights_mm`` are the outside heights of the parts, lowest first; they add up to the
    third size. Latches, handles and feet stand out further and are not counted.
    """

    size_mm: tuple[float, float, float]
    half_heights_mm: tuple[float, ...]
    build_up_mm: float


def outside_of(interior: Interior, *, wall: Wall) -> Outside:
    """The outside of a case whose clear room is ``interior`` and whose walls are ``wall``.

    E = I + 2 T with T = f + s + wi; a part that has a floor is T higher than its depth. A tray's
    loose lid counts as a part of height T.

    >>> from fitkit.fit.layout import Half
    >>> inside = Interior(580.0, 380.0, (Half("deep", 190.0), Half("shallow", 90.0)))
    >>> outside_of(inside, wall=Wall())
    Outside(size_mm=(600.0, 400.0, 300.0), half_heights_mm=(200.0, 100.0), build_up_mm=10.0)
    """
    thick = build_up_mm(wall.profile)
    heights = tuple(half.depth_mm + thick for half in interior.halves)
    if len(interior.halves) == 1:
        heights = (*heights, thick)
    return Outside(
        size_mm=outside_mm(interior.size_mm, profile=wall.profile),
        half_heights_mm=heights,
        build_up_mm=thick,
    )


def ready_made_outside_mm(case: ReadyMade, *, interior: Interior) -> tuple[float, float, float]:
    """The outside of a ready-made case as measured [mm].

    Where it was not, it is at least the room inside, which is what comes back then.
    """
    if case.outside_mm is None:
        return interior.size_mm
    length, width, height = case.outside_mm
    return (
        (length, width, height)
        if interior.length_mm >= interior.width_mm
        else (width, length, height)
    )


def slot_bottom_mm(profile: Profile) -> float:
    """How far the slot's bottom lies inside the outer face [mm]: e = f + s + wb.

    >>> slot_bottom_mm(Profile())
    10.0
    """
    return profile.outer_leaf_mm + profile.slot_mm + profile.slot_web_mm


def panels_of(interior: Interior, *, wall: Wall) -> tuple[Panel, ...]:
    """The panels of a case with square corners, as cut; n stacked parts have 4 n + 2 of them.

    Length and width of a panel between two edge profiles: P = E - 2 (e + g). Height of a wall of
    a part of outside height h: h - (e + g) - (d + g). Valid where every part is at least
    :func:`fitkit.payload.walls.least_depth_mm` deep; a wall that would have no height is left
    out, and :mod:`fitkit.checks.limits` says so. A tray's loose lid is one flat panel. A draft or
    round corners of the room inside change no panel: they are made inside the panels.

    >>> from fitkit.fit.layout import Half
    >>> inside = Interior(580.0, 380.0, (Half("deep", 190.0), Half("shallow", 90.0)))
    >>> panels = panels_of(inside, wall=Wall())
    >>> len(panels), round(sum(panel.area_m2 for panel in panels), 5)
    (10, 0.95237)
    """
    return tuple(
        panel for panel in _panels(interior, wall) if panel.length_mm > 0 and panel.width_mm > 0
    )


def halves_too_shallow(interior: Interior, *, wall: Wall) -> tuple[Half, ...]:
    """The halves whose upright corner profiles would have no length left."""
    least = least_depth_mm(wall.profile)
    return tuple(half for half in interior.halves if half.depth_mm < least - 1e-9)


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
