"""What the sheet takes for granted of mounts and of the closing gap, in sentences."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from attrs import frozen

from fitkit.payload.model import Item, Payload
from fitkit.payload.mounts import Mount
from fitkit.payload.patterns_in import FREE
from fitkit.reference.hole_patterns import hole_patterns
from fitkit.sources import cited
from fitkit.units import length_text, mass_text


@frozen
class _Typed:
    """A mounted item, its mount, and what the sheet says of that."""

    item: Item
    mount: Mount
    given: Mapping[str, object]


def said_of_mounts(payload: Payload, data: Mapping[str, object]) -> Iterable[str]:
    """A sentence for what the mounts leave unsaid, for patterns by name, and for what has none."""
    typed = _typed(payload, data)
    yield from _silent(payload, typed)
    yield from _patterns(payload, typed)
    if names := [one.item.name for one in typed if one.mount.pattern is None]:
        yield f"Holes, not given for {_and(names)}: no screw into it is planned; measure its holes."
    railed = [one for one in typed if one.mount.by == "rails"]
    if names := [one.item.name for one in railed if one.mount.rails.kg_per_m is None]:
        yield f"Rails, not weighed for {_and(names)}: left out of the total until weighed."


def said_of_closing(payload: Payload, data: Mapping[str, object]) -> Iterable[str]:
    """A sentence for what the closing gap is reckoned with, where anything faces anything."""
    given = data.get("closing")
    mounted = any(item.mount is not None for item in payload.items)
    if payload.case.form == "tray" or not (mounted or payload.case.form == "pair" or given):
        return
    table = given if isinstance(given, Mapping) else {}
    tolerances = table.get("tolerances")
    stated = tolerances if isinstance(tolerances, Mapping) else {}
    closing, off = payload.closing, payload.closing.tolerances
    silent = []
    if "keep" not in table:
        silent.append(f"{_length(payload, closing.keep_mm)} left at worst")
    if "load" not in table:
        silent.append(f"{closing.load_n:g} N on the middle of a back")
    words = {
        "measured": f"measured sizes {_length(payload, off.measured_mm)}",
        "tape": f"depths by tape {_length(payload, off.tape_mm)}",
        "saw": f"sawn panels and rails {_length(payload, off.saw_mm)}",
        "seating": f"seating of panels and profiles {_length(payload, off.seating_mm)}",
        "foam": f"foam sheets {_length(payload, off.foam_mm)}",
        "rail": f"thickness of rails and sub-panels {_length(payload, off.rail_mm)}",
    }
    if all(item.mount is not None for item in payload.items):
        del words["foam"]  # nothing lies in foam
    if not mounted:
        del words["rail"]
    if missing := [text for key, text in words.items() if key not in stated]:
        silent.append(f"tolerances (plus or minus): {', '.join(missing)}")
    if silent:
        yield f"Closing gap, not given: {'; '.join(silent)} (assumption)."
    if closing.drop_mm is None:
        yield "Height of fall, not given: it follows from the mass of the case."


def _typed(payload: Payload, data: Mapping[str, object]) -> list[_Typed]:
    tables = data.get("mount")
    given = {
        str(table.get("item")).casefold(): table
        for table in (tables if isinstance(tables, list) else [])
        if isinstance(table, Mapping)
    }
    return [
        _Typed(item, item.mount, given.get(item.name.casefold(), {}))
        for item in payload.items
        if item.mount is not None
    ]


def _silent(payload: Payload, typed: Sequence[_Typed]) -> Iterable[str]:
    """What is put in where mounts are silent; alike values together."""
    found: dict[str, list[str]] = {}
    for one in typed:
        for text in _put_in(payload, one):
            found.setdefault(text, []).append(one.item.name)
    several = len(typed) > 1
    parts = [
        text if not several or len(names) == len(typed) else f"{text} ({_and(names)})"
        for text, names in found.items()
    ]
    if parts:
        yield f"Mounts, where the sheet is silent: {'; '.join(parts)} (assumption)."


def _put_in(payload: Payload, one: _Typed) -> Iterable[str]:
    mount, given = one.mount, one.given
    if "by" not in given:
        yield "on rails"
    if "front" not in given:
        yield f"the {mount.front} is the front"
    if "faces" not in given:
        yield f"facing the {mount.faces}"
    if mount.recess_mm is None:
        yield f"recess free, {_length(payload, mount.least_mm)} at least"
    if mount.by == "rails":
        yield from _rails(payload, mount, _table(given, "rail"))
    if mount.by == "sub-panel":
        yield from _sub_panel(payload, mount, _table(given, "sub_panel"))
    if mount.by == "walls" and "walls" not in given:
        yield f"held at its {mount.walls[0]} and {mount.walls[1]}"
    if mount.by != "walls" and not mount.sunk and "head" not in given:
        yield f"heads of screws stand out {_length(payload, mount.head_mm)}"


def _rails(payload: Payload, mount: Mount, given: Mapping[str, object]) -> Iterable[str]:
    rails = mount.rails
    if "width" not in given or "height" not in given:
        wide, high = _length(payload, rails.width_mm), _length(payload, rails.height_mm)
        yield f"rails {wide} wide and {high} high"
    if "run" not in given:
        yield "rails run along the back" if rails.run == "along" else "rails run up the back"
    if "on" not in given:
        yield f"rails held on the {rails.on}"


def _sub_panel(payload: Payload, mount: Mount, given: Mapping[str, object]) -> Iterable[str]:
    panel = mount.sub_panel
    if "panel" not in given and "thickness" not in given:
        yield f"sub-panel of {panel.board}, {_length(payload, panel.thickness_mm)} thick"
    if "margin" not in given:
        yield f"sub-panel {_length(payload, panel.margin_mm)} wider on each side"
    if "batten" not in given and panel.batten_mm is not None:
        wide, high = (_length(payload, side) for side in panel.batten_mm)
        yield f"battens {wide} wide and {high} high"


def _patterns(payload: Payload, typed: Sequence[_Typed]) -> Iterable[str]:
    """What a pattern's name stands for, with its source."""
    rows = hole_patterns()
    for one in typed:
        pattern = one.mount.pattern
        if pattern is None or pattern.name == FREE:
            continue
        row = rows[pattern.name]
        yield (
            f"Hole pattern {row.name} of {one.item.name}: {pattern.thread}, "
            f"{_length(payload, pattern.depth_mm)} deep, for "
            f"{mass_text(row.most_kg, units=payload.units)} at most ({cited(row.source)}; "
            f"{row.known}); measure one hole before you buy screws."
        )


def _and(words: Sequence[str]) -> str:
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)


def _length(payload: Payload, value_mm: float) -> str:
    return length_text(value_mm, units=payload.units)


def _table(data: Mapping[str, object], key: str) -> Mapping[str, object]:
    value = data.get(key)
    return value if isinstance(value, Mapping) else {}
