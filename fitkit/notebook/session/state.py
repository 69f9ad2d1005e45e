"""What is on the board: who stands where, the interior, what is chosen, locked and shown.

A value; every operation gives a new one. All geometry is asked of :mod:`fitkit.fit`.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cached_property

from attrs import evolve, field, frozen

from fitkit.fit.elevation import Level, halves_for
from fitkit.fit.elevation import levels as all_levels
from fitkit.fit.gaps import Gap
from fitkit.fit.layout import Fit, Interior, Placement
from fitkit.fit.live import Table
from fitkit.fit.move import (
    Key,
    PlanBox,
    by_hand,
    find,
    key_of,
    moved_together,
    own_pose,
    posed_as,
    settled,
    turned_to,
)
from fitkit.fit.move import turned_over as mirrored
from fitkit.fit.place import Placed, place
from fitkit.fit.restack import restacked, sent_to
from fitkit.fit.snap import Snap, Snapped, snapped
from fitkit.fit.validate import Violation, violations
from fitkit.payload.model import Face, Payload

GRID_MM = 5.0
"""The grid that items snap to [mm]."""

TO_GEAR_AND_WALLS = Snap(grid_mm=None, gear=True, walls=True)
"""What items snap to at first."""


@frozen(slots=False)
class State:
    """One state of the board.

    ``placements`` and ``box`` share one frame; after :meth:`dropped` the box's corner is its
    origin. ``level`` None means that all levels are seen through. With ``follows`` the interior is
    the least around the items, else it stays as it is.
    """

    payload: Payload
    interior: Interior
    placements: tuple[Placement, ...]
    box: PlanBox
    chosen: tuple[Key, ...]
    level: Level | None
    locked: frozenset[Key] = frozenset()
    follows: bool = True
    snap: Snap = TO_GEAR_AND_WALLS
    table: Table = field(kw_only=True, eq=False, repr=False)

    @classmethod
    def of(
        cls, payload: Payload, *, interior: Interior, placements: tuple[Placement, ...]
    ) -> State:
        """The state right after a search: its first item is chosen."""
        first = placements[0]
        return cls(
            payload,
            interior,
            placements,
            _whole(interior),
            (key_of(first),),
            level_of(first),
            table=Table.of(payload, placements),
        )

    # ---- looking

    @property
    def lead(self) -> Key | None:
        """The chosen item; the first where there are several."""
        return self.chosen[0] if self.chosen else None

    def here(self, key: Key) -> Placement:
        """An item's placement. KeyError if there is none."""
        return find(self.placements, key)

    def placed(self, key: Key) -> Placed:
        """An item's solid where it stands. KeyError if it is not placed."""
        return place(self.payload.item(key[0]), self.here(key))

    def face_out(self, key: Key) -> Face:
        """The face of an item that looks out of its half. KeyError if it is not placed."""
        return own_pose(self.here(key))[0]

    def levels(self) -> tuple[Level, ...]:
        """The levels that hold items, lowest first, half by half."""
        order = [half.name for half in self.interior.halves]
        found = {level_of(p) for p in self.placements}
        return tuple(sorted(found, key=lambda level: (order.index(level.half), level.tier)))

    def free_levels(self) -> tuple[Level, ...]:
        """The empty level above each half's tiers, where the case may have one."""
        used = self.levels()
        return tuple(
            level
            for level in all_levels(self.payload)
            if level not in used and level.tier == 1 + sum(one.half == level.half for one in used)
        )

    def may_stand(self, key: Key) -> tuple[Level, ...]:
        """The levels, used or free, that an item may stand in."""
        halves = halves_for(self.payload, self.payload.item(key[0]))
        return tuple(one for one in (*self.levels(), *self.free_levels()) if one.half in halves)

    def shows(self, placement: Placement) -> bool:
        """Whether a placement stands on the level that is shown."""
        return self.level is None or level_of(placement) == self.level

    def choosing(self, keys: Iterable[Key]) -> State:
        """With other items chosen; a single one's level is shown. KeyError if not placed."""
        chosen = tuple(dict.fromkeys(keys))
        for key in chosen:
            self.here(key)
        level = self.level
        if level is not None and chosen and not any(self.shows(self.here(k)) for k in chosen):
            level = level_of(self.here(chosen[0]))
        return evolve(self, chosen=chosen, level=level)

    def showing(self, level: Level | None) -> State:
        """With another level shown, or all; what is chosen stays so where it is still seen."""
        there = evolve(self, level=level)
        return evolve(there, chosen=tuple(k for k in self.chosen if there.shows(self.here(k))))

    # ---- doing

    def shifting(self, keys: tuple[Key, ...], *, lead: Key, x_mm: float, y_mm: float) -> State:
        """With ``lead``'s lower left corner put at (x, y), and the others moved along."""
        return self._moved(moved_together(self.placements, keys, lead=lead, x_mm=x_mm, y_mm=y_mm))

    def landing(self, keys: tuple[Key, ...], *, lead: Key, x_mm: float, y_mm: float) -> Snapped:
        """Where ``lead`` lands when it is let go at (x, y)."""
        return snapped(
            self.payload,
            self.placements,
            keys,
            lead=lead,
            x_mm=x_mm,
            y_mm=y_mm,
            box=None if self.follows else self.box,
            snap=self.snap,
            interior=self.interior,
            table=self.table,
        )

    def turning(self, key: Key, *, turn_deg: float) -> State:
        """With an item turned about its middle, to the nearest turn that it may take."""
        return self._moved(turned_to(self.payload, self.placements, key, turn_deg=turn_deg))

    def over(self, keys: Iterable[Key]) -> State:
        """With items turned over: seen from above they are mirrored. BadInput if one may not."""
        placements = self.placements
        for key in keys:
            placements = mirrored(self.payload, placements, key)
        return self._restacked(placements)

    def sending(self, keys: tuple[Key, ...], level: Level) -> State:
        """With items on another level; its heights are worked out anew. ValueError if forbidden."""
        interior, placements = sent_to(
            self.payload,
            self.interior,
            self.placements,
            keys,
            half=level.half,
            tier=level.tier,
            fixed=not self.follows,
        )
        moved = evolve(self, interior=interior)._moved(placements)
        shown = None if self.level is None else level_of(moved.here(keys[0]))
        return evolve(moved, level=shown)

    def posing(self, key: Key, up: Face) -> State:
        """With one of an item's own faces looking out of its half. BadInput if it may not."""
        return self._restacked(posed_as(self.payload, self.placements, key, up=up))

    def locking(self, keys: Iterable[Key], *, on: bool) -> State:
        """With items locked: neither the builder nor the search moves them. Or let go again."""
        given = frozenset(keys)
        return evolve(self, locked=self.locked | given if on else self.locked - given)

    def following(self, on: bool) -> State:
        """With an interior that follows the items, or stays as it is."""
        here = evolve(self, follows=on)
        return here._moved(here.placements) if on else here

    def snapping(self, snap: Snap) -> State:
        """With items that snap to other things."""
        return evolve(self, snap=snap)

    def dropped(self) -> State:
        """The interior's corner made the origin again."""
        if (self.box.x0_mm, self.box.y0_mm) == (0.0, 0.0) and self.box == _whole(self.interior):
            return self
        interior, placements = settled(self.interior, self.placements, self.box)
        return evolve(
            self,
            interior=interior,
            placements=placements,
            box=_whole(interior),
            table=self.table.moved(placements),
        )

    def laid(self, interior: Interior, placements: tuple[Placement, ...]) -> State:
        """With another layout of the same items; what is chosen, locked and shown stays so."""
        made = evolve(
            self,
            interior=interior,
            placements=placements,
            box=_whole(interior),
            table=self.table.moved(placements),
        )
        used = made.levels()
        return made if made.level is None or made.level in used else made.showing(used[0])

    def fitted(self, fit: Fit) -> State:
        """With the layout that a search found."""
        return self.laid(fit.interior, fit.placements)

    def of_payload(self, payload: Payload) -> State:
        """With another payload of the same copies. KeyError if an item is gone."""
        made = evolve(self, payload=payload, table=Table.of(payload, self.placements))
        return made._moved(made.placements).dropped()

    def pins(self) -> tuple[Placement, ...]:
        """The placements that the search leaves alone."""
        return tuple(p for p in self.placements if key_of(p) in self.locked)

    # ---- judging

    @cached_property
    def gaps(self) -> tuple[Gap, ...]:
        """The gaps of what is chosen that are worth showing."""
        return self.table.gaps(self.chosen, box=self.box) if self.chosen else ()

    def failing(self) -> tuple[Gap, ...]:
        """All pairs of the whole layout that are too close, and who is too near a fixed wall."""
        return self.table.failing()

    def outside(self) -> tuple[Key, ...]:
        """Who breaks the wall clearance of an interior that stays as it is."""
        return () if self.follows else self.table.outside_walls(self.box, interior=self.interior)

    def violations(self) -> tuple[Violation, ...]:
        """What the layout breaks, by the check that every search must pass too."""
        here = self.dropped()
        return violations(self.payload, interior=here.interior, placements=here.placements)

    def _restacked(self, placements: tuple[Placement, ...]) -> State:
        interior, placements = restacked(
            self.payload, self.interior, placements, fixed=not self.follows
        )
        return evolve(self, interior=interior)._moved(placements)

    def _moved(self, placements: tuple[Placement, ...]) -> State:
        table = self.table.moved(placements)
        box = table.following_box(self.interior) if self.follows else self.box
        return evolve(self, placements=placements, table=table, box=box)


def same_layout(one: State, other: State) -> bool:
    """Whether two states are one layout of one payload, whatever is chosen or shown."""
    return (one.payload, one.interior, one.placements) == (
        other.payload,
        other.interior,
        other.placements,
    )


def same(one: State, other: State) -> bool:
    """Whether two states differ in nothing that an undo would take back."""
    locks = (one.locked, one.follows) == (other.locked, other.follows)
    return locks and same_layout(one, other)


def is_better(before: State, known: Fit, found: Fit) -> bool:
    """Whether a search brought something: an end to what stood wrong, or a smaller case.

    ``known`` is the fit of the last search, whose objective holds.
    """
    if before.violations():
        return True
    here = by_hand(known, interior=before.interior, placements=before.placements)
    return bool(found.misses) <= bool(here.misses) and found.value < here.value * (1 - 1e-9)


def level_of(placement: Placement) -> Level:
    """The level on which a placement stands."""
    return Level(placement.half, placement.tier)


def _whole(interior: Interior) -> PlanBox:
    return PlanBox(0.0, 0.0, interior.length_mm, interior.width_mm)
