"""Does it work in use: pieces clear of each other, doors that open, halves that stand, exits?"""

from __future__ import annotations

from itertools import combinations

from fitkit.checks.finding import Finding
from fitkit.checks.judge import at_least, names, unknown
from fitkit.checks.stages import Stages
from fitkit.payload.hardware import type_named
from fitkit.payload.workshop import Side
from fitkit.reference.cautions import cautions
from fitkit.shell.cables.model import CableExit
from fitkit.shell.closings import closings_of
from fitkit.shell.covers import apart_mm, covers_of
from fitkit.shell.frame import opposite, out_of
from fitkit.shell.model import Shell, called
from fitkit.shell.places import gap_mm, solids_of
from fitkit.shell.stance import ground_side, side_by_side
from fitkit.shell.standing import FEET
from fitkit.shell.swing import WANTED_DEG, feet_mm, swings_of

GEOMETRY = "geometry of the shell"
PRACTICE = "common practice, no source"


def pieces_apart(stages: Stages) -> tuple[Finding, ...]:
    """Do handles, feet, latches, doors' hardware, corners and cable exits keep off each other?

    The gap between what two of them cover of one face must be 0 or more. Every two that meet are
    told; else the nearest two. Where one of the two is hardware that nobody has measured, it is not
    known yet.
    """
    if stages.shell is None:
        return ()
    guessed = {
        one.name
        for one in stages.shell.hardware
        if type_named(stages.payload, one.kind, one.type).known == "assumption"
    }
    covers = list(covers_of(stages.payload, stages.shell))
    pairs: list[tuple[float, str]] = []
    for one, two in combinations(covers, 2):
        if one.side != two.side or one.name == two.name:
            continue
        pairs.append((apart_mm(one.shape, two.shape), f"{one.name}, {two.name} on the {one.side}"))
    if not pairs:
        return ()
    bad = [pair for pair in pairs if pair[0] < -0.01]
    return tuple(
        unknown(
            "use: pieces apart",
            subject,
            value=gap,
            limit=0.0,
            unit="mm",
            note=f"At sizes that are assumed they meet by {-gap:.1f} mm: measure yours.",
            source=GEOMETRY,
        )
        if gap < -0.01 and guessed & set(subject.rpartition(" on the ")[0].split(", "))
        else at_least(
            "use: pieces apart",
            subject,
            value=gap,
            limit=0.0,
            unit="mm",
            note=(
                "They keep clear of each other."
                if gap >= -0.01
                else f"They meet by {-gap:.1f} mm: move one of them by that much, or take it off."
            ),
            source=GEOMETRY,
        )
        for gap, subject in (sorted(bad) or [min(pairs)])
    )


def rooms_clear_of_zones(stages: Stages) -> tuple[Finding, ...]:
    """Does what is sunk into the walls keep out of plugs', cables' and mounts' zones?

    The gap between a dish's room and a zone must be 0 or more; less is told dish by dish.
    """
    shell = stages.shell
    if shell is None:
        return ()
    zones = [
        one for one in solids_of(stages.payload, stages.fit.placements) if " zone of " in one.owner
    ]
    found: list[tuple[float, str]] = []
    for piece in shell.hardware:
        if piece.room is not None and zones:
            room = piece.room
            gap, zone = min(
                ((gap_mm(room, zone, piece.side), zone) for zone in zones),
                key=lambda pair: pair[0],
            )
            found.append((gap, f"{piece.name}, {zone.owner}"))
    if not found:
        return ()
    bad = [pair for pair in found if pair[0] < -0.01]
    return tuple(
        at_least(
            "use: dishes and zones",
            subject,
            value=gap,
            limit=0.0,
            unit="mm",
            note=(
                "Nothing that is sunk into a wall stands in a zone."
                if gap >= -0.01
                else f"It reaches {-gap:.1f} mm into the zone: move it along its side, take one "
                "that is not sunk, or turn the item."
            ),
            source=GEOMETRY,
        )
        for gap, subject in (sorted(bad) or [min(found)])
    )


def doors_open(stages: Stages) -> tuple[Finding, ...]:
    """Does every hinged door and lid open far enough, past handles, latches and the ground?

    Limit: 110 degrees (assumption). Where it does not, what it meets is named, with the millimetres
    by which that stands out too far.
    """
    shell = stages.shell
    if shell is None:
        return ()
    found = []
    kinds = {one.name: one.kind for one in shell.hardware}
    for one in swings_of(stages.payload, shell):
        kind = kinds.get(one.stop)
        less = f"take a {kind} that stands out {one.short_mm:.1f} mm less, move it away from the "
        meets = f"the {one.stop} half" if one.stop in ("deep", "shallow") else one.stop or "nothing"
        if one.opens:
            note = f"It opens {one.most_deg:.0f} degrees, then meets {meets}."
        elif one.stop == "the ground":
            note = (
                f"It meets the ground after {one.most_deg:.0f} degrees; {one.short_mm:.1f} mm are "
                "missing below it: use the case upright, hang the door on another side, or set "
                "the case on something that high."
            )
        else:
            note = (
                f"It meets {meets} after {one.most_deg:.0f} degrees: {one.short_mm:.1f} mm are "
                f"missing; {less if kind else 'use hinges with their pin further out than those '}"
                f"{'hinges' if kind else 'measured'}, or hang the door on another side."
            )
        found.append(
            at_least(
                "use: door opens",
                f"{called(one.part)}, hinges on the {one.side}",
                value=one.most_deg,
                limit=WANTED_DEG,
                unit="deg",
                note=note,
                source=f"{GEOMETRY}; {WANTED_DEG:g} degrees: assumption",
            )
        )
    hung = {one.part for one in swings_of(stages.payload, shell)}
    for closing in closings_of(shell.assembly):
        if closing.door and not closing.drawer and closing.lid.name not in hung:
            found.append(
                unknown(
                    "use: door opens",
                    closing.lid.name,
                    note="It has no hinges that fit: choose ones that do, or screw it on as a "
                    "loose back.",
                    source=GEOMETRY,
                )
            )
    return tuple(found)


def stands_in_use(stages: Stages) -> tuple[Finding, ...]:
    """Does it stand on its feet alone, four to a half side by side, gear between the feet?

    What else stands out on the ground's side must stand out less than the feet. Where halves stand
    side by side, each has four feet (common practice, no source), and the centre of its gear lies
    between their rows.
    """
    shell = stages.shell
    if shell is None:
        return ()
    ground = ground_side(stages.payload, shell.assembly)
    high = feet_mm(stages.payload, shell, ground)
    found: list[Finding] = []
    others = [
        (type_named(stages.payload, one.kind, one.type).stands_mm, one.name)
        for one in shell.hardware
        if one.side == ground and one.kind not in ("foot", "castor", "corner", "brace")
    ]
    if others:
        most, name = max(others)
        found.append(
            at_least(
                "use: clear of the ground",
                f"{name} on the {ground}",
                value=high - most,
                limit=0.0,
                unit="mm",
                note=(
                    "The feet hold it off the ground."
                    if most <= high
                    else f"It stands out {most - high:.1f} mm farther than the feet: take feet "
                    f"{most:.1f} mm high, or set it on another side."
                ),
                source=GEOMETRY,
            )
        )
    if side_by_side(stages.payload):
        for half in ("deep", "shallow"):
            found += _half_stands(stages, shell, ground, half)
    return tuple(found)


def _half_stands(stages: Stages, shell: Shell, ground: Side, half: str) -> list[Finding]:
    """Feet of one half, and its gear's centre between their rows."""
    feet = [
        one
        for one in shell.hardware
        if one.side == ground and one.kind in ("foot", "castor") and half in one.parts
    ]
    mine = [one for one in stages.placed if one.placement.half == half]
    found = [
        at_least(
            "use: feet",
            f"{half} half on its {ground}",
            value=float(len(feet)),
            limit=float(FEET),
            unit="feet",
            note=(
                "It stands by itself, opened."
                if len(feet) >= FEET
                else f"{FEET - len(feet)} are missing for it to stand by itself, opened: a deeper "
                "half, smaller feet, or a prop."
            ),
            source=PRACTICE,
            caution=cautions()["lifting"].text,
        )
    ]
    weighed = [(one.item.mass_kg, one) for one in mine if one.item.mass_kg]
    if len(feet) < 2 or not weighed:
        return found
    total = sum(kg for kg, _ in weighed)
    centre = sum(
        kg * (min(b.z0_mm for b in one.solid.bands) + max(b.z1_mm for b in one.solid.bands)) / 2
        for kg, one in weighed
    ) / total  # fmt: skip
    rows = [one.centre_mm[2] for one in feet]
    inside = min(centre - min(rows), max(rows) - centre)
    found.append(
        at_least(
            "use: half stands",
            f"{half} half, {names([one.label for one in mine])}",
            value=inside,
            limit=0.0,
            unit="mm",
            note=(
                "The gear's centre lies between the rows of feet."
                if inside >= 0
                else f"The gear's centre lies {-inside:.1f} mm outside the feet: opened, the half "
                "tips over; set feet wider apart, or prop it."
            ),
            source=GEOMETRY,
        )
    )
    return found


def handles_opposite(stages: Stages) -> tuple[Finding, ...]:
    """Used upright: do the handles lie opposite the side that it stands on?"""
    shell = stages.shell
    if shell is None or stages.payload.workshop.hardware.use != "upright":
        return ()
    ground = ground_side(stages.payload, shell.assembly)
    handles = [one for one in shell.hardware if one.kind == "handle"]
    if not handles:
        return ()
    across = opposite(ground)
    off = sorted({one.side for one in handles if one.side != across})
    return (
        Finding(
            "use: handle opposite the feet",
            f"{len(handles)} handles, stands on its {ground}",
            None,
            None,
            "",
            None,
            "tight" if off else "ok",
            (
                f"Handles lie on the {' and '.join(off)}: carried by them it does not hang as it "
                f"stands; the {across} is opposite."
                if off
                else f"On the {across}: it hangs as it stands."
            ),
            PRACTICE,
            cautions()["lifting"].text,
        ),
    )


def exits_pass(stages: Stages) -> tuple[Finding, ...]:
    """Do cable exits pass the bundle, and if asked the largest plug, with the door shut?

    The bundle is the inscribed circle of the cut corner, c (2 - sqrt 2) less what lines it; a plug
    lies flat in the corner, w + h <= c.
    """
    shell = stages.shell
    if shell is None:
        return ()
    found = []
    ground = ground_side(stages.payload, shell.assembly)
    high = feet_mm(stages.payload, shell, ground)
    for one in shell.exits:
        if shell.panel(one.panel).side == ground and one.needs_mm > 0:
            found.append(
                at_least(
                    "use: cable exit below",
                    f"{one.name}, over the ground",
                    value=high,
                    limit=one.needs_mm,
                    unit="mm",
                    note=(
                        "The feet leave room for the bundle between case and ground."
                        if high >= one.needs_mm
                        else f"The case stands on the side where cables leave: feet "
                        f"{one.needs_mm - high:.1f} mm higher, or another half for the exit."
                    ),
                    source=GEOMETRY,
                )
            )
        what = [("bundle", one.bundle_mm, one.needs_mm)]
        if one.plug_needs_mm > 0:
            what.append(("plug, width and height", one.plug_mm, one.plug_needs_mm))
        for name, has, needs in what:
            found.append(
                at_least(
                    "use: cable exit",
                    f"{one.name}, {name}",
                    value=has,
                    limit=needs,
                    unit="mm",
                    note=_exit_note(one, name, has, needs),
                    source="inscribed circle of the cut corner, derived",
                )
            )
    return tuple(found)


def _exit_note(one: CableExit, name: str, has: float, needs: float) -> str:
    if needs <= 0:
        return f"No cable goes out there yet; it passes a {name} {has:.1f} mm wide."
    if has < needs - 0.01:
        return (
            f"{needs - has:.1f} mm are missing with legs of {one.leg_mm:.1f} mm: cut it larger, or "
            "share the cables between two exits."
        )
    return f"It passes with legs of {one.leg_mm:.1f} mm, {one.edge} counted."


def latches_in_reach(stages: Stages) -> tuple[Finding, ...]:
    """Used upright: does any latch lie on the side that the case stands on?"""
    shell = stages.shell
    if shell is None or not side_by_side(stages.payload):
        return ()
    ground = ground_side(stages.payload, shell.assembly)
    latches = [one for one in shell.hardware if one.kind == "latch"]
    if not latches:
        return ()
    under = [one.name for one in latches if out_of(one.side) == out_of(ground)]
    return (
        Finding(
            "use: latches in reach",
            f"{len(latches)} latches, stands on its {ground}",
            None,
            None,
            "",
            None,
            "tight" if under else "ok",
            (
                f"{names(under)} lie below: lay the case down to open it, or set them on the short "
                "sides."
                if under
                else "None lies below: it opens as it stands."
            ),
            PRACTICE,
        ),
    )
