"""Cables, and what is counted where the halves close, as sections of the form."""

from __future__ import annotations

from typing import Any

from fitkit.notebook.form.cable_fields import cable_fields, ends_fields, plug_ends, plug_fields
from fitkit.notebook.form.closing_fields import CLOSINGS, TOLERANCE, board_fields
from fitkit.notebook.form.fields import CABLES, CLOSING, act, key_of
from fitkit.notebook.form.sections import View
from fitkit.payload.toml_lines import Path

Section = dict[str, Any]


def cables_section(view: View) -> Section:
    """Every cable, each with its plugs."""
    entries = view.sheet.get(("cable",), [])
    cables = [_cable(view, k) for k in range(len(entries) if isinstance(entries, list) else 0)]
    return view.section(
        "cables", CABLES, (), at=("cable",), inner=cables, whole=True,
        actions=[act("cable", ("cable",), "add a cable")],
    )  # fmt: skip


def _cable(view: View, index: int) -> Section:
    at: Path = ("cable", index)
    name = view.sheet.get((*at, "name"))
    named = name if isinstance(name, str) and name.strip() else f"cable {index + 1}"
    fields = (*cable_fields(view.sheet, index), *ends_fields(view.sheet, index))
    plugs = [
        view.section(key_of((*path, "=plug")), f"plug {where}", plug_fields(view.sheet, path),
                     at=path)
        for where, path in plug_ends(view.sheet, index)
    ]  # fmt: skip
    return view.section(
        key_of(at), named, fields, at=at, inner=plugs,
        actions=[act("copy", at, "copy"), act("remove", at, "remove")],
    )  # fmt: skip


def closing_section(view: View) -> Section:
    """Tolerances, loads, drops, and boards whose stiffness was measured."""
    at: Path = ("closing",)
    entries = view.sheet.get((*at, "stiffness"), [])
    boards = [
        view.section(
            key_of((*at, "stiffness", k)), f"board {k + 1}", board_fields(view.sheet, k),
            at=(*at, "stiffness", k),
            actions=[act("remove", (*at, "stiffness", k), "remove")],
        )
        for k in range(len(entries) if isinstance(entries, list) else 0)
    ]  # fmt: skip
    tolerances = view.section(
        "closing.tolerances", "How far measures may be off", TOLERANCE, at=(*at, "tolerances")
    )
    measured = view.section(
        "closing.stiffness", "Boards whose stiffness you measured", (), at=(*at, "stiffness"),
        inner=boards, actions=[act("board", (*at, "stiffness"), "add a measured board")],
    )  # fmt: skip
    return view.section(
        "closing", CLOSING, CLOSINGS, at=at, inner=[tolerances, measured], whole=True
    )
