"""Is what is mounted held: by screws that go far enough in, and not too far, where it should be?"""

from __future__ import annotations

import math
from collections import Counter

from fitkit.checks.finding import Finding
from fitkit.checks.judge import at_least, at_most, names, unknown
from fitkit.checks.stages import Stages
from fitkit.fit.layout import Interior
from fitkit.fit.place import Placed
from fitkit.payload.mounts import Facing, Mount
from fitkit.reference.hole_patterns import hole_patterns
from fitkit.reference.machine_screws import ENGAGED_DIAMETERS, machine_screws
from fitkit.shell.frame import out_of
from fitkit.shell.model import Hole, Shell
from fitkit.shell.mounting.back import back_of
from fitkit.shell.mounting.model import Screwing, Support
from fitkit.sources import cited

BETWEEN_MM = 3.0
"""Between the heads or holes of two fasteners [mm] (assumption)."""

POCKET = "pocket for "
"""How holes are called that are bored for the tails of hardware."""

ENGAGED = f"at least {ENGAGED_DIAMETERS:g} diameter: {cited('S43')}"


SEEN_MM = 0.05
"""Less than this is nought as it is printed [mm]."""

FAR_MM = 1.0
"""A front farther from the wall that it looks at than this is told [mm]."""


def mounted_items(stages: Stages) -> tuple[Finding, ...]:
    """Is every mounted item held by screws that go into it by their own diameter or more?

    One finding a copy: the thread that its worst screw has, against the thread's diameter. Where
    the sheet does not say how an item is mounted, or by which holes, that is unknown.
    """
    found: list[Finding] = []
    mounted = [item for item in stages.payload.items if item.hold == "mounted"]
    unsaid = [item.name for item in mounted if item.mount is None]
    if unsaid:
        note = "Say how it is mounted ([[mount]] in the sheet): nothing holds it in this plan."
        found.append(_unknown(unsaid, note, "your sheet: item.hold"))
    loose = [item.name for item in mounted if item.mount is not None]
    if loose and stages.shell is None:
        note = (
            "Rails and sub-panels are worked out with panels and profiles, not for a ready-made "
            "case. Check by hand that the mount and its screws fit behind it."
        )
        found.append(_unknown(loose, note, "your sheet: mount"))
    if stages.shell is not None:
        found += [
            _held(copy, copy.item.mount, stages.shell)
            for copy in stages.placed
            if copy.item.mount is not None
        ]
    return tuple(found)


def screws_stay_short(stages: Stages) -> tuple[Finding, ...]:
    """Is no machine screw longer than what it goes through and its hole together?

    Length against stack and depth, the stack as thin as the stated tolerance of a rail allows. The
    screw with the least room is told.
    """
    screws = [] if stages.shell is None else _into_items(stages.shell.screwings)
    if not screws:
        return ()
    off = stages.payload.closing.tolerances.rail_mm
    worst = min(screws, key=lambda one: one.stack_mm + (one.hole_mm or 0.0) - one.length_mm)
    limit = worst.stack_mm + (worst.hole_mm or 0.0) - off
    return (
        at_most(
            "screw length",
            f"{worst.size} x {worst.length_mm:g}, {worst.holds}",
            value=worst.length_mm,
            limit=limit,
            unit="mm",
            note=(
                f"It ends {limit - worst.length_mm:.1f} mm before the bottom of its hole: buy none "
                "that is longer."
                if worst.length_mm <= limit
                else f"Take one {worst.length_mm - limit:.1f} mm shorter: this one reaches the "
                "bottom of its hole and holds nothing."
            ),
            source="your sheet: mount.pattern, closing.tolerances",
            caution="Turn each screw in by hand first: a screw that binds is the wrong one.",
        ),
    )


def patterns_carry(stages: Stages) -> tuple[Finding, ...]:
    """Is no item heavier than its hole pattern is meant for?"""
    found = []
    for item in stages.payload.items:
        pattern = None if item.mount is None else item.mount.pattern
        row = None if pattern is None else hole_patterns().get(pattern.name)
        if row is None or item.mass_kg is None:
            continue
        found.append(
            at_most(
                "mass on hole pattern",
                f"{item.name}, {row.name}",
                value=item.mass_kg,
                limit=row.most_kg,
                unit="kg",
                note=(
                    "The pattern is meant for as much."
                    if item.mass_kg <= row.most_kg
                    else f"It is {item.mass_kg - row.most_kg:.1f} kg heavier than the pattern is "
                    "meant for: hold it by its sides or from below as well."
                ),
                source=cited(row.source),
            )
        )
    return tuple(found)


def recess_kept(stages: Stages) -> tuple[Finding, ...]:
    """Does every mounted item's front stay as far behind what it looks at as it should?

    The recess of its foremost point behind the closing plane, or behind the wall or back panel that
    it looks at, against the one that the sheet gives, or the least where it is free; below 0 it
    stands proud. Farther from its wall than the sheet says is tight: it can be moved there.
    """
    found = []
    for copy in stages.placed:
        mount = copy.item.mount
        if mount is None:
            continue
        recess = _recess_mm(stages.interior, copy, mount)
        asked = mount.asked_recess_mm
        given = "given" if mount.recess_mm is not None else "least"
        where = _where(recess, mount.faces)
        over = recess - asked
        if mount.upright and mount.recess_mm is not None and over > FAR_MM:
            toward, wall = mount.faces.split()[0], stages.payload.case.clearance.wall_mm
            kept = (
                f" Your clearance to walls keeps {wall:.1f} mm free: make that smaller first."
                if asked < wall - 0.01
                else ""
            )
            note = (
                f"{where} Move it {over:.1f} mm to the {toward} on the board, and what stands "
                f"there out of its way.{kept}"
            )
            found.append(
                Finding(
                    "recess", copy.label, recess, asked, "mm", -over, "tight", note,
                    "your sheet: mount.recess (given)",
                )
            )  # fmt: skip
            continue
        found.append(
            at_least(
                "recess",
                copy.label,
                value=recess,
                limit=asked,
                unit="mm",
                note=(
                    where
                    if recess >= asked - 0.01
                    else f"{where} It needs {asked - recess:.1f} mm more: a larger half, or less "
                    "room behind it."
                ),
                source=f"your sheet: mount.recess ({given})",
            )
        )
    return tuple(found)


def _recess_mm(interior: Interior, copy: Placed, mount: Mount) -> float:
    """How far a front lies before what it looks at [mm]."""
    front = back_of(copy, mount.front)
    if mount.faces == "closing plane":
        end = interior.closing_mm
    else:
        end = interior.size_mm[front.axis] if front.sense > 0 else 0.0
    return front.sense * (end - front.plane_mm)


def screws_clear_of_rivets(stages: Stages) -> tuple[Finding, ...]:
    """Does enough stand between the screws of mounted items and the shell's other fasteners?

    Half of each one's head or hole, and 3 mm (assumption). Rows of rivets are spread before they
    know of screws: a rivet that is too near is shifted at the bench. The nearest pair is told.
    """
    shell = stages.shell
    if shell is None:
        return ()
    owners = {one.name for one in shell.supports}
    mine = [hole for hole in shell.holes if hole.owner in owners]
    others = [hole for hole in shell.holes if hole.owner not in owners]
    near: list[tuple[float, float, Hole, Hole]] = []
    for one in mine:
        for other in others:
            if one.side == other.side:
                apart = math.dist(one.at_mm, other.at_mm)
                wanted = _half_mm(one) + _half_mm(other) + BETWEEN_MM
                near.append((apart - wanted, apart, one, other))
    short = [pair for pair in near if pair[0] < -SEEN_MM]
    if not short:
        return ()
    margin, apart, one, other = min(short, key=lambda pair: pair[:2])
    more = f" {len(short)} pairs are too near." if len(short) > 1 else ""
    return (
        Finding(
            "screws and rivets apart", f"{one.owner}, {other.owner}", apart, apart - margin, "mm",
            margin, "tight",
            f"A {other.use} is too near to a screw: shift it by {-margin:.1f} mm along its "
            f"row.{more}",
            "half of both heads and 3 mm between (assumption)",
        ),
    )  # fmt: skip


def supports_clear_of_tails(stages: Stages) -> tuple[Finding, ...]:
    """Does no support lie on the tail of a rivet, or on a bolt or tee nut that comes in there?

    What stands less than 3 mm off a panel (assumption) lies on whatever comes through it. Pockets
    for the fasteners of hardware are bored as drawn; for others they are bored at the bench. The
    support that lies furthest over one is told.
    """
    shell = stages.shell
    if shell is None:
        return ()
    owners = {one.name for one in shell.supports}
    tails = [hole for hole in shell.holes if hole.owner not in owners]
    worst: tuple[float, Support, Hole] | None = None
    count = 0
    for support in shell.supports:
        bored = {one.use.rpartition(" of the ")[2] for one in support.holes if POCKET in one.use}
        for hole in tails:
            if hole.owner in bored:
                continue
            over = _over_mm(stages.interior, support, hole)
            if over > 0.01:
                count += 1
                if worst is None or over > worst[0]:
                    worst = (over, support, hole)
    if worst is None:
        return ()
    over, support, hole = worst
    more = f" {count} places in all." if count > 1 else ""
    wide = 2 * (hole.diameter_mm + BETWEEN_MM)
    return (
        Finding(
            "supports over tails", f"{support.name}, {hole.owner}", over, 0.0, "mm", -over, "tight",
            f"It lies over a {hole.use} of the {hole.owner}: bore it out there, {wide:.0f} mm wide "
            f"and as deep as the tail is high, or move it by {over:.1f} mm.{more}",
            "geometry of the shell; room for a tail 3 mm (assumption)",
        ),
    )  # fmt: skip


def _over_mm(interior: Interior, support: Support, hole: Hole) -> float:
    """How far a hole's edge lies under a support that stands on its panel [mm]; 0: it does not."""
    axis, sense = out_of(hole.side)
    end = interior.size_mm[axis] if sense > 0 else 0.0
    near = support.high_mm[axis] if sense > 0 else support.low_mm[axis]
    if sense * (end - near) > BETWEEN_MM - 0.01:
        return 0.0
    inside = [
        min(hole.at_mm[k] - support.low_mm[k], support.high_mm[k] - hole.at_mm[k])
        for k in range(3)
        if k != axis
    ]
    return max(0.0, min(inside) + hole.diameter_mm / 2)


def _half_mm(hole: Hole) -> float:
    return max(hole.diameter_mm, hole.sink_mm or 0.0) / 2


def _where(recess_mm: float, faces: Facing) -> str:
    if abs(recess_mm) < SEEN_MM:
        return f"Its foremost point is flush with the {faces}."
    if recess_mm < 0:
        return f"Its foremost point stands {-recess_mm:.1f} mm proud of the {faces}."
    return f"Its foremost point is {recess_mm:.1f} mm behind the {faces}."


def _unknown(labels: list[str], note: str, source: str) -> Finding:
    value = float(len(labels))
    return unknown("mount", names(labels), value=value, unit="items", note=note, source=source)


def _into_items(screwings: tuple[Screwing, ...]) -> list[Screwing]:
    return [one for one in screwings if one.hole_mm is not None]


def _held(copy: Placed, mount: Mount, shell: Shell) -> Finding:
    """What holds one copy, judged by the screw that goes in least."""
    here = (copy.placement.item, copy.placement.copy)
    mine = [one for one in shell.screwings if (one.item, one.copy) == here]
    threads = _into_items(tuple(mine))
    kinds = Counter(
        "packing" if " packing " in one.name else one.kind
        for one in shell.supports
        if (one.item, one.copy) == here
    )
    by = [f"{count} {kind}{'s' if count > 1 else ''}" for kind, count in kinds.items()]
    screws = Counter[str]()
    for one in mine:
        screws[f"{one.size} x {one.length_mm:g}"] += one.count
    with_screws = [f"{count} screws {size}" for size, count in screws.items()]
    pattern = mount.pattern
    known = None if pattern is None else machine_screws().get(pattern.thread)
    if not threads or known is None:
        return unknown(
            "mount",
            copy.label,
            unit="mm of thread",
            note=(
                f"{_sentence([*by, *with_screws])} No screw into the item itself is known: measure "
                "the holes in its back and their thread, or strap it down."
            ),
            source="your sheet: mount.pattern",
        )
    worst = min(threads, key=lambda one: one.engaged_mm)
    count = sum(one.count for one in threads)
    wanted = 0 if pattern is None else len(pattern.holes_mm) * (2 if mount.by == "walls" else 1)
    if count < wanted:
        return at_least(
            "mount", copy.label, value=float(count), limit=float(wanted), unit="screws",
            note=f"{wanted - count} of its holes have no screw: see what the shell's findings say.",
            source="your sheet: mount.pattern",
        )  # fmt: skip
    limit = ENGAGED_DIAMETERS * known.d_mm
    short = limit - worst.engaged_mm
    missing = (
        f" {short:.1f} mm of thread are missing: what the shell's findings say of it helps."
        if short > SEEN_MM
        else ""
    )
    return at_least(
        "mount",
        copy.label,
        value=worst.engaged_mm,
        limit=limit,
        unit="mm of thread",
        note=f"{_sentence([*by, *with_screws])}{missing}",
        source=ENGAGED,
    )


def _sentence(parts: list[str]) -> str:
    return f"Held by {names(parts, most=6)}." if parts else "Nothing holds it."
