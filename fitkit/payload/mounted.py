"""What a mounted item takes beside its body: zones for rails, sub-panel and recess, and its turn.

The search keeps zones free of bodies and inside the case, so rails and the room before a front
are kept free like the room for a plug.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

from fitkit.payload.boxes import Box3, face_size_mm, stood
from fitkit.payload.faces import Face, opposite
from fitkit.payload.model import Item, Zone
from fitkit.payload.mounts import Facing, HolePattern, Mount
from fitkit.payload.workshop import Side

LOOKS_AT: dict[Facing, Side] = {
    "front wall": "front",
    "back wall": "back",
    "left wall": "left",
    "right wall": "right",
}
"""The wall of the closed case that an upright mounted item looks at."""

_OUT: dict[Face, tuple[int, int, int]] = {
    "top": (0, 0, 1),
    "bottom": (0, 0, -1),
    "left": (-1, 0, 0),
    "right": (1, 0, 0),
    "front": (0, -1, 0),
    "back": (0, 1, 0),
}
"""The way out of each face of an item as measured."""


@lru_cache(maxsize=1024)
def zones_of(item: Item) -> tuple[Zone, ...]:
    """An item's own zones, then those of its mount: support behind it, room asked, recess."""
    mount = item.mount
    if mount is None:
        return item.zones
    width, height = face_size_mm(mount.back, item.body)
    middle = (width / 2, height / 2)
    made = list(item.zones)
    for centre, size in supports_mm(mount, face_mm=(width, height)):
        made.append(Zone("mount", mount.back, centre, size, mount.support_mm))
    if mount.behind_mm > 0:
        made.append(Zone("mount", mount.back, middle, (width, height), mount.behind_mm))
    if mount.asked_recess_mm > 0:
        made.append(Zone("mount", mount.front, middle, (width, height), mount.asked_recess_mm))
    return tuple(made)


def supports_mm(
    mount: Mount, *, face_mm: tuple[float, float]
) -> tuple[tuple[tuple[float, float], tuple[float, float]], ...]:
    """Centre and size on the item's back of each rail, or of the sub-panel [mm].

    One rail lies under each row of holes; without a pattern two rails lie a quarter in from the
    edges. Rails from wall to wall count only where they lie behind the item.
    """
    width, height = face_mm
    if mount.by == "walls":
        return ()
    if mount.by == "sub-panel":
        both = 2 * mount.sub_panel.margin_mm
        return (((width / 2, height / 2), (width + both, height + both)),)
    rails, along = mount.rails, mount.rails.run == "along"
    given = None if rails.on == "walls" else rails.length_mm
    length = (width if along else height) if given is None else given
    rows = rail_rows_mm(mount.pattern, along=along, across_mm=height if along else width)
    if along:
        return tuple(((width / 2, row), (length, rails.width_mm)) for row in rows)
    return tuple(((row, height / 2), (rails.width_mm, length)) for row in rows)


def rail_rows_mm(pattern: HolePattern | None, *, along: bool, across_mm: float) -> Sequence[float]:
    """Where rails lie across the face: one on each row of holes [mm].

    >>> rail_rows_mm(None, along=True, across_mm=100.0)
    (25.0, 75.0)
    """
    if pattern is None:
        return (across_mm / 4, across_mm * 3 / 4)
    return tuple(sorted({round(hole[1 if along else 0], 3) for hole in pattern.holes_mm}))


def faces_up(mount: Mount, given: tuple[Face, ...]) -> tuple[Face, ...]:
    """The faces of a mounted item that may look up, out of its half.

    The front where it looks at the closing plane, the back where it looks at the back panel; else
    those of ``given`` that leave the front upright, or all such faces.
    """
    if mount.faces == "closing plane":
        return (mount.front,)
    if mount.faces == "back panel":
        return (mount.back,)
    sides = tuple(face for face in _OUT if face not in (mount.front, mount.back))
    return tuple(face for face in given if face in sides) or sides


def turn_deg(item: Item, up: Face) -> float | None:
    """The turn in the closed case at which an upright mount looks at its wall [deg].

    ``up`` is the face that looks up in the closed case. None for items that may turn as they say.
    """
    mount = item.mount
    if mount is None or not mount.upright:
        return None
    x, y = pointing(mount.front, up)
    a, b, _ = _OUT[LOOKS_AT[mount.faces]]
    return math.degrees(math.atan2(b, a) - math.atan2(y, x)) % 360.0


def pointing(face: Face, up: Face) -> tuple[float, float]:
    """Which way ``face`` points in plan when ``up`` looks up, not turned."""
    x, y, z = _OUT[face]
    # a small box beside the middle of a cube, on that side, carried along by the pose
    low = [1.0 + 0.5 * a - 0.1 for a in (x, y, z)]
    box: Box3 = (low[0], low[1], low[2], low[0] + 0.2, low[1] + 0.2, low[2] + 0.2)
    x0, y0, _, x1, y1, _ = stood(box, up, (2.0, 2.0, 2.0))
    return round((x0 + x1) / 2 - 1.0, 6), round((y0 + y1) / 2 - 1.0, 6)


def front_up(mount: Mount) -> Face:
    """The face that looks out of the half for a mount that is not upright."""
    return opposite(mount.front) if mount.faces == "back panel" else mount.front


def proud_mm(items: Sequence[Item]) -> float:
    """How far mounted items are said to stand proud of the closing plane at most [mm].

    What faces them with a free recess starts from there: its recess is at least so deep.
    """
    given = [one.mount.recess_mm for one in items if one.mount is not None]
    return max(0.0, *(-recess for recess in given if recess is not None), 0.0)
