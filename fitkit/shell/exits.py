"""Where cables leave the case while it is shut: corners of backs and doors cut off at 45 degrees.

The legs of the cut are counted from the clear inner corner, where the inner leaves of two walls
meet: the walls bound the opening there. What the cut takes of the panel is an opening; the leaves
of the two profiles along the panel's edges are taken off beside it, and no corner piece is set.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import cast

import shapely
from attrs import frozen
from shapely import Polygon

from fitkit.fit.layout import Placement
from fitkit.payload.model import Payload
from fitkit.payload.walls import build_up_mm
from fitkit.payload.workshop import ExitWish, Side
from fitkit.shell.bars import bars_of
from fitkit.shell.cables.model import CableExit
from fitkit.shell.corner_exit import lined_leg_mm, widest_bundle_mm
from fitkit.shell.exit_needs import LINING_MM, Needs, asked_leg_mm, leg_of, needs_of
from fitkit.shell.frame import out_of, plane_mm, to_bar, to_panel
from fitkit.shell.loose_backs import loose_of
from fitkit.shell.model import (
    Assembly,
    BarCut,
    Fastener,
    Hole,
    Opening,
    Panel,
    Point,
    Trouble,
)
from fitkit.shell.openings import leaf_mm
from fitkit.shell.places import Board

BACKS: dict[str, Side] = {"deep": "bottom", "shallow": "top"}
"""The face of the closed case that is the back of each half."""

_NEAR_MM = 1e-6


@frozen
class Exited:
    """The exits of a case, what is cut for them, what is in the way, and what to mind.

    ``holes`` and ``fasteners`` are those of loose backs and of flat doors.
    """

    exits: tuple[CableExit, ...] = ()
    openings: tuple[Opening, ...] = ()
    bar_cuts: tuple[BarCut, ...] = ()
    troubles: tuple[Trouble, ...] = ()
    notes: tuple[str, ...] = ()
    holes: tuple[Hole, ...] = ()
    fasteners: tuple[Fastener, ...] = ()


def exits_of(
    payload: Payload,
    *,
    assembly: Assembly,
    panels: Sequence[Panel],
    placements: Sequence[Placement] = (),
) -> Exited:
    """Every exit that the builder wishes for, what is cut for it, and what loose backs are given.

    Its legs are as long as the bundle of the half's outgoing cables asks for, rounded up to whole
    millimetres, or as the builder gives them. ``placements`` tell in which half an item stands;
    without them an item that may stand in either half counts for both. What does not go is left
    out and said.
    """
    exits: list[CableExit] = []
    openings: list[Opening] = []
    cuts: list[BarCut] = []
    troubles: list[Trouble] = []
    notes: list[str] = []
    for wish in payload.workshop.exits:
        panel = back_panel(panels, wish.part)
        if panel is None or fault_of(wish) is not None:
            troubles.append(_no_back(wish))
            continue
        needs = needs_of(payload, wish, placements)
        made = _exit(payload, wish, panel, needs)
        wrong = _troubles(payload, assembly, wish, made, needs)
        troubles += wrong
        if any(one.what.endswith("left out") for one in wrong):
            continue
        across = next((one for one in exits if _meet(one, made)), None)
        if across is not None:
            troubles.append(_two_alike(across, made))
            continue
        exits.append(made)
        openings.append(Opening(panel.name, made.name, made.shape))
        cuts += _bar_cuts(payload, assembly, panel, wish, made)
        notes += _notes(wish, made, needs)
    loose = loose_of(payload, assembly=assembly, panels=panels, exits=exits)
    return Exited(
        tuple(exits),
        (*openings, *loose.openings),
        tuple(cuts),
        tuple(dict.fromkeys((*troubles, *loose.troubles))),
        tuple(dict.fromkeys((*notes, *loose.notes))),
        loose.holes,
        loose.fasteners,
    )


def keep_clear(board: Board, exits: Sequence[CableExit]) -> tuple[frozenset[Side], ...]:
    """Keep hardware off the exits' corners; the corners that are cut off, by their three sides."""
    found = []
    for one in exits:
        side = BACKS[one.part]
        reach = build_up_mm(board.profile) + one.leg_mm
        walls = cast(tuple[Side, Side], one.corner)
        middle = [*outer_corner(board.assembly, one.part, walls)]
        for wall in walls:
            axis, sense = out_of(wall)
            middle[axis] -= sense * reach / 2
        board.cover(one.name, side, (middle[0], middle[1], middle[2]), (reach, reach))
        found.append(frozenset((side, *walls)))
    return tuple(found)


def back_panel(panels: Sequence[Panel], part: str) -> Panel | None:
    """The panel that closes a half at its back: its own, or that of its door or loose back."""
    face = BACKS.get(part)
    for name in (f"door {part}", f"back {part}", part):
        for panel in panels:
            if (panel.part, panel.side) == (name, face):
                return panel
    return None


def name_of(wish: ExitWish) -> str:
    """How an exit is called.

    >>> name_of(ExitWish("shallow", ("right", "front")))
    'exit shallow right front'
    """
    return f"exit {wish.part} {wish.corner[0]} {wish.corner[1]}"


def fault_of(wish: ExitWish) -> str | None:
    """What is wrong with the two walls between which a corner should lie; None if nothing is."""
    axes = sorted(out_of(side)[0] for side in wish.corner)
    if axes == [0, 1]:
        return None
    return f"{wish.corner[0]} and {wish.corner[1]} are not two walls that meet at a corner"


def outer_corner(assembly: Assembly, part: str, corner: tuple[Side, Side]) -> Point:
    """The outer corner of the case that the cut takes off."""
    found = [0.0, 0.0, plane_mm(assembly, BACKS[part])]
    for side in corner:
        found[out_of(side)[0]] = plane_mm(assembly, side)
    return (found[0], found[1], found[2])


def _exit(payload: Payload, wish: ExitWish, panel: Panel, needs: Needs) -> CableExit:
    leg = leg_of(payload, wish, needs)
    lining, round_about = LINING_MM[wish.edge], wish.edge == "grommet"
    clear = lined_leg_mm(leg, lining_mm=lining, all_round=round_about)
    shape = _triangle(payload, panel, wish, leg)
    bundle = widest_bundle_mm(clear)
    sloping = _sloping_mm(shape)
    return CableExit(
        name=name_of(wish),
        part=wish.part,
        panel=panel.name,
        corner=wish.corner,
        leg_mm=leg,
        bundle_mm=bundle,
        needs_mm=needs.bundle_mm,
        plug_mm=clear,
        plug_needs_mm=needs.plug_mm if wish.plug else 0.0,
        edge=wish.edge,
        trim_mm=bundle if round_about else sloping,
        shape=shape,
        note=(
            f"{wish.edge} {lining:g} mm thick is counted (assumption)"
            + ("" if needs.count else "; no cable goes out yet")
        ),
    )


def _triangle(payload: Payload, panel: Panel, wish: ExitWish, leg: float) -> Polygon:
    """The corner of the panel that is cut off, in its own u and v.

    The sloping edge runs from wall to wall; beyond the walls it goes on to the panel's edges.
    """
    beside = build_up_mm(payload.wall.profile)
    corner, inwards = _panel_corner(panel, wish)
    slot = payload.wall.profile.outer_leaf_mm + payload.wall.profile.slot_mm
    seat = slot + payload.wall.profile.slot_web_mm + payload.wall.profile.play_mm
    long = leg + 2 * (beside - seat)
    u, v = corner
    ring = [(u, v), (u + inwards[0] * long, v), (u, v + inwards[1] * long)]
    room = shapely.box(0.0, 0.0, panel.length_mm, panel.width_mm)
    cut = shapely.intersection(Polygon(ring), room)
    return shapely.normalize(cut) if isinstance(cut, Polygon) else Polygon()


def _panel_corner(panel: Panel, wish: ExitWish) -> tuple[tuple[float, float], tuple[int, int]]:
    """The panel's corner between the two walls, in u and v, and which way is inwards."""
    far = [*panel.centre_mm]
    for side in wish.corner:
        axis, sense = out_of(side)
        far[axis] += sense
    u, v = to_panel(panel, (far[0], far[1], far[2]))
    right, up = u > panel.length_mm / 2, v > panel.width_mm / 2
    return (
        (panel.length_mm if right else 0.0, panel.width_mm if up else 0.0),
        (-1 if right else 1, -1 if up else 1),
    )


def _sloping_mm(shape: Polygon) -> float:
    """Length of the sloping edge of a cut corner [mm]."""
    xy = shapely.get_coordinates(shape)
    steps = [(b[0] - a[0], b[1] - a[1]) for a, b in zip(xy, xy[1:], strict=False)]
    return max(
        (math.hypot(dx, dy) for dx, dy in steps if abs(dx) > _NEAR_MM and abs(dy) > _NEAR_MM),
        default=0.0,
    )


def _bar_cuts(
    payload: Payload, assembly: Assembly, panel: Panel, wish: ExitWish, made: CableExit
) -> list[BarCut]:
    """The leaves of the two profiles along the panel's edges, taken off beside the opening."""
    reach = build_up_mm(payload.wall.profile) + made.leg_mm
    point = outer_corner(assembly, wish.part, wish.corner)
    found = []
    for bar in bars_of(assembly, wall=payload.wall):
        if bar.part != panel.part or bar.kind != "edge" or panel.side not in bar.sides:
            continue
        wall = next(side for side in bar.sides if side != panel.side)
        if wall not in wish.corner:
            continue
        at, _ = to_bar(bar, point, panel.side)
        ends = (at, at + reach) if at < bar.length_mm / 2 else (at - reach, at)
        start, end = max(0.0, ends[0]), min(bar.length_mm, ends[1])
        leaf = leaf_mm(bar, panel.side, assembly=assembly, profile=payload.wall.profile)
        if end - start > _NEAR_MM:
            found.append(BarCut(bar.name, made.name, panel.side, start, end, min(leaf, reach)))
    return found


def _troubles(
    payload: Payload, assembly: Assembly, wish: ExitWish, made: CableExit, needs: Needs
) -> list[Trouble]:
    found = []
    asked = asked_leg_mm(wish, needs)
    short = asked - made.leg_mm
    if short > _NEAR_MM:
        what = [f"a bundle {needs.bundle_mm:.1f} mm wide"] if made.needs_mm > 0 else []
        if wish.plug and made.plug_needs_mm > made.plug_mm:
            what.append(f"a plug of width and height {made.plug_needs_mm:.1f} mm together")
        found.append(
            Trouble(
                made.name,
                f"{' and '.join(what)} and {wish.edge} ask for legs of {asked:.1f} mm, "
                f"{made.leg_mm:.1f} mm are given",
                short,
                f"make the legs {math.ceil(asked - _NEAR_MM):d} mm long, or lead fewer cables out "
                "there",
            )
        )
    for side in wish.corner:
        axis = 1 - out_of(side)[0]
        clear = assembly.high_mm[axis] - assembly.low_mm[axis]
        clear -= 2 * payload.wall.profile.leg_mm
        over = made.leg_mm - clear
        if over > _NEAR_MM:
            found.append(
                Trouble(
                    made.name,
                    f"legs of {made.leg_mm:.1f} mm take more than the {clear:.1f} mm between the "
                    f"profiles along the {side}; it is left out",
                    over,
                    f"legs of at most {clear:.1f} mm, two exits that share the cables, or a larger "
                    "case",
                )
            )
    return found


def _no_back(wish: ExitWish) -> Trouble:
    fault = fault_of(wish)
    return Trouble(
        name_of(wish),
        f"{fault or f'there is no {wish.part} half with a back to cut'}; it is left out",
        0.0,
        "name two walls that meet, such as left and back, and a half that the case has",
    )


def _meet(one: CableExit, two: CableExit) -> bool:
    """Whether two exits of one panel take some of the same room."""
    return one.panel == two.panel and bool(shapely.intersects(one.shape, two.shape))


def _two_alike(one: CableExit, two: CableExit) -> Trouble:
    over = math.sqrt(float(shapely.intersection(one.shape, two.shape).area))
    return Trouble(
        two.name,
        f"it meets {one.name}; it is left out",
        over,
        "another corner, or shorter legs",
    )


def _notes(wish: ExitWish, made: CableExit, needs: Needs) -> list[str]:
    where = f"{wish.corner[0]} and {wish.corner[1]}"
    found = [
        f"{made.name}: cut the corner of {made.panel} off at 45 degrees, legs of "
        f"{made.leg_mm:.1f} mm along {where}, from the inner leaves of the walls; it passes a "
        f"bundle {made.bundle_mm:.1f} mm wide, or a plug of width and height "
        f"{made.plug_mm:.1f} mm together",
        f"{made.name}: no corner piece is set there; hold the profiles with an angle inside, file "
        "every cut edge of metal round",
    ]
    if made.edge == "edge trim":
        found.append(
            f"{made.name}: {made.trim_mm:.0f} mm of edge trim on the sloping edge "
            f"({LINING_MM[made.edge]:g} mm thick, an assumption)"
        )
    else:
        found.append(
            f"{made.name}: a split grommet that leaves {made.trim_mm:.1f} mm clear lines the "
            f"opening ({LINING_MM[made.edge]:g} mm thick, an assumption)"
        )
    if not needs.count:
        found.append(
            f"{made.name}: no cable goes out of the {wish.part} half yet, its legs are "
            + ("as given" if wish.leg_mm is not None else "as long as the profile's leg is wide")
        )
    elif wish.plug:
        found.append(f"{made.name}: thread the largest plug first, while the opening is empty")
    return found
