"""How stiff boards and rails are that were loaded on a bench.

A strip on two edges with a force P in its middle gives way by w = P L3 / 48 E I: from a measured
sag follows E I (Timoshenko, Strength of Materials, part I: a simply supported beam; ISO 178 and
ASTM D790 measure a modulus so; from memory). Valid for sags below a tenth of the span. Shear makes
a short thick strip look softer than it is, which is the safe side.
"""

from __future__ import annotations

from fitkit.payload.model import Payload
from fitkit.payload.stiffness import Stiffness
from fitkit.reference.moduli import Rigidity, moduli, modulus_of, rigidity_of
from fitkit.shell.gap.drop import GRAVITY_M_S2
from fitkit.sources import cited

TWISTED_LESS = 1e-3
"""Part of a board's softer rigidity that it sets against a twist where nothing is known of that."""

MEASURED = "your sheet: closing.stiffness, measured"
MEASURED_RAIL = "your sheet: mount.rail.stiffness, measured"


def rigidity_in(
    payload: Payload, board: str, thickness_mm: float, *, wood: bool = False
) -> Rigidity | None:
    """How stiff a board of the case is: as measured, else by the tables; None if neither knows."""
    measured = measured_of(payload, board)
    if measured is None:
        return rigidity_of(board, thickness_mm, wood=wood)
    return measured_rigidity(measured, thickness_mm=thickness_mm, wood=wood)


def source_in(payload: Payload, board: str, *, wood: bool = False) -> str:
    """Where a board's stiffness is from, in words; what to do where nothing is known."""
    if measured_of(payload, board) is not None:
        return f"{board}: {MEASURED}"
    row = modulus_of(board, wood=wood)
    if row is None:
        return (
            f"nothing is known of how stiff {board} is: load a strip of it and give that under "
            "[[closing.stiffness]]"
        )
    return f"{board}: {cited(row.source)}, {row.known}"


def measured_of(payload: Payload, board: str) -> Stiffness | None:
    """What the builder measured of a board, None if nothing."""
    for name, one in payload.closing.stiffness:
        if name.casefold() == board.casefold():
            return one
    return None


def beam_nmm2(one: Stiffness, *, across: bool = False) -> float:
    """Stiffness in bending E I of what was loaded [N mm2]: ``P L3 / 48 w``.

    A rail of aluminium, 69 GPa, 30 x 3 mm, I = 67.5 mm4, gives way by 5.61 mm to 2 kg on 400 mm:

    >>> round(beam_nmm2(Stiffness(400.0, 2.0, 5.614)) / 67.5, -2)
    69000.0
    """
    sag = one.sag_mm if not across or one.across_mm is None else one.across_mm
    return one.kg * GRAVITY_M_S2 * one.span_mm**3 / (48 * sag)


def measured_rigidity(one: Stiffness, *, thickness_mm: float, wood: bool) -> Rigidity:
    """How stiff a board is whose strips were loaded: E I over a strip's width, both ways.

    Against a twist wood counts with the shear modulus of plywood, ``H = G t3 / 6``; another board
    that is alike both ways with H = D, one that is not with next to nothing: no strip tells.
    ValueError for strips of no width.

    >>> rail = Stiffness(400.0, 2.0, 5.614, width_mm=30.0)
    >>> round(measured_rigidity(rail, thickness_mm=3.0, wood=False).along_nmm, -2)
    155300.0
    """
    width_mm = one.width_mm
    if width_mm is None or width_mm <= 0:
        raise ValueError("the strips of a board have a width")
    along, across = (beam_nmm2(one, across=way) / width_mm for way in (False, True))
    least = min(along, across)
    if wood:
        shear = moduli()["plywood"].shear_mpa or 0.0
        return Rigidity(along, across, min(least, shear * thickness_mm**3 / 6))
    alike = one.across_mm is None
    return Rigidity(along, across, least if alike else least * TWISTED_LESS)
