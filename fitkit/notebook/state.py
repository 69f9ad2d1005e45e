"""What is on the board: placements moved by hand, the interior that follows them, and pins.

A value; every operation gives a new one. All geometry is asked of :mod:`fitkit.fit`.
"""

from __future__ import annotations

from attrs import evolve, frozen

from fitkit.fit.elevation import Level
from fitkit.fit.gaps import Gap, failing_gaps, gaps_of
from fitkit.fit.layout import Fit, Interior, Placement
from fitkit.fit.move import (
    Key,
    PlanBox,
    find,
    following_box,
    key_of,
    settled,
    shifted_to,
    turned_to,
)
from fitkit.fit.validate import Violation, violations
from fitkit.payload.model import Payload


@frozen
class State:
    """One state of the board.

    ``placements`` and ``box`` share one frame; after :meth:`dropped` the box's corner is its
    origin. ``by_hand`` is true when something was moved since the last search.
    """

    payload: Payload
    interior: Interior
    placements: tuple[Placement, ...]
    box: PlanBox
    chosen: Key
    level: Level
    pins: frozenset[Key] = frozenset()
    by_hand: bool = False

    @classmethod
    def of(cls, payload: Payload, fit: Fit) -> State:
        """The state right after a search: its first item is chosen."""
        interior = fit.interior
        first = fit.placements[0]
        return cls(
            payload,
            interior,
            fit.placements,
            PlanBox(0.0, 0.0, interior.length_mm, interior.width_mm),
            key_of(first),
            level_of(first),
        )

    @property
    def here(self) -> Placement:
        """The chosen item's placement."""
        return find(self.placements, self.chosen)

    def levels(self) -> tuple[Level, ...]:
        """The levels that hold items, the deep half's first."""
        order = [half.name for half in self.interior.halves]
        found = {level_of(p) for p in self.placements}
        return tuple(sorted(found, key=lambda level: (order.index(level.half), level.tier)))

    def choosing(self, key: Key) -> State:
        """With another item chosen, and its level shown. KeyError if it is not placed."""
        return evolve(self, chosen=key, level=level_of(find(self.placements, key)))

    def showing(self, level: Level) -> State:
        """With another level shown, and the first item on it chosen."""
        first = next(p for p in self.placements if level_of(p) == level)
        return evolve(self, chosen=key_of(first), level=level)

    def shifting(self, key: Key, *, x_mm: float, y_mm: float) -> State:
        """With an item's lower left corner put at (x, y)."""
        return self._moved(key, shifted_to(self.placements, key, x_mm=x_mm, y_mm=y_mm))

    def turning(self, key: Key, *, turn_deg: float) -> State:
        """With an item turned about its middle, to the nearest turn that it may take."""
        turned = turned_to(self.payload, self.placements, key, turn_deg=turn_deg)
        return self._moved(key, turned)

    def dropped(self) -> State:
        """The interior's corner made the origin again."""
        interior, placements = settled(self.interior, self.placements, self.box)
        box = PlanBox(0.0, 0.0, interior.length_mm, interior.width_mm)
        return evolve(self, interior=interior, placements=placements, box=box)

    def pinning(self, key: Key, *, pinned: bool) -> State:
        """With an item pinned: the search leaves it where it is. Or let go again."""
        return evolve(self, pins=self.pins | {key} if pinned else self.pins - {key})

    def pinned(self) -> tuple[Placement, ...]:
        """The placements that the search leaves alone."""
        return tuple(p for p in self.placements if key_of(p) in self.pins)

    def fitted(self, fit: Fit) -> State:
        """After another search: its layout, with the same item chosen and the same pins."""
        new = State.of(self.payload, fit)
        return evolve(new, pins=self.pins).choosing(self.chosen)

    def gaps(self) -> tuple[Gap, ...]:
        """The gaps of the chosen item that are worth showing."""
        return gaps_of(self.payload, self.placements, self.chosen, box=self.box)

    def failing(self) -> tuple[Gap, ...]:
        """All pairs of the whole layout that are too close."""
        return failing_gaps(self.payload, self.placements)

    def violations(self) -> tuple[Violation, ...]:
        """What the layout breaks, by the check that every search must pass too."""
        here = self.dropped()
        return violations(self.payload, interior=here.interior, placements=here.placements)

    def _moved(self, key: Key, placements: tuple[Placement, ...]) -> State:
        box = following_box(self.payload, self.interior, placements)
        return evolve(self.choosing(key), placements=placements, box=box, by_hand=True)


def level_of(placement: Placement) -> Level:
    """The level on which a placement stands."""
    return Level(placement.half, placement.tier)
