"""Which fastener goes into one hole: rivet by grip, screw, bolt or tee nut, and how it is drilled.

Holes are drilled small first, then to size, so that the drill does not wander (common practice,
no source).
"""

from __future__ import annotations

from attrs import evolve, frozen

from fitkit.payload.workshop import HardwareWishes
from fitkit.reference.clearance_holes import ClearanceHole, thread_through
from fitkit.reference.rivets import (
    grip_range_mm,
    rivet_for,
    rivet_grips,
    rivet_sizes,
    rivet_through,
)
from fitkit.reference.tee_nuts import tee_nuts
from fitkit.reference.wood_screws import screw_through
from fitkit.shell.model import Hole, Trouble
from fitkit.shell.stacks import Stack

PILOT_MM = 2.5
"""What is drilled first for a rivet, a bolt or a tee nut [mm] (assumption)."""


@frozen
class Piece:
    """One fastener that a hole takes: its kind, size, and the thickness that it clamps [mm]."""

    kind: str
    size: str
    grip_mm: float | None = None
    note: str = ""

    @property
    def name(self) -> str:
        """How it is called in lists, such as "blind rivet 4.0 x 12"."""
        return f"{NAMES.get(self.kind, self.kind)} {self.size}"


NAMES = {"rivet": "blind rivet", "screw": "wood screw"}


@frozen
class Choice:
    """A hole as it is drilled, what goes in (the first names it), and what to say about it.

    ``notes`` are sentences without a subject: who lists them says what they are about.
    """

    hole: Hole
    pieces: tuple[Piece, ...]
    notes: tuple[str, ...] = ()
    trouble: Trouble | None = None


def choose(
    hole: Hole,
    stack: Stack,
    *,
    wishes: HardwareWishes,
    where: str,
    loose: bool,
    off_mm: float = 0.0,
) -> Choice:
    """The fastener of one hole; ``where`` says in troubles what it belongs to.

    ``loose`` is true where nothing lies under the fastener's head: a screw is then countersunk.
    ``off_mm`` is how far the hole's middle lies off every panel.
    """
    if stack.board is None:
        return Choice(
            hole,
            (),
            trouble=Trouble(
                where,
                "a hole meets no panel: nothing holds it there",
                off_mm,
                "move it further from the edge, or take hardware with another flange",
            ),
        )
    if hole.use == "rivet":
        return _rivet(hole, stack, wishes, where)
    if hole.use == "screw":
        return _screw(hole, stack, where, loose)
    return _bolt(hole, stack, wishes, where)


def _rivet(hole: Hole, stack: Stack, wishes: HardwareWishes, where: str) -> Choice:
    d_mm = rivet_through(hole.diameter_mm, wished_mm=wishes.rivet_mm)
    if abs(hole.diameter_mm - wishes.rivet_mm - 0.1) < 1e-6:
        d_mm = wishes.rivet_mm
    if d_mm is None or d_mm not in rivet_grips():
        known = ", ".join(f"{d:g}" for d in rivet_grips())
        found = wishes.rivet_mm if d_mm is None else d_mm
        return Choice(
            hole,
            (),
            trouble=Trouble(
                where,
                f"no table of grips for a rivet of {found:g} mm in a hole of "
                f"{hole.diameter_mm:g} mm",
                min(abs(found - d) for d in rivet_grips()),
                f"take rivets of {known} mm",
            ),
        )
    size = rivet_sizes()[d_mm]
    board = stack.board
    assert board is not None
    notes: list[str] = []
    tail_on_panel = not stack.behind
    washer = tail_on_panel and wishes.washers
    if washer:
        stack = stack.with_washer()
    row = rivet_for(stack.grip_mm, d_mm=d_mm, least_mm=stack.least_mm, most_mm=stack.most_mm)
    drilled = evolve(hole, diameter_mm=size.least_hole_mm, pilot_mm=_pilot(size.least_hole_mm))
    if row is None:
        return Choice(drilled, (), trouble=_out_of_table(stack, d_mm, where))
    if stack.half_seat:
        notes.append(
            "a rivet goes through the end of the inner leaf, so that its tail has half a "
            "seat: shift the hole a little, or cut the leaf back there and put a washer behind."
        )
    if tail_on_panel and not washer:
        soft = "in wood" if board.wood else f"on {board.name}"
        notes.append(
            f"the rivets' tails bulge {soft}, where they hold less than in metal: "
            "put a washer behind each, or take tee nuts or bolts."
        )
    if not (row.holds(stack.least_mm) and row.holds(stack.most_mm)):
        notes.append(
            f"rivets {row.size} hold {row.least_grip_mm:g} to {row.most_grip_mm:g} mm "
            f"and are chosen for {stack.grip_mm:.1f} mm ({stack.words}); the stack may be "
            f"{stack.least_mm:.1f} to {stack.most_mm:.1f} mm: measure it before you buy."
        )
    pieces = [
        Piece(
            "rivet",
            row.size,
            stack.grip_mm,
            f"holds {row.least_grip_mm:g} to {row.most_grip_mm:g} mm; hole "
            f"{size.least_hole_mm:g} mm, at most {size.most_hole_mm:g}",
        )
    ]
    if washer:
        pieces.append(
            Piece("washer", f"for rivets of {d_mm:g} mm", None, "behind the panel, under the tail")
        )
    return Choice(evolve(drilled, fastener=pieces[0].name), tuple(pieces), tuple(notes))


def _out_of_table(stack: Stack, d_mm: float, where: str) -> Trouble:
    span = grip_range_mm(d_mm)
    assert span is not None
    grip = stack.grip_mm
    others = [
        f"{d:g}"
        for d, rows in rivet_grips().items()
        if rows[0].least_grip_mm <= grip <= rows[-1].most_grip_mm
    ]
    instead = f"rivets of {' or '.join(others)} mm" if others else "bolts"
    return Trouble(
        where,
        f"{grip:.1f} mm between head and tail ({stack.words}): rivets of {d_mm:g} mm hold "
        f"{span[0]:g} to {span[1]:g} mm",
        grip - span[1] if grip > span[1] else span[0] - grip,
        f"take {instead}, or another board",
    )


def _screw(hole: Hole, stack: Stack, where: str, loose: bool) -> Choice:
    screw = screw_through(hole.diameter_mm)
    assert stack.board is not None
    if screw is None:
        return Choice(
            hole,
            (),
            trouble=Trouble(
                where,
                f"no wood screw passes a hole of {hole.diameter_mm:g} mm",
                max(0.0, 2.8 - hole.diameter_mm),
                "widen the hardware's holes, or rivet it",
            ),
        )
    pilot = screw.softwood_mm or screw.hardwood_mm
    leaf = any(layer.what == "outer leaf" for layer in stack.layers)
    notes = []
    if not stack.board.wood:
        notes.append(f"wood screws do not hold in {stack.board.name}: rivet or bolt it.")
    drilled = evolve(
        hole,
        diameter_mm=screw.clearance_mm if leaf else pilot,
        pilot_mm=pilot,
        sink_mm=screw.sink_mm if loose else None,
    )
    bradawl = ", or a bradawl" if screw.softwood_mm is None else ""
    piece = Piece(
        "screw",
        f"no. {screw.gauge} ({screw.shank_mm:g} mm)",
        stack.grip_mm,
        f"no longer than {stack.grip_mm:.1f} mm; pilot {pilot:g} mm{bradawl} (plywood as "
        f"softwood), clearance {screw.clearance_mm:g} mm, countersink {screw.sink_mm:g} mm at 90 "
        "degrees; try it in an offcut first",
    )
    return Choice(evolve(drilled, fastener=piece.name), (piece,), tuple(notes))


def _bolt(hole: Hole, stack: Stack, wishes: HardwareWishes, where: str) -> Choice:
    thread = thread_through(hole.diameter_mm)
    assert stack.board is not None
    if thread is None:
        return Choice(
            hole,
            (),
            trouble=Trouble(
                where,
                f"no bolt passes a hole of {hole.diameter_mm:g} mm",
                max(0.0, 2.2 - hole.diameter_mm),
                "widen the hardware's holes, or rivet it",
            ),
        )
    if hole.use == "tee nut":
        nut = tee_nuts().get(thread.thread)
        if nut is not None and stack.board.wood and not stack.behind:
            return _tee_nut(hole, stack, thread, nut.most_hole_mm)
        why = (
            "an inner leaf lies behind the panel"
            if stack.behind
            else f"no tee nut of {thread.thread} is known"
            if nut is None
            else f"it does not bite in {stack.board.name}"
        )
        found = _through_bolt(hole, stack, thread, wishes)
        note = f"no tee nut, since {why}: bolts with washer and locking nut instead."
        return evolve(found, notes=(note,))
    return _through_bolt(hole, stack, thread, wishes)


def _through_bolt(
    hole: Hole, stack: Stack, thread: ClearanceHole, wishes: HardwareWishes
) -> Choice:
    pilot_mm = _pilot(thread.medium_mm)
    drilled = evolve(hole, diameter_mm=thread.medium_mm, pilot_mm=pilot_mm, use="bolt")
    pieces = [
        Piece(
            "bolt",
            thread.thread,
            stack.grip_mm,
            f"long enough for {stack.grip_mm:.1f} mm, washer and locking nut; hole "
            f"{thread.medium_mm:g} mm (medium fit)",
        )
    ]
    if not stack.behind and wishes.washers:
        pieces.append(Piece("washer", thread.thread, None, "behind the panel, under the nut"))
    return Choice(evolve(drilled, fastener=pieces[0].name), tuple(pieces))


def _tee_nut(hole: Hole, stack: Stack, thread: ClearanceHole, barrel_mm: float) -> Choice:
    assert stack.board is not None
    panel = next(layer.thick_mm for layer in stack.layers if layer.what == "panel")
    drilled = evolve(hole, diameter_mm=barrel_mm, pilot_mm=_pilot(barrel_mm))
    pieces = (
        Piece(
            "tee nut",
            thread.thread,
            panel,
            f"barrel no longer than {panel:.1f} mm; hole {barrel_mm:g} mm is from memory: measure "
            "the barrel, and drill that to 0.2 mm more; drive it in from inside",
        ),
        Piece(
            "bolt",
            thread.thread,
            stack.grip_mm,
            "into the tee nut: not so long that it stands out inside",
        ),
    )
    return Choice(evolve(drilled, fastener=pieces[0].name), pieces)


def _pilot(hole_mm: float) -> float | None:
    """What is drilled first; None where the hole itself is no wider."""
    return PILOT_MM if hole_mm > PILOT_MM else None
