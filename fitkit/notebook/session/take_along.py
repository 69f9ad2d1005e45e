"""The board as one page that can be dragged without a kernel, and what comes back from it."""

from __future__ import annotations

import itertools
from pathlib import Path

from attrs import evolve

from fitkit.errors import BadInput, Fault
from fitkit.fit.layout import Placement
from fitkit.fit.neighbours import keep_web
from fitkit.fit.place import place_all
from fitkit.notebook.board.page import board_page
from fitkit.notebook.session.figures import MILLIMETRES, Figures
from fitkit.notebook.session.picture import Frame, level_id, name_of, scene
from fitkit.notebook.session.state import State
from fitkit.payload.model import Payload
from fitkit.payload.walls import outside_mm
from fitkit.plan_json.codec import dumped
from fitkit.plan_json.layouts import digest_of


def page_of(state: State, *, figures: Figures = MILLIMETRES) -> str:
    """The board's page: every level, with what is needed to answer a drag in the browser."""
    payload, frame = state.payload, Frame(figures=figures)
    scenes = {
        level_id(level): scene(evolve(state, level=level, chosen=()), frame, serial=1)
        for level in (*state.levels(), None)
    }
    outside = outside_mm(state.interior.size_mm, profile=payload.wall.profile)
    return board_page(
        scenes,
        title=payload.title,
        plan=digest_of(payload),
        placements=dumped(state.placements),
        pairs=keeping(payload, state.placements),
        clearance_mm=payload.case.clearance.wall_mm,
        follows=state.follows,
        level=level_id(state.level),
        heights_mm=(state.interior.height_mm, outside[2]),
    )


def keeping(payload: Payload, placements: tuple[Placement, ...]) -> list[tuple[str, str, float]]:
    """The pairs of copies that keep a web from each other: names and least distance [mm]."""
    web_mm = payload.case.clearance.item_mm
    return [
        (_id(one.placement), _id(other.placement), web_mm)
        for one, other in itertools.combinations(place_all(payload, placements), 2)
        if keep_web(one, other)
    ]


def write_page(state: State, path: Path, *, figures: Figures = MILLIMETRES) -> None:
    """Write the board's page by a file beside it that is renamed. BadInput if it cannot be."""
    text = page_of(state, figures=figures)
    beside = path.with_name(f".{path.name}.part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        beside.write_text(text, encoding="utf-8")
        beside.replace(path)
    except OSError as error:
        what = f"cannot be written ({error.strerror or error})"
        raise BadInput([Fault(str(path), what, "name another file or folder")]) from error


def _id(placement: Placement) -> str:
    return name_of((placement.item, placement.copy))
