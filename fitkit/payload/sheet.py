"""The payload sheet: TOML in, a payload out, and every fault at once.

The sheet is strict: no unknown keys, no number in quotes, no true for 1. Lengths are numbers in
the sheet's units or texts with their unit.
"""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

from attrs import evolve

from fitkit.errors import BadInput, Fault
from fitkit.payload.assumptions import assumptions
from fitkit.payload.cables_in import read_cables
from fitkit.payload.closing_in import note_measured, read_closing
from fitkit.payload.impossible import note_impossible
from fitkit.payload.items_in import read_items
from fitkit.payload.model import Payload
from fitkit.payload.mounts_in import read_mounts
from fitkit.payload.reading import Notes, Table
from fitkit.payload.text_in import read_text
from fitkit.payload.toml_lines import key_lines
from fitkit.payload.unbuildable import note_unbuildable
from fitkit.payload.wishes_in import read_case, read_foam, read_wall
from fitkit.payload.workshop_in import read_workshop

KEYS = (
    "title", "units", "case", "wall", "foam", "shell", "hardware", "stock", "closing", "item",
    "mount", "cable",
)  # fmt: skip
"""The parts of a sheet, in the order in which they stand."""


def read_sheet(path: Path) -> Payload:
    """The payload of the sheet at ``path``.

    BadInput lists every fault: a missing file, a folder, a text that is not UTF-8 or not TOML,
    and all that :func:`parse_sheet` refuses.
    """
    text = read_text(
        path,
        kind="sheet",
        ending=".toml",
        missing="check the name and the folder",
        save="save the sheet as UTF-8 in your editor",
    )
    return parse_sheet(text, name=str(path))


def parse_sheet(text: str, *, name: str) -> Payload:
    """The payload of a sheet given as ``text``; ``name`` says where it is from in messages.

    >>> kit = parse_sheet('''
    ... [[item]]
    ... name = "probe"
    ... body = [ { circle = 11, z = [0, 180] } ]
    ... ''', name="probe.toml")
    >>> kit.items[0].name, kit.items[0].count, kit.title
    ('probe', 1, 'probe')
    """
    data = read_toml(text, name)
    notes = Notes(name, key_lines(text))
    sheet = Table(data, (), notes)
    sheet.only(KEYS)
    units = sheet.choice("units", ("mm", "in"))
    notes.units = "in" if units == "in" else "mm"
    title = sheet.text("title")
    if title is not None and not (title.strip() and title.isprintable()):
        sheet.fault(
            "title", "the title is empty or has odd characters in it", "give one line of text"
        )
    items = read_items(sheet)
    case = read_case(sheet)
    made = read_workshop(sheet, form=case.form, wall=read_wall(sheet))
    items = read_mounts(sheet, items, case=case)
    payload = Payload(
        title=Path(name).stem if title is None else title.strip(),
        items=items,
        units=notes.units,
        case=case,
        wall=made.wall,
        foam=read_foam(sheet),
        workshop=made.workshop,
        cables=read_cables(sheet, items),
        closing=read_closing(sheet),
    )
    note_impossible(payload, sheet)
    note_unbuildable(payload, sheet)
    note_measured(payload, sheet)
    notes.settle()
    return evolve(payload, assumptions=assumptions(payload, data))


def read_toml(text: str, name: str) -> dict[str, object]:
    """The plain data of a TOML text; one BadInput where it is none."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as refused:
        message = str(refused)
        where = re.search(r"\(at (?:line (\d+), column (\d+)|end of document)\)", message)
        said = message[: where.start()].strip() if where else message
        place = name
        if where is not None:
            last = text.count("\n") + 1
            place = (
                f"{name} line {where[1]}, column {where[2]}" if where[1] else f"{name} line {last}"
            )
        raise BadInput(
            [
                Fault(
                    place,
                    f"this is not TOML ({said[:1].lower()}{said[1:]})",
                    "write key = value, texts in quotes, lists in [ ], tables in { }",
                )
            ]
        ) from None
    except ValueError:  # the library itself gives up on numbers of thousands of digits
        remedy = "write numbers as one would measure them"
        raise BadInput([Fault(name, "a number has thousands of digits", remedy)]) from None
    except RecursionError:
        raise BadInput(
            [Fault(name, "brackets are nested too deeply", "write it as the samples do")]
        ) from None
