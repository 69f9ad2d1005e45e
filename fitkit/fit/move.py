"""Moving items by hand: a placement shifted or turned, and the interior that follows.

Nothing here judges a layout; :mod:`fitkit.fit.gaps` does.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Iterable

from attrs import evolve

from fitkit.errors import BadInput, Fault
from fitkit.fit.assign import lift_of
from fitkit.fit.bounds import objective_value
from fitkit.fit.following import PlanBox as PlanBox
from fitkit.fit.following import following_box as following_box
from fitkit.fit.layout import Fit, HalfName, Interior, Placement
from fitkit.fit.pieces import Piece
from fitkit.fit.place import Placed, place
from fitkit.fit.validate import pose_faults
from fitkit.payload.model import Face, Item, Payload, Turn
from fitkit.payload.pose import flipped

Key = tuple[str, int]
"""An item's name and the number of its copy."""

TURN_STEP_DEG: dict[Turn, float] = {"free": 1.0, "quarter": 90.0, "half": 180.0, "fixed": 360.0}
"""Step between the turns that an item may take [degrees]; a free one goes by whole degrees."""


def key_of(placement: Placement) -> Key:
    """The key by which a placement is found: its item's name and copy."""
    return (placement.item, placement.copy)


def find(placements: Iterable[Placement], key: Key) -> Placement:
    """The placement of ``key``; KeyError if there is none."""
    for placement in placements:
        if key_of(placement) == key:
            return placement
    raise KeyError(key)


def plan_box(payload: Payload, placement: Placement) -> PlanBox:
    """The box of the body seen from above, as posed and turned (zones not counted)."""
    return PlanBox(*_bounds(place(payload.item(placement.item), placement)))


def shifted_to(
    placements: tuple[Placement, ...], key: Key, *, x_mm: float, y_mm: float
) -> tuple[Placement, ...]:
    """The placements with ``key``'s lower left corner at (x, y); the others as they are.

    KeyError if ``key`` is not placed.

    >>> here = Placement("probe", 1, "deep", 1, "top", 0.0, 20.0, 20.0, 25.0)
    >>> shifted_to((here,), ("probe", 1), x_mm=30.0, y_mm=20.0)[0].x_mm
    30.0
    """
    old = find(placements, key)
    return _with(placements, key, evolve(old, x_mm=x_mm, y_mm=y_mm))


def moved_together(
    placements: tuple[Placement, ...],
    keys: Collection[Key],
    *,
    lead: Key,
    x_mm: float,
    y_mm: float,
) -> tuple[Placement, ...]:
    """The placements with ``lead``'s lower left corner at (x, y) and all ``keys`` moved along.

    The lead goes there whether it is among ``keys`` or not. KeyError if one is not placed.

    >>> kit = tuple(Placement("probe", n, "deep", 1, "top", 0.0, 40.0 * n, 20.0, 25.0)
    ...             for n in (1, 2, 3))
    >>> both = moved_together(kit, [("probe", 1), ("probe", 3)], lead=("probe", 1),
    ...                       x_mm=45.0, y_mm=20.0)
    >>> [p.x_mm for p in both]
    [45.0, 80.0, 125.0]
    """
    old = find(placements, lead)
    for key in keys:
        find(placements, key)
    going = {*keys, lead}
    dx, dy = x_mm - old.x_mm, y_mm - old.y_mm
    moved = (
        evolve(p, x_mm=p.x_mm + dx, y_mm=p.y_mm + dy) if key_of(p) in going else p
        for p in placements
    )
    # the lead stands where it was asked to, to the last bit
    return _with(tuple(moved), lead, evolve(old, x_mm=x_mm, y_mm=y_mm))


def allowed_turn(turn: Turn, *, from_deg: float, to_deg: float) -> float:
    """The turn that an item may take nearest to ``to_deg``, starting at ``from_deg`` [degrees].

    A free item takes any turn; the others go from where they stand by quarters, halves, or not
    at all. The answer is in [0, 360).

    >>> allowed_turn("quarter", from_deg=0.0, to_deg=130.0)
    90.0
    >>> allowed_turn("fixed", from_deg=180.0, to_deg=10.0)
    180.0
    """
    if turn == "free":
        return to_deg % 360.0
    step_deg = TURN_STEP_DEG[turn]
    steps = math.floor((to_deg - from_deg) / step_deg + 0.5)
    if turn == "fixed":
        steps = 0
    return (from_deg + steps * step_deg) % 360.0


def turned_to(
    payload: Payload, placements: tuple[Placement, ...], key: Key, *, turn_deg: float
) -> tuple[Placement, ...]:
    """The placements with ``key`` turned to ``turn_deg``, or the nearest turn it may take.

    It turns about the middle of its box, so that it stays where it is. KeyError if ``key`` is
    not placed or not in the payload.
    """
    old = find(placements, key)
    item = payload.item(old.item)
    angle = allowed_turn(item.turn, from_deg=old.turn_deg, to_deg=turn_deg)
    before = plan_box(payload, old).centre_mm
    new = evolve(old, turn_deg=angle)
    after = plan_box(payload, new).centre_mm
    new = evolve(new, x_mm=old.x_mm + before[0] - after[0], y_mm=old.y_mm + before[1] - after[1])
    return _with(placements, key, new)


def own_pose(placement: Placement) -> tuple[Face, float]:
    """The face that looks out of the half, and the turn seen there, with the half lying open.

    In the shallow half items hang: what looks up in the closed case lies below on the bench.

    >>> own_pose(Placement("probe", 1, "shallow", 1, "bottom", 90.0, 0.0, 0.0, 0.0))
    ('top', 270.0)
    """
    if placement.half == "shallow":
        return flipped(placement.up, placement.turn_deg)
    return (placement.up, placement.turn_deg)


def may_turn_over(item: Item, up: Face, *, half: HalfName) -> bool:
    """Whether an item that stands with ``up`` looking up in the closed case may be turned over.

    It may where its sheet allows the face that lies below to look up.

    >>> from fitkit.geometry.shapes import circle
    >>> from fitkit.payload.model import Body, Section
    >>> can = Item("can", Body((Section(circle(20.0, at=(20.0, 20.0)), 0.0, 90.0),)))
    >>> may_turn_over(can, "top", half="deep")
    False
    """
    below = up if half == "shallow" else flipped(up, 0.0)[0]
    return below in item.up


def turned_over(
    payload: Payload, placements: tuple[Placement, ...], key: Key
) -> tuple[Placement, ...]:
    """The placements with ``key`` turned over: its outline mirrored about the middle of its box.

    The face that lay below looks up. It is turned over about its left to right line (x), or about
    its front to back line where only that leaves a turn that it may have; the box seen from above
    stays. It stands on the same floor, raised by zones that are now below it. BadInput where its
    sheet does not allow the face; KeyError if ``key`` is not placed.
    """
    old = find(placements, key)
    item = payload.item(old.item)
    if not may_turn_over(item, old.up, half=old.half):
        face = flipped(own_pose(old)[0], 0.0)[0]
        raise BadInput([_face_refused(item, face)])
    face, turn_deg = flipped(old.up, old.turn_deg)
    about_x = evolve(old, up=face, turn_deg=turn_deg)
    about_y = evolve(old, up=face, turn_deg=(turn_deg + 180.0) % 360.0)
    new = about_y if pose_faults(place(item, about_x)) else about_x
    if pose_faults(place(item, new)):
        new = about_x  # it stood at a turn that it may not have: as it was
    return _with(placements, key, _stood_there(payload, old, new))


def posed_as(
    payload: Payload, placements: tuple[Placement, ...], key: Key, *, up: Face
) -> tuple[Placement, ...]:
    """The placements with ``key`` standing so that ``up`` looks out of its half.

    ``up`` is one of the item's own faces, as in its sheet (:func:`own_pose`). It keeps its turn
    and the middle of its box, and stands on the same floor, raised by zones below it. Heights may
    change: :func:`fitkit.fit.restack.restacked` works them out anew. BadInput where the sheet does
    not allow the face; KeyError if ``key`` is not placed.
    """
    old = find(placements, key)
    item = payload.item(old.item)
    if up not in item.up:
        raise BadInput([_face_refused(item, up)])
    _, turn_deg = own_pose(old)
    closed, closed_deg = flipped(up, turn_deg) if old.half == "shallow" else (up, turn_deg)
    new = evolve(old, up=closed, turn_deg=closed_deg)
    return _with(placements, key, _stood_there(payload, old, new))


def settled(
    interior: Interior, placements: tuple[Placement, ...], box: PlanBox
) -> tuple[Interior, tuple[Placement, ...]]:
    """The interior of ``box``'s size, and the placements with the box's corner as the origin."""
    length_mm, width_mm = box.size_mm
    return (
        evolve(interior, length_mm=length_mm, width_mm=width_mm),
        tuple(evolve(p, x_mm=p.x_mm - box.x0_mm, y_mm=p.y_mm - box.y0_mm) for p in placements),
    )


def move_reach(placements: tuple[Placement, ...], key: Key, box: PlanBox) -> PlanBox:
    """How far the lower left corner of ``key`` may sensibly be put: a box's length either way [mm].

    It always holds the corner itself. KeyError if ``key`` is not placed.
    """
    here = find(placements, key)
    length_mm, width_mm = box.size_mm
    return PlanBox(
        math.floor(min(box.x0_mm - length_mm / 2, here.x_mm)),
        math.floor(min(box.y0_mm - width_mm / 2, here.y_mm)),
        math.ceil(max(box.x1_mm + length_mm / 2, here.x_mm)),
        math.ceil(max(box.y1_mm + width_mm / 2, here.y_mm)),
    )


def by_hand(fit: Fit, *, interior: Interior, placements: tuple[Placement, ...]) -> Fit:
    """The fit for a layout changed by hand: the search's bound still holds, its value is new.

    ``proven`` stays true only where the layout is as small as the search's proven one.
    """
    value = objective_value(fit.objective, interior.size_mm)
    gap = max(0.0, (value - fit.bound) / value)
    return evolve(
        fit,
        value=value,
        gap=gap,
        proven=fit.proven and value <= fit.value + 1e-6,
        interior=interior,
        placements=placements,
    )


def piece_of(payload: Payload, placement: Placement) -> Piece:
    """The piece that a placement is of: the item, its own face, and whether it hangs."""
    item = payload.item(placement.item)
    return Piece(item, own_pose(placement)[0], hung=placement.half == "shallow")


def _stood_there(payload: Payload, old: Placement, new: Placement) -> Placement:
    """A new pose with the middle of the box where it was, on the floor where it stood."""
    before, after = plan_box(payload, old).centre_mm, plan_box(payload, new).centre_mm
    pieces = piece_of(payload, old), piece_of(payload, new)
    lifts = [lift_of(payload, piece) for piece in pieces]
    rise = lifts[1] - lifts[0]
    z_mm = old.z_mm + rise
    if old.half == "shallow":  # it hangs from the floor of its half, above it
        z_mm = old.z_mm + pieces[0].solid.height_mm - pieces[1].solid.height_mm - rise
    return evolve(
        new,
        x_mm=old.x_mm + before[0] - after[0],
        y_mm=old.y_mm + before[1] - after[1],
        z_mm=z_mm,
    )


def _face_refused(item: Item, face: Face) -> Fault:
    may = ", ".join(item.up)
    remedy = f'add "{face}" to the item\'s up in the payload sheet to allow it'
    return Fault(f'item "{item.name}"', f"{face} may not look up (it may: {may})", remedy)


def _bounds(placed: Placed) -> tuple[float, float, float, float]:
    x0, y0, x1, y1 = placed.silhouette.bounds
    return (x0, y0, x1, y1)


def _with(placements: tuple[Placement, ...], key: Key, new: Placement) -> tuple[Placement, ...]:
    return tuple(new if key_of(p) == key else p for p in placements)
