"""A panel of its own behind an item, on battens on the back panel or before battens on the walls.

Plugs, cables and vents on the item's back go through it: it is cut out for them.
"""

from __future__ import annotations

from fitkit.payload.mounted import supports_mm
from fitkit.reference.panels import panels
from fitkit.shell.frame import AXES, side_at
from fitkit.shell.model import Panel, Point
from fitkit.shell.mounting.around import spots_mm
from fitkit.shell.mounting.back import Back
from fitkit.shell.mounting.fixing import (
    END_MM,
    HEAD_MM,
    PITCH_MM,
    into_ends,
    into_item,
    through_panel,
)
from fitkit.shell.mounting.holding import on_panel as stands_on
from fitkit.shell.mounting.pieces import Drill, Piece
from fitkit.shell.mounting.screws import gauge_for, wood_screw
from fitkit.shell.mounting.work import NEAR_MM, Work

CUT_PLAY_MM = 2.0
"""Round a plug in the cut-out that it goes through, each side [mm] (assumption)."""

WALL_BATTEN_MM = (20.0, 20.0)
"""Width and height of battens on the walls [mm] (assumption)."""

THROUGH = ("connector", "cable", "vent")


def hold_by_sub_panel(work: Work) -> None:
    """The sub-panel of one copy, with its battens and screws."""
    mount, back = work.mount, work.back
    wish = mount.sub_panel
    behind = work.behind_mm(back)
    room = behind - wish.thickness_mm
    if room < -NEAR_MM:
        work.trouble(
            f"sub-panel of the {work.label}",
            f"it is {wish.thickness_mm:g} mm thick, and {behind:.1f} mm are left behind the item",
            -room,
            "take a thinner one, or give the item more room behind",
        )
    panel = work.panel_behind(back)
    void = 0.0 if panel is None else work.around.void_mm(panel)
    on_panel = wish.batten_mm is not None and stands_on(
        work, panel, high_mm=room + void, what="sub-panel",
        cure="hold it on the walls, sub_panel = { batten = false }, or leave less room behind the "
        "item",
    )  # fmt: skip
    (centre, size) = supports_mm(mount, face_mm=back.size_mm)[0]
    low, high = back.box(centre, size, from_mm=0.0, to_mm=wish.thickness_mm)
    low, high = _inside(work, low, high, back)
    along = max((back.along_axis, back.up_axis), key=lambda k: high[k] - low[k])
    if not on_panel:
        along = _nearer(work, back, low, high)
        low, high = work.to_walls(low, high, along)
    areal = wish.kg_per_m2
    if areal is None and wish.board in panels():
        areal = panels()[wish.board].areal_kg_m2
    board = Piece(
        f"{work.label} sub-panel", "sub-panel", low, high, along, back.axis, -back.sense,
        material=wish.board, kg_per_m2=areal,
    )  # fmt: skip
    work.pieces.append(board)
    board.cuts += _cuts(work, back)
    if mount.pattern is not None:
        into_item(
            work, back, board, mount.pattern, mount.pattern.holes_mm, behind_mm=room + void,
            off_mm=work.tolerances.rail_mm, what="sub-panel",
        )  # fmt: skip
    else:
        work.unsure(
            board.name, "nothing says how the item is screwed to it: no hole pattern is given",
            "measure the holes in its back, or strap it down",
        )  # fmt: skip
    if on_panel and panel is not None and wish.batten_mm is not None:
        _on_battens(work, back, board, panel, room, wish.batten_mm)
    else:
        _before_walls(work, back, board)
    _holes_in_cuts(work, board)


def _inside(work: Work, low: Point, high: Point, back: Back) -> tuple[Point, Point]:
    """The sub-panel no larger than the room of its half."""
    room = work.around.room(work.half)
    one, other = [*low], [*high]
    for axis in (back.along_axis, back.up_axis):
        one[axis] = max(one[axis], room[0][axis])
        other[axis] = min(other[axis], room[1][axis])
    return (one[0], one[1], one[2]), (other[0], other[1], other[2])


def _nearer(work: Work, back: Back, low: Point, high: Point) -> int:
    """The axis along which two walls are nearest to the sub-panel's edges."""
    room = work.around.room(work.half)
    walled = [
        axis
        for axis in (back.along_axis, back.up_axis)
        if not any(
            work.around.closes(work.half, side_at(AXES[axis], high=is_high))
            for is_high in (False, True)
        )
    ]
    return min(
        walled or [back.along_axis],
        key=lambda k: (low[k] - room[0][k]) + (room[1][k] - high[k]),
    )


def _cuts(work: Work, back: Back) -> list[tuple[Point, Point]]:
    """What of plugs, cables and vents on the item's back goes through the sub-panel."""
    made = []
    for zone in work.placed.item.zones:
        if zone.face != work.mount.back or zone.kind not in THROUGH:
            continue
        size = (zone.size_mm[0] + 2 * CUT_PLAY_MM, zone.size_mm[1] + 2 * CUT_PLAY_MM)
        made.append(back.box(zone.at_mm, size, from_mm=0.0, to_mm=1.0))
    return made


def _on_battens(
    work: Work,
    back: Back,
    board: Piece,
    panel: Panel,
    room_mm: float,
    batten_mm: tuple[float, float],
) -> None:
    """Two battens under the long edges, as high as the room behind the sub-panel is deep."""
    wide, planned = batten_mm
    around = work.around
    high_mm = max(0.0, room_mm) + around.void_mm(panel)
    far = board.high_mm[back.axis] if back.sense > 0 else board.low_mm[back.axis]
    across = sorted((far, far + back.sense * high_mm))
    room = around.room(work.half)
    edges = (board.low_mm[board.wide], board.high_mm[board.wide])
    for number, (edge, inward) in enumerate(zip(edges, (1, -1), strict=True), start=1):
        low, high = [*board.low_mm], [*board.high_mm]
        low[back.axis], high[back.axis] = across
        low[board.wide], high[board.wide] = sorted((edge, edge + inward * wide))
        for axis in (board.along, board.wide):
            _off_the_leaves(work, low, high, axis, room)
        if any(high[k] - low[k] < wide - NEAR_MM for k in (board.along, board.wide)):
            work.trouble(
                f"{work.label} batten {number}",
                f"{min(high[k] - low[k] for k in (board.along, board.wide)):.1f} mm are left for a "
                f"batten {wide:g} mm wide",
                max(wide - (high[k] - low[k]) for k in (board.along, board.wide)),
                "take a narrower batten, or a wider margin",
            )
            continue
        batten = Piece(
            f"{work.label} batten {number}", "batten", (low[0], low[1], low[2]),
            (high[0], high[1], high[2]), board.along, back.axis, -back.sense,
        )  # fmt: skip
        work.pieces.append(batten)
        _heads_free(work, board, batten)
        _onto(work, board, batten)
        through_panel(work, batten, panel, packing_mm=0.0, what="battens")
    if abs(high_mm - planned) > NEAR_MM:
        more = "higher" if high_mm > planned else "lower"
        work.notes.append(
            f"{work.label}: cut the battens {high_mm:.1f} mm high, {abs(high_mm - planned):.1f} mm "
            f"{more} than planned: {max(0.0, room_mm):.1f} mm are behind the sub-panel, and "
            f"{around.void_mm(panel):.1f} mm between the inner leaves and the {panel.name} panel."
        )
    if work.mount.sub_panel.margin_mm < wide - NEAR_MM:
        work.notes.append(
            f"{work.label}: battens reach under it: screw the sub-panel on before the item."
        )


def _off_the_leaves(
    work: Work, low: list[float], high: list[float], axis: int, room: tuple[Point, Point]
) -> None:
    """Move a batten clear of the inner leaves of the neighbouring walls, which it reaches behind.

    Along its length it is cut short; across, it is moved inwards as it is.
    """
    inset = work.around.leaf_in_mm
    for is_high in (False, True):
        if work.around.closes(work.half, side_at(AXES[axis], high=is_high)):
            continue
        wall = room[1 if is_high else 0][axis]
        over = high[axis] - (wall - inset) if is_high else wall + inset - low[axis]
        if over <= NEAR_MM:
            continue
        if high[axis] - low[axis] > 3 * inset + over:
            if is_high:
                high[axis] -= over
            else:
                low[axis] += over
        else:
            shift = -over if is_high else over
            low[axis] += shift
            high[axis] += shift


def _heads_free(work: Work, board: Piece, batten: Piece) -> None:
    """Say where a batten lies over a screw into the item."""
    for one in board.holes:
        if not one.use.startswith("screw "):
            continue
        beside = max(
            max(batten.low_mm[k] - one.at_mm[k], one.at_mm[k] - batten.high_mm[k])
            for k in (batten.along, batten.wide)
        )
        short = one.diameter_mm - beside
        if short > NEAR_MM:
            work.trouble(
                batten.name, "it lies over the head of a screw into the item", short,
                "give the sub-panel a wider margin, or take narrower battens",
            )  # fmt: skip


def _onto(work: Work, board: Piece, batten: Piece) -> None:
    """Wood screws through the sub-panel into a batten."""
    screw = gauge_for(batten.size_mm(batten.wide))
    pick = wood_screw(screw.gauge, stack_mm=board.thick_mm, wood_mm=batten.thick_mm)
    along = batten.along
    end = min(END_MM, batten.size_mm(along) / 4)
    low, high = batten.low_mm[along] + end, batten.high_mm[along] - end
    count = max(2, int(-(-(high - low) // PITCH_MM)) + 1)
    if pick.length_mm is None or pick.short_mm > NEAR_MM:
        work.trouble(
            batten.name,
            f"a wood screw no. {screw.gauge} through the sub-panel finds {pick.engaged_mm:.1f} mm "
            "of wood",
            pick.short_mm,
            pick.remedy,
            tight=pick.length_mm is not None,
        )
    if pick.length_mm is None:
        return
    half = screw.sink_mm / 2
    # screws from two sides of a batten must not meet inside it
    crossing = [one.at_mm[along] for one in batten.holes]

    def free(at: float) -> bool:
        if any(abs(at - other) < screw.shank_mm + HEAD_MM for other in crossing):
            return False
        point = batten.at(at)
        return all(
            any(
                point[k] + half <= low_mm[k] or point[k] - half >= high_mm[k]
                for k in (batten.along, batten.wide)
            )
            for low_mm, high_mm in board.cuts
        )

    for place in spots_mm(low, high, count=count, free=free):
        point = batten.at(place)
        board.holes.append(
            Drill(point, screw.clearance_mm, f"wood screw no. {screw.gauge} into a batten")
        )
        if batten.across == board.across:
            pilot = screw.softwood_mm or screw.hardwood_mm
            batten.holes.append(Drill(point, pilot, "pilot for a wood screw through the sub-panel"))
        work.screwed(
            f"no. {screw.gauge} ({screw.shank_mm:g} mm)", pick.length_mm,
            stack_mm=board.thick_mm, hole_mm=None, engaged_mm=pick.engaged_mm,
            holds="sub-panel to the battens",
            note=f"{batten.thick_mm - pick.engaged_mm:.1f} mm of wood are left before its tip",
        )  # fmt: skip


def _before_walls(work: Work, back: Back, board: Piece) -> None:
    """Battens on two walls, on the item's side of the sub-panel, that it is screwed to."""
    wide, high_mm = WALL_BATTEN_MM
    near = board.low_mm[back.axis] if back.sense > 0 else board.high_mm[back.axis]
    across = sorted((near, near - back.sense * high_mm))
    room = work.around.room(work.half)
    for number, is_high in enumerate((False, True), start=1):
        side = side_at(AXES[board.along], high=is_high)
        wall = room[1 if is_high else 0][board.along]
        end = (board.high_mm if is_high else board.low_mm)[board.along]
        if work.around.closes(work.half, side) or abs(end - wall) > NEAR_MM:
            continue
        low, high = [*board.low_mm], [*board.high_mm]
        low[back.axis], high[back.axis] = across
        low[board.along], high[board.along] = sorted((wall, wall - (wide if is_high else -wide)))
        batten = Piece(
            f"{work.label} batten {number}", "batten", (low[0], low[1], low[2]),
            (high[0], high[1], high[2]), board.wide, board.along, -1 if is_high else 1,
        )  # fmt: skip
        work.pieces.append(batten)
        panel = work.around.panel_at(work.half, side, batten.at(batten.middle_mm(batten.along)))
        if panel is not None:
            void = work.around.void_mm(panel)
            through_panel(work, batten, panel, packing_mm=void, what="battens")
        _onto(work, board, batten)
    if not any(one.kind == "batten" for one in work.pieces):
        into_ends(work, board, what="sub-panel")
    work.notes.append(
        f"{work.label}: screw the battens to the walls first, then the sub-panel to them from its "
        "back."
    )


def _holes_in_cuts(work: Work, board: Piece) -> None:
    """Say where a cut-out for a plug takes the wood round a screw into the item."""
    for one in board.holes:
        if not one.use.startswith("screw "):
            continue
        for low, high in board.cuts:
            beside = max(
                max(low[k] - one.at_mm[k], one.at_mm[k] - high[k])
                for k in (board.along, board.wide)
            )
            short = one.diameter_mm - beside
            if short > NEAR_MM:
                work.trouble(
                    board.name, "the cut-out for a plug meets a screw into the item", short,
                    "take a smaller plug there, or screw the item on by other holes",
                )  # fmt: skip
