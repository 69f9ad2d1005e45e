"""Rails behind an item: one under each row of holes, on the back panel or from wall to wall.

The item is screwed to its rails first, then the rails to the panel through its outside: rails are
screwed from the back (common practice, no source). What is left between rails and panel is filled
by a packing as thick as the room is deep.
"""

from __future__ import annotations

from fitkit.payload.mounted import supports_mm
from fitkit.shell.frame import AXES, side_at
from fitkit.shell.model import Panel, Point
from fitkit.shell.mounting.back import Back
from fitkit.shell.mounting.fixing import into_ends, into_item, through_panel
from fitkit.shell.mounting.holding import on_panel as stands_on
from fitkit.shell.mounting.pieces import Drill, Piece
from fitkit.shell.mounting.work import NEAR_MM, Work

THIN_MM = 1.5
"""Up to this a packing is a washer on each screw, not a strip [mm] (assumption)."""

SEEN_MM = 0.05
"""Less than this is nought as it is printed [mm]."""

HEAD_PLAY_MM = 2.0
"""Round a head in the packing that it stands in [mm, on the diameter] (assumption)."""


def hold_by_rails(work: Work) -> None:
    """Rails of one copy, with their packings and screws."""
    mount, back = work.mount, work.back
    rails = mount.rails
    behind = work.behind_mm(back)
    panel = work.panel_behind(back)
    packing = behind - rails.height_mm
    if packing < -NEAR_MM:
        work.trouble(
            f"rails of the {work.label}",
            f"they are {rails.height_mm:g} mm high, and {behind:.1f} mm are left behind it",
            -packing,
            "take lower rails, or give the item more room behind",
        )
    packing = max(0.0, packing)
    if panel is not None:
        packing += work.around.void_mm(panel)
    on_panel = mount.rails.on != "walls" and stands_on(
        work, panel, high_mm=packing, what="rails",
        cure='hold them on the walls, rail = { on = "walls" }, or leave less room behind the item',
    )  # fmt: skip
    along = back.along_axis if rails.run == "along" else back.up_axis
    rows = supports_mm(mount, face_mm=back.size_mm)
    for number, (centre, size) in enumerate(rows, start=1):
        low, high = back.box(centre, size, from_mm=0.0, to_mm=rails.height_mm)
        if not on_panel:
            low, high = work.to_walls(low, high, along)
        rail = Piece(
            f"{work.label} rail {number}", "rail", low, high, along, back.axis, -back.sense,
            material=f"strip {rails.width_mm:g} x {rails.height_mm:g}", kg_per_m=rails.kg_per_m,
        )  # fmt: skip
        work.pieces.append(rail)
        _into_item(work, back, rail, number, packing)
        if on_panel and panel is not None:
            _on_the_panel(work, back, rail, panel, packing)
        else:
            into_ends(work, rail, what="rails")
    if mount.pattern is None:
        work.unsure(
            f"rails of the {work.label}",
            "nothing says how it is screwed to them: no hole pattern is given",
            "measure the holes in its back, or strap it down",
        )
    if on_panel and panel is not None and packing > NEAR_MM:
        _packed(work, panel, packing, behind - rails.height_mm)


def _into_item(work: Work, back: Back, rail: Piece, number: int, room_mm: float) -> None:
    """Screws through one rail into the holes over it."""
    pattern = work.mount.pattern
    if pattern is None:
        return
    row_of = 1 if work.mount.rails.run == "along" else 0
    rows = sorted({round(hole[row_of], 3) for hole in pattern.holes_mm})
    mine = [hole for hole in pattern.holes_mm if round(hole[row_of], 3) == rows[number - 1]]
    into_item(
        work, back, rail, pattern, mine, behind_mm=room_mm, off_mm=work.tolerances.rail_mm,
        what="rails",
    )  # fmt: skip


def _on_the_panel(work: Work, back: Back, rail: Piece, panel: Panel, packing_mm: float) -> None:
    """The packing under one rail, and the screws through the panel into the rail."""
    points = through_panel(work, rail, panel, packing_mm=packing_mm, what="rails")
    if packing_mm < THIN_MM:
        return
    low, high = [*rail.low_mm], [*rail.high_mm]
    far = rail.high_mm[back.axis] if back.sense > 0 else rail.low_mm[back.axis]
    ends = sorted((far, far + back.sense * packing_mm))
    low[back.axis], high[back.axis] = ends
    room = work.around.room(work.half)
    # beyond the end of the room lie the profiles' inner leaves: the packing ends before them
    for axis in (rail.along, rail.wide):
        for is_high, box in ((False, low), (True, high)):
            side = side_at(AXES[axis], high=is_high)
            if work.around.closes(work.half, side):
                continue
            wall = room[1 if is_high else 0][axis]
            inset = work.around.leaf_in_mm
            box[axis] = min(box[axis], wall - inset) if is_high else max(box[axis], wall + inset)
    if any(high[k] - low[k] < 10.0 for k in (rail.along, rail.wide)):
        work.notes.append(
            f"{rail.name}: no packing fits between the profiles' inner leaves there: put washers "
            f"{packing_mm:.1f} mm thick on its screws."
        )
        return
    packing = Piece(
        rail.name.replace(" rail ", " packing "), "batten",
        (low[0], low[1], low[2]), (high[0], high[1], high[2]),
        rail.along, rail.across, rail.toward,
    )  # fmt: skip
    work.pieces.append(packing)
    for point in points:
        if _over(packing, point):
            shank = next(one.diameter_mm for one in work.holes[::-1] if one.owner == rail.name)
            packing.holes.append(Drill(point, shank, "wood screw through it"))
    if not work.mount.sunk:
        head = _head_mm(work)
        for one in rail.holes:
            if one.use.startswith("screw ") and _over(packing, one.at_mm) and head:
                packing.holes.append(
                    Drill(one.at_mm, head + HEAD_PLAY_MM, "room for a screw's head")
                )


def _head_mm(work: Work) -> float:
    from fitkit.reference.machine_screws import machine_screws

    pattern = work.mount.pattern
    screw = machine_screws().get(pattern.thread) if pattern is not None else None
    return 0.0 if screw is None else screw.head_mm


def _over(piece: Piece, point: Point) -> bool:
    return all(piece.low_mm[k] < point[k] < piece.high_mm[k] for k in (piece.along, piece.wide))


def _packed(work: Work, panel: Panel, packing_mm: float, room_mm: float) -> None:
    void = work.around.void_mm(panel)
    how = (
        "a strip under each rail" if packing_mm >= THIN_MM else "washers on the screws of each rail"
    )
    comes = (
        " The back comes off with it: hold it while the last screws come out."
        if work.back_comes_off
        else ""
    )
    between = f"{void:.1f} mm between the inner leaves and the {panel.name} panel"
    parts = [between] if void >= SEEN_MM else []
    if room_mm >= SEEN_MM:
        parts.insert(0, f"{room_mm:.1f} mm that are left behind them")
    work.notes.append(
        f"{work.label}: rails are packed up by {packing_mm:.1f} mm, {how}: "
        f"{', and '.join(parts)}.{comes}"
    )
