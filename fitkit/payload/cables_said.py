"""What the sheet takes for granted of cables, their bends and their plugs, in sentences."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from fitkit.payload.model import Payload
from fitkit.reference.cable_bends import cable_bends
from fitkit.reference.plugs import PlugRow, plugs
from fitkit.sources import cited
from fitkit.units import length_text


def said_of_cables(payload: Payload, data: Mapping[str, object]) -> Iterable[str]:
    """A sentence for bends by kind, for plugs by name, and for what is not given."""
    if not payload.cables:
        return
    yield from _bends(payload)
    yield from _plugs(payload, data)
    if names := [one.name for one in payload.cables if one.plugs == (None, None)]:
        yield (
            f"Plugs, not given for {_and(names)}: the connector's zone stands for the plug; "
            "measure it."
        )
    if names := [one.name for one in payload.cables if one.length_mm is None]:
        yield f"Length, not given for {_and(names)}: the plan says how long it must be."
    given = _tables(data)
    silent = [
        cable.name
        for cable, table in zip(payload.cables, given, strict=True)
        if "plugged" not in table
    ]
    if silent:
        yield f"Stays plugged in when the case is shut: {_and(silent)} (assumption)."


def _bends(payload: Payload) -> Iterable[str]:
    """Which rule each cable's least radius is from."""
    found: dict[str, list[str]] = {}
    for cable in payload.cables:
        if cable.bend_mm is not None:
            continue
        band = cable_bends()[cable.kind].band(diameter_mm=cable.diameter_mm, use="fixed")
        radius = length_text(band.radius_mm(cable.diameter_mm), units=payload.units)
        kind = "kind not given" if cable.kind == "unknown" else cable.kind
        rule = f"{band.factor:g} diameters" if band.factor else "whatever its diameter"
        text = f"{kind}, {radius} inside, {rule} ({cited(band.source)}; {band.known})"
        found.setdefault(text, []).append(cable.name)
    for text, names in found.items():
        yield f"Bend of {_and(names)}: {text}."


def _plugs(payload: Payload, data: Mapping[str, object]) -> Iterable[str]:
    """What a plug's name stands for, where the plug itself was not measured."""
    named: dict[str, list[str]] = {}
    for cable, table in zip(payload.cables, _tables(data), strict=True):
        for row in _rows(table.get("plugs")):
            names = named.setdefault(row.name, [])
            if cable.name not in names:
                names.append(cable.name)
    for name, cables in named.items():
        row = plugs()[name]
        wide, high = (
            length_text(one, units=payload.units) for one in (row.width_mm, row.height_mm)
        )
        long = (
            ""
            if row.length_mm is None
            else (f", {length_text(row.length_mm, units=payload.units)} long")
        )
        yield (
            f'Plug "{name}" of {_and(cables)}, where it was not measured: {wide} x {high}{long} '
            f"({cited(row.source)}; {row.known}); measure the real one, sleeve included."
        )


def _rows(value: object) -> list[PlugRow]:
    """The rows of the plugs that a cable names and does not measure."""
    known = {name.casefold(): row for name, row in plugs().items()}
    entries = value if isinstance(value, list) else [value]
    found = []
    for entry in entries:
        name = entry.get("name") if isinstance(entry, Mapping) else entry
        measured = isinstance(entry, Mapping) and {"width", "height", "length"} <= set(entry)
        if isinstance(name, str) and name.strip().casefold() in known and not measured:
            found.append(known[name.strip().casefold()])
    return found


def _tables(data: Mapping[str, object]) -> list[Mapping[str, object]]:
    value = data.get("cable")
    return [one for one in value if isinstance(one, Mapping)] if isinstance(value, list) else []


def _and(words: Sequence[str]) -> str:
    return " and ".join([", ".join(words[:-1]), words[-1]] if len(words) > 1 else words)
