"""A form of a sheet worked as a browser would: acts told, and what the form shows then."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from fitkit.notebook.form import SheetForm

COUNT = itertools.count(1)


@contextmanager
def shown(text: str, *, name: str = "kit.toml", item: int | None = 0) -> Iterator[SheetForm]:
    """A form of that sheet, freed in the end."""
    form = SheetForm(text, name, item=item)
    try:
        yield form
    finally:
        form.close()


def act(form: SheetForm, kind: str, **more: Any) -> dict[str, Any]:
    """Tell what a browser would tell; what the form shows then."""
    form.panel.acts = [{"view": "v", "n": next(COUNT), "kind": kind, **more}]
    return form.panel.state


def typed(
    form: SheetForm, key: str, text: str, part: int | None = None, session: int = 0
) -> dict[str, Any]:
    """Type a text into a field."""
    session = session or next(COUNT)
    return act(form, "set", key=key, text=text, part=part, session=session)


def press(form: SheetForm, does: str, key: str = "") -> dict[str, Any]:
    """Press a button."""
    return act(form, "do", do=does, key=key)


def fields(state: dict[str, Any]) -> dict[str, dict[str, Any]]:
    """Every field that is shown, by its key."""
    found: dict[str, dict[str, Any]] = {}

    def walk(section: dict[str, Any]) -> None:
        for one in section["fields"]:
            assert one["key"] not in found
            found[one["key"]] = one
        for inner in section["sections"]:
            walk(inner)

    for group in state["groups"]:
        walk(group)
    return found


def said(state: dict[str, Any]) -> list[str]:
    """Every fault that is shown, wherever."""
    found = list(state["faults"])

    def walk(section: dict[str, Any]) -> None:
        found.extend(section["fault"].split("\n"))
        for one in section["fields"]:
            found.extend(one["fault"].split("\n"))
        for inner in section["sections"]:
            walk(inner)

    for group in state["groups"]:
        walk(group)
    return [text for text in found if text]


def wrong(state: dict[str, Any]) -> list[str]:
    """The fields and sections that have a fault beside them, by their keys; "" for on top."""
    found = ["" for _ in state["faults"]]

    def walk(section: dict[str, Any]) -> None:
        found.extend(section["id"] for text in section["fault"].split("\n") if text)
        for one in section["fields"]:
            found.extend(one["key"] for text in one["fault"].split("\n") if text)
        for inner in section["sections"]:
            walk(inner)

    for group in state["groups"]:
        walk(group)
    return found
