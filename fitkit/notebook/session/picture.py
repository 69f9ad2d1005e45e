"""A state of the board as plain values for the board's script."""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache
from typing import Any

import shapely
from attrs import frozen
from shapely.geometry.base import BaseGeometry

from fitkit.fit.elevation import Level
from fitkit.fit.gaps import Gap
from fitkit.fit.layout import Placement
from fitkit.fit.move import TURN_STEP_DEG, Key, key_of, may_turn_over, move_reach, plan_box
from fitkit.fit.place import Placed, turned_item
from fitkit.fit.snap import Snapped
from fitkit.foam.model import Web
from fitkit.notebook.session.figures import MILLIMETRES, Figures
from fitkit.notebook.session.state import GRID_MM, State, level_of
from fitkit.notebook.session.words import gap_text, level_name
from fitkit.payload.model import Face, Item
from fitkit.payload.walls import build_up_mm, outside_mm
from fitkit.shell.mass import Mass, known

PICTURE_MM = 0.05
"""Outlines are thinned to this on the board [mm]."""

ALL = "all"
"""The name of all levels, seen through."""

Values = dict[str, Any]


@frozen
class Frame:
    """What the board shows beside the layout.

    ``webs`` are the narrow webs of the finished foam, ``mass`` that of the worked-out plan (both
    None while the layout has changed since); ``busy`` says what goes on in the background.
    """

    figures: Figures = MILLIMETRES
    webs: tuple[Web, ...] | None = None
    mass: Mass | None = None
    undo: str | None = None
    redo: str | None = None
    status: str = ""
    busy: str | None = None


def name_of(key: Key) -> str:
    """A key as one text, as the board's script uses it."""
    return f"{key[0]}/{key[1]}"


def key_from(name: str) -> Key:
    """The key of a text made by :func:`name_of`."""
    item, _, copy = name.rpartition("/")
    return (item, int(copy))


def level_id(level: Level | None) -> str:
    """A level as one text; None is all of them."""
    return ALL if level is None else f"{level.half}/{level.tier}"


def level_from(name: str, levels: Iterable[Level]) -> Level | None:
    """The level of a text made by :func:`level_id`. KeyError if it is none of ``levels``."""
    if name == ALL:
        return None
    for level in levels:
        if level_id(level) == name:
            return level
    raise KeyError(name)


def scene(state: State, frame: Frame, *, serial: int) -> Values:
    """Everything that the board draws."""
    payload = state.payload
    here = [p for p in state.placements if _drawn(state, p)]
    return {
        "n": serial,
        "title": payload.title,
        "units": frame.figures.units,
        "wall": build_up_mm(payload.wall.profile),
        "corner": state.interior.corner_mm,
        "follows": state.follows,
        "levels": _levels(state),
        "level": level_id(state.level),
        "items": [_item(state, frame, p) for p in here],
        "chosen": [name_of(key) for key in state.chosen],
        "webs": [] if frame.webs is None else _webs(state, frame),
        "grid": GRID_MM,
        "snap": {
            "grid": state.snap.grid_mm is not None,
            "gear": state.snap.gear,
            "walls": state.snap.walls,
        },
        "undo": frame.undo,
        "redo": frame.redo,
        "busy": frame.busy,
        **live(state, frame),
    }


def live(state: State, frame: Frame) -> Values:
    """What changes while an item moves: box, sizes, gaps, who is too close, mass and balance."""
    box, figures = state.box, frame.figures
    plan = box.size_mm
    outside = outside_mm((*plan, state.interior.height_mm), profile=state.payload.wall.profile)
    mass = frame.mass or known(state.payload, state.interior, state.placements)
    x, y, z = mass.centre_mm
    more = "at least " if mass.unknown or mass.left_out else ""
    return {
        "box": [box.x0_mm, box.y0_mm, box.x1_mm, box.y1_mm],
        "texts": {
            "interior": [f"{figures.length(value)} interior" for value in plan],
            "outside": [f"{figures.length(value)} outside" for value in outside[:2]],
        },
        "facts": [
            ["interior", figures.lengths((*plan, state.interior.height_mm))],
            ["outside", figures.lengths(outside)],
            ["mass", f"{more}{figures.mass(mass.total_kg)}"],
            ["centre of mass", f"{figures.length(z)} {figures.units} above the floor"],
        ],
        "gaps": [_gap(gap, figures) for gap in state.gaps],
        "failing": _failing(state),
        "balance": {"x": x, "y": y, "text": "centre of mass"},
        "status": frame.status,
    }


def answer(
    state: State, frame: Frame, *, lead: Key, land: Snapped | None, turned: Iterable[Key] = ()
) -> Values:
    """The reply to one move of ``lead``; ``turned`` are those whose outline has changed."""
    reply: Values = {"id": name_of(lead), **live(state, frame), "land": None}
    here = state.here(lead)
    if land is not None and land.to:
        reply["land"] = {
            "dx": float(land.x_mm - here.x_mm),
            "dy": float(land.y_mm - here.y_mm),
            "to": ", ".join(land.to),
        }
    names = ("rings", "zones", "turn", "w", "h", "x", "y")
    reply["moved"] = {
        name_of(key): {name: value for name, value in made.items() if name in names}
        for key in turned
        if (made := _item(state, frame, state.here(key)))
    }
    return reply


def place_of(state: State, figures: Figures = MILLIMETRES) -> Values:
    """What the numbers of the chosen item show, and how far they go; empty without one.

    All are in mm; ``unit`` says in which unit the script shows them.
    """
    lead = state.lead
    if lead is None:
        return {}
    here = state.here(lead)
    step = TURN_STEP_DEG[state.payload.item(here.item).turn]
    reach = move_reach(state.placements, lead, state.box)
    return {
        "id": name_of(lead),
        "unit": figures.units,
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


def _drawn(state: State, placement: Placement) -> bool:
    """Of one half all is drawn, the other levels seen through; with all levels, everything."""
    return state.level is None or placement.half == state.level.half


def _levels(state: State) -> list[Values]:
    used, free = state.levels(), state.free_levels()
    halves = [level.half for level in (*used, *free)]
    return [
        {
            "id": level_id(level),
            "name": level_name(level, alone=halves.count(level.half) == 1),
            "empty": level not in used,
        }
        for level in (*used, *free)
    ]


def _item(state: State, frame: Frame, placement: Placement) -> Values:
    item = state.payload.item(placement.item)
    box = plan_box(state.payload, placement)
    width, depth = box.size_mm
    drawn = _shape(item, placement.up, placement.turn_deg)
    figures = frame.figures
    return {
        "id": name_of(key_of(placement)),
        "name": Placed(placement, item).label,
        "sub": f"{figures.lengths((width, depth))}, {figures.length(drawn.high_mm)} high",
        "rings": drawn.rings,
        "zones": drawn.zones,
        "x": placement.x_mm,
        "y": placement.y_mm,
        "w": width,
        "h": depth,
        "turn": placement.turn_deg,
        "step": TURN_STEP_DEG[item.turn],
        "locked": key_of(placement) in state.locked,
        "level": level_id(level_of(placement)),
        "over": may_turn_over(item, placement.up, half=placement.half),
        "dim": not state.shows(placement),
    }


@frozen
class _Shape:
    rings: list[list[list[float]]]
    zones: list[Values]
    high_mm: float


@lru_cache(maxsize=1024)
def _shape(item: Item, up: Face, turn_deg: float) -> _Shape:
    """An item's outlines relative to its lower left corner, and its height."""
    turned = turned_item(item, up, turn_deg)
    zones = [{"kind": room.kind, "rings": _rings(room.outline)} for room in turned.solid.rooms]
    return _Shape(_rings(turned.silhouette), zones, turned.solid.height_mm)


def _gap(gap: Gap, figures: Figures) -> Values:
    to = gap.right if isinstance(gap.right, str) else name_of(gap.right)
    return {
        "to": to,
        "kind": gap.kind,
        "verdict": gap.verdict,
        "text": gap_text(gap, figures),
        "a": gap.a_mm,
        "b": gap.b_mm,
    }


def _failing(state: State) -> dict[str, str]:
    """For each item that is too close to another, what the board writes on it."""
    marks: dict[str, str] = {name_of(key): "outside" for key in state.outside()}
    for gap in sorted(state.failing(), key=lambda gap: gap.gap_mm, reverse=True):
        text = (
            "too close" if not gap.overlaps else "overlaps" if gap.kind == "item" else "in a zone"
        )
        for end in (gap.left, gap.right):
            if not isinstance(end, str):
                marks[name_of(end)] = text
    return marks


def _webs(state: State, frame: Frame) -> list[Values]:
    """Narrow webs of the shown half, each place once (the narrowest layer)."""
    found: dict[tuple[str, str], Web] = {}
    for web in frame.webs or ():
        if state.level is not None and web.half != state.level.half:
            continue
        key = (web.left, web.right)
        if key not in found or web.width_mm < found[key].width_mm:
            found[key] = web
    return [
        {
            "a": web.a_mm,
            "b": web.b_mm,
            "text": f"web {frame.figures.gap(web.width_mm)} < {frame.figures.length(web.limit_mm)}",
        }
        for web in found.values()
    ]


def _rings(shape: BaseGeometry) -> list[list[list[float]]]:
    rings = []
    for part in shapely.get_parts(shape.simplify(PICTURE_MM)):
        for ring in (part.exterior, *part.interiors):
            rings.append(shapely.get_coordinates(ring)[:-1].round(2).tolist())
    return rings
