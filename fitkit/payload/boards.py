"""Boards put together: what a trade name says, what was measured, and a laminate on its faces."""

from __future__ import annotations

from fitkit.payload.model import Wall
from fitkit.payload.workshop import Board, Grain, Laminate
from fitkit.reference.panels import panels

SHEET_MM = (2440.0, 1220.0)
"""A whole sheet of a board that no table knows [mm] (assumption)."""

FACES = {1: "laminated on one face", 2: "laminated on both faces"}


def board_of(
    name: str,
    *,
    thickness_mm: float | None = None,
    areal_kg_m2: float | None = None,
    laminate: Laminate | None = None,
    least_mm: float | None = None,
    most_mm: float | None = None,
    grain: bool | None = None,
    wood: bool | None = None,
    sheet_mm: tuple[float, float] | None = None,
) -> Board:
    """The board called ``name``: what is given, and what the table of trade names says of the rest.

    ``thickness_mm`` [mm] and ``areal_kg_m2`` [kg/m2] are as measured and weighed, laminate
    included. Where they are not given, the laminate is added to the table's: t = t0 + n c and
    m = m0 + n w, for n faces of thickness c and mass w. What is called plywood is wood with a
    grain. KeyError for a name that no table knows and no thickness is given for.

    >>> board_of("birch plywood 6.5", laminate=Laminate(2, 0.6, 0.9)).most_mm
    8.1
    """
    trade = panels().get(name)
    extra_mm = 0.0 if laminate is None else laminate.thickness_mm
    if trade is None and thickness_mm is None:
        raise KeyError(name)
    if thickness_mm is None:
        assert trade is not None  # refused above
        thickness_mm = round(trade.mean_mm + extra_mm, 6)
    if trade is not None and trade.ranged:
        low, high = round(trade.min_mm + extra_mm, 6), round(trade.max_mm + extra_mm, 6)
        low, high = min(low, thickness_mm), max(high, thickness_mm)
    else:
        low = high = thickness_mm
    if areal_kg_m2 is None and trade is not None and trade.areal_kg_m2 is not None:
        face = 0.0 if laminate is None else laminate.faces * (laminate.kg_m2 or 0.0)
        areal_kg_m2 = round(trade.areal_kg_m2 + face, 6)
    plywood = "plywood" in name.casefold()
    return Board(
        name=name if laminate is None else f"{name}, {FACES[laminate.faces]}",
        thickness_mm=thickness_mm,
        least_mm=low if least_mm is None else least_mm,
        most_mm=high if most_mm is None else most_mm,
        areal_kg_m2=areal_kg_m2,
        grain=grain if grain is not None else (trade.grain if trade else bool(wood) or plywood),
        wood=wood if wood is not None else (trade.wood if trade else plywood),
        sheet_mm=sheet_mm or (trade.sheet_mm if trade else SHEET_MM),
    )


def wall_board(wall: Wall, *, grain: Grain = "any") -> Board:
    """The board of every panel that has none of its own; ``grain`` is what the walls ask for.

    >>> wall_board(Wall()).most_mm, wall_board(Wall()).wood
    (6.9, True)
    """
    asked = grain != "any" and wall.panel not in panels()
    return board_of(
        wall.panel,
        thickness_mm=wall.panel_mm,
        areal_kg_m2=wall.areal_kg_m2,
        laminate=wall.laminate,
        least_mm=wall.least_mm,
        most_mm=wall.most_mm,
        grain=True if asked else None,
        wood=wall.wood,
        sheet_mm=wall.sheet_mm,
    )
