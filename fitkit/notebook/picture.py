"""A state of the board as plain values for the board's script."""

from __future__ import annotations

from typing import Any

import shapely
from shapely.geometry.base import BaseGeometry

from fitkit.documents.naming import size
from fitkit.fit.gaps import Gap
from fitkit.fit.move import TURN_STEP_DEG, Key, key_of, move_reach, plan_box
from fitkit.fit.place import Placed, place_all
from fitkit.notebook.state import State, level_of
from fitkit.notebook.words import gap_text, level_name
from fitkit.payload.model import Payload
from fitkit.payload.pose import posed
from fitkit.payload.walls import build_up_mm, outside_mm

PICTURE_MM = 0.05
"""Outlines are thinned to this on the board [mm]."""


def name_of(key: Key) -> str:
    """A key as one text, as the board's script uses it."""
    return f"{key[0]}/{key[1]}"


def key_from(name: str) -> Key:
    """The key of a text made by :func:`name_of`."""
    item, _, copy = name.rpartition("/")
    return (item, int(copy))


def scene(state: State, *, cause: str, serial: int) -> dict[str, Any]:
    """Everything that the board draws. ``cause`` says what changed: ``move`` or ``all``."""
    placed = place_all(state.payload, state.placements)
    alone = sum(level.half == state.level.half for level in state.levels()) == 1
    return {
        "serial": serial,
        "cause": cause,
        "title": level_name(state.level, alone=alone),
        "wall": build_up_mm(state.payload.wall.profile),
        "corner": state.interior.corner_mm,
        "chosen": name_of(state.chosen),
        "items": [_item(state, one) for one in placed if level_of(one.placement) == state.level],
        "ghosts": [
            _rings(one.solid.silhouette)
            for one in placed
            if one.placement.half == state.level.half and level_of(one.placement) != state.level
        ],
        **live(state),
    }


def live(state: State) -> dict[str, Any]:
    """What changes while an item moves: the box, its sizes, the gaps, and who is too close."""
    box = state.box
    return {
        "box": [box.x0_mm, box.y0_mm, box.x1_mm, box.y1_mm],
        "texts": _sizes(state.payload, box.size_mm),
        "gaps": [_gap(gap) for gap in state.gaps()],
        "failing": _failing(state.failing()),
    }


def answer(state: State, key: Key, *, turned: bool, serial: int) -> dict[str, Any]:
    """The reply to one move of the item ``key``."""
    reply: dict[str, Any] = {"n": serial, "id": name_of(key), **live(state)}
    if turned:
        (placement,) = [p for p in state.placements if key_of(p) == key]
        (one,) = place_all(state.payload, (placement,))
        known = _item(state, one)
        reply |= {name: known[name] for name in ("rings", "zones", "turn", "w", "h", "x", "y")}
    return reply


def place_of(state: State) -> dict[str, Any]:
    """What the sliders of the chosen item show, and how far they go."""
    here = state.here
    step = TURN_STEP_DEG[state.payload.item(here.item).turn]
    reach = move_reach(state.placements, state.chosen, state.box)
    return {
        "id": name_of(state.chosen),
        "x": {"value": here.x_mm, "min": reach.x0_mm, "max": reach.x1_mm, "step": "any"},
        "y": {"value": here.y_mm, "min": reach.y0_mm, "max": reach.y1_mm, "step": "any"},
        "turn": {
            "value": here.turn_deg,
            "min": 0,
            "max": 359 if step == 1 else 270 if step == 90 else 180,
            "step": step,
            "fixed": step == 360,
        },
    }


def _item(state: State, one: Placed) -> dict[str, Any]:
    placement, item = one.placement, one.item
    key = key_of(placement)
    box = plan_box(state.payload, placement)
    shape = posed(item, placement.up).placed(
        turn_deg=placement.turn_deg, x_mm=0.0, y_mm=0.0, z_mm=placement.z_mm
    )
    width, depth = box.size_mm
    return {
        "id": name_of(key),
        "name": one.label,
        "sub": f"{size(width)} × {size(depth)}, {size(one.solid.height_mm)} high",
        "rings": _rings(shape.silhouette),
        "zones": [{"kind": room.kind, "rings": _rings(room.outline)} for room in shape.rooms],
        "x": placement.x_mm,
        "y": placement.y_mm,
        "w": width,
        "h": depth,
        "turn": placement.turn_deg,
        "step": TURN_STEP_DEG[item.turn],
        "pinned": key in state.pins,
    }


def _sizes(payload: Payload, plan: tuple[float, float]) -> dict[str, list[str]]:
    out = outside_mm((*plan, 0.0), profile=payload.wall.profile)
    return {
        "interior": [f"{size(value)} interior" for value in plan],
        "outside": [f"{size(value)} outside" for value in out[:2]],
    }


def _gap(gap: Gap) -> dict[str, Any]:
    to = gap.right if isinstance(gap.right, str) else name_of(gap.right)
    return {
        "to": to,
        "kind": gap.kind,
        "verdict": gap.verdict,
        "text": gap_text(gap),
        "a": gap.a_mm,
        "b": gap.b_mm,
    }


def _failing(gaps: tuple[Gap, ...]) -> dict[str, str]:
    """For each item that is too close to another, what the board writes on it."""
    marks: dict[str, str] = {}
    for gap in sorted(gaps, key=lambda gap: gap.gap_mm, reverse=True):
        text = (
            "too close" if not gap.overlaps else "overlaps" if gap.kind == "item" else "in a zone"
        )
        for end in (gap.left, gap.right):
            if not isinstance(end, str):
                marks[name_of(end)] = text
    return marks


def _rings(shape: BaseGeometry) -> list[list[list[float]]]:
    rings = []
    for part in shapely.get_parts(shape.simplify(PICTURE_MM)):
        for ring in (part.exterior, *part.interiors):
            rings.append(shapely.get_coordinates(ring)[:-1].round(2).tolist())
    return rings
