"""Records to JSON data and back: strict, exact, every fault with its path.

A record is a table of its fields, a tuple a list, a polygon a list of closed rings (the outer one
first). Floats are written in full; numbers that JSON lacks are the texts "inf", "-inf", "nan".
"""

from __future__ import annotations

import json
import math
import types
import typing
from functools import lru_cache
from typing import Any, Literal, Union

import attrs
import numpy as np
import shapely
from shapely import Polygon

from fitkit.errors import Fault
from fitkit.fit.layout import Fit, Interior
from fitkit.foam.model import Cutout, Foam, NotchAt
from fitkit.payload.model import Item, Payload, Profile
from fitkit.payload.workshop import Workshop
from fitkit.plan import Choices
from fitkit.shell.model import Shell

Json = Any
"""What :mod:`json` gives: dict, list, str, int, float, bool or None."""

_RENAMED: dict[type, dict[str, str]] = {
    Cutout: {"shape": "rings"},
    Shell: {"bars": "profiles"},
}
_FIRST: dict[type, tuple[str, ...]] = {
    Foam: ("sheets", "layers"),
    Shell: ("panels", "bars", "hardware", "openings", "fasteners"),
}
_QUIET: dict[type, tuple[str, ...]] = {
    Choices: ("notches",),
    NotchAt: ("way_deg",),
    Payload: ("workshop", "cables", "closing"),
    Item: ("mount",),
    Workshop: ("removable", "planks_mm", "exits"),
    Shell: ("supports", "screwings", "gaps", "exits", "routes", "bundles"),
    Profile: (
        "play_mm", "tongue_rim_mm", "groove_rim_mm", "tongue_mm", "groove_mm", "engagement_mm",
        "corner_reach_mm", "ends", "closing_ends", "kg_per_m", "closing_kg_per_m",
    ),
}  # fmt: skip
"""Fields that are written only where they say something else than their default."""

_NAN = {"inf": math.inf, "-inf": -math.inf, "nan": math.nan}
_OWN_PLACE = {Fit: ("interior", "placements"), Interior: ("length_mm", "width_mm", "halves")}


def dumped(value: Any) -> Json:
    """A record, tuple, polygon or plain value as JSON data."""
    if isinstance(value, np.generic):
        value = value.item()
    if isinstance(value, float) and not math.isfinite(value):
        return "nan" if math.isnan(value) else "inf" if value > 0 else "-inf"
    if isinstance(value, Polygon):
        rings = [] if value.is_empty else [value.exterior, *value.interiors]
        return [shapely.get_coordinates(ring).tolist() for ring in rings]
    if isinstance(value, tuple):
        return [dumped(part) for part in value]
    if attrs.has(type(value)):
        kind: Any = type(value)
        quiet = _quiet(kind)
        return {
            _RENAMED.get(kind, {}).get(name, name): dumped(getattr(value, name))
            for name in _names(kind)
            if not (name in quiet and getattr(value, name) == quiet[name])
        }
    return value


@lru_cache(maxsize=64)
def _quiet(kind: Any) -> dict[str, Any]:
    """The defaults of a record's fields that are left out of the file where they hold."""
    names = _QUIET.get(kind, ())
    return {field.name: field.default for field in attrs.fields(kind) if field.name in names}


@lru_cache(maxsize=64)
def _names(kind: Any) -> tuple[str, ...]:
    """A record's fields in the file's order, without those that have a place of their own."""
    first = _FIRST.get(kind, ())
    names = [field.name for field in attrs.fields(kind) if field.name not in first]
    return tuple(name for name in (*first, *names) if name not in _OWN_PLACE.get(kind, ()))


@lru_cache(maxsize=64)
def _kinds(kind: Any) -> dict[str, Any]:
    return typing.get_type_hints(kind)


def loaded(kind: Any, data: Json, place: str, faults: list[Fault]) -> Any:
    """``data`` as a value of ``kind``; what does not fit is added to ``faults``."""
    origin = typing.get_origin(kind)
    if origin in (Union, types.UnionType):
        if data is None and type(None) in typing.get_args(kind):
            return None
        real = [part for part in typing.get_args(kind) if part is not type(None)]
        return loaded(real[0], data, place, faults)
    if origin is Literal:
        choices = typing.get_args(kind)
        if any(data == one and type(data) is type(one) for one in choices):
            return data
        return _wrong(data, f"one of {', '.join(map(str, choices))} belongs here", place, faults)
    if origin is tuple:
        return _loaded_tuple(typing.get_args(kind), data, place, faults)
    if kind is Polygon:
        return _loaded_polygon(data, place, faults)
    if attrs.has(kind):
        values = fields(kind, data, place, faults)
        return None if faults else kind(**values)
    return _loaded_plain(kind, data, place, faults)


def _loaded_plain(kind: Any, data: Json, place: str, faults: list[Fault]) -> Any:
    if kind is float:
        if isinstance(data, str) and data in _NAN:
            return _NAN[data]
        if isinstance(data, int | float) and not isinstance(data, bool):
            return data
        return _wrong(data, "a number belongs here", place, faults)
    if kind is bool:
        fits = isinstance(data, bool)
    elif kind is int:
        fits = isinstance(data, int) and not isinstance(data, bool)
    else:
        fits = isinstance(data, kind)
    if fits:
        return data
    words = {int: "a whole number", bool: "true or false", str: "a text"}
    return _wrong(data, f"{words[kind]} belongs here", place, faults)


def _loaded_tuple(kinds: tuple[Any, ...], data: Json, place: str, faults: list[Fault]) -> Any:
    many = len(kinds) == 2 and kinds[1] is Ellipsis
    if not isinstance(data, list) or (not many and len(data) != len(kinds)):
        size = "a list" if many else f"a list of {len(kinds)}"
        return _wrong(data, f"{size} belongs here", place, faults)
    each = [kinds[0]] * len(data) if many else list(kinds)
    return tuple(
        loaded(kind, part, f"{place}[{k}]", faults)
        for k, (kind, part) in enumerate(zip(each, data, strict=True))
    )


def _loaded_polygon(data: Json, place: str, faults: list[Fault]) -> Any:
    if data == []:
        return Polygon()
    rings = data if isinstance(data, list) else [None]
    if not all(_is_ring(ring) for ring in rings):
        return _wrong(data, "closed rings of points [x, y] belong here", place, faults)
    shape = Polygon(rings[0], rings[1:])
    if not shape.is_valid:
        return _wrong(
            data, f"rings must not cross ({shapely.is_valid_reason(shape)})", place, faults
        )
    return shape


def _is_ring(ring: Json) -> bool:
    if not isinstance(ring, list) or len(ring) < 4 or ring[0] != ring[-1]:
        return False
    return all(
        isinstance(point, list)
        and len(point) == 2
        and all(isinstance(x, int | float) and not isinstance(x, bool) for x in point)
        and all(math.isfinite(x) for x in point)
        for point in ring
    )


def fields(kind: type, data: Json, place: str, faults: list[Fault]) -> dict[str, Any]:
    """The fields of a record from a JSON object, for calling ``kind`` with."""
    if not isinstance(data, dict):
        _wrong(data, "a table belongs here", place, faults)
        return {}
    renamed = _RENAMED.get(kind, {})
    named = {renamed.get(name, name): name for name in _names(kind)}
    for key in data:
        if key not in named:
            faults.append(Fault(f"{place}.{key}", "is no part of a plan", "take it out"))
    values = {}
    for field in attrs.fields(kind):
        key = renamed.get(field.name, field.name)
        if key not in named:
            continue
        if key in data:
            hint = _kinds(kind)[field.name]
            values[field.name] = loaded(hint, data[key], f"{place}.{key}", faults)
        elif field.default is attrs.NOTHING:
            faults.append(Fault(f"{place}.{key}", "is missing", "save the plan again"))
    return values


def _wrong(data: Json, remedy: str, place: str, faults: list[Fault]) -> None:
    faults.append(Fault(place, shown(data), remedy))


def shown(data: Json) -> str:
    """A value as it stands in the file, cut to a readable length."""
    text = json.dumps(data, ensure_ascii=False)
    return text if len(text) <= 60 else f"{text[:57]}..."


def laid_out(value: Json, indent: str) -> str:
    """JSON text with one key or record a line; lists without records stay on one line."""
    if isinstance(value, dict) and value:
        inner = indent + " "
        rows = [f"{inner}{json.dumps(k)}: {laid_out(v, inner)}" for k, v in value.items()]
        return "{\n" + ",\n".join(rows) + f"\n{indent}}}"
    if isinstance(value, list) and any(isinstance(part, dict) for part in value):
        inner = indent + " "
        rows = [inner + laid_out(part, inner) for part in value]
        return "[\n" + ",\n".join(rows) + f"\n{indent}]"
    return json.dumps(value, ensure_ascii=False, allow_nan=False)
