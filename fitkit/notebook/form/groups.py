"""The groups of the form: what each is made of, those of the chosen item first."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from fitkit.notebook.form.acts import mounts_of
from fitkit.notebook.form.case_sections import cables_section, closing_section
from fitkit.notebook.form.fields import (
    BOX,
    CABLES,
    CASE,
    CLOSING,
    FOAM,
    FOAMS,
    HELD,
    LIMIT,
    LIMITS,
    MEASURED,
    POCKETS,
    WALL,
    Spec,
    act,
    key_of,
)
from fitkit.notebook.form.item_fields import held, measured, shape_fields, zone_fields
from fitkit.notebook.form.mount_sections import mount_sections
from fitkit.notebook.form.sections import View, fault_words
from fitkit.payload.toml_lines import Path


def groups_of(view: View, names: Sequence[str], item: int | None) -> list[dict[str, Any]]:
    """The form's groups, those of the chosen item first."""
    made: list[dict[str, Any]] = []
    if item is not None:
        at: Path = ("item", item)
        if MEASURED in names:
            made.append(_measured(view, at))
        if HELD in names:
            pockets = view.section(
                "pockets", "All pockets", [s for s in POCKETS if _notched(view, s)], at=()
            )
            inner = [*mount_sections(view, item), pockets]
            fields = held(at, mounted=bool(mounts_of(view.sheet, item)))
            made.append(view.section(key_of((*at, "held")), HELD, fields, inner=inner))
        left = fault_words(view.beside.take(at)) if made else ""
        if left:
            made[0]["fault"] = "\n".join(filter(None, (made[0]["fault"], left)))
    if BOX in names:
        wall = view.section("wall", "Its wall", WALL, at=("wall",), folded=True)
        made.append(view.section("case", BOX, CASE, at=("case",), inner=[wall], whole=True))
    if FOAM in names:
        made.append(view.section("foam", FOAM, FOAMS, at=("foam",), whole=True))
    if LIMITS in names:
        made.append(view.section("limits", LIMITS, LIMIT, at=("case", "limits"), whole=True))
    if CABLES in names:
        made.append(cables_section(view))
    if CLOSING in names:
        made.append(closing_section(view))
    return made


def _measured(view: View, at: Path) -> dict[str, Any]:
    body = view.sheet.get((*at, "body"), [])
    shapes = []
    listed = body if isinstance(body, list) else []
    for k, shape in enumerate(listed):
        here: Path = (*at, "body", k)
        shapes.append(
            view.section(
                key_of(here), f"shape {k + 1}", shape_fields(here, shape, hole=False),
                at=here, inner=_holes(view, here, shape),
                actions=[
                    act("hole", here, "add a hole"), act("copy", here, "copy"),
                    *([act("earlier", here, "earlier")] if k else []),
                    *([act("later", here, "later")] if k + 1 < len(listed) else []),
                    act("remove", here, "remove"),
                ],
            )
        )  # fmt: skip
    zones = view.sheet.get((*at, "zone"), [])
    rooms = []
    for k, _ in enumerate(zones if isinstance(zones, list) else []):
        here = (*at, "zone", k)
        rooms.append(
            view.section(
                key_of(here), f"zone {k + 1}", zone_fields(here), at=here,
                actions=[act("copy", here, "copy"), act("remove", here, "remove")],
            )
        )  # fmt: skip
    shape_part = view.section(
        key_of((*at, "body")), "Its shape, band by band", (), at=(*at, "body"), inner=shapes,
        actions=[act("shape", (*at, "body"), "add a shape")],
    )  # fmt: skip
    zone_part = view.section(
        key_of((*at, "zone")), "Room that must stay free", (), at=(*at, "zone"), inner=rooms,
        actions=[act("zone", (*at, "zone"), "add a zone")],
    )  # fmt: skip
    inner = [shape_part, zone_part]
    return view.section(key_of((*at, "measured")), MEASURED, measured(at), inner=inner)


def _holes(view: View, at: Path, shape: Any) -> list[dict[str, Any]]:
    holes = shape.get("holes", []) if isinstance(shape, dict) else []
    return [
        view.section(
            key_of((*at, "holes", k)), f"hole {k + 1}",
            shape_fields((*at, "holes", k), hole, hole=True), at=(*at, "holes", k),
            actions=[act("remove", (*at, "holes", k), "remove")],
        )
        for k, hole in enumerate(holes if isinstance(holes, list) else [])
    ]  # fmt: skip


def _notched(view: View, spec: Spec) -> bool:
    """Sizes of notches only where there are notches."""
    return spec.path[:2] != ("foam", "notch") or view.sheet.get(("foam", "notch")) is not False
