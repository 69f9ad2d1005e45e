"""What cannot be built of the boards, hardware and stock of a sheet: said before any search.

Only what is certain is refused: a board that is too thick even where it is sold thinnest, hardware
that is wider than the largest side that the limits allow, bars and sheets that are too small for
the smallest case that holds a single item. What depends on the layout is judged by the checks.
"""

from __future__ import annotations

from collections.abc import Iterator

from attrs import evolve, frozen

from fitkit.payload.boards import wall_board
from fitkit.payload.hardware_in import key_of
from fitkit.payload.impossible import SLACK_MM, least_plan_mm
from fitkit.payload.model import Payload
from fitkit.payload.pose import posed
from fitkit.payload.reading import Table
from fitkit.payload.toml_lines import Path
from fitkit.payload.walls import build_up_mm
from fitkit.payload.workshop import Board
from fitkit.payload.workshop_in import panel_names

BESIDE_MM = 3.0
"""What is left between a flange and the leg of a profile [mm] (derived: a + flange / 2 + 3)."""


def note_unbuildable(payload: Payload, sheet: Table) -> None:
    """Note a fault for every board, piece of hardware, bar or sheet that cannot do."""
    if payload.case.ready_made:
        return
    _boards(payload, sheet)
    _hardware(payload, sheet)
    _rings(payload, sheet)
    _stock(payload, sheet)


def _boards(payload: Payload, sheet: Table) -> None:
    """Boards that are thicker than the slot, however thin they are sold."""
    wall, shop = payload.wall, payload.workshop
    chosen = {choice.where for choice in shop.panels}
    names = panel_names(payload.case.form, shop)
    if not all(name in chosen or name.rpartition(" ")[2] in chosen for name in names):
        given = sheet.data.get("wall")
        keys = given if isinstance(given, dict) else {}
        key = next((key for key in ("thickness", "laminate", "panel") if key in keys), None)
        path: Path = ("wall",) if key is None else ("wall", key)
        _thick(payload, sheet, wall_board(wall, grain=shop.grain), path, "the panels")
    usual = wall_board(wall, grain=shop.grain)
    named = {usual.name: usual}
    for choice in shop.panels:
        board, at = choice.board, _choice_path(sheet, choice.where)
        if named.setdefault(board.name, board) != board and not _same(named[board.name], board):
            sheet.notes.fault(
                at,
                f'"{board.name}" is the name of two different boards',
                "give one of them another name: each is cut from sheets of its own",
            )
        _thick(payload, sheet, board, at, choice.where)


def _same(one: Board, two: Board) -> bool:
    """Whether two boards are one; what is asked of their grain does not count."""
    return evolve(one, grain=two.grain) == two


def _thick(payload: Payload, sheet: Table, board: Board, path: Path, what: str) -> None:
    slot, say = payload.wall.profile.slot_mm, sheet.notes.say
    over = board.least_mm - slot
    if over > SLACK_MM:
        sheet.notes.fault(
            path,
            f"{board.name} for {what} is {say(board.least_mm)} thick at least and does not go "
            f"into a slot of {say(slot)}",
            f"it is {say(over)} too thick: take a thinner board, or a profile with a wider slot",
        )


def _choice_path(sheet: Table, where: str) -> Path:
    """Where a panel's own board stands in the sheet."""
    wall = sheet.data.get("wall")
    own = wall.get("panels") if isinstance(wall, dict) else None
    for key in own if isinstance(own, dict) else ():
        said = " ".join(key.split())
        if where == said or where.startswith(f"{said} "):
            return ("wall", "panels", key)
    return ("wall",)


def _hardware(payload: Payload, sheet: Table) -> None:
    """Hardware that is wider or higher than any side that the limits and depths allow."""
    say = sheet.notes.say
    limits, profile = payload.case.limits.outside_mm, payload.wall.profile
    beside = profile.leg_mm + BESIDE_MM
    for one in payload.workshop.hardware.types:
        if one.known != "measured" or one.kind not in ("latch", "hinge", "handle", "door latch"):
            continue
        path = ("hardware", key_of(one.kind), "flange")
        wide, high = one.flange_mm
        if one.kind == "handle":  # it may be turned
            wide, high = min(wide, high), min(wide, high)
        longest = None if limits[0] is None or limits[1] is None else max(limits[0], limits[1])
        if longest is not None and wide + 2 * beside > longest + SLACK_MM:
            sheet.notes.fault(
                path,
                f"a {one.kind} {say(wide)} wide takes a side of {say(wide + 2 * beside)}, and the "
                f"case may be {say(longest)} long",
                f"that is {say(wide + 2 * beside - longest)} too much: take a narrower one, or "
                "raise the limit",
            )
        if one.kind == "latch":
            for room, half in _heights(payload):
                need = high / 2 + beside
                if need > room + SLACK_MM:
                    sheet.notes.fault(
                        path,
                        f"half of a latch {say(high)} high takes {say(need)} with the profile's "
                        f"leg, and the {half} half is {say(room)} high outside",
                        f"that is {say(need - room)} too much: take a lower one, or make the half "
                        "deeper",
                    )
                    break


def _heights(payload: Payload) -> Iterator[tuple[float, str]]:
    """Outside heights of halves whose depth is given [mm]."""
    if payload.case.form == "tray" or payload.workshop.rings_mm or payload.workshop.doors:
        return
    thick = build_up_mm(payload.wall.profile)
    for depth, half in zip(payload.case.depths_mm, ("deep", "shallow"), strict=True):
        if depth is not None:
            yield depth + thick, half


def _rings(payload: Payload, sheet: Table) -> None:
    """Rings that leave nothing of the half that they are cut from."""
    shop, say = payload.workshop, sheet.notes.say
    deep = payload.case.depths_mm[0]
    if not shop.rings_mm or deep is None or (payload.case.form == "tray" and shop.opening != "lid"):
        return
    total = sum(shop.rings_mm)
    if total >= deep - SLACK_MM:
        part = "tray" if payload.case.form == "tray" else "deep half"
        sheet.notes.fault(
            ("shell", "rings"),
            f"rings of {say(total)} in all leave nothing of a {part} {say(deep)} deep",
            "give lower rings, or a greater depth",
        )


@frozen
class _Least:
    """The least sides of a case that holds one item, outside [mm]."""

    item: str
    long_mm: float
    short_mm: float


def _least(payload: Payload) -> Iterator[_Least]:
    around = 2 * payload.case.clearance.wall_mm + 2 * build_up_mm(payload.wall.profile)
    for item in payload.items:
        sizes = [
            least_plan_mm(posed(item, up).silhouette, free=item.turn == "free") for up in item.up
        ]
        if sizes:
            short, long = min(s for s, _ in sizes), min(g for _, g in sizes)
            yield _Least(item.name, long + around, short + around)


def _stock(payload: Payload, sheet: Table) -> None:
    """Bars, sheets and foam that are too small for the case around a single item."""
    every = list(_least(payload))
    if not every:
        return
    longest = max(every, key=lambda one: one.long_mm)
    widest = max(every, key=lambda one: one.short_mm)
    _bars(payload, sheet, longest)
    _sheet(payload, sheet, longest, widest)


def _bars(payload: Payload, sheet: Table, longest: _Least) -> None:
    stock, profile, say = payload.workshop.stock, payload.wall.profile, sheet.notes.say
    framed = payload.case.form != "tray" or bool(payload.workshop.rings_mm)
    kinds: tuple[str, ...]
    if framed:  # a closing profile runs over the whole length
        need, kinds = longest.long_mm, ("tongue", "groove")
    else:
        allowance = 2 * profile.corner_mm if profile.ends == "square" else 0.0
        need, kinds = longest.long_mm - allowance, ("edge",)
    bar = max(stock.bars_mm) - 2 * stock.bar_trim_mm
    if bar <= 0:  # used up by trimming: said where it is read
        return
    clear = max([bar, *(one.length_mm for one in stock.offcuts if one.kind in kinds)])
    if need > clear + SLACK_MM:
        given = sheet.data.get("stock")
        path = ("stock", "bars") if isinstance(given, dict) and "bars" in given else ("stock",)
        sheet.notes.fault(
            path,
            f'the case around "{longest.item}" alone needs a profile of {say(need)}, and the '
            f"longest bar gives {say(clear)}",
            f"buy bars of {say(need + 2 * stock.bar_trim_mm)} or more",
        )


def _sheet(payload: Payload, sheet: Table, longest: _Least, widest: _Least) -> None:
    """The bottom's panel against a whole sheet of the wall's board: P = E - 2 (e + g)."""
    profile, say = payload.wall.profile, sheet.notes.say
    if any(choice.where.endswith("bottom") for choice in payload.workshop.panels):
        return
    inset = profile.outer_leaf_mm + profile.slot_mm + profile.slot_web_mm + profile.play_mm
    trim = payload.workshop.stock.sheet_trim_mm
    board = wall_board(payload.wall)
    sides = sorted((side - 2 * trim for side in board.sheet_mm), reverse=True)
    needs = ((longest.long_mm, longest.item), (widest.short_mm, widest.item))
    for clear, (outside, item) in zip(sides, needs, strict=True):
        need = outside - 2 * inset
        if need > clear + SLACK_MM:
            given = sheet.data.get("stock")
            typed = isinstance(given, dict) and "sheet" in given
            sheet.notes.fault(
                ("stock", "sheet") if typed else ("wall",),
                f'the bottom around "{item}" alone is a panel of {say(need)}, and a sheet of '
                f"{board.name} gives {say(clear)} that way",
                f"buy sheets of {say(need + 2 * trim)} or more that way",
            )
            return
