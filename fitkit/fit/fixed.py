"""An interior that stays as it is: the wishes that keep a search within it."""

from __future__ import annotations

from attrs import evolve

from fitkit.fit.layout import Fit, Interior
from fitkit.payload.model import Limits, Payload
from fitkit.payload.walls import outside_mm

ACCURACY_MM = 0.01
"""A layout that is larger by no more than this fits [mm]."""


def within(payload: Payload, interior: Interior) -> Payload:
    """The payload asked to fit into ``interior``: its depths as given, length and width at most.

    The payload's own limits on the outside and on mass stay.
    """
    length_mm, width_mm, _ = outside_mm(interior.size_mm, profile=payload.wall.profile)
    asked = payload.case.limits
    given = asked.outside_mm
    most = (
        length_mm if given[0] is None else min(length_mm, given[0]),
        width_mm if given[1] is None else min(width_mm, given[1]),
        given[2],
    )
    depths = tuple(half.depth_mm for half in interior.halves)
    limits = Limits(outside_mm=most, linear_mm=asked.linear_mm, mass_kg=asked.mass_kg)
    both = (depths[0], depths[1] if len(depths) > 1 else None)
    return evolve(payload, case=evolve(payload.case, limits=limits, depths_mm=both))


def fits_into(fit: Fit, interior: Interior) -> bool:
    """Whether the layout that was found stands in ``interior`` as it is, without being turned."""
    found = fit.interior
    same_depths = len(found.halves) == len(interior.halves) and all(
        abs(one.depth_mm - other.depth_mm) <= ACCURACY_MM
        for one, other in zip(found.halves, interior.halves, strict=True)
    )
    return (
        not fit.misses
        and same_depths
        and found.length_mm <= interior.length_mm + ACCURACY_MM
        and found.width_mm <= interior.width_mm + ACCURACY_MM
    )
