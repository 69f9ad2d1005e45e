"""Handles: in pairs, so that the centre of mass lies between them and, if the wall allows, below.

How many: n = 2 ceil(gross / person). They sit on the part that stands on the ground, where it is
high enough: whoever lifts a case by its lid lifts it by its latches.
"""

from __future__ import annotations

from collections.abc import Sequence

from fitkit.payload.hardware import low_type, type_for, with_low
from fitkit.payload.model import Payload
from fitkit.payload.workshop import HardwareKind, HardwareType, Side
from fitkit.shell.closers import sides_with_closers
from fitkit.shell.closings import turn_deg
from fitkit.shell.counts import handles_for
from fitkit.shell.frame import AXES, opposite, out_of, plane_mm, side_at
from fitkit.shell.handle_walls import Wall, carriers, counts_for, sides_for, walls_for
from fitkit.shell.model import Fitted, Point, Trouble, called
from fitkit.shell.places import GAP_MM, Board, Piece
from fitkit.shell.rows_of_pieces import Run, crowded, instead, set_row
from fitkit.shell.spans import NEAR_MM
from fitkit.shell.stance import upwards

_ON_PLANES: tuple[HardwareKind, ...] = ("latch", "hinge", "stay")

BESIDE_MM = 10.0
"""From this on a case that hangs askew is worth a word [mm] (a setting of the house)."""


def set_handles(
    board: Board, payload: Payload, *, gross_kg: float | None, centre_mm: Point | None
) -> None:
    """Set the handles; the centre of mass is the case's middle where it is not known.

    Nobody chose a generic sunk handle: where its dish meets the gear, a low one that is not sunk
    takes its place.
    """
    before = board.mark()
    _set(board, payload, gross_kg, centre_mm)
    flat = with_low(payload, "handle")
    fitted = len(board.fitted) - before.fitted
    if flat is None or not crowded(board, since=before):
        return
    sunk = board.fitted[before.fitted].type
    board.back_to(before)
    _set(board, flat, gross_kg, centre_mm)
    if len(board.fitted) - before.fitted >= fitted:
        board.notes.append(instead(sunk, board.fitted[before.fitted].type))
        return
    board.back_to(before)
    _set(board, payload, gross_kg, centre_mm)


def _set(board: Board, payload: Payload, gross_kg: float | None, centre_mm: Point | None) -> None:
    kind = type_for(payload, "handle")
    centre = centre_mm or _middle(board)
    count = kind.count
    if count is None:
        person = payload.workshop.hardware.person_kg
        count = handles_for(gross_kg or 0.0, person_kg=person)
        if gross_kg is None:
            board.notes.append("the mass is not known: one pair of handles is set")
    sides = sides_for(board, payload, kind)
    counts = counts_for(board, payload, kind, sides, count)
    before = len(board.fitted)
    done: set[Side] = set()
    for side, mine in counts.items():
        if side in done or not mine:
            continue
        across = opposite(side)
        pair = [side, across] if counts.get(across) == mine else [side]
        done.update(pair)
        _row(board, payload, kind, pair, mine, centre)
    _loads(board, kind, gross_kg, [one.name for one in board.fitted[before:]])


def _middle(board: Board) -> Point:
    low, high = board.assembly.low_mm, board.assembly.high_mm
    return ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2, (low[2] + high[2]) / 2)


def _row(
    board: Board,
    payload: Payload,
    kind: HardwareType,
    sides: Sequence[Side],
    count: int,
    centre: Point,
) -> None:
    choices = walls_for(board, payload, kind, sides, centre)
    fit = [walls for walls in choices if all(wall.short_mm <= NEAR_MM for wall in walls)]
    generic = kind not in payload.workshop.hardware.types and kind.dish_mm is not None
    low = low_type("handle", rivet_mm=payload.workshop.hardware.rivet_mm)
    if generic and low is not None and not (fit and _clear_of_planes(fit[0], payload, board)):
        others = walls_for(board, payload, low, sides, centre)
        flat = [walls for walls in others if all(wall.short_mm <= NEAR_MM for wall in walls)]
        if flat and (not fit or _clear_of_planes(flat[0], payload, board)):
            fit = flat
            board.notes.append(
                f"handles on the {' and '.join(sides)}: the wall is too low for a {kind.name} "
                f"{kind.flange_mm[1]:.0f} mm high; a {low.name} is taken instead"
            )
    if not fit:
        board.troubles.append(_too_low(kind, sides, choices))
        return
    walls = fit[0]
    across = _across_mm(walls, payload, board, centre)
    runs = [_run(board, wall, across) for wall in walls]
    axis = walls[0].axis
    low_mm, high_mm = max(run.low_mm for run in runs), min(run.high_mm for run in runs)
    about = min(max(centre[axis], low_mm), high_mm) if low_mm <= high_mm else centre[axis]
    about = _whole(about, (low_mm + high_mm) / 2, low_mm, high_mm)
    before = board.mark()

    def tried(mine: int) -> int:
        board.back_to(before)
        targets = _targets(mine, about, low_mm, high_mm, runs[0])
        return set_row(board, runs, targets, about_mm=about)

    if tried(count) < len(runs) * count:
        tried(max(range(1, count + 1), key=tried))
        board.troubles.append(_too_many(sides, count, board.fitted[before.fitted :]))
    _say_where(board, payload, walls[0], across, centre, sides)


def _across_mm(walls: Sequence[Wall], payload: Payload, board: Board, centre: Point) -> float:
    """How high the handles sit: above the centre of mass, about half-way up where that will do.

    They stay clear of latches on the closing plane: a case that is not held shut is worse than one
    that wants to tip, and that is said.
    """
    wall = walls[0]
    clear = _off_the_planes(walls, payload, board)
    mass = centre[wall.across]
    if not wall.upright:
        return min(max(mass, clear[0]), clear[1])
    middle = (wall.part.low_mm[wall.across] + wall.part.high_mm[wall.across]) / 2
    wanted = max(middle, mass) if wall.up > 0 else min(middle, mass)
    return min(max(wanted, clear[0]), clear[1])


def _off_the_planes(walls: Sequence[Wall], payload: Payload, board: Board) -> tuple[float, float]:
    """Where handles may lie across, clear of latches and hinges on closing planes if they can."""
    least, most = _between_planes(walls, payload, board)
    return (least, most) if least <= most else walls[0].across_mm


def _clear_of_planes(walls: Sequence[Wall], payload: Payload, board: Board) -> bool:
    """Whether the wall has a height at which handles and latches are clear of each other."""
    least, most = _between_planes(walls, payload, board)
    return least <= most


def _between_planes(walls: Sequence[Wall], payload: Payload, board: Board) -> tuple[float, float]:
    """Least and most place across for handles below latches; the first above the other if none."""
    wall = walls[0]
    low, high = wall.across_mm
    if not sides_with_closers(board, payload) & {one.side for one in walls}:
        return low, high
    tall = max(type_for(payload, kind).flange_mm[1] for kind in _ON_PLANES)
    off = (tall + wall.kind.flange_mm[1]) / 2 + GAP_MM
    least, most = low, high
    for upper in (False, True):
        if side_at(AXES[wall.across], high=upper) not in wall.part.open:
            continue
        if upper:
            most = min(most, wall.part.high_mm[wall.across] - off)
        else:
            least = max(least, wall.part.low_mm[wall.across] + off)
    return least, most


def _run(board: Board, wall: Wall, across_mm: float) -> Run:
    centre = [0.0, 0.0, 0.0]
    centre[wall.across] = across_mm
    centre[out_of(wall.side)[0]] = plane_mm(board.assembly, wall.side)
    piece = Piece(
        wall.kind,
        wall.side,
        wall.axis,
        (centre[0], centre[1], centre[2]),
        turn_deg(wall.side, wall.across, wall.up),
    )
    return Run(piece, *wall.along_mm, (wall.part.name,))


def _whole(place: float, middle: float, low: float, high: float) -> float:
    """The place at a whole millimetre from the side's middle, if that is still on the side."""
    whole = middle + round(place - middle)
    return whole if low <= whole <= high else place


def _targets(count: int, about: float, low: float, high: float, run: Run) -> tuple[float, ...]:
    """Places mirrored about the centre of mass, as far apart as a side shared out evenly."""
    reach = max(0.0, min(about - low, high - about))
    least = run.half_mm * 2 + GAP_MM
    step = max(least, (high - low + 2 * run.half_mm) / count)
    if count > 1:
        step = max(least, min(step, 2 * reach / (count - 1)))
    return tuple(about + (index - (count - 1) / 2) * step for index in range(count))


def _say_where(
    board: Board,
    payload: Payload,
    wall: Wall,
    across: float,
    centre: Point,
    sides: Sequence[Side],
) -> None:
    where = " and ".join(sides)
    off = (centre[wall.across] - across) * wall.up
    if wall.upright and off > NEAR_MM:
        board.notes.append(
            f"handles on the {where} lie {off:.0f} mm below the centre of mass: the case wants "
            "to tip when it is lifted; pack heavy gear lower, or make the part that carries them "
            "higher"
        )
    elif not wall.upright and abs(off) > BESIDE_MM:
        board.notes.append(
            f"handles on the {where} lie {abs(off):.0f} mm beside the centre of mass: the case "
            "hangs askew when it is carried"
        )
    base = min(part.low_mm[2] for part in carriers(board, sides))
    if upwards(payload, board.assembly)[0] == 2 and wall.part.low_mm[2] > base + NEAR_MM:
        board.notes.append(
            f"handles on the {where} are fixed to {called(wall.part.name)}: the latches carry the "
            "rest of the case when it is lifted"
        )


def _too_many(sides: Sequence[Side], count: int, fitted: Sequence[Fitted]) -> Trouble:
    return Trouble(
        f"handle on the {' and '.join(sides)}",
        f"{count * len(sides)} are wanted, there is room for {len(fitted)}: the rest is left out",
        0.0,
        "narrower handles, fewer of them that carry more each, other sides, or a larger case",
    )


def _too_low(
    kind: HardwareType, sides: Sequence[Side], choices: Sequence[Sequence[Wall]]
) -> Trouble:
    where = f"handle on the {' and '.join(sides)}"
    if not choices:
        return Trouble(
            where,
            "no part has a wall there that could carry it; it is left out",
            0.0,
            "another side for the handles",
        )
    best = min(choices, key=lambda walls: max(wall.short_mm for wall in walls))
    worst = max(best, key=lambda wall: wall.short_mm)
    short = worst.short_mm
    return Trouble(
        where,
        f"a {kind.name} {kind.flange_mm[1]:.1f} mm high needs {short:.1f} mm more than the wall of "
        f"{called(worst.part.name)} has; it is left out",
        short,
        f"a handle {short:.1f} mm lower, {called(worst.part.name)} {short:.1f} mm deeper, or "
        "another side",
    )


def _loads(board: Board, kind: HardwareType, gross_kg: float | None, names: Sequence[str]) -> None:
    """Whether each handle may carry its share of the case."""
    if gross_kg is None or not names:
        return
    each = gross_kg / len(names)
    if kind.load_kg is None:
        board.notes.append(
            f"what each of {len(names)} handles may carry is not known: ask its maker"
        )
    elif each > kind.load_kg + NEAR_MM:
        board.troubles.append(
            Trouble(
                "handles",
                f"each of {len(names)} carries {each:.1f} kg, and may carry {kind.load_kg:.1f} kg",
                0.0,
                "more handles, or stronger ones",
            )
        )
