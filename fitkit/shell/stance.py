"""How a case stands in use: its long and short sides, its ground, and which way is up."""

from __future__ import annotations

from fitkit.payload.hardware import type_for
from fitkit.payload.model import Payload
from fitkit.payload.workshop import Side
from fitkit.shell.frame import opposite, out_of
from fitkit.shell.model import Assembly


def long_sides(assembly: Assembly) -> tuple[Side, Side]:
    """The two long walls of a case, front and back where it is as long as it is wide.

    >>> long_sides(Assembly((0.0, 0.0, 0.0), (600.0, 400.0, 300.0), ()))
    ('front', 'back')
    """
    size = [high - low for low, high in zip(assembly.low_mm, assembly.high_mm, strict=True)]
    return ("front", "back") if size[0] >= size[1] else ("left", "right")


def short_sides(assembly: Assembly) -> tuple[Side, Side]:
    """The two short walls of a case.

    >>> short_sides(Assembly((0.0, 0.0, 0.0), (600.0, 400.0, 300.0), ()))
    ('left', 'right')
    """
    return ("left", "right") if long_sides(assembly)[0] == "front" else ("front", "back")


def ground_side(payload: Payload, assembly: Assembly) -> Side:
    """The face that the case stands on: the bottom, or upright its long back side.

    Where front and back are the short sides, the right side is what it stands on. The builder's
    own side for feet or castors overrules this.
    """
    wishes = payload.workshop.hardware
    if wishes.ground != "none":
        own = type_for(payload, "castor" if wishes.ground == "castors" else "foot").sides
        if own:
            return own[0]
    return "bottom" if wishes.use == "flat" else long_sides(assembly)[1]


def side_by_side(payload: Payload) -> bool:
    """Whether each half stands by itself in use, upright beside the other one.

    A pair or a box that is used upright and whose halves come apart (common practice, no source).

    >>> side_by_side(Payload("kit", ()))
    False
    """
    wishes = payload.workshop.hardware
    return payload.case.form != "tray" and wishes.use == "upright" and wishes.lid == "lift off"


def upwards(payload: Payload, assembly: Assembly) -> tuple[int, int]:
    """The axis that is upright in use (0 x, 1 y, 2 z), and its sense."""
    return out_of(opposite(ground_side(payload, assembly)))


def handle_sides(payload: Payload, assembly: Assembly) -> tuple[Side, ...]:
    """The sides that carry handles: the short ones, or upright the one across from the ground.

    Common practice, no source; the builder's own sides overrule it.
    """
    own = type_for(payload, "handle").sides
    if own:
        return own
    if payload.workshop.hardware.use == "flat":
        return short_sides(assembly)
    return (opposite(ground_side(payload, assembly)),)
