"""What each side of a gap adds: an item with what holds it, the foam opposite, or a panel."""

from __future__ import annotations

from attrs import frozen

from fitkit.fit.layout import Interior
from fitkit.fit.place import Placed
from fitkit.foam.model import Point
from fitkit.payload.model import Payload
from fitkit.shell.gap import tolerances
from fitkit.shell.gap.facing import in_first_half, is_mounted, recess_mm
from fitkit.shell.gap.model import Contribution
from fitkit.shell.model import Panel
from fitkit.shell.mounting.model import Support


@frozen(slots=False)
class Room:
    """The layout whose gaps are asked for, with its panels and supports."""

    payload: Payload
    interior: Interior
    placed: tuple[Placed, ...]
    panels: tuple[Panel, ...]
    supports: tuple[Support, ...]


@frozen
class Side:
    """One side of a gap: its label, its recess behind the closing plane [mm], what it adds."""

    label: str
    recess_mm: float
    contributions: tuple[Contribution, ...]


def opposite_half(one: Placed, interior: Interior) -> str:
    """The half that an item looks at: that on the other side of the plane, or the lid."""
    for half in interior.halves:
        if half.name != one.placement.half:
            return half.name
    return "lid"


def item_side(one: Placed, room: Room) -> Side:
    """What an item adds: its half, what it stands on, its own height."""
    payload = room.payload
    found = [*_half(one.placement.half, room)]
    if is_mounted(one):
        found += tolerances.of_mount(one.label, one.item, payload=payload)
    else:
        first = in_first_half(one, room.interior)
        under = one.z0_mm if first else room.interior.height_mm - one.z1_mm
        found += tolerances.of_foam(f"foam under {one.label}", under, payload=payload)
    found.append(tolerances.of_item(one.label, one.item, payload=payload))
    return Side(one.label, recess_mm(one, room.interior), tuple(found))


def foam_side(half: str, room: Room) -> Side:
    """What the foam of a half adds that is filled up to the closing plane."""
    depth = next(one.depth_mm for one in room.interior.halves if one.name == half)
    found = [*_half(half, room)]
    found += tolerances.of_foam(f"foam of the {half} half", depth, payload=room.payload)
    return Side(f"foam of the {half} half", 0.0, tuple(found))


def panel_side(half: str, room: Room, *, at_mm: Point) -> Side:
    """What the panel behind a half adds; of a tray, its lid."""
    panel = back_panel(half, room)
    depth = next((one.depth_mm for one in room.interior.halves if one.name == half), 0.0)
    name = panel.name if panel else half
    return Side(f"panel {name}", depth, _half(half, room))


def back_panel(half: str, room: Room) -> Panel | None:
    """The panel (or the door) behind a half; None where the shell has none."""
    side = "bottom" if half == room.interior.halves[0].name else "top"
    for part in (f"door {half}", half):
        for panel in room.panels:
            if panel.part == part and panel.side == side:
                return panel
    return None


def _half(half: str, room: Room) -> tuple[Contribution, ...]:
    names = [one.name for one in room.interior.halves]
    if half not in names:
        return (tolerances.of_lid(payload=room.payload),)
    measured = room.payload.case.depths_mm[names.index(half)] is not None
    return tolerances.of_half(half, measured=measured, payload=room.payload)
