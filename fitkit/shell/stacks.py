"""What a fastener clamps: the stack of pieces between its head and its tail.

Outermost first: the flange of what is fixed, the profile's outer leaf, the panel, the inner leaf
where the hole is within its reach, and a washer. The measured thickness decides; how thin and how
thick the stack can come out is kept beside it, since boards are sold within a range and leaves
that do not give leave the slot as wide as it is.
"""

from __future__ import annotations

from collections.abc import Mapping

from attrs import evolve, frozen

from fitkit.payload.model import Profile
from fitkit.payload.workshop import Board
from fitkit.shell.leaves import seat_of
from fitkit.shell.model import Bar, Hole, Panel

PLATE_MM = 1.5
"""Thickness of a flange or corner that was not measured [mm] (assumption)."""

WASHER_MM = 1.0
"""Thickness of a washer behind a rivet [mm] (assumption)."""


@frozen
class Layer:
    """One piece of a stack: its name and thickness as measured, least and most [mm]."""

    what: str
    thick_mm: float
    least_mm: float
    most_mm: float


@frozen
class Stack:
    """What lies between head and tail, outermost first, and what the tail bears on.

    ``board`` is that of the panel (None where the hole meets no panel), ``behind`` whether an
    inner leaf lies behind it, ``half_seat`` whether the hole goes through that leaf's end.
    """

    layers: tuple[Layer, ...]
    board: Board | None
    behind: bool
    half_seat: bool = False

    @property
    def grip_mm(self) -> float:
        """Thickness as measured [mm]."""
        return sum(layer.thick_mm for layer in self.layers)

    @property
    def least_mm(self) -> float:
        """Thickness at its least [mm]."""
        return sum(layer.least_mm for layer in self.layers)

    @property
    def most_mm(self) -> float:
        """Thickness at its most [mm]."""
        return sum(layer.most_mm for layer in self.layers)

    @property
    def words(self) -> str:
        """The stack in words, such as "outer leaf 1.5 + panel 6.4 + inner leaf 1.5"."""
        return " + ".join(f"{layer.what} {layer.thick_mm:g}" for layer in self.layers)

    def with_washer(self) -> Stack:
        """The stack with a washer under the tail."""
        washer = Layer("washer", WASHER_MM, WASHER_MM, WASHER_MM)
        return evolve(self, layers=(*self.layers, washer))


def stack_of(
    hole: Hole,
    *,
    plate_mm: float | None,
    panels: Mapping[str, Panel],
    bars: Mapping[str, Bar],
    boards: Mapping[str, Board],
    profile: Profile,
) -> Stack:
    """The stack of a hole.

    ``plate_mm`` is the thickness of what is fixed there, None where nothing is. ``panels`` and
    ``bars`` are by name, ``boards`` by the panel's name.
    """
    layers = [] if plate_mm is None else [_exact("flange", plate_mm)]
    mine = [bars[name] for name in hole.pieces if name in bars]
    leaves = [bar for bar in mine if hole.side in bar.sides]
    if leaves:
        layers.append(_exact("outer leaf", profile.outer_leaf_mm))
    board = None
    seats = {seat_of(bar, hole, profile=profile) for bar in leaves}
    behind = bool(seats - {"none"})
    for name in hole.pieces:
        if name in panels:
            board = boards[name]
            most = max(board.most_mm, profile.slot_mm) if behind else board.most_mm
            layers.append(Layer("panel", panels[name].thickness_mm, board.least_mm, most))
            break
    if behind and board is not None:
        layers.append(_exact("inner leaf", profile.inner_leaf_mm))
    return Stack(tuple(layers), board, behind and board is not None, "half" in seats)


def _exact(what: str, thick_mm: float) -> Layer:
    return Layer(what, thick_mm, thick_mm, thick_mm)
