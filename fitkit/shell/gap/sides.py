"""What each side of a gap adds: an item with what holds it, the foam opposite, or a panel."""

from __future__ import annotations

from attrs import frozen

from fitkit.fit.layout import Interior
from fitkit.fit.place import Placed
from fitkit.foam.model import Point
from fitkit.shell.gap import tolerances
from fitkit.shell.gap.closed import Closed
from fitkit.shell.gap.facing import in_first_half, is_mounted, recess_mm
from fitkit.shell.gap.model import Contribution
from fitkit.shell.gap.moves import item_in_drop, panel_in_drop, pressed


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


def item_side(one: Placed, closed: Closed) -> Side:
    """What an item adds: its half, what it stands on, its own height, and how it gives way."""
    payload, half = closed.payload, one.placement.half
    found = [*_half(half, closed)]
    if is_mounted(one):
        on_back = closed.on_back(one)
        found += tolerances.of_mount(one.label, one.item, payload=payload, on_back=on_back)
    else:
        first = in_first_half(one, closed.interior)
        under = one.z0_mm if first else closed.interior.height_mm - one.z1_mm
        found += tolerances.of_foam(f"foam under {one.label}", under, payload=payload)
    found.append(tolerances.of_item(one.label, one.item, payload=payload))
    if not is_mounted(one) or closed.on_back(one):
        found += pressed(half, closed)
    found += item_in_drop(one, closed)
    return Side(one.label, recess_mm(one, closed.interior), tuple(found))


def foam_side(half: str, closed: Closed) -> Side:
    """What the foam of a half adds that is filled up to the closing plane."""
    depth = next(one.depth_mm for one in closed.interior.halves if one.name == half)
    label = f"foam of the {half} half"
    found = [*_half(half, closed)]
    found += tolerances.of_foam(label, depth, payload=closed.payload)
    found += pressed(half, closed)
    return Side(label, 0.0, tuple(found))


def panel_side(half: str, closed: Closed, *, at_mm: Point) -> Side:
    """What the panel behind a half adds; of a tray, its lid."""
    panel = closed.back(half)
    depth = next((one.depth_mm for one in closed.interior.halves if one.name == half), 0.0)
    found = (
        *_half(half, closed),
        *pressed(half, closed),
        *panel_in_drop(half, closed, at_mm=at_mm[:2]),
    )
    return Side(f"panel {panel.name if panel else half}", depth, found)


def _half(half: str, closed: Closed) -> tuple[Contribution, ...]:
    names = [one.name for one in closed.interior.halves]
    if not closed.panels:  # a ready-made case: nothing of it is sawn or slides into a slot
        return tolerances.of_half(half, measured=True, payload=closed.payload)[:1]
    if half not in names:
        return (tolerances.of_lid(payload=closed.payload),)
    measured = closed.payload.case.depths_mm[names.index(half)] is not None
    return tolerances.of_half(half, measured=measured, payload=closed.payload)
