"""Pockets in what lies on a panel, for bolts and tails of the hardware that is fixed there."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from fitkit.payload.hardware import type_named
from fitkit.payload.model import Payload
from fitkit.shell.frame import from_face, out_of, to_face
from fitkit.shell.model import Fitted, Point
from fitkit.shell.mounting.around import Around
from fitkit.shell.mounting.pieces import Drill, Piece

TAIL_MM = 3.0
"""How high a tail or a tee nut stands inside, and the room that it is given all round [mm]
(assumption)."""


def bore_for_tails(payload: Payload, pieces: Sequence[Piece], *, around: Around) -> None:
    """Add a pocket to each piece that lies over a fastener of the hardware.

    A piece counts as lying on a panel where less than ``TAIL_MM`` is between it and the room's end.
    """
    for fitted in around.fitted:
        axis, sense = out_of(fitted.side)
        end = around.interior.size_mm[axis] if sense > 0 else 0.0
        for piece in pieces:
            near = piece.high_mm[axis] if sense > 0 else piece.low_mm[axis]
            if piece.across != axis or sense * (end - near) > TAIL_MM - 0.01:
                continue
            for point, across in fixings_of(payload, fitted):
                wide = across + 2 * TAIL_MM
                if _meets(piece, point, across / 2):
                    use = f"pocket for a {_what(payload, fitted)} of the {fitted.name}"
                    piece.holes.append(Drill(point, wide, use))


def fixings_of(payload: Payload, fitted: Fitted) -> Iterator[tuple[Point, float]]:
    """Where a piece of hardware is fixed on the case's outer face, and its holes' diameter [mm]."""
    angle = math.radians(fitted.turn_deg)
    cos, sin = round(math.cos(angle)), round(math.sin(angle))
    u, v = to_face(fitted.side, fitted.centre_mm)
    plane = fitted.centre_mm[out_of(fitted.side)[0]]
    for hole in type_named(payload, fitted.kind, fitted.type).holes:
        right, up = hole.x_mm * cos - hole.y_mm * sin, hole.x_mm * sin + hole.y_mm * cos
        yield from_face(fitted.side, (u + right, v + up), plane), hole.diameter_mm


def _what(payload: Payload, fitted: Fitted) -> str:
    return type_named(payload, fitted.kind, fitted.type).fixing


def _meets(piece: Piece, point: Point, radius: float) -> bool:
    return all(
        piece.low_mm[k] - radius < point[k] < piece.high_mm[k] + radius
        for k in (piece.along, piece.wide)
    )
