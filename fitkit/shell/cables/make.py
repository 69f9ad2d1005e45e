"""All cables of a layout: paths, lengths, coils, bundles, and what stands in their way."""

from __future__ import annotations

from attrs import frozen

from fitkit.fit.layout import Interior, Placement
from fitkit.foam.model import Room
from fitkit.payload.model import Payload
from fitkit.shell.cables.model import Bundle, CableExit, Route
from fitkit.shell.model import Trouble
from fitkit.shell.mounting.model import Support


@frozen
class Cabled:
    """What is known of the cables of a layout."""

    routes: tuple[Route, ...] = ()
    bundles: tuple[Bundle, ...] = ()
    troubles: tuple[Trouble, ...] = ()
    notes: tuple[str, ...] = ()


def cables_of(
    payload: Payload,
    *,
    interior: Interior,
    placements: tuple[Placement, ...],
    rooms: tuple[Room, ...] = (),
    exits: tuple[CableExit, ...] = (),
    supports: tuple[Support, ...] = (),
) -> Cabled:
    """Every cable of the payload as it runs in the case."""
    return Cabled()
