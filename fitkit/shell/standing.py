"""What a case stands on, and what guards its edges: feet or castors, corners, braces.

Feet and castors stand as wide apart as the face allows: their middles lie at least a + plate / 2
from its edges, clear of the profiles' legs (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Collection, Iterator

from attrs import frozen

from fitkit.payload.hardware import type_for
from fitkit.payload.model import Payload
from fitkit.payload.workshop import HardwareType, Side
from fitkit.shell.closings import is_door, reaches
from fitkit.shell.counts import castor_load_kg, spread
from fitkit.shell.frame import AXES, out_of, side_at, u_of
from fitkit.shell.model import Part, Point, Trouble, called
from fitkit.shell.places import GAP_MM, Board, Piece
from fitkit.shell.rows_of_pieces import Run, set_row
from fitkit.shell.spans import NEAR_MM
from fitkit.shell.stance import ground_side, long_sides, side_by_side

FEET = 4
"""How many feet or castors a case stands on, four to a half where the halves stand side by side
in use (common practice, no source)."""


@frozen
class Band:
    """A strip of the ground face on one part: where feet's middles may lie across it [mm]."""

    part: Part
    low_mm: float
    high_mm: float


def set_ground(
    board: Board, payload: Payload, *, gross_kg: float | None, centre_mm: Point | None
) -> None:
    """Feet or castors on the face that stands on the ground, unless the builder wants none."""
    wishes = payload.workshop.hardware
    if wishes.ground == "none":
        return
    kind = type_for(payload, "castor" if wishes.ground == "castors" else "foot")
    side = ground_side(payload, board.assembly)
    count = FEET if kind.count is None else kind.count
    axis, across = _axes(board, side)
    parts = _standing(board, side, across)
    before = len(board.fitted)
    for group in _groups(board, payload, kind, side, parts, across):
        rows = _rows(board, kind, side, group, axis, across)
        if isinstance(rows, Trouble):
            board.troubles.append(rows)
            continue
        (low_part, low_mm), (high_part, high_mm) = rows
        upper = (count + 1) // 2
        for part, at_mm, mine in ((low_part, low_mm, upper), (high_part, high_mm, count - upper)):
            if mine:
                _foot_row(board, kind, side, part, axis, at_mm, mine)
    if kind.count is None or count >= 3:
        _stands(board, side, kind, centre_mm)
    if kind.kind == "castor":
        _castors(board, kind, gross_kg, len(board.fitted) - before)


def _groups(
    board: Board,
    payload: Payload,
    kind: HardwareType,
    side: Side,
    parts: list[Part],
    across: int,
) -> list[list[Part]]:
    """What stands on feet of its own: each half by itself where they stand side by side in use.

    A half too shallow for two rows gets its share of those of the closed case, and that is said.
    """
    halves = [part for part in parts if part.name in ("deep", "shallow")]
    if not side_by_side(payload) or kind.kind != "foot" or kind.count or len(halves) < 2:
        return [parts]
    size = _size(kind, side, across)
    short = []
    for part in halves:
        band = _band(board, kind, part, across, size)
        missing = size + GAP_MM - (band.high_mm - band.low_mm)
        if missing > NEAR_MM:
            short.append((missing, part.name))
    if not short:
        return [[part] for part in halves]
    missing, name = max(short)
    board.troubles.append(
        Trouble(
            f"feet on the {side}",
            f"the {name} half is {missing:.1f} mm too shallow for two rows of feet "
            f"{size:.1f} mm wide: opened, it falls over",
            missing,
            f"feet {missing / 2:.1f} mm narrower, a half {missing:.1f} mm deeper, or a prop",
        )
    )
    return [parts]


def _axes(board: Board, side: Side) -> tuple[int, int]:
    """Along and across the ground: along the axis that no closing plane cuts, or the longer."""
    first, second = (axis for axis in range(3) if axis != out_of(side)[0])
    cut = {AXES.index(split.axis) for split in board.assembly.splits}
    if first in cut and second not in cut:
        return second, first
    if second in cut and first not in cut:
        return first, second
    size = [
        high - low for low, high in zip(board.assembly.low_mm, board.assembly.high_mm, strict=True)
    ]
    return (first, second) if size[first] >= size[second] else (second, first)


def _standing(board: Board, side: Side, across: int) -> list[Part]:
    """The parts that reach the ground, from the low end: doors and lids if nothing else does."""
    there = [part for part in board.assembly.parts if reaches(board.assembly, part, side)]
    solid = [part for part in there if not part.plate and not is_door(part)]
    if not solid and there:
        board.notes.append(
            f"the {side} is the {there[0].name}: what the case stands on is fixed to it; put the "
            "case on another side, or leave feet off"
        )
    return sorted(solid or there, key=lambda part: part.low_mm[across])


def _band(board: Board, kind: HardwareType, part: Part, across: int, size: float) -> Band:
    ends = []
    for high in (False, True):
        outer = side_at(AXES[across], high=high) not in part.open
        ends.append(size / 2 + GAP_MM + (board.profile.leg_mm if outer else 0.0))
    return Band(part, part.low_mm[across] + ends[0], part.high_mm[across] - ends[1])


def _rows(
    board: Board, kind: HardwareType, side: Side, parts: list[Part], axis: int, across: int
) -> tuple[tuple[Part, float], tuple[Part, float]] | Trouble:
    """The two rows in which feet stand, as far apart as the parts on the ground allow."""
    size = _size(kind, side, across)
    if not parts:
        return Trouble(
            f"{kind.kind} on the {side}",
            "no part has its wall there; none is set",
            0.0,
            "another side to stand on",
        )
    bands = [_band(board, kind, part, across, size) for part in parts]
    good = [band for band in bands if band.high_mm >= band.low_mm - NEAR_MM]
    if good:
        first, last = good[0], good[-1]
        if last.high_mm - first.low_mm >= size + GAP_MM:
            if len(good) < len(bands):
                left = ", ".join(one.part.name for one in bands if one not in good)
                board.notes.append(
                    f"{_many(kind.kind)} on the {side}: {left} has too low a wall for one, all "
                    "stand on the rest"
                )
            return (first.part, first.low_mm), (last.part, last.high_mm)
        short = size + GAP_MM - (last.high_mm - first.low_mm)
    else:
        short = min(band.low_mm - band.high_mm for band in bands)
    return Trouble(
        f"{_many(kind.kind)} on the {side}",
        f"two rows of {_many(kind.kind)} {size:.1f} mm wide need {short:.1f} mm more than the face "
        "has; they are left out",
        short,
        f"smaller {_many(kind.kind)}, deeper parts, or another side to stand on",
    )


def _many(kind: str) -> str:
    return {"foot": "feet"}.get(kind, kind + "s")


def _size(kind: HardwareType, side: Side, axis: int) -> float:
    return kind.flange_mm[0 if u_of(side)[0] == axis else 1]


def _foot_row(
    board: Board, kind: HardwareType, side: Side, part: Part, axis: int, at_mm: float, count: int
) -> None:
    across = 3 - axis - out_of(side)[0]
    size = _size(kind, side, axis)
    band = _band(board, kind, part, axis, size)
    centre = [0.0, 0.0, 0.0]
    centre[across] = at_mm
    piece = Piece(kind, side, axis, (centre[0], centre[1], centre[2]), 0.0)
    targets = spread(count, low_mm=band.low_mm, high_mm=band.high_mm)
    if len(targets) < count or band.high_mm - band.low_mm < (count - 1) * (size + GAP_MM):
        short = (count - 1) * (size + GAP_MM) - (band.high_mm - band.low_mm)
        board.troubles.append(
            Trouble(
                f"{_many(kind.kind)} on the {side}",
                f"{count} {_many(kind.kind)} {size:.1f} mm wide need {short:.1f} mm more than the "
                f"{side} has; they are left out",
                short,
                f"fewer or smaller {_many(kind.kind)}, or another side to stand on",
            )
        )
        return
    about = (band.low_mm + band.high_mm) / 2
    run = Run(piece, band.low_mm, band.high_mm, (part.name,))
    set_row(board, (run,), targets, about_mm=about)


def _stands(board: Board, side: Side, kind: HardwareType, centre_mm: Point | None) -> None:
    """Whether the centre of mass lies over the feet: else the case falls over."""
    feet = [one for one in board.fitted if one.kind == kind.kind]
    if centre_mm is None or not feet:
        return
    for axis in range(3):
        if axis == out_of(side)[0]:
            continue
        low = min(one.centre_mm[axis] for one in feet)
        high = max(one.centre_mm[axis] for one in feet)
        short = max(low - centre_mm[axis], centre_mm[axis] - high)
        if short > NEAR_MM:
            board.troubles.append(
                Trouble(
                    f"{_many(kind.kind)} on the {side}",
                    f"the centre of mass lies {short:.1f} mm outside them: the case tips over",
                    short,
                    f"{_many(kind.kind)} wider apart, another side to stand on, or heavy gear "
                    "nearer to the middle",
                )
            )


def _castors(board: Board, kind: HardwareType, gross_kg: float | None, count: int) -> None:
    """The castor load rule: T >= (E + Z) / (n - 1); source S21, read."""
    if gross_kg is None or not count:
        return
    needed = castor_load_kg(gross_kg, count=count)
    if kind.load_kg is None:
        board.notes.append(
            f"each of {count} castors must be rated for {needed:.1f} kg: what these may carry is "
            "not known, ask their maker"
        )
    elif kind.load_kg < needed - NEAR_MM:
        board.troubles.append(
            Trouble(
                "castors",
                f"each of {count} must be rated for {needed:.1f} kg, and is for "
                f"{kind.load_kg:.1f} kg",
                0.0,
                f"castors rated for {needed:.1f} kg or more each",
            )
        )


def set_corners(
    board: Board, payload: Payload, *, without: Collection[frozenset[Side]] = ()
) -> None:
    """A corner at each of the case's eight outer corners, and the braces if they are wished.

    ``without`` names corners, by the three sides that meet there, that a cable exit takes off.
    """
    kind = type_for(payload, "corner")
    low, high = board.assembly.low_mm, board.assembly.high_mm
    set_at = 0
    for sides in _corner_sides():
        point = _corner_point(sides, low, high)
        part = next(
            (
                one
                for one in board.assembly.parts
                if all(reaches(board.assembly, one, side) for side in sides)
            ),
            None,
        )
        if part is None or frozenset(sides) in without:
            continue
        if kind.count is None or set_at < kind.count:
            _guard(board, kind, sides, point, part)
            set_at += 1
    _say_long_legs(board, kind)
    if payload.workshop.hardware.braces:
        _set_braces(board, payload)


def _say_long_legs(board: Board, kind: HardwareType) -> None:
    """Legs of a flat part's corners that reach past its edge would keep it from opening."""
    reach = kind.flange_mm[0]
    for part in board.assembly.parts:
        if not part.plate or not any(
            one.kind == "corner" and part.name in one.parts for one in board.fitted
        ):
            continue
        axis = out_of(part.open[0])[0]
        thick = part.high_mm[axis] - part.low_mm[axis]
        if reach > thick + NEAR_MM:
            board.notes.append(
                f"corners of {called(part.name)}: saw off the leg that reaches "
                f"{reach - thick:.0f} mm past its edge, {thick:.0f} mm thick: it would lie over "
                "the wall beside it and keep it from opening"
            )


def _corner_sides() -> Iterator[tuple[Side, Side, Side]]:
    ends: tuple[Side, ...] = ("bottom", "top")
    for upright in ends:
        for across in _FRONT_BACK:
            for end in _LEFT_RIGHT:
                yield upright, across, end


_FRONT_BACK: tuple[Side, ...] = ("front", "back")
_LEFT_RIGHT: tuple[Side, ...] = ("left", "right")


def _corner_point(sides: tuple[Side, ...], low: Point, high: Point) -> Point:
    found = {}
    for side in sides:
        axis, sense = out_of(side)
        found[axis] = high[axis] if sense > 0 else low[axis]
    return (found[0], found[1], found[2])


def _guard(
    board: Board, kind: HardwareType, sides: tuple[Side, Side, Side], point: Point, part: Part
) -> None:
    """One corner: it covers a leg's width along each of its edges, on each of its faces."""
    reach, wide = kind.flange_mm[0], min(board.profile.leg_mm, kind.flange_mm[0])
    seat = sides[0]
    middle = _inwards(point, sides[1:], reach / 2)
    made = Piece(kind, seat, u_of(seat)[0], middle, 0.0)
    fitted = board.set(made, middle[made.axis], (part.name,))
    board.patches.pop()
    for side in sides:
        first, second = (one for one in sides if one != side)
        for long_way, short_way in ((first, second), (second, first)):
            at = _inwards(_inwards(point, (long_way,), reach / 2), (short_way,), wide / 2)
            size = (reach, wide) if out_of(long_way)[0] == u_of(side)[0] else (wide, reach)
            board.cover(fitted.name, side, at, size)


def _inwards(point: Point, sides: tuple[Side, ...], by_mm: float) -> Point:
    found = [*point]
    for side in sides:
        axis, sense = out_of(side)
        found[axis] -= sense * by_mm
    return (found[0], found[1], found[2])


def _set_braces(board: Board, payload: Payload) -> None:
    """A brace at each corner of every closing frame, on the upright edge, on both its faces."""
    kind = type_for(payload, "brace")
    width, height = kind.flange_mm
    seat = long_sides(board.assembly)
    for split in board.assembly.splits:
        if split.axis != "z" or split.tongue is None:
            continue
        for name, sense in ((split.below, -1), (split.above, 1)):
            part = board.assembly.part(name)
            tall = part.high_mm[2] - part.low_mm[2]
            if height > tall:
                board.troubles.append(_brace_trouble(kind, part, height - tall))
                continue
            for side in seat:
                for end in _LEFT_RIGHT if side in _FRONT_BACK else _FRONT_BACK:
                    if not all(reaches(board.assembly, part, one) for one in (side, end)):
                        continue
                    corner = _corner_point((side, end, "top"), part.low_mm, part.high_mm)
                    at = (corner[0], corner[1], split.at_mm + sense * height / 2)
                    middle = _inwards(at, (end,), width / 2)
                    piece = Piece(kind, side, u_of(side)[0], middle, 0.0)
                    fitted = board.set(piece, middle[piece.axis], (name,))
                    board.cover(fitted.name, end, _inwards(at, (side,), width / 2), kind.flange_mm)


def _brace_trouble(kind: HardwareType, part: Part, short: float) -> Trouble:
    return Trouble(
        f"braces of {called(part.name)}",
        f"a {kind.name} {kind.flange_mm[1]:.1f} mm high is {short:.1f} mm higher than the wall; "
        "it is left out",
        short,
        f"braces {short:.1f} mm lower, or none",
    )
