"""What the sheet takes for granted of the shell, its hardware and the stock, in sentences."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from fitkit.payload.hardware import type_for
from fitkit.payload.hardware_in import key_of
from fitkit.payload.model import Payload
from fitkit.payload.workshop import HardwareKind, HardwareType
from fitkit.units import length_text, mass_text


def said_of_workshop(payload: Payload, data: Mapping[str, object]) -> Iterable[str]:
    """A sentence for the shell, for the hardware and for the stock, where each is silent."""
    yield from _shell(payload, _table(data, "shell"))
    hardware = _table(data, "hardware")
    yield from _hardware(payload, hardware)
    yield from _pieces(payload, hardware)
    yield from _stock(payload, data)


def kinds_used(payload: Payload) -> tuple[HardwareKind, ...]:
    """The kinds of hardware that the case certainly gets, as its form and wishes say.

    >>> kinds_used(Payload("kit", ()))
    ('latch', 'handle', 'foot', 'corner')
    """
    shop, form = payload.workshop, payload.case.form
    wishes = shop.hardware
    sideways = form == "tray" and shop.opening != "lid"
    used: list[HardwareKind] = []
    if not sideways:
        used.append("latch")
        if wishes.lid == "hinged":
            used += ["hinge", "stay"]
    used.append("handle")
    if wishes.ground != "none":
        used.append("foot" if wishes.ground == "feet" else "castor")
    used.append("corner")
    if wishes.braces:
        used.append("brace")
    if sideways or shop.doors:
        used.append("door latch")
    return tuple(used)


def _shell(payload: Payload, given: Mapping[str, object]) -> Iterable[str]:
    shop, form = payload.workshop, payload.case.form
    silent = []
    if "tongue" not in given and (form != "tray" or shop.rings_mm):
        silent.append(f"tongue on the {'tray' if form == 'tray' else f'{shop.tongue} half'}")
    if "opening" not in given and form == "tray":
        silent.append("a loose lid on top")
    if "doors" not in given and form == "pair":
        silent.append("no doors at the backs")
    exits = _tables(given, "exits")
    if any("corner" not in one or "part" not in one for one in exits):
        silent.append("cables leave the deep half at the left and back walls")
    if any("edge" not in one for one in exits):
        silent.append("edge trim on the cable exits")
    mounted = any(item.mount is not None for item in payload.items)
    if mounted and "planks" not in given:
        silent.append("depths of halves rounded up to whole millimetres, not to planks")
    if silent:
        yield f"Shell, not given: {', '.join(silent)} (assumption)."


def _hardware(payload: Payload, given: Mapping[str, object]) -> Iterable[str]:
    wishes = payload.workshop.hardware
    tail = f"{100 * wishes.spares:.0f} % more fasteners"
    person = mass_text(wishes.person_kg, units=payload.units)
    words = {
        "lid": "a lid that lifts off",
        "use": "used lying flat",
        "ground": "on feet",
        "braces": "no braces",
        "person": f"{person} for a person to carry at a handle",
        "rivet": f"rivets of {_length(payload, wishes.rivet_mm)}",
        "washers": "washers where a rivet ends in wood",
        "pitch": f"rivets {_length(payload, wishes.pitch_mm)} apart at most",
        "spares": f"{tail} than are used",
    }
    silent = [text for key, text in words.items() if key not in given]
    if silent:
        yield f"Hardware, not given: {', '.join(silent)} (assumption)."


def _pieces(payload: Payload, given: Mapping[str, object]) -> Iterable[str]:
    """Of each kind that the case gets: is it measured, weighed, its load known?"""
    types = [(kind, type_for(payload, kind)) for kind in kinds_used(payload)]
    generic = [kind for kind, one in types if one.known != "measured"]
    if generic:
        yield (
            f"Hardware, not measured: the {_and(generic)} {_is(generic)} of generic size "
            "(assumption); measure your own before you cut."
        )
    measured = [(kind, one) for kind, one in types if one.known == "measured"]
    parts = [
        f"{kind} {', '.join(silent)}"
        for kind, one in measured
        if (silent := _silent(one, _table(given, key_of(kind))))
    ]
    if parts:
        yield f"Hardware, where the sheet is silent: {'; '.join(parts)} (assumption)."
    if light := [kind for kind, one in measured if one.mass_kg is None]:
        yield f"Hardware, not weighed: the {_and(light)} {_is(light)} left out of the total."
    weak = [kind for kind, one in types if kind in ("handle", "castor") and one.load_kg is None]
    if weak:
        yield f"Load, not given for the {_and(weak)}: not judged."


def _silent(one: HardwareType, given: Mapping[str, object]) -> list[str]:
    """What is taken for granted of a measured piece."""
    found = []
    if one.dish_mm is not None and "dish_corner" not in given:
        found.append("with a square-cornered dish")
    if "stands" not in given:
        found.append("flush")
    if "holes" not in given:
        found.append("without holes")
    if "fixing" not in given:
        found.append("fixed by rivets")
    return found


def _stock(payload: Payload, data: Mapping[str, object]) -> Iterable[str]:
    stock, given = payload.workshop.stock, _table(data, "stock")
    length, width = (_length(payload, side) for side in stock.foam_mm)
    words = {
        "bars": f"bars of {_and([_length(payload, bar) for bar in stock.bars_mm])}",
        "bar_trim": f"{_length(payload, stock.bar_trim_mm)} off each end of a bar",
        "bar_kerf": f"kerf {_length(payload, stock.bar_kerf_mm)} in bars",
        "sheet_trim": f"{_length(payload, stock.sheet_trim_mm)} off each side of a sheet",
        "sheet_kerf": f"kerf {_length(payload, stock.sheet_kerf_mm)} in sheets",
        "stages": "sheets cut into strips, then pieces",
        "foam": f"foam sheets of {length} x {width}",
        "foam_gap": f"{_length(payload, stock.foam_gap_mm)} between foam layers",
        "keep": f"offcuts kept from {_length(payload, stock.keep_mm)} on",
    }
    if payload.items and all(item.mount is not None for item in payload.items):
        del words["foam"], words["foam_gap"]  # nothing lies in foam
    silent = [text for key, text in words.items() if key not in given]
    wall = payload.wall
    if wall.sheet_mm is None:
        silent.append("whole sheets as the trade sells them")
    if silent:
        yield f"Stock, not given: {', '.join(silent)} (common practice, no source)."


def _and(words: Iterable[str]) -> str:
    every = list(words)
    return " and ".join([", ".join(every[:-1]), every[-1]] if len(every) > 1 else every)


def _is(words: list[HardwareKind]) -> str:
    return "is" if len(words) == 1 else "are"


def _length(payload: Payload, value_mm: float) -> str:
    return length_text(value_mm, units=payload.units)


def _table(data: Mapping[str, object], key: str) -> Mapping[str, object]:
    value = data.get(key)
    return value if isinstance(value, Mapping) else {}


def _tables(data: Mapping[str, object], key: str) -> list[Mapping[str, object]]:
    value = data.get(key)
    return [one for one in value if isinstance(one, Mapping)] if isinstance(value, list) else []
