"""Cables as typed under [[cable]]: from a connector to another one, or to the outside."""

from __future__ import annotations

from typing import Literal

from attrs import evolve, frozen

from fitkit.payload.bounds import COUNTS, LENGTHS, MOST_NAME, NUMBERS
from fitkit.payload.cables import Cable, Connector
from fitkit.payload.connectors_in import connector_at, least_between_mm
from fitkit.payload.model import Item
from fitkit.payload.plugs_in import read_plugs
from fitkit.payload.reading import Table, listed, shown
from fitkit.payload.twins import note_twin
from fitkit.reference.cable_bends import cable_bends

CABLE = (
    "name", "from", "to", "diameter", "length", "bend", "kind", "plugs", "count", "plugged",
)  # fmt: skip
OUTSIDE = "outside"
"""The end of a cable that leaves the case."""


@frozen
class _Bend:
    """What a sheet says of a bend: the kind of cable, and the builder's own least radius [mm]."""

    kind: str | None = None
    radius_mm: float | None = None


def read_cables(sheet: Table, items: tuple[Item, ...]) -> tuple[Cable, ...]:
    """Every cable that could be read; what is wrong is noted."""
    tables = sheet.tables("cable") or []
    wishes = sheet.data.get("case")
    for key in ("ready_made", "several"):
        if tables and isinstance(wishes, dict) and wishes.get(key, False) is not False:
            sheet.fault(
                "cable",
                f"cable and {key} do not go together in this version",
                "take one of them out",
            )
    names: dict[str, Table] = {}
    found = []
    for index, table in enumerate(tables):
        table.only(CABLE)
        cable = _cable(table, items, sheet, _name(table, index, names))
        if cable is not None:
            found.append((table, cable))
    _once_each(found, items)
    return tuple(cable for _, cable in found)


def _name(table: Table, index: int, names: dict[str, Table]) -> str:
    """The cable's name; "cable 2" for the second one where it has none of its own."""
    plain = f"cable {index + 1}"
    given = table.text("name")
    name = plain if given is None else given.strip()
    if not (name and name.isprintable() and len(name) <= MOST_NAME):
        table.fault(
            "name", f"{shown(given)} is no name", f"write 1 to {MOST_NAME} plain characters"
        )
        return plain
    table.notes.called[table.path] = name
    note_twin(table, name, first=names, what="cable")
    return name


def _cable(table: Table, items: tuple[Item, ...], sheet: Table, name: str) -> Cable | None:
    before = len(table.notes)
    start = _end(table, "from", items, sheet)
    to = None if table.data.get("to") == OUTSIDE else _end(table, "to", items, sheet)
    if missing := [key for key in ("from", "to", "diameter") if key not in table]:
        table.fault(
            None,
            f"the cable has no {' and no '.join(missing)}",
            f'give from = "recorder.back.1", to = another connector or "{OUTSIDE}", and its '
            "diameter",
        )
    diameter = table.length("diameter", **LENGTHS["cable.diameter"])
    length = table.length("length", **LENGTHS["cable.length"], free=True)
    bend = _bend(table, diameter)
    _too_tight(table, bend, diameter)
    plugs = read_plugs(table)
    count = table.whole("count", most=COUNTS["cable.count"])
    plugged = table.flag("plugged")
    if start is not None and start == to:
        table.fault(
            "to", "the cable ends where it starts", f'give another connector, or "{OUTSIDE}"'
        )
    if start is None or diameter is None:
        return None
    plain = Cable(name=name, start=start, to=to, diameter_mm=diameter)
    cable = evolve(
        plain,
        kind=plain.kind if bend.kind is None else bend.kind,
        length_mm=length,
        bend_mm=bend.radius_mm,
        plugs=plugs,
        count=plain.count if count is None else count,
        plugged=plain.plugged if plugged is None else plugged,
    )
    _too_short(table, cable, items)
    return cable if len(table.notes) == before else None


def _end(
    table: Table, key: Literal["from", "to"], items: tuple[Item, ...], sheet: Table
) -> Connector | None:
    """The connector at one end; None where it is missing or wrong, which is noted."""
    if key == "from" and table.data.get(key) == OUTSIDE:
        table.fault(key, "a cable starts at a connector", f'swap the two: to = "{OUTSIDE}"')
        return None
    said = table.text(key)
    return None if said is None else connector_at(table, key, said, items, sheet=sheet)


def _bend(table: Table, diameter: float | None) -> _Bend:
    """The kind of cable, and the least radius where the builder says it."""
    kinds = cable_bends()
    kind = table.choice("kind", tuple(kinds))
    value = table.data.get("bend")
    if value is None:
        return _Bend(kind)
    if isinstance(value, str) and value in kinds:
        if kind not in (None, value):
            table.fault("bend", f'bend says "{value}" and kind "{kind}"', "take one of them out")
        return _Bend(value)
    if isinstance(value, str) and not any(char.isdigit() for char in value):
        table.fault(
            "bend",
            f"{shown(value)} is neither a bend nor a kind of cable",
            'give a number of diameters, a radius such as "40 mm", or '
            + listed(f'"{one}"' for one in kinds),
        )
        return _Bend(kind)
    if isinstance(value, str):
        return _Bend(kind, table.length("bend", **LENGTHS["cable.bend"]))
    factor = table.number("bend", **NUMBERS["cable.bend"])
    return _Bend(kind, None if factor is None or diameter is None else factor * diameter)


def _too_tight(table: Table, bend: _Bend, diameter: float | None) -> None:
    """A bend of the builder's own that is tighter than a cable of that kind allows."""
    if bend.radius_mm is None or bend.kind in (None, "unknown") or diameter is None:
        return
    row = cable_bends()[str(bend.kind)]
    least = row.radius_mm(diameter_mm=diameter, use="fixed")
    if bend.radius_mm < least - 1e-6:
        say = table.notes.say
        table.fault(
            "bend",
            f"an inside radius of {say(bend.radius_mm)} is tighter than a {row.kind} of "
            f"{say(diameter)} allows",
            f"it takes {say(least)} at least, {say(least - bend.radius_mm)} more: take bend out, "
            "or give the kind that it is",
        )


def _too_short(table: Table, cable: Cable, items: tuple[Item, ...]) -> None:
    """A cable that is shorter than the straight way between two connectors of one item."""
    if cable.length_mm is None or cable.to is None:
        return
    item = next(item for item in items if item.name == cable.start.item)
    if cable.to.item != item.name or cable.to.copy != cable.start.copy:
        return
    least = least_between_mm(item, cable.start, cable.to, plugs=cable.plugs)
    if cable.length_mm < least - 1e-6:
        say = table.notes.say
        table.fault(
            "length",
            f"{say(cable.length_mm)} is less than the straight way from plug to plug, {say(least)}",
            f"it is {say(least - cable.length_mm)} too short at least: take a longer one",
        )


def _once_each(found: list[tuple[Table, Cable]], items: tuple[Item, ...]) -> None:
    """No connector has two cables, and cables of copies go one to one."""
    counts = {item.name: item.count for item in items}
    taken: dict[Connector, str] = {}
    for table, cable in found:
        ends: list[tuple[str, Connector]] = [("from", cable.start)]
        if cable.to is not None:
            ends.append(("to", cable.to))
        many = {key: counts[end.item] if end.copy is None else 1 for key, end in ends}
        if len(set(many.values())) > 1:
            fewer = min(many, key=lambda key: many[key])
            other = "to" if fewer == "from" else "from"
            one = dict(ends)[other]
            table.fault(
                other,
                f"{many[other]} copies of {one.item} cannot all be joined to "
                f"{dict(ends)[fewer].name}",
                f'write a cable for each copy: {other} = "{one.item} 1.{one.face}.{one.index}"',
            )
        for key, end in ends:
            copies = range(1, counts[end.item] + 1) if end.copy is None else (end.copy,)
            for copy in copies:
                twin = taken.setdefault(evolve(end, copy=copy), cable.name)
                if twin != cable.name:
                    table.fault(
                        key,
                        f'{end.name} already has the cable "{twin}"',
                        "give it another connector, or give one cable a count",
                    )
                    break
