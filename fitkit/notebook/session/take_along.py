"""The board as one page that can be dragged without a kernel, and what comes back from it."""

from __future__ import annotations

import itertools
from pathlib import Path
from typing import Any

from attrs import evolve

from fitkit.fit.layout import Interior, Placement
from fitkit.fit.neighbours import keep_web
from fitkit.fit.place import place_all
from fitkit.notebook.board.page import board_page
from fitkit.notebook.session.figures import MILLIMETRES, Figures
from fitkit.notebook.session.picture import Frame, name_of, scene
from fitkit.notebook.session.state import State
from fitkit.payload.model import Payload
from fitkit.plan_json.codec import dumped
from fitkit.plan_json.layouts import digest_of


def page_of(state: State, *, figures: Figures = MILLIMETRES) -> str:
    """The board's page: every level, with what is needed to answer a drag in the browser."""
    payload = state.payload
    frame = Frame(figures=figures)
    levels = (*state.levels(), None)
    scenes = [
        scene(evolve(state, level=level, chosen=()), frame, serial=k)
        for k, level in enumerate(levels, start=1)
    ]
    return board_page(**page_data(payload, state, scenes))


def page_data(payload: Payload, state: State, scenes: list[dict[str, Any]]) -> dict[str, Any]:
    """What the page is made of, as plain values."""
    return {
        "scenes": scenes,
        "pairs": keeping(payload, state.placements),
        "clearance": {
            "item": payload.case.clearance.item_mm,
            "wall": payload.case.clearance.wall_mm,
        },
        "placements": dumped(state.placements),
        "title": payload.title,
        "plan": digest_of(payload),
    }


def keeping(payload: Payload, placements: tuple[Placement, ...]) -> list[list[Any]]:
    """The pairs of copies that keep a web from each other, with its width: [id, id, mm]."""
    web_mm = payload.case.clearance.item_mm
    return [
        [_id(one.placement), _id(other.placement), web_mm]
        for one, other in itertools.combinations(place_all(payload, placements), 2)
        if keep_web(one, other)
    ]


def page_of_plan(payload: Payload, *, interior: Interior, placements: tuple[Placement, ...]) -> str:
    """The board's page for a layout, outside of a notebook."""
    return page_of(State.of(payload, interior=interior, placements=placements))


def write_page(state: State, path: Path, *, figures: Figures = MILLIMETRES) -> None:
    """Write the board's page by a file beside it that is renamed. OSError if it cannot be."""
    path.parent.mkdir(parents=True, exist_ok=True)
    beside = path.with_name(f".{path.name}.part")
    beside.write_text(page_of(state, figures=figures), encoding="utf-8")
    beside.replace(path)


def _id(placement: Placement) -> str:
    return name_of((placement.item, placement.copy))
