"""All hardware of a case in its place: what is fitted, what is cut for it, and what is in the way.

The order decides who yields: cable exits come first; corners and braces are given by the edges,
feet by the ground, hinges by the lid, handles by the centre of mass; latches take what is left of
the closing planes, stays come last.
"""

from __future__ import annotations

from collections.abc import Callable

from attrs import evolve, frozen

from fitkit.fit.layout import Interior, Placement
from fitkit.payload.hardware import type_for
from fitkit.payload.model import Payload
from fitkit.payload.workshop import HardwareKind
from fitkit.shell.carrying import set_handles
from fitkit.shell.closers import set_hinges, set_latches, set_stays
from fitkit.shell.exits import exits_of, keep_clear
from fitkit.shell.model import (
    Assembly,
    Bar,
    BarCut,
    Fitted,
    Hole,
    Opening,
    Panel,
    Point,
    Trouble,
)
from fitkit.shell.openings import Box, bar_cuts_of, holes_of, openings_of
from fitkit.shell.places import Board, solids_of
from fitkit.shell.standing import set_corners, set_ground


@frozen
class Placed:
    """Hardware in its place, with everything that is cut and drilled for it.

    ``troubles`` names what does not go; a piece that is left out is said there. ``notes`` is what
    the builder should know or see to.
    """

    fitted: tuple[Fitted, ...]
    openings: tuple[Opening, ...] = ()
    bar_cuts: tuple[BarCut, ...] = ()
    holes: tuple[Hole, ...] = ()
    troubles: tuple[Trouble, ...] = ()
    notes: tuple[str, ...] = ()


def hardware_of(
    payload: Payload,
    *,
    assembly: Assembly,
    panels: tuple[Panel, ...],
    bars: tuple[Bar, ...],
    interior: Interior,
    placements: tuple[Placement, ...],
    gross_kg: float | None,
    centre_mm: Point | None,
) -> Placed:
    """Every piece of hardware of a case, where it sits, and what is cut and drilled for it.

    Counts, sides and places follow the rules of :mod:`fitkit.shell.counts` unless the builder's
    types say otherwise. ``gross_kg`` is the mass of the loaded case, ``centre_mm`` its centre of
    mass; None where they are not known: then one pair of handles is set about the middle.
    Lengths are mm in the case's coordinates. The same input gives the same output.
    """
    profile = payload.wall.profile
    board = Board(
        assembly=assembly,
        profile=profile,
        box=Box((0.0, 0.0, 0.0), interior.size_mm),
        solids=solids_of(payload, placements),
    )
    exits = exits_of(payload, assembly=assembly, panels=panels, placements=placements).exits
    open_corners = keep_clear(board, exits)
    ground: HardwareKind = "castor" if payload.workshop.hardware.ground == "castors" else "foot"
    steps: tuple[tuple[HardwareKind, Callable[[], None]], ...] = (
        ("corner", lambda: set_corners(board, payload, without=open_corners)),
        (ground, lambda: set_ground(board, payload, gross_kg=gross_kg, centre_mm=centre_mm)),
        ("hinge", lambda: set_hinges(board, payload)),
        ("handle", lambda: set_handles(board, payload, gross_kg=gross_kg, centre_mm=centre_mm)),
        ("latch", lambda: set_latches(board, payload)),
        ("stay", lambda: set_stays(board, payload)),
    )
    for kind_set, step in steps:
        before = len(board.troubles)
        step()
        if type_for(payload, kind_set).known == "assumption":
            # nobody has measured it: another piece may go on
            new = [evolve(one, verdict="unknown") for one in board.troubles[before:]]
            board.troubles[before:] = new
    openings: list[Opening] = []
    cuts: list[BarCut] = []
    holes: list[Hole] = []
    for fitted in board.fitted:
        kind = board.types[fitted.name]
        openings += openings_of(fitted, kind, panels=panels)
        cuts += bar_cuts_of(fitted, kind, assembly=assembly, bars=bars, profile=profile)
        if kind.kind == "corner":  # rivets of their own, on three faces: shell.corner_rivets
            continue
        holes += holes_of(
            fitted, kind, assembly=assembly, panels=panels, bars=bars, profile=profile
        )
    notes = (*board.notes, *_assumed(board))
    return Placed(
        fitted=tuple(board.fitted),
        openings=tuple(openings),
        bar_cuts=tuple(cuts),
        holes=tuple(holes),
        troubles=tuple(dict.fromkeys(board.troubles)),
        notes=tuple(dict.fromkeys(notes)),
    )


def _assumed(board: Board) -> tuple[str, ...]:
    """A sentence for each kind whose sizes are the house's placeholders."""
    names = sorted({kind.name for kind in board.types.values() if kind.known == "assumption"})
    if not names:
        return ()
    return (
        f"sizes of {', '.join(names)} are assumed: measure yours before anything is cut for them",
    )
