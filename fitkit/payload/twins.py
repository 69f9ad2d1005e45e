"""No two things of one name in a sheet, capitals aside."""

from __future__ import annotations

from fitkit.payload.reading import Table


def note_twin(table: Table, name: str, *, first: dict[str, Table], what: str) -> None:
    """Note a fault where an earlier ``what`` has that name; else ``first`` learns who has it.

    ``first`` holds the table of each name so far, by the name without capitals.
    """
    twin = first.setdefault(name.casefold(), table)
    if twin is table:
        return
    line = table.notes.lines.get((*twin.path, "name"))
    where = f" (the other is on line {line})" if line else ""
    table.fault(
        "name",
        f'two {what}s are called "{name}"{where}',
        f"rename one, or give one {what} a count",
    )
