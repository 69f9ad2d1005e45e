"""How the chosen item is mounted, as sections of the form."""

from __future__ import annotations

from typing import Any

from fitkit.notebook.form.acts import mounts_of, mounts_of_none
from fitkit.notebook.form.fields import act, key_of
from fitkit.notebook.form.mount_fields import (
    hole_fields,
    mount_fields,
    owner_fields,
    rail_fields,
    stiffness_fields,
    sub_panel_fields,
)
from fitkit.notebook.form.sections import View
from fitkit.payload.toml_lines import Path

Section = dict[str, Any]
TAKE_OFF = "take the mount off"


def mount_sections(view: View, item: int) -> list[Section]:
    """The mount of the item number ``item`` (from 0), or the button that gives it one.

    A second mount of the same item is shown too, and so is one whose item is gone: either is a
    fault, and can be taken off here.
    """
    mine = mounts_of(view.sheet, item)
    made = [_mount(view, k, "Its mount" if not n else "A second mount") for n, k in enumerate(mine)]
    if not mine:
        at: Path = ("item", item)
        button = act("mount", at, "mount it")
        made.append(view.section(key_of((*at, "mount")), "Its mount", (), actions=[button]))
    for k in mounts_of_none(view.sheet):
        at = ("mount", k)
        made.append(
            view.section(
                key_of(at), "A mount whose item is gone", owner_fields(view.sheet, k), at=at,
                actions=[act("remove", at, TAKE_OFF)],
            )
        )  # fmt: skip
    return made


def _mount(view: View, index: int, title: str) -> Section:
    """One mount: its own fields, then its holes and what holds it."""
    at: Path = ("mount", index)
    sheet = view.sheet
    holes = view.section(
        key_of((*at, "pattern")), "Its holes", hole_fields(sheet, index), at=(*at, "pattern")
    )
    inner = [holes]
    rails, board = rail_fields(sheet, index), sub_panel_fields(sheet, index)
    if rails:
        bends = stiffness_fields(sheet, index)
        stiff: Path = (*at, "rail", "stiffness")
        measured = [view.section(key_of(stiff), "Stiffness as measured", bends, at=stiff)]
        inner.append(
            view.section(
                key_of((*at, "rail")), "Its rails", rails, at=(*at, "rail"),
                inner=measured if bends else [],
            )
        )  # fmt: skip
    if board:
        inner.append(
            view.section(
                key_of((*at, "sub_panel")), "Its sub-panel", board, at=(*at, "sub_panel")
            )
        )  # fmt: skip
    return view.section(
        key_of(at), title, mount_fields(sheet, index), at=at, inner=inner,
        actions=[act("remove", at, TAKE_OFF)],
    )  # fmt: skip
