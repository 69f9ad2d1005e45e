"""What holds a case shut: latches, hinges and stays, and those of its doors, on every plane.

A lift-off lid is latched on its two long sides, on all four where a side is longer than about
700 mm; a hinged one at the front, with hinges behind and stays at its ends. Where the long sides
carry handle or feet (a case that is used upright), the short sides carry the latches. All this is
common practice, no source; the builder's own counts and sides overrule it.
"""

from __future__ import annotations

from collections.abc import Iterable

from fitkit.payload.hardware import type_for, with_low
from fitkit.payload.model import Payload
from fitkit.payload.workshop import HardwareKind, HardwareType, Side
from fitkit.shell.closings import Closing, line_mm, moving_of, run_over, sides_of, too_high
from fitkit.shell.counts import (
    ALL_ROUND_MM,
    END_MM,
    fitting,
    hinges_along,
    latches_along,
    shared,
    spread,
    stays_for,
)
from fitkit.shell.frame import opposite, out_of
from fitkit.shell.model import Assembly, Trouble
from fitkit.shell.places import GAP_MM, Board
from fitkit.shell.rows_of_pieces import crowded, instead, set_row
from fitkit.shell.stance import ground_side, long_sides, short_sides

Slot = tuple[Closing, Side]


def set_hinges(board: Board, payload: Payload) -> None:
    """Hinges of a hinged lid and of every door, and the stays of the lid."""
    closings = moving_of(board.assembly)
    slots = [slot for closing in closings for slot in _hinge_slots(board, payload, closing)]
    _set(board, payload, "hinge", slots)


def set_stays(board: Board, payload: Payload) -> None:
    """Stays of a hinged lid, at its ends; none for doors."""
    slots = _stay_slots(board, payload)
    if slots:
        kind = type_for(payload, "stay")
        _set(board, payload, "stay", _wished(board, kind, slots, moving_of(board.assembly)))


def _stay_slots(board: Board, payload: Payload) -> list[Slot]:
    slots: list[Slot] = []
    for closing in moving_of(board.assembly):
        if closing.door:
            continue
        for _, side in _hinge_slots(board, payload, closing):
            ends = [one for one in sides_of(board.assembly, closing) if _beside(one, side)]
            _, low, high = line_mm(closing, side)
            slots += [(closing, end) for end in ends[: stays_for(high - low)]]
    return slots


def set_latches(board: Board, payload: Payload) -> None:
    """Latches on every closing plane, and the latches of doors."""
    closings = moving_of(board.assembly)
    for doors in (False, True):
        mine = [closing for closing in closings if closing.door == doors]
        slots = [
            (closing, side)
            for closing in mine
            for side in _latch_sides(board.assembly, payload, closing)
        ]
        name: HardwareKind = "door latch" if doors else "latch"
        if not mine:
            continue
        before = board.mark()
        _set(board, payload, name, _wished(board, type_for(payload, name), slots, mine))
        flat = with_low(payload, name)
        if flat is not None and crowded(board, since=before):
            # nobody chose the generic sunk one: one that is not sunk keeps clear of the gear
            sunk, count = board.fitted[before.fitted].type, len(board.fitted) - before.fitted
            board.back_to(before)
            _set(board, flat, name, _wished(board, type_for(flat, name), slots, mine))
            if len(board.fitted) - before.fitted >= count:
                board.notes.append(instead(sunk, board.fitted[before.fitted].type))
            else:
                board.back_to(before)
                _set(board, payload, name, _wished(board, type_for(payload, name), slots, mine))


def sides_with_closers(board: Board, payload: Payload) -> set[Side]:
    """The sides that carry latches, hinges or stays: handles stay clear of their planes there."""
    found = {side for _, side in _stay_slots(board, payload)}
    for closing in moving_of(board.assembly):
        found |= {side for _, side in _hinge_slots(board, payload, closing)}
        found |= set(_latch_sides(board.assembly, payload, closing))
        found |= set(type_for(payload, "door latch" if closing.door else "latch").sides)
    return found


def latch_sides(payload: Payload, assembly: Assembly) -> tuple[Side, ...]:
    """The sides that a lift-off lid is latched on, as a rule.

    The long ones, or the short ones where the case is used upright; all of them where the longest
    is over about 700 mm.
    """
    first, second = long_sides(assembly), short_sides(assembly)
    if payload.workshop.hardware.use == "upright":
        first, second = second, first
    axis = 0 if "front" in long_sides(assembly) else 1
    longest = assembly.high_mm[axis] - assembly.low_mm[axis]
    return (*first, *second) if longest > ALL_ROUND_MM else first


def _hinged(payload: Payload, closing: Closing) -> bool:
    """Whether a closing plane is hinged: a door always, a lid where the builder wants it so."""
    if closing.door:
        return not closing.drawer
    lid = closing.lid.name in ("lid", "shallow")
    return lid and closing.axis == 2 and payload.workshop.hardware.lid == "hinged"


def _hinge_side(payload: Payload, assembly: Assembly, closing: Closing) -> Side:
    """Behind; used upright, about a side that stands upright then: nothing swings to the ground."""
    upright = payload.workshop.hardware.use == "upright"
    if closing.door and closing.axis == 2 and upright:
        return short_sides(assembly)[0]
    side: Side = "back" if closing.axis != 1 else "left"
    ground = ground_side(payload, assembly)
    if not upright or out_of(side)[0] != out_of(ground)[0]:
        return side
    beside = [one for one in sides_of(assembly, closing) if out_of(one)[0] != out_of(ground)[0]]
    return beside[0] if beside else side


def _hinge_slots(board: Board, payload: Payload, closing: Closing) -> list[Slot]:
    if not _hinged(payload, closing):
        return []
    kind = type_for(payload, "hinge")
    slots: list[Slot] = [(closing, _hinge_side(payload, board.assembly, closing))]
    return _wished(board, kind, slots, [closing])


def _latch_sides(assembly: Assembly, payload: Payload, closing: Closing) -> tuple[Side, ...]:
    shown = sides_of(assembly, closing)
    if _hinged(payload, closing):
        own = type_for(payload, "hinge").sides
        hinges = own[:1] or (_hinge_side(payload, assembly, closing),)
        wanted: tuple[Side, ...] = (opposite(hinges[0]),)
    elif closing.axis == 2 and not closing.door:
        wanted = latch_sides(payload, assembly)
    else:
        wanted = ("left", "right") if closing.axis == 1 else ("front", "back")
    return tuple(side for side in wanted if side in shown)


def _wished(
    board: Board, kind: HardwareType, slots: Iterable[Slot], closings: Iterable[Closing]
) -> list[Slot]:
    """The slots by rule, or those on the builder's own sides."""
    if not kind.sides:
        return list(slots)
    found: list[Slot] = []
    for side in kind.sides:
        on = [closing for closing in closings if side in sides_of(board.assembly, closing)]
        if kind.kind in ("hinge", "stay"):
            mine = [closing for closing, _ in slots]
            on = [closing for closing in on if closing in mine]
        found += [(closing, side) for closing in on]
        if not on:
            board.troubles.append(
                Trouble(
                    f"{kind.kind} on the {side}",
                    f"no closing plane shows on the {side}: none is set there",
                    0.0,
                    f"another side for the {kind.kind}, or none to leave it to the rules",
                )
            )
    return found


def _beside(one: Side, side: Side) -> bool:
    return one not in (side, opposite(side))


def _set(board: Board, payload: Payload, name: HardwareKind, slots: list[Slot]) -> None:
    """Set a kind on its slots: opposite sides of a plane with as many pieces together."""
    kind = type_for(payload, name)
    if not slots:
        return
    if kind.count is None:
        counts = [_by_rule(kind, slot) for slot in slots]
    else:
        counts = list(shared(kind.count, len(slots)))
    refused: list[Closing] = []
    done: set[int] = set()
    for index, (closing, side) in enumerate(slots):
        trouble = None if closing in refused else too_high(board, closing, kind)
        if trouble is not None:
            board.troubles.append(trouble)
            refused.append(closing)
        if index in done or closing in refused or not counts[index]:
            continue
        pair = [index]
        for other in range(index + 1, len(slots)):
            like = counts[other] == counts[index] and other not in done
            if like and slots[other] == (closing, opposite(side)):
                pair.append(other)
                break
        done.update(pair)
        if closing.lid.plate:
            _say_flat(board, kind, closing)
        _row(board, kind, closing, [slots[one][1] for one in pair], counts[index])


def _row(board: Board, kind: HardwareType, closing: Closing, sides: list[Side], count: int) -> None:
    """Set a row on each side: by rule with fewer pieces where not all of them have a place."""
    runs = [run_over(board, closing, side, kind) for side in sides]
    _, low, high = line_mm(closing, sides[0])
    before = board.mark()
    for mine in range(count, 0, -1):
        targets = _targets(mine, low, high, runs[0].low_mm, runs[0].high_mm, kind)
        whole = set_row(board, runs, targets, about_mm=(low + high) / 2) == mine * len(runs)
        if whole or kind.count is not None:
            if mine < count:
                board.notes.append(
                    f"{kind.kind} on the {' and '.join(sides)} {closing.where}: the rule says "
                    f"{count} a side, there is room for {mine}"
                )
            return
        if mine > 1:
            board.back_to(before)


def _by_rule(kind: HardwareType, slot: Slot) -> int:
    """How many pieces the rules give a side, and no more than lie side by side there."""
    _, low, high = line_mm(*slot)
    side = high - low
    if kind.kind == "stay":
        return 1
    count = hinges_along(side) if kind.kind == "hinge" else latches_along(side)
    room = side - 2 * GAP_MM
    return fitting(count, room_mm=room, piece_mm=kind.flange_mm[0], gap_mm=GAP_MM)


def _targets(
    count: int, low: float, high: float, least: float, most: float, kind: HardwareType
) -> tuple[float, ...]:
    """Even places: the outermost 120 mm from the ends, or as far out as goes on a short side."""
    start, end = max(low + END_MM, least), min(high - END_MM, most)
    if count > 1 and (end - start) < (count - 1) * (kind.flange_mm[0] + GAP_MM):
        start, end = least, most
    if count > 1 and end <= start:
        return ((low + high) / 2,) * count
    return spread(count, low_mm=start, high_mm=end)


def _say_flat(board: Board, kind: HardwareType, closing: Closing) -> None:
    thick = closing.lid.high_mm[closing.axis] - closing.lid.low_mm[closing.axis]
    if kind.kind == "hinge":
        note = (
            f"hinges {closing.where}: their upper leaf is bent over the edge of "
            f"{closing.lid.name}, {thick:.1f} mm thick, or a hinge with a cranked leaf is used"
        )
    else:
        note = (
            f"{kind.kind} {closing.where}: its upper end lies flush on the frame of "
            f"{closing.lid.name}, {thick:.1f} mm thick; use one whose keeper fits there"
        )
    if note not in board.notes:
        board.notes.append(note)
