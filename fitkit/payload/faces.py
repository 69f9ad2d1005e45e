"""The six faces of an item as measured, and which of them lie opposite each other."""

from __future__ import annotations

from typing import Literal

Face = Literal["top", "bottom", "left", "right", "front", "back"]

FACES: tuple[Face, ...] = ("top", "bottom", "left", "right", "front", "back")

_OPPOSITE: dict[Face, Face] = {
    "top": "bottom",
    "bottom": "top",
    "left": "right",
    "right": "left",
    "front": "back",
    "back": "front",
}


def opposite(face: Face) -> Face:
    """The face that looks the other way.

    >>> opposite("top"), opposite("left")
    ('bottom', 'right')
    """
    return _OPPOSITE[face]
