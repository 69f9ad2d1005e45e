"""The outside of a case: what it measures over its profiles, and which halves are too shallow."""

from __future__ import annotations

from attrs import frozen

from fitkit.fit.layout import Half, Interior
from fitkit.payload.model import ReadyMade, Wall
from fitkit.payload.walls import build_up_mm, least_depth_mm, outside_mm


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


def halves_too_shallow(interior: Interior, *, wall: Wall) -> tuple[Half, ...]:
    """The halves whose upright corner profiles would have no length left."""
    least = least_depth_mm(wall.profile)
    return tuple(half for half in interior.halves if half.depth_mm < least - 1e-9)
