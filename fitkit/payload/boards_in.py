"""Boards as typed: by trade name or as measured, with what is glued onto them."""

from __future__ import annotations

import difflib
from typing import Any, cast

from attrs import evolve, frozen

from fitkit.payload.boards import board_of
from fitkit.payload.bounds import LENGTHS, NUMBERS
from fitkit.payload.model import Wall
from fitkit.payload.reading import Table, listed, shown
from fitkit.payload.workshop import Grain, Laminate, PanelChoice
from fitkit.reference.panels import LAMINATE_KG_M2, LAMINATE_MM, panels

GRAINS: tuple[Grain, ...] = ("any", "long", "short")
BOARD = (
    "panel", "thickness", "least", "most", "kg_per_m2", "laminate", "grain", "wood", "sheet",
)  # fmt: skip
LAMINATE = ("faces", "thickness", "kg_per_m2")
MOST_NAME = 60


@frozen
class BoardTyped:
    """What a table says of a board; None where it is silent. Lengths in mm."""

    name: str | None
    thickness_mm: float | None
    least_mm: float | None
    most_mm: float | None
    areal_kg_m2: float | None
    laminate: Laminate | None
    grain: Grain | None
    wood: bool | None
    sheet_mm: tuple[float, float] | None


def read_wall_board(table: Table) -> Wall:
    """The wall's own board, without the profile; ``table`` is [wall]."""
    plain = Wall()
    typed = board_typed(table, needs_name=False)
    name = plain.panel if typed.name is None else typed.name
    trade = panels().get(name)
    thickness, areal = typed.thickness_mm, typed.areal_kg_m2
    if trade is not None:
        known = board_of(name, laminate=typed.laminate)
        thickness = known.thickness_mm if thickness is None else thickness
        areal = known.areal_kg_m2 if areal is None else areal
    return Wall(
        panel=name,
        panel_mm=plain.panel_mm if thickness is None else thickness,
        areal_kg_m2=areal,
        laminate=typed.laminate,
        least_mm=typed.least_mm,
        most_mm=typed.most_mm,
        wood=typed.wood,
        sheet_mm=typed.sheet_mm,
    )


def read_choices(
    table: Table,
    names: tuple[str, ...],
    *,
    wall: Wall,
    grain: Grain,
    sheets: dict[str, tuple[float, float]],
) -> tuple[PanelChoice, ...]:
    """Boards for some panels only: the table ``panels`` of [wall].

    ``names`` are the panels that the case has ("deep front"), ``wall`` and ``grain`` what the
    others are cut from, ``sheets`` the sizes of whole sheets by board, "" for all of them [mm].
    The wall's own name, and nothing else, means the wall's board as measured.
    """
    inner = table.table("panels")
    if inner is None:
        return ()
    found: list[PanelChoice] = []
    seen: dict[str, str] = {}
    for key, value in inner.data.items():
        where = _where(inner, key, names)
        if where is None:
            continue
        if where in seen:
            inner.fault(key, f'"{seen[where]}" means the same panel', "take one of them out")
            continue
        seen[where] = key
        if isinstance(value, str):
            one = Table({"panel": value}, (*inner.path, key), inner.notes)
        elif isinstance(value, dict):
            one = Table(value, (*inner.path, key), inner.notes)
            one.only(BOARD)
        else:
            inner.fault(
                key, f"{shown(value)} where a panel belongs", 'write "aluminium composite 3"'
            )
            continue
        before = len(one.notes)
        typed = board_typed(one, needs_name=True)
        name = typed.name
        if len(one.notes) > before or name is None:
            continue
        if name == wall.panel and wall.laminate is None:
            typed = _as_measured(typed, wall)
        grained = True if typed.grain in ("long", "short") else None
        trade = panels().get(name)
        board = board_of(
            name,
            thickness_mm=typed.thickness_mm,
            areal_kg_m2=typed.areal_kg_m2,
            laminate=typed.laminate,
            least_mm=typed.least_mm,
            most_mm=typed.most_mm,
            grain=grained if trade is None else None,
            wood=typed.wood,
            sheet_mm=typed.sheet_mm or sheets.get(name) or sheets.get(""),
        )
        own = typed.grain if typed.grain is not None else (grain if board.grain else "any")
        found.append(PanelChoice(where, board, own))
    return tuple(found)


def _as_measured(typed: BoardTyped, wall: Wall) -> BoardTyped:
    """The wall's own board again, unless something of its make is said anew."""
    own = (typed.thickness_mm, typed.least_mm, typed.most_mm, typed.areal_kg_m2, typed.laminate)
    if any(value is not None for value in own):
        return typed
    return evolve(
        typed,
        thickness_mm=wall.panel_mm,
        least_mm=wall.least_mm,
        most_mm=wall.most_mm,
        areal_kg_m2=wall.areal_kg_m2,
        wood=wall.wood if typed.wood is None else typed.wood,
        sheet_mm=wall.sheet_mm if typed.sheet_mm is None else typed.sheet_mm,
    )


def board_typed(table: Table, *, needs_name: bool) -> BoardTyped:
    """What ``table`` says of a board, each fault noted."""
    name = table.text("panel")
    thickness = table.length("thickness", **LENGTHS["wall.thickness"])
    least = table.length("least", **LENGTHS["wall.thickness"])
    most = table.length("most", **LENGTHS["wall.thickness"])
    areal = table.number("kg_per_m2", **NUMBERS["wall.kg_per_m2"])
    laminate = read_laminate(table)
    grain = table.choice("grain", GRAINS)
    wood = table.flag("wood")
    sheet = pair_mm(table, "sheet", "board.sheet")
    trade = panels().get(Wall().panel if name is None and not needs_name else name or "")
    if trade is None:
        _not_known(table, name, thickness, needs_name=needs_name)
    elif grain in ("long", "short") and not trade.grain:
        table.fault("grain", f"{trade.name} has no grain", "take it out")
    if trade is not None and wood is not None and wood != trade.wood:
        said = "is wood" if trade.wood else "is no wood"
        table.fault("wood", f"{trade.name} {said}", "take it out, or give the panel another name")
    _in_order(table, thickness, least, most)
    return BoardTyped(
        name, thickness, least, most, areal, laminate,
        None if grain is None else cast(Grain, grain), wood, sheet,
    )  # fmt: skip


def _not_known(
    table: Table, name: str | None, thickness: float | None, *, needs_name: bool
) -> None:
    """A name that no table knows needs a thickness; a board of its own needs a name."""
    if name is None:
        if needs_name and "panel" not in table:
            table.fault(
                None,
                "the board has no name",
                'give its trade name: panel = "aluminium composite 3"',
            )
        return
    if not (name.strip() and name.isprintable() and len(name) <= MOST_NAME):
        table.fault(
            "panel", f"{shown(name)} is no name", f"write 1 to {MOST_NAME} plain characters"
        )
    elif thickness is None and "thickness" not in table:
        known = list(panels())
        near = difflib.get_close_matches(name, known, n=1)
        hint = f'did you mean "{near[0]}"? ' if near else ""
        table.fault(
            "panel",
            f"{shown(name)} is not a panel known here",
            f"{hint}known: {_families()}; or give its thickness and kg_per_m2 too",
        )


def _families() -> str:
    """The trade names, those of one kind together."""
    kinds: dict[str, list[str]] = {}
    for name in panels():
        kind, _, size = name.rpartition(" ")
        kinds.setdefault(kind, []).append(size)
    return ", ".join(f"{kind} {listed(sizes)}" for kind, sizes in kinds.items())


def _in_order(
    table: Table, thickness: float | None, least: float | None, most: float | None
) -> None:
    say = table.notes.say
    if least is not None and most is not None and least > most:
        table.fault("least", f"{say(least)} is more than most, {say(most)}", "swap the two")
    elif thickness is not None and least is not None and thickness < least:
        table.fault(
            "least", f"{say(least)} is more than the measured {say(thickness)}", "measure again"
        )
    elif thickness is not None and most is not None and thickness > most:
        table.fault(
            "most", f"{say(most)} is less than the measured {say(thickness)}", "measure again"
        )


def read_laminate(table: Table) -> Laminate | None:
    """What is glued onto the board's faces; None for nothing.

    Thickness and mass that are not given are the greatest and the middle of what is usual: the
    worst for the slot, the likeliest for the scales.
    """
    inner = table.table("laminate")
    if inner is None:
        return None
    inner.only(LAMINATE)
    thickness = inner.length("thickness", **LENGTHS["wall.laminate"])
    mass = inner.number("kg_per_m2", **NUMBERS["wall.laminate"])
    faces: Any = inner.data.get("faces", 2)
    if isinstance(faces, bool) or not isinstance(faces, int) or not 0 <= faces <= 2:
        inner.fault("faces", f"{shown(faces)} where a number of faces belongs", "give 0, 1 or 2")
        return None
    if faces == 0:
        return None
    return Laminate(
        faces,
        LAMINATE_MM[1] if thickness is None else thickness,
        sum(LAMINATE_KG_M2) / 2 if mass is None else mass,
    )


def pair_mm(table: Table, key: str, bounds: str) -> tuple[float, float] | None:
    """Two lengths [mm], such as the sides of a sheet; None where missing or wrong."""
    read = table.lengths(key, sizes=(2,), **LENGTHS[bounds])
    if read is None or read[0] is None or read[1] is None:
        return None
    return (read[0], read[1])


def _where(table: Table, key: str, names: tuple[str, ...]) -> str | None:
    """The panels that a key means: a side, a panel of a part, or a part of one panel only."""
    said = " ".join(key.split())
    if any(name.rpartition(" ")[2] == said or name == said for name in names):
        return said
    alone = [name for name in names if name.rpartition(" ")[0] == said]
    if len(alone) == 1:
        return alone[0]
    known = list(dict.fromkeys([name.rpartition(" ")[2] for name in names] + list(names)))
    near = difflib.get_close_matches(said, known, n=1)
    hint = f'did you mean "{near[0]}"? ' if near else ""
    table.fault(key, f'the case has no panel "{said}"', f"{hint}its panels are {', '.join(names)}")
    return None
