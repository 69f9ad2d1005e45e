"""Where a case of each form is cut into its parts: halves, rings, doors, lids, drawer fronts.

A form is a row of parts along one axis, from its low to its high end, and the planes between
them. What a form needs more than the room inside has to give is left out and said.
"""

from __future__ import annotations

from typing import Literal

from attrs import frozen

from fitkit.payload.model import Payload
from fitkit.payload.walls import build_up_mm
from fitkit.payload.workshop import Opening, Workshop
from fitkit.shell.model import Axis, Trouble

LEAST_MM = 1e-6
"""Lengths up to this are nothing [mm]: what is left of one after adding and taking away."""

OPENS_ALONG: dict[Opening, Axis] = {
    "lid": "z",
    "front": "y",
    "left": "x",
    "right": "x",
    "ends": "x",
}
"""The axis along which a tray opens."""

_Which = Literal["below", "above"]


@frozen
class Meeting:
    """Where two neighbours of a row meet: at which height along its axis, and on whose tongue.

    ``plate`` says which of the two is flat, if either is; then there is no tongue.
    """

    at_mm: float
    tongue: _Which | None
    plate: _Which | None = None


@frozen
class Row:
    """The parts of a case along ``axis``, from its low end, and where they meet.

    ``left_out`` says which wishes could not be kept.
    """

    axis: Axis
    names: tuple[str, ...]
    meetings: tuple[Meeting, ...]
    left_out: tuple[Trouble, ...] = ()


def halves_row(depths_mm: tuple[float, float], *, payload: Payload) -> Row:
    """The row of a box or a pair whose halves have those inside depths [mm], along z.

    Rings are cut from the deep half right under the closing plane, the lowest first. A door is
    flat and as thick as the wall, or a pan of ``door_mm`` outside depth. A loose back is flat,
    "back deep" and "back shallow"; where there are doors there are no loose backs.

    >>> row = halves_row((190.0, 90.0), payload=Payload("kit", ()))
    >>> row.names, [meeting.at_mm for meeting in row.meetings]
    (('deep', 'shallow'), [190.0])
    """
    shop, thick = payload.workshop, build_up_mm(payload.wall.profile)
    deep_mm, shallow_mm = depths_mm
    doors = shop.doors and payload.case.form == "pair"
    closer = "door" if doors else "back"
    pan_mm, troubles = _pan_mm(depths_mm, shop, thick) if doors else (None, [])
    into_mm = 0.0 if pan_mm is None else pan_mm - thick
    rings = _rings(deep_mm - into_mm, shop, "deep half", troubles)

    inner: _Which = "below" if shop.tongue == "deep" else "above"
    outer: _Which = "above" if shop.tongue == "deep" else "below"
    names = ["deep", *(f"ring {index + 1}" for index in range(len(rings))), "shallow"]
    meetings = [Meeting(deep_mm - sum(rings[index:]), inner) for index in range(len(rings))]
    meetings.append(Meeting(deep_mm, inner))
    if doors or shop.removable:
        flat = pan_mm is None
        height_mm = deep_mm + shallow_mm
        names = [f"{closer} deep", *names, f"{closer} shallow"]
        meetings = [
            Meeting(into_mm, None if flat else outer, "below" if flat else None),
            *meetings,
            Meeting(height_mm - into_mm, None if flat else inner, "above" if flat else None),
        ]
    return Row("z", tuple(names), tuple(meetings), tuple(troubles))


def tray_row(size_mm: tuple[float, float, float], *, payload: Payload) -> Row:
    """The row of a tray of that inside size [mm], along the axis on which it opens.

    Its lid, drawer front or doors are flat and as thick as the wall. Rings lie between the tray
    and its opening, "ring 1" next to the tray; with doors at both ends, towards the right one.

    >>> row = tray_row((400.0, 300.0, 200.0), payload=Payload("kit", ()))
    >>> row.axis, row.names, row.meetings[0].plate
    ('z', ('tray', 'lid'), 'above')
    """
    shop = payload.workshop
    troubles: list[Trouble] = []
    axis = OPENS_ALONG[shop.opening]
    room_mm = size_mm["xyz".index(axis)]
    rings = _rings(room_mm, shop, "tray", troubles)
    names = ["tray", *(f"ring {index + 1}" for index in range(len(rings)))]
    tongue: _Which
    if shop.opening in ("front", "left"):
        tongue = "above" if shop.tongue == "deep" else "below"
        closer = "drawer front" if shop.opening == "front" else "door left"
        meetings = [Meeting(0.0, None, "below")]
        meetings += [Meeting(sum(rings[index:]), tongue) for index in reversed(range(len(rings)))]
        return Row(axis, (closer, *reversed(names)), tuple(meetings), tuple(troubles))
    tongue = "below" if shop.tongue == "deep" else "above"
    meetings = [Meeting(room_mm - sum(rings[index:]), tongue) for index in range(len(rings))]
    meetings.append(Meeting(room_mm, None, "above"))
    if shop.opening == "lid":
        return Row(axis, (*names, "lid"), tuple(meetings), tuple(troubles))
    if shop.opening == "ends":
        names = ["door left", *names]
        meetings = [Meeting(0.0, None, "below"), *meetings]
    return Row(axis, (*names, "door right"), tuple(meetings), tuple(troubles))


def _pan_mm(
    depths_mm: tuple[float, float], shop: Workshop, thick_mm: float
) -> tuple[float | None, list[Trouble]]:
    """The depth of doors that are pans; None where they are flat, or have to be."""
    if shop.door_mm is None:
        return None, []
    least, most = thick_mm, min(depths_mm) + thick_mm
    if least + LEAST_MM < shop.door_mm < most - LEAST_MM:
        return shop.door_mm, []
    shallow = shop.door_mm <= least + LEAST_MM
    short = least - shop.door_mm if shallow else shop.door_mm - most
    what = (
        f"pans {shop.door_mm:.1f} mm deep outside are no deeper than the wall of {thick_mm:.1f} mm"
        if shallow
        else f"pans {shop.door_mm:.1f} mm deep outside leave nothing of a half that is "
        f"{min(depths_mm):.1f} mm deep inside"
    )
    remedy = (
        f"make them deeper than {least:.1f} mm, or flat ones"
        if shallow
        else f"make them less than {most:.1f} mm deep, or the halves deeper"
    )
    return None, [Trouble("doors", what, max(0.0, short), remedy)]


def _rings(
    room_mm: float, shop: Workshop, where: str, troubles: list[Trouble]
) -> tuple[float, ...]:
    """The rings, where they leave something of what they are cut from; else none, and said."""
    total = sum(shop.rings_mm)
    if not shop.rings_mm or total < room_mm - LEAST_MM:
        return shop.rings_mm
    count = len(shop.rings_mm)
    troubles.append(
        Trouble(
            "rings",
            f"{'the ring takes' if count == 1 else f'{count} rings take'} {total:.1f} mm "
            f"of the {where}, that has {room_mm:.1f} mm",
            total - room_mm,
            f"make them less than {room_mm:.1f} mm high together, or the {where} deeper",
        )
    )
    return ()
