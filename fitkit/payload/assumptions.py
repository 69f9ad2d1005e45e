"""Where the sheet is silent: a sentence for every default that stands in for a measurement."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from fitkit.payload.cables_said import said_of_cables
from fitkit.payload.model import Item, Payload
from fitkit.payload.mounts_said import said_of_closing, said_of_mounts
from fitkit.payload.walls_said import said_of_wall
from fitkit.payload.wishes_in import CLEARANCES
from fitkit.payload.workshop_said import said_of_workshop
from fitkit.reference.fragility import fragility_bands
from fitkit.sources import cited
from fitkit.units import length_text

_SILENT = {
    "count": "1 of each",
    "up": "top up, as measured",
    "turn": "quarter turns",
    "hold": "in a foam pocket",
    "proud": "may stand proud of the closing plane",
    "reach": "may lie under another item",
}


def assumptions(payload: Payload, data: Mapping[str, object]) -> tuple[str, ...]:
    """What ``payload`` takes for granted, given the sheet's raw ``data``.

    Grouped: one sentence for what is alike, each naming the values that were put in.
    """
    said: list[str] = []
    if "units" not in data:
        said.append("Units are not given: plain numbers are millimetres.")
    said.extend(_case(payload, _table(data, "case")))
    if not payload.case.ready_made:
        said.extend(said_of_wall(payload, _table(data, "wall")))
        said.extend(said_of_workshop(payload, data))
    if not payload.items or any(item.mount is None for item in payload.items):
        said.extend(_foam(payload, _table(data, "foam")))
    said.extend(_items(payload, data))
    said.extend(said_of_mounts(payload, data))
    said.extend(said_of_cables(payload, data))
    said.extend(said_of_closing(payload, data))
    return tuple(said)


def _case(payload: Payload, given: Mapping[str, object]) -> Iterable[str]:
    case = payload.case
    silent = []
    if "form" not in given:
        silent.append(f"form {case.form}")
    listed = bool(case.ready_made)
    if "objective" not in given and not listed:
        silent.append(f"objective {case.objective}")
    if "tiers" not in given:
        silent.append("1 tier")
    if listed and "rank" not in given:
        silent.append(f"ranked by {case.rank}")
    if "depths" not in given and not listed:
        silent.append("depths free")
    if "half" not in given and case.form == "box":
        silent.append('items in the deep half (half = "any" lets them into the shallow one too)')
    if "corner" not in given and not listed:
        silent.append("square inner corners")
    if "draft" not in given and not listed:
        silent.append("upright walls")
    if silent:
        yield f"Case, not given: {', '.join(silent)} (assumption)."
    if listed:
        yield (
            "Ready-made cases, where the list is silent: upright walls, square corners, and a lid "
            "that leans as its base does (assumption); measure before you buy."
        )
    stated = _table(given, "clearance")
    missing = [key for key in CLEARANCES if key not in stated]
    if missing:
        values = ", ".join(
            f"{key} {_length(payload, getattr(case.clearance, f'{key}_mm'))}" for key in missing
        )
        yield f"Clearances, not given: {values} (common practice, no source)."


def _foam(payload: Payload, given: Mapping[str, object]) -> Iterable[str]:
    foam = payload.foam
    silent = []
    if "sheets" not in given:
        silent.append("sheets of " + ", ".join(_length(payload, sheet) for sheet in foam.sheets_mm))
    if "cutting" not in given:
        silent.append(f"cut with a {foam.cutting}")
    if "tool" not in given and foam.cutting == "router":
        silent.append(f"tool {_length(payload, foam.tool_mm)} in diameter")
    if "allowance" not in given:
        silent.append(f"pocket allowance {_length(payload, foam.allowance_mm)}")
    stated = given.get("notch")
    if foam.notch is not None and not (
        isinstance(stated, Mapping) and {"width", "depth"} <= set(stated)
    ):
        wide, deep = (_length(payload, n) for n in (foam.notch.width_mm, foam.notch.depth_mm))
        silent.append(f"finger notches {wide} wide and {deep} deep")
    if silent:
        yield f"Foam, not given: {'; '.join(silent)} (common practice, no source)."
    if "density" not in given:
        density = f"{foam.density_kg_m3:g} kg/m3"
        yield f"Foam density, not weighed: {density} (assumption); weigh an offcut."


def _items(payload: Payload, data: Mapping[str, object]) -> Iterable[str]:
    tables = data.get("item")
    given = (
        [table for table in tables if isinstance(table, Mapping)]
        if isinstance(tables, list)
        else []
    )
    pairs = list(zip(payload.items, given, strict=True))

    def without(key: str) -> list[str]:
        return [item.name for item, table in pairs if key not in table]

    total = len(pairs)
    if names := without("mass"):
        yield f"Mass, not given for {_names(names, total)}: left out of the total until weighed."
    silent = [text for key, text in _SILENT.items() if _any_silent(key, pairs)]
    if silent:
        yield f"Items, where the sheet is silent: {'; '.join(silent)} (assumption)."
    if names := without("uncertainty"):
        yield f"Uncertainty of the measurement, not given for {_names(names, total)}: none."
    if names := without("power"):
        yield f"Power, not given for {_names(names, total)}: unknown, so heat is not judged."
    if names := without("fragility"):
        shock = payload.closing.shock_g
        counted = "so drops are not judged" if shock is None else f"counted as {shock:g} G"
        yield f"Fragility, not given for {_names(names, total)}: unknown, {counted}."
    bands = fragility_bands()
    for band in bands.values():
        if names := [item.name for item, table in pairs if table.get("fragility") == band.name]:
            yield (
                f'Fragility "{band.name}" of {_names(names, total)}: its low end, {band.low_g:g} G '
                f"({cited(band.source)}; {band.known})."
            )


def _any_silent(key: str, pairs: Sequence[tuple[Item, Mapping[str, object]]]) -> bool:
    """Whether an item does not say ``key``; how a mounted one stands follows from its mount."""
    loose = [
        table
        for item, table in pairs
        if item.mount is None or key not in ("up", "turn", "hold", "proud")
    ]
    return any(key not in table for table in loose)


def _names(names: Sequence[str], total: int) -> str:
    """Names in a row; "any item" when it is all of many."""
    if len(names) == total > 1:
        return "any item"
    return " and ".join([", ".join(names[:-1]), names[-1]]) if len(names) > 1 else names[0]


def _length(payload: Payload, value_mm: float) -> str:
    return length_text(value_mm, units=payload.units)


def _table(data: Mapping[str, object], key: str) -> Mapping[str, object]:
    value = data.get(key)
    return value if isinstance(value, Mapping) else {}
