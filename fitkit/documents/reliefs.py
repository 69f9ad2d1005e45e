"""Holes in one tier's foam for items that stand elsewhere: through from below, or facing it."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from attrs import frozen
from shapely.geometry.base import BaseGeometry

from fitkit.documents.labels import Board, name_beside, name_inside
from fitkit.documents.naming import half_names
from fitkit.documents.sheet import MEASURED, Mark, Path, Style, contours_of
from fitkit.fit.move import key_of
from fitkit.fit.place import Placed, place_all
from fitkit.foam.model import Layer
from fitkit.plan import Plan


@frozen
class Relief:
    """The room that a tier's foam leaves for one item of another tier or half, in plan."""

    placed: Placed
    shape: BaseGeometry
    fact: str


def reliefs_of(plan: Plan, shown: Sequence[Placed], layers: Sequence[Layer]) -> tuple[Relief, ...]:
    """The reliefs in ``layers`` for items that are not among those ``shown``."""
    own = {key_of(one.placement) for one in shown}
    made = []
    for one in place_all(plan.payload, plan.fit.placements):
        key = key_of(one.placement)
        cuts = [
            cut.shape
            for layer in layers
            for cut in layer.cutouts
            if cut.kind == "relief" and (cut.item, cut.copy) == key
        ]
        if key in own or not cuts:
            continue
        same = one.placement.half == shown[0].placement.half
        where = (
            f"comes through from tier {one.placement.tier}"
            if same
            else f"stands in the {half_names(plan)[one.placement.half]}"
        )
        made.append(Relief(one, shapely.union_all(cuts), where))
    return tuple(made)


def relief_marks(shapes: Sequence[BaseGeometry]) -> list[Mark]:
    """The holes, drawn as dashed outlines on paper white."""
    marks: list[Mark] = []
    for shape in shapes:
        contours = contours_of(shape)
        marks += [
            Path(contours, Style(None, fill="paper")),
            Path(contours, Style("quiet", 0.3, MEASURED)),
        ]
    return marks


def relief_names(
    reliefs: Sequence[Relief], shapes: Sequence[BaseGeometry], board: Board, clear: BaseGeometry
) -> list[Mark]:
    """What each hole is for, in it or beside it; nothing where there is no room."""
    marks: list[Mark] = []
    for relief, shape in zip(reliefs, shapes, strict=True):
        label = f"relief: {relief.placed.label}"
        found = name_inside(board, shape, label, relief.fact) or name_beside(
            board, shape, f"{label}, {relief.fact}", clear=clear
        )
        marks += found or []
    return marks
