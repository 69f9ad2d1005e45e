"""Hardware as typed: what the case gets, and each piece as the builder measured it."""

from __future__ import annotations

import difflib
from typing import Any, Literal, cast

import shapely
from attrs import evolve

from fitkit.payload.boards_in import MOST_NAME, pair_mm
from fitkit.payload.bounds import COUNTS, LENGTHS, NUMBERS
from fitkit.payload.hardware import KINDS, generic
from fitkit.payload.reading import Table, listed, shown
from fitkit.payload.workshop import (
    SIDES,
    Fixing,
    HardwareKind,
    HardwareType,
    HardwareWishes,
    HoleAt,
    LidKind,
    Side,
    Use,
)
from fitkit.reference.rivets import rivet_grips

Ground = Literal["feet", "castors", "none"]

LIDS: tuple[LidKind, ...] = ("lift off", "hinged")
USES: tuple[Use, ...] = ("flat", "upright")
GROUNDS: tuple[Ground, ...] = ("feet", "castors", "none")
FIXINGS: tuple[Fixing, ...] = ("rivet", "screw", "bolt", "tee nut")
WISHES = ("lid", "use", "ground", "braces", "person", "rivet", "washers", "pitch", "spares")
TYPE = (
    "name", "flange", "dish", "dish_corner", "depth", "stands", "holes", "fixing", "mass", "load",
    "count", "sides",
)  # fmt: skip
SIZES = ("dish", "dish_corner", "depth", "stands", "holes")
"""What is measured together with the flange."""

NEAR_MM = 0.06
"""How far a rivet typed in inches may be from its size in millimetres [mm]: 1/4 in is 6.4."""

WALLS: tuple[Side, ...] = ("front", "back", "left", "right")


def key_of(kind: HardwareKind) -> str:
    """How a kind of hardware is called in a sheet.

    >>> key_of("door latch")
    'door_latch'
    """
    return kind.replace(" ", "_")


def read_hardware(sheet: Table) -> HardwareWishes:
    """What stands under [hardware]; defaults where the sheet is silent."""
    plain = HardwareWishes()
    table = sheet.table("hardware")
    if table is None:
        return plain
    table.only((*WISHES, *(key_of(kind) for kind in KINDS)))
    read: dict[str, Any] = {
        "lid": table.choice("lid", LIDS),
        "use": table.choice("use", USES),
        "ground": table.choice("ground", GROUNDS),
        "braces": table.flag("braces"),
        "person_kg": table.mass("person"),
        "rivet_mm": _rivet(table),
        "washers": table.flag("washers"),
        "pitch_mm": table.length("pitch", **LENGTHS["hardware.pitch"]),
        "spares": table.number("spares", **NUMBERS["hardware.spares"]),
    }
    wishes = evolve(plain, **{key: value for key, value in read.items() if value is not None})
    found = (_type(table, kind, wishes.rivet_mm) for kind in KINDS)
    return evolve(wishes, types=tuple(one for one in found if one is not None))


def _rivet(table: Table) -> float | None:
    """The rivets' diameter: one of those whose grip is known; inches meet the nearest [mm]."""
    typed = table.length("rivet", **LENGTHS["hardware.rivet"])
    if typed is None:
        return None
    known = sorted(rivet_grips())
    nearest = min(known, key=lambda d_mm: abs(d_mm - typed))
    if abs(nearest - typed) > NEAR_MM:
        say = table.notes.say
        table.fault(
            "rivet",
            f"no table says what a rivet of {say(typed)} holds",
            f"take one of {listed(say(d_mm) for d_mm in known)}",
        )
        return None
    return nearest


def _type(hardware: Table, kind: HardwareKind, rivet_mm: float) -> HardwareType | None:
    """One piece of hardware; None where it is not given or wrong.

    Without a flange nothing was measured: sizes and holes stay those of the generic piece.
    """
    table = hardware.table(key_of(kind))
    if table is None:
        return None
    before = len(table.notes)
    table.only(TYPE)
    name = table.text("name")
    if name is not None and not (name.strip() and name.isprintable() and len(name) <= MOST_NAME):
        table.fault("name", f"{shown(name)} is no name", f"write 1 to {MOST_NAME} plain characters")
    flange = pair_mm(table, "flange", "hardware.size")
    if "flange" not in table and any(key in table for key in SIZES):
        table.fault(
            None,
            f"the {kind} has no flange",
            "give width and height of what lies on the case: flange = [112, 104]",
        )
    sizes: dict[str, Any] = {
        "dish_mm": pair_mm(table, "dish", "hardware.size"),
        "dish_corner_mm": table.length("dish_corner", **LENGTHS["hardware.corner"]) or 0.0,
        "depth_mm": table.length("depth", **LENGTHS["hardware.depth"]) or 0.0,
        "stands_mm": table.length("stands", **LENGTHS["hardware.depth"]) or 0.0,
        "holes": _holes(table),
    }
    said: dict[str, Any] = {
        "name": None if name is None else name.strip(),
        "fixing": table.choice("fixing", FIXINGS),
        "mass_kg": table.mass("mass"),
        "load_kg": table.mass("load"),
        "count": table.whole("count", most=COUNTS["hardware.count"]),
        "sides": _sides(table, kind) or None,
    }
    if len(table.notes) > before:
        return None
    given = {key: value for key, value in said.items() if value is not None}
    if flange is None:
        return evolve(generic(rivet_mm=rivet_mm)[kind], **given)
    made = evolve(
        HardwareType(kind=kind, name=kind, flange_mm=flange, known="measured"), **sizes, **given
    )
    _judge(made, table)
    return made if len(table.notes) == before else None


def _holes(table: Table) -> tuple[HoleAt, ...]:
    """Holes as [x, y, diameter], from the middle of the flange."""
    value = table.data.get("holes")
    if value is None:
        return ()
    most = COUNTS["hardware.holes"]
    if not isinstance(value, list) or len(value) > most:
        table.fault(
            "holes", f"{shown(value)} where up to {most} holes belong",
            "write holes = [[-45, 30, 4.2], [45, 30, 4.2]]: right, up, diameter",
        )  # fmt: skip
        return ()
    found = []
    for index, entry in enumerate(value):
        path = (*table.path, "holes", index)
        if not isinstance(entry, list) or len(entry) != 3:
            table.notes.fault(
                path, f"{shown(entry)} where a hole belongs",
                "write [x, y, diameter], from the middle of the flange",
            )  # fmt: skip
            continue
        x, y = (table.length_at((*path, k), entry[k], **LENGTHS["hardware.at"]) for k in range(2))
        wide = table.length_at((*path, 2), entry[2], **LENGTHS["hardware.hole"])
        if x is not None and y is not None and wide is not None:
            found.append(HoleAt(x, y, wide))
    return tuple(found)


def _sides(table: Table, kind: HardwareKind) -> tuple[Side, ...]:
    """The sides that a piece goes on; empty where the rules may choose."""
    value = table.data.get("sides")
    if value is None:
        return ()
    known = WALLS if kind in ("latch", "hinge") else SIDES
    quoted = listed(f'"{side}"' for side in known)
    if not isinstance(value, list) or not value:
        table.fault("sides", f"{shown(value)} where a list of sides belongs", f"list {quoted}")
        return ()
    found: list[Side] = []
    for index, entry in enumerate(value):
        path = (*table.path, "sides", index)
        if entry in known and isinstance(entry, str):
            if entry in found:
                table.notes.fault(path, f'"{entry}" stands there twice', "list it once")
            found.append(cast(Side, entry))
        elif entry in SIDES and isinstance(entry, str):
            table.notes.fault(
                path, f"a {kind} crosses the closing plane and goes on no {entry}", f"give {quoted}"
            )
        else:
            near = difflib.get_close_matches(entry, known, n=1) if isinstance(entry, str) else []
            hint = f'did you mean "{near[0]}"? ' if near else ""
            table.notes.fault(path, f"{shown(entry)} is no side", f"{hint}give {quoted}")
    return tuple(found)


def _judge(made: HardwareType, table: Table) -> None:
    """Sizes that contradict each other."""
    say = table.notes.say
    wide, high = made.flange_mm
    flange = shapely.box(-wide / 2, -high / 2, wide / 2, high / 2)
    dish = None
    if made.dish_mm is not None:
        across, up = made.dish_mm
        dish = shapely.box(-across / 2, -up / 2, across / 2, up / 2)
        if across > wide or up > high:
            table.fault(
                "dish",
                f"a dish of {say(across)} x {say(up)} is larger than its flange of "
                f"{say(wide)} x {say(high)}",
                "the flange covers the opening: measure both again",
            )
        if made.dish_corner_mm > min(across, up) / 2:
            table.fault(
                "dish_corner",
                f"a radius of {say(made.dish_corner_mm)} is more than half the dish's short side",
                f"give {say(min(across, up) / 2)} or less",
            )
        if made.depth_mm == 0:
            table.fault(
                "depth" if "depth" in table else "dish",
                "the dish has no depth",
                "measure how far it reaches in from the panel's outer face: depth = 14",
            )
    elif made.depth_mm > 0:
        table.fault(
            "depth",
            f"it reaches {say(made.depth_mm)} behind the panel's face but no dish does",
            "give the size of the opening: dish = [90, 80]; or take the depth out",
        )
    elif made.dish_corner_mm > 0:
        table.fault("dish_corner", "there is no dish to be round", "take it out, or give the dish")
    _judge_holes(made, table, flange, dish)


def _judge_holes(
    made: HardwareType, table: Table, flange: shapely.Polygon, dish: shapely.Polygon | None
) -> None:
    say = table.notes.say
    wide, high = made.flange_mm
    for index, hole in enumerate(made.holes):
        path = (*table.path, "holes", index)
        middle = shapely.Point(hole.x_mm, hole.y_mm)
        radius = hole.diameter_mm / 2
        if not flange.contains(middle) or flange.exterior.distance(middle) < radius - 1e-9:
            table.notes.fault(
                path,
                f"the hole is not within the flange of {say(wide)} x {say(high)}",
                "count right and up from the flange's middle, negative for left and down",
            )
        elif dish is not None and dish.distance(middle) < radius - 1e-9:
            table.notes.fault(
                path, "the hole lies over the dish's opening", "measure again, or the dish's size"
            )
        for other, former in enumerate(made.holes[:index]):
            apart = middle.distance(shapely.Point(former.x_mm, former.y_mm))
            if apart < radius + former.diameter_mm / 2 - 1e-9:
                table.notes.fault(
                    path,
                    f"holes {other + 1} and {index + 1} run into each other",
                    f"their middles are {say(apart)} apart: measure again",
                )
