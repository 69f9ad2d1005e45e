"""Editing a payload sheet's text: what is not named by an edit stays as it was typed.

A :class:`SheetText` is a TOML text; an edit gives a new one. Values are put in place of values, so
comments, order and layout stay. Lists of tables written under headings (``[[item]]``) are edited
block by block: a block is its heading, its keys, and the comments that touch it. A comment set
apart by a blank line (the title of a part of the sheet) belongs to no block and stays put.

Every edit is read back before it is given out: a sheet that cannot be edited without harm is
refused, not spoilt.
"""

from __future__ import annotations

import copy
import json
import math
import tomllib
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from attrs import field, frozen

from fitkit.errors import BadInput, Fault
from fitkit.payload import toml_blocks, toml_lists
from fitkit.payload.sheet import KEYS, read_toml
from fitkit.payload.toml_lines import Path, Places, places

BLOCKS = ("item", "zone", "mount", "cable", "stiffness")
"""Lists whose entries are written as blocks, each under a heading of its own."""


def _bare(text: str) -> str:
    """The text with bare line feeds."""
    return text.replace("\r\n", "\n")


@frozen
class SheetText:
    r"""The text of a sheet that is valid TOML, whatever else may be wrong with it.

    Every edit returns a new text. Paths are keys and list positions from 0:
    ``("item", 2, "body", 0, "rectangle", 1)``.

    >>> sheet = SheetText('[case]\ntiers = 1  # low\n')
    >>> print(sheet.set(("case", "tiers"), 2).set(("case", "corner"), "1/2 in").text)
    [case]
    tiers = 2  # low
    corner = "1/2 in"
    <BLANKLINE>
    """

    text: str = field(converter=_bare)
    data: dict[str, Any] = field(init=False, eq=False, repr=False)
    _places: Places = field(init=False, eq=False, repr=False)

    def __attrs_post_init__(self) -> None:
        """Read the text; BadInput where it is not TOML."""
        object.__setattr__(self, "data", read_toml(self.text, "sheet"))
        object.__setattr__(self, "_places", places(self.text))

    def get(self, path: Path, default: Any = None) -> Any:
        """What stands at ``path``; ``default`` where nothing does."""
        here: Any = self.data
        for key in path:
            if isinstance(here, list):
                if not (isinstance(key, int) and 0 <= key < len(here)):
                    return default
            elif not (isinstance(here, Mapping) and key in here):
                return default
            here = here[key]
        return here

    def has(self, path: Path) -> bool:
        """Whether anything stands at ``path``."""
        nothing = object()
        return self.get(path, nothing) is not nothing

    def set(self, path: Path, value: Any) -> SheetText:
        """This sheet with ``value`` at ``path``; keys and tables on the way are made if needed.

        A list entry must be there already; KeyError otherwise (use :meth:`add`).
        """
        span = self._places.spans.get(path)
        if span is not None:
            text = self.text[: span.start] + toml_value(value) + self.text[span.end :]
        elif self.has(path) or isinstance(path[-1], int):
            raise KeyError(path)
        else:
            text = self._with_new(path, value)

        def put(data: Any) -> None:
            for key, following in zip(path[:-1], path[1:], strict=True):
                if isinstance(data, dict):
                    data = data.setdefault(key, {}) if isinstance(following, str) else data[key]
                else:
                    data = data[key]
            data[path[-1]] = value

        return self._checked(text, put)

    def remove(self, path: Path) -> SheetText:
        """This sheet without what stands at ``path``, a key, a table or a list entry."""
        if not self.has(path):
            raise KeyError(path)
        entries = self.get(path[:-1])
        last = isinstance(entries, list) and len(entries) == 1
        if path in self._places.spans:
            text, gone = toml_lists.without(self.text, self._places, path), path
        else:  # with its last block a list is gone as well
            text = toml_blocks.without(self.text, self._places, path)
            gone = path[:-1] if last else path

        stated = {head.path for head in self._places.headers} | set(self._places.spans)

        def cut(data: Any) -> None:
            held = [data]
            for key in gone[:-1]:
                held.append(held[-1][key])
            del held[-1][gone[-1]]
            for size in range(len(gone) - 1, 0, -1):  # tables that only dotted keys had made
                if held[size] == {} and gone[:size] not in stated:
                    del held[size - 1][gone[size - 1]]

        return self._checked(text, cut)

    def add(self, path: Path, entry: Any, *, at: int | None = None) -> SheetText:
        """This sheet with ``entry`` in the list at ``path``, before position ``at`` or last.

        The list is made where there is none: of blocks for items, zones, mounts, cables and
        measured boards, of values otherwise.
        """
        there = self.get(path, [])
        index = len(there) if at is None else at
        return self._insert(path, entry, index, None)

    def copy(self, path: Path, **changed: Any) -> SheetText:
        """This sheet with the list entry at ``path`` twice, comments and all, one after the other.

        ``changed`` keys are set in the copy (a name, since no two items share one).
        """
        entry = self.get(path)
        index = path[-1]
        if entry is None or not isinstance(index, int):
            raise KeyError(path)
        twice = self._insert(path[:-1], entry, index + 1, path)
        for key, value in changed.items():
            twice = twice.set((*path[:-1], index + 1, key), value)
        return twice

    def move(self, path: Path, to: int) -> SheetText:
        """This sheet with the list entry at ``path`` at position ``to`` of its list instead."""
        index, parent = path[-1], path[:-1]
        entries = self.get(parent)
        if not isinstance(index, int) or not isinstance(entries, list) or to >= len(entries):
            raise KeyError(path)
        order = list(range(len(entries)))
        order.insert(to, order.pop(index))
        inline = parent in self._places.spans
        room = toml_lists if inline else toml_blocks
        text = room.ordered(self.text, self._places, parent, order)

        def shift(data: Any) -> None:
            for key in parent:
                data = data[key]
            data[:] = [data[k] for k in order]

        return self._checked(text, shift)

    def _insert(self, path: Path, entry: Any, index: int, source: Path | None) -> SheetText:
        in_value = any(path[:size] in self._places.spans for size in range(1, len(path)))
        as_values = path in self._places.spans or in_value or path[-1] not in BLOCKS
        if as_values and not self.has(path):
            return self.set(path, [entry])
        if as_values:
            raw = None
            if source is not None:
                span = self._places.spans[source]
                raw = self.text[span.start : span.end]
            written = toml_value(entry) if raw is None else raw
            text = toml_lists.inserted(
                self.text, self._places, path, written, index, self.get(path)
            )
        else:
            block = None if source is None else toml_blocks.block(self.text, self._places, source)
            if block is None:
                block = block_text(path, entry)
            text = toml_blocks.inserted(self.text, self._places, path, block, index)

        def put(data: Any) -> None:
            for key in path[:-1]:
                data = data.setdefault(key, {}) if isinstance(data, dict) else data[key]
            data.setdefault(path[-1], []).insert(index, copy.deepcopy(entry))

        return self._checked(text, put)

    def _with_new(self, path: Path, value: Any) -> str:
        """The text with a key that was not there."""
        for size in range(len(path) - 1, -1, -1):
            parent, rest = path[:size], path[size:]
            if parent in self._places.spans:  # a table written in braces
                if not isinstance(self.get(parent), dict):
                    raise KeyError(path)
                pair = f"{_key(rest[0])} = {toml_value(_nested(rest[1:], value))}"
                return toml_lists.with_pair(self.text, self._places, parent, pair)
            header = next((h for h in self._places.headers if h.path == parent), None)
            if header is None and parent and not self.has(parent):
                continue
            if parent and header is None:  # made by dotted keys, or only by its own sub-tables
                prefix = [h.path for h in self._places.headers if h.path == parent[: len(h.path)]]
                above = max(prefix, key=len, default=())
                dotted = ".".join(_key(key) for key in path[len(above) :])
                return toml_blocks.with_key(
                    self.text, self._places, above, f"{dotted} = {toml_value(value)}"
                )
            if not parent and len(rest) > 1:
                return self._with_table(rest, value)
            line = f"{_key(rest[0])} = {toml_value(_nested(rest[1:], value))}"
            return toml_blocks.with_key(self.text, self._places, parent, line)
        raise KeyError(path)

    def _with_table(self, path: Path, value: Any) -> str:
        """The text with a table that was not there, in its usual place among the others."""
        name = str(path[0])
        pair = f"{_key(path[1])} = {toml_value(_nested(path[2:], value))}"
        later = KEYS[KEYS.index(name) + 1 :] if name in KEYS else ()
        return toml_blocks.with_table(
            self.text, self._places, f"[{_key(name)}]\n{pair}\n", before=later
        )

    def _checked(self, text: str, change: Callable[[Any], None]) -> SheetText:
        """The edited text, once it reads as it should."""
        wanted = copy.deepcopy(self.data)
        change(wanted)
        try:
            read = tomllib.loads(text)
        except tomllib.TOMLDecodeError:
            read = {"": "no TOML any more"}
        if read != wanted:
            raise BadInput(
                [
                    Fault(
                        "sheet",
                        "this place is written in a way that a form cannot change",
                        "change it in the sheet itself, with a text editor",
                    )
                ]
            )
        return SheetText(text)


def toml_value(value: Any) -> str:
    """A value as TOML text, on one line: lists of tables over several.

    >>> toml_value([1, 2.5, "3/8 in", True, {"z": [0.0, 4.0]}])
    '[1, 2.5, "3/8 in", true, { z = [0, 4] }]'
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        if not math.isfinite(value):
            return repr(value)
        return str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)
    if isinstance(value, str):
        plain = value.encode("utf-8", "replace").decode("utf-8")
        return json.dumps(plain, ensure_ascii=False).replace("\x7f", "\\u007F")
    if isinstance(value, Mapping):
        pairs = ", ".join(f"{_key(key)} = {toml_value(inner)}" for key, inner in value.items())
        return f"{{ {pairs} }}" if pairs else "{}"
    if isinstance(value, Sequence):
        return f"[{', '.join(toml_value(inner) for inner in value)}]"
    raise TypeError(f"a sheet holds no {type(value).__name__}")


def block_text(path: Path, entry: Mapping[str, Any]) -> str:
    """A new block under a heading in double brackets, its lists of tables on lines of their own."""
    names = [str(key) for key in path if isinstance(key, str)]
    indent = "  " * (len(names) - 1)
    lines = [f"{indent}[[{'.'.join(_key(name) for name in names)}]]"]
    below: list[str] = []
    for key, value in entry.items():
        if key == "zone" and value:
            below += ["", *(block_text((*path, 0, key), zone).rstrip("\n") for zone in value)]
        elif isinstance(value, list) and value and all(isinstance(v, Mapping) for v in value):
            rows = "".join(f"{indent}  {toml_value(v)},\n" for v in value)
            lines.append(f"{indent}{_key(key)} = [\n{rows}{indent}]")
        else:
            lines.append(f"{indent}{_key(key)} = {toml_value(value)}")
    return "\n".join([*lines, *below]) + "\n"


def _nested(keys: Path, value: Any) -> Any:
    """``value`` within tables of one key each."""
    for key in reversed(keys):
        if not isinstance(key, str):
            raise KeyError(keys)
        value = {key: value}
    return value


def _key(key: str | int) -> str:
    """A key as TOML text, in quotes only where it must be."""
    text = str(key)
    bare = text and all(c.isascii() and (c.isalnum() or c in "-_") for c in text)
    return text if bare else toml_value(text)
