"""An item renamed in a sheet's text: its mount and its cables go along."""

from __future__ import annotations

from typing import Any

from fitkit.payload.sheet_edit import SheetText


def renamed(sheet: SheetText, index: int, name: str) -> SheetText:
    r"""The sheet with its item number ``index`` (from 0) called ``name``, wherever it is named.

    Mounts and cables stay where they are if the old name was no name, if the new one is empty, or
    if another item is called either way: what they mean is then not certain.

    >>> sheet = SheetText('[[item]]\nname = "a"\n[[cable]]\nfrom = "a 2.back.1"\n')
    >>> renamed(sheet, 0, "b").get(("cable", 0, "from"))
    'b 2.back.1'
    """
    old = sheet.get(("item", index, "name"))
    made = sheet.set(("item", index, "name"), name)
    if not isinstance(old, str) or not old.strip() or not name.strip() or old == name:
        return made
    others = [
        str(entry.get("name")).casefold()
        for k, entry in enumerate(_entries(sheet, "item"))
        if k != index and isinstance(entry, dict)
    ]
    if old.casefold() in others or name.casefold() in others:
        return made
    for k, entry in enumerate(_entries(sheet, "mount")):
        said = entry.get("item") if isinstance(entry, dict) else None
        if isinstance(said, str) and said.casefold() == old.casefold():
            made = made.set(("mount", k, "item"), name)
    for k, entry in enumerate(_entries(sheet, "cable")):
        for key in ("from", "to"):
            said = entry.get(key) if isinstance(entry, dict) else None
            rest = _after(said, old, others)
            if rest is not None:
                made = made.set(("cable", k, key), f"{name}{rest}")
    return made


def _entries(sheet: SheetText, key: str) -> list[Any]:
    value = sheet.get((key,), [])
    return value if isinstance(value, list) else []


def _after(said: object, name: str, others: list[str]) -> str | None:
    """What follows the item's name in a connector's name; None where another item is meant."""
    if not isinstance(said, str) or not said.casefold().startswith(name.casefold()):
        return None
    rest = said[len(name) :]
    head, dot, _ = rest.partition(".")
    if not dot or (head and not (head.startswith(" ") and head.strip().isdecimal())):
        return None
    own = f"{name}{head}".casefold()
    longer = [other for other in others if said.casefold().startswith((f"{other}.", f"{other} "))]
    return None if own in others or any(len(other) > len(own) for other in longer) else rest
