"""The parts, hardware and gear of a case in one state, as boxes to be drawn."""

from __future__ import annotations

from fitkit.documents.oblique import Solid
from fitkit.documents.sheet import Style
from fitkit.fit.place import place_all
from fitkit.payload.hardware import type_named
from fitkit.payload.walls import build_up_mm
from fitkit.payload.workshop import Side
from fitkit.plan import Plan
from fitkit.shell.frame import from_panel, out_of, plane_mm, u_of
from fitkit.shell.model import Fitted, Part, Point, Shell
from fitkit.shell.use import Pose

GEAR = Style("ink", 0.25, fill="white")
CASE = Style("ink", 0.35, fill="paper")
METAL = Style("ink", 0.25, fill="white")
CUT = Style("ok", 0.35, fill="white")
DRAWN = ("handle", "latch", "door latch", "foot", "castor", "hinge")


def case_solids(plan: Plan, shell: Shell, pose: Pose) -> list[Solid]:
    """Every part of the case as it lies in that state, with its hardware."""
    return [
        *(_part(plan, shell, part, pose) for part in shell.assembly.parts),
        *hardware_solids(plan, shell, pose),
    ]


def _part(plan: Plan, shell: Shell, part: Part, pose: Pose) -> Solid:
    wall = build_up_mm(plan.payload.wall.profile)
    seen = part.open if pose.state != "closed" else ()
    if part.plate:
        seen = ()
    return Solid(
        part.low_mm,
        part.high_mm,
        pose.move_of(part.name),
        CASE,
        open=tuple(side for side in seen if not _shut(shell, part, side, pose)),
        wall_mm=wall,
        inside=_gear(plan, part, pose),
        signs=exit_signs(shell, part),
    )


def _shut(shell: Shell, part: Part, side: Side, pose: Pose) -> bool:
    """Whether a part's open face is closed by its neighbour in that state."""
    axis, sense = out_of(side)
    mine = pose.move_of(part.name)
    for split in shell.assembly.splits:
        pair = (split.below, split.above)
        if "xyz".index(split.axis) == axis and part.name in pair:
            at = pair.index(part.name)
            if (at == 0) == (sense > 0) and pose.move_of(pair[1 - at]) == mine:
                return True
    return False


def _gear(plan: Plan, part: Part, pose: Pose) -> tuple[Solid, ...]:
    """The box of each item whose middle lies in the part."""
    found = []
    for placed in place_all(plan.payload, plan.fit.placements):
        bands = placed.solid.bands
        low = min(band.z0_mm for band in bands)
        high = max(band.z1_mm for band in bands)
        x0, y0, x1, y1 = placed.silhouette.bounds
        middle = ((x0 + x1) / 2, (y0 + y1) / 2, (low + high) / 2)
        if all(a <= m <= b for a, m, b in zip(part.low_mm, middle, part.high_mm, strict=True)):
            found.append(Solid((x0, y0, low), (x1, y1, high), pose.move_of(part.name), GEAR))
    return tuple(found)


def exit_signs(shell: Shell, part: Part) -> tuple[tuple[Side, tuple[Point, ...], Style], ...]:
    """The cut corners of the part's panels."""
    found = []
    for one in shell.exits:
        panel = shell.panel(one.panel)
        if panel.part != part.name:
            continue
        plane = plane_mm(part, panel.side)
        axis = out_of(panel.side)[0]
        ring = []
        for u, v in list(one.shape.exterior.coords)[:-1]:
            point = [*from_panel(panel, u, v)]
            point[axis] = plane
            ring.append((point[0], point[1], point[2]))
        found.append((panel.side, tuple(ring), CUT))
    return tuple(found)


def hardware_solids(plan: Plan, shell: Shell, pose: Pose) -> list[Solid]:
    """What stands out of the case, each piece with the part that it is fixed to."""
    found = []
    for one in shell.hardware:
        if one.kind not in DRAWN:
            continue
        stands = max(1.0, type_named(plan.payload, one.kind, one.type).stands_mm)
        for name in one.parts:
            box = share_of(one, shell.assembly.part(name), stands)
            if box is not None:
                found.append(Solid(*box, pose.move_of(name), METAL))
    return found


def share_of(one: Fitted, part: Part, stands_mm: float) -> tuple[Point, Point] | None:
    """The share of a piece that lies on a part's own face: a flat box on it [mm]."""
    axis, sense = out_of(one.side)
    low, high = [0.0] * 3, [0.0] * 3
    for across in range(3):
        if across == axis:
            face = plane_mm(part, one.side)
            low[across], high[across] = sorted((face, face + sense * stands_mm))
            continue
        half = one.size_mm[0 if across == u_of(one.side)[0] else 1] / 2
        low[across] = max(one.centre_mm[across] - half, part.low_mm[across])
        high[across] = min(one.centre_mm[across] + half, part.high_mm[across])
        if high[across] <= low[across]:
            return None
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])
