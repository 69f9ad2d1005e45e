"""The panels of an assembly as cut: one in each closed face, in its slots.

Symbols: ``f`` outer leaf, ``s`` slot, ``wb`` web at the slot's bottom, ``g`` play per panel edge,
``d`` from the slot's bottom to the closing plane on the tongue or the groove side, and
``e = f + s + wb`` how far the slot's bottom lies inside the outer face. At a closed neighbour a
panel ends ``e + g`` inside the part's outer face, at an open one ``d + g`` short of the closing
plane. So a panel across two edge profiles is P = E - 2 (e + g), a wall of a half of height h is
h - (e + g) - (d + g), and one of a ring h - (d + g) - (d' + g): geometry alone, no outside source.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from fitkit.payload.boards import wall_board as board_of_wall
from fitkit.payload.model import Payload, Profile
from fitkit.payload.workshop import Board, Grain, Side
from fitkit.shell.forms import LEAST_MM
from fitkit.shell.frame import AXES, from_face, out_of, plane_mm, side_at, u_of, v_of
from fitkit.shell.graph import closed_sides, rim_of
from fitkit.shell.model import Assembly, Panel, Part


def slot_bottom_mm(profile: Profile) -> float:
    """How far the slot's bottom lies inside the outer face [mm]: e = f + s + wb.

    >>> slot_bottom_mm(Profile())
    10.0
    """
    return profile.outer_leaf_mm + profile.slot_mm + profile.slot_web_mm


def rim_mm(profile: Profile, kind: Literal["tongue", "groove"]) -> float:
    """From the slot's bottom to the closing plane on the tongue or the groove side [mm].

    >>> rim_mm(Profile(), "tongue"), rim_mm(Profile(), "groove")
    (4.0, 6.0)
    """
    return profile.tongue_rim_mm if kind == "tongue" else profile.groove_rim_mm


def wall_board(payload: Payload) -> Board:
    """The board of the walls, as the sheet gives it.

    The range in which it is sold comes from the panels of the reference by its name, widened to
    the thickness that the builder measured; a panel that is not known there is taken to be as
    thick as measured (:func:`fitkit.payload.boards.wall_board`).

    >>> board = wall_board(Payload("kit", ()))
    >>> board.name, board.least_mm, board.thickness_mm, board.most_mm
    ('birch plywood 6.5', 6.1, 6.4, 6.9)
    """
    return board_of_wall(payload.wall, grain=payload.workshop.grain)


def board_for(payload: Payload, part: str, side: Side) -> Board:
    """The board of one panel: chosen for "deep front", else for "front", else that of the walls.

    >>> board_for(Payload("kit", ()), "deep", "front").name
    'birch plywood 6.5'
    """
    return _chosen(payload, part, side)[0]


def panels_of(assembly: Assembly, *, payload: Payload) -> tuple[Panel, ...]:
    """The panels of every part, as cut, in the order of the parts and their sides.

    Each panel's middle lies in the middle of its slot, f + s / 2 inside the outer face. A panel
    that would have no length or width is left out, and
    :func:`fitkit.shell.shortfalls.troubles_of` says so. n parts stacked have 4 n + 2 of them.

    >>> from fitkit.fit.layout import Half, Interior
    >>> from fitkit.shell.graph import assembly_of
    >>> inside = Interior(580.0, 380.0, (Half("deep", 190.0), Half("shallow", 90.0)))
    >>> kit = Payload("kit", ())
    >>> panels = panels_of(assembly_of(inside, payload=kit), payload=kit)
    >>> len(panels), round(sum(panel.area_m2 for panel in panels), 5)
    (10, 0.95237)
    """
    return tuple(
        panel
        for panel in panels_of_any_size(assembly, payload=payload)
        if panel.length_mm > LEAST_MM and panel.width_mm > LEAST_MM
    )


def panels_of_any_size(assembly: Assembly, *, payload: Payload) -> Iterator[Panel]:
    """The panels by the formulas alone, those too that come out with no size or less."""
    for part in assembly.parts:
        for side in closed_sides(part):
            yield _panel(assembly, part, side, payload)


def insets_mm(
    assembly: Assembly, part: Part, axis: int, *, profile: Profile
) -> tuple[float, float]:
    """How far a panel of a part ends inside the part's two faces across ``axis``, low and high."""
    return (
        _inset_mm(assembly, part, side_at(AXES[axis], high=False), profile),
        _inset_mm(assembly, part, side_at(AXES[axis], high=True), profile),
    )


def _inset_mm(assembly: Assembly, part: Part, side: Side, profile: Profile) -> float:
    if side in part.open:
        return rim_mm(profile, rim_of(assembly, part, side)) + profile.play_mm
    return slot_bottom_mm(profile) + profile.play_mm


def _panel(assembly: Assembly, part: Part, side: Side, payload: Payload) -> Panel:
    profile = payload.wall.profile
    _, sense = out_of(side)
    sizes, middles = [], []
    for axis, along in (u_of(side), v_of(side)):
        low, high = insets_mm(assembly, part, axis, profile=profile)
        start, end = part.low_mm[axis] + low, part.high_mm[axis] - high
        sizes.append(part.high_mm[axis] - part.low_mm[axis] - low - high)
        middles.append(along * (start + end) / 2)
    deep = profile.outer_leaf_mm + profile.slot_mm / 2
    board, grain = _chosen(payload, part.name, side)
    return Panel(
        part=part.name,
        side=side,
        length_mm=sizes[0],
        width_mm=sizes[1],
        centre_mm=from_face(side, (middles[0], middles[1]), plane_mm(part, side) - sense * deep),
        board=board.name,
        thickness_mm=board.thickness_mm,
        areal_kg_m2=board.areal_kg_m2,
        grain=_grain(board, grain, sizes[0], sizes[1]),
    )


def _chosen(payload: Payload, part: str, side: Side) -> tuple[Board, Grain]:
    for where in (f"{part} {side}", side):
        for choice in payload.workshop.panels:
            if choice.where == where:
                return choice.board, choice.grain
    return wall_board(payload), payload.workshop.grain


def _grain(
    board: Board, grain: Grain, length_mm: float, width_mm: float
) -> Literal["length", "width"] | None:
    """Along which of its sides a panel's grain runs; None where it has none or either will do."""
    if not board.grain or grain == "any":
        return None
    return "length" if (length_mm >= width_mm) == (grain == "long") else "width"
