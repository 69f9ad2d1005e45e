"""Does the hardware go on: nothing in its way, dishes clear of the gear, loads not too heavy?"""

from __future__ import annotations

import math
from collections.abc import Callable

import shapely

from fitkit.checks.finding import Finding, Verdict
from fitkit.checks.judge import at_most, unknown
from fitkit.checks.stages import ACCURACY_MM, Stages
from fitkit.fit.place import Placed
from fitkit.foam.model import Room
from fitkit.payload.hardware import type_for
from fitkit.payload.workshop import HardwareKind, Side
from fitkit.reference.cautions import cautions
from fitkit.shell.model import Bar, BarCut, Fitted, Shell

GEOMETRY = "geometry of the shell"
AXIS: dict[Side, tuple[int, bool]] = {
    "left": (0, False),
    "right": (0, True),
    "front": (1, False),
    "back": (1, True),
    "bottom": (2, False),
    "top": (2, True),
}
"""The axis that a face looks along, and whether outwards is towards more."""


def shell_goes_together(stages: Stages) -> tuple[Finding, ...]:
    """What stands in the way of building the shell, each with the millimetres that are missing."""
    if stages.shell is None:
        return ()
    return tuple(
        Finding(
            "shell",
            trouble.where,
            trouble.short_mm,
            0.0,
            "mm missing",
            -trouble.short_mm,
            trouble.verdict,
            f"{_sentence(trouble.what)} {_sentence(trouble.remedy)}",
            GEOMETRY,
        )
        for trouble in stages.shell.troubles
    )


def dishes_clear(stages: Stages) -> tuple[Finding, ...]:
    """Does what is sunk into the walls keep clear of every item?

    The room that a dish takes (its depth and what is added all round) must be free of bodies:
    the gap is 0 or more, measured body by body. Less than the clearance between items is tight:
    the foam between the two is thin. Where all are clear, the nearest is told.
    """
    shell = stages.shell
    if shell is None:
        return ()
    wanted = stages.payload.case.clearance.item_mm
    placed = stages.placed
    found = []
    for one in shell.hardware:
        if one.room is None or not placed:
            continue
        gap, item = min(
            ((_gap_mm(one.room, one.side, copy), copy) for copy in placed),
            key=lambda pair: pair[0],
        )
        subject = f"{one.name}, {item.label}"
        if gap < -ACCURACY_MM:
            note = (
                f"It reaches {-gap:.1f} mm into the {item.label}: move it along its side, take "
                f"one that is {-gap:.1f} mm less deep, or make the case larger there."
            )
        elif gap < wanted - ACCURACY_MM:
            note = f"Only {gap:.1f} mm of foam are left between the two: pad it, or move it."
        else:
            note = "Clear of the gear."
        verdict: Verdict = (
            "fails" if gap < -ACCURACY_MM else ("tight" if gap < wanted - ACCURACY_MM else "ok")
        )
        found.append(
            Finding("dish clear of items", subject, gap, 0.0, "mm", gap, verdict, note, GEOMETRY)
        )
    near = [one for one in found if one.verdict != "ok"]
    if near or not found:
        return tuple(near)
    return (min(found, key=lambda one: one.margin or 0.0),)


def _gap_mm(room: Room, side: Side, copy: Placed) -> float:
    """From a box to a body [mm]; below 0 by how far it reaches in, along the way it looks."""
    (x0, y0, z0), (x1, y1, z1) = room.low_mm, room.high_mm
    plan = shapely.box(x0, y0, x1, y1)
    axis, out = AXIS[side]
    best = math.inf
    for band in copy.solid.bands:
        apart = max(z0 - band.z1_mm, band.z0_mm - z1, 0.0)
        beside = float(plan.distance(band.shape))
        over = min(z1, band.z1_mm) - max(z0, band.z0_mm)
        clip = plan.intersection(band.shape)
        if over > 0 and clip.area > 0:
            ends = (*clip.bounds[:2], max(z0, band.z0_mm)), (*clip.bounds[2:], min(z1, band.z1_mm))
            low, high = ends[0][axis], ends[1][axis]
            inner = high - room.low_mm[axis] if out else room.high_mm[axis] - low
            best = min(best, -(min(inner, room.high_mm[axis] - room.low_mm[axis])))
        else:
            best = min(best, math.hypot(apart, beside))
    return best


def cuts_line_up(stages: Stages) -> tuple[Finding, ...]:
    """Do the cut-outs for a latch in the profiles on both sides of a closing plane line up?"""
    shell = stages.shell
    if shell is None:
        return ()
    worst, subject, count = 0.0, "", 0
    for one in shell.hardware:
        spans = _spans(shell, one)
        if len(spans) < 2:
            continue
        count += len(spans)
        off = max(
            max(a for a, _ in spans) - min(a for a, _ in spans),
            max(b for _, b in spans) - min(b for _, b in spans),
        )
        if not subject or off > worst:
            worst, subject = off, one.name
    if not count:
        return ()
    return (
        at_most(
            "cut-outs in closing profiles",
            subject,
            value=worst,
            limit=0.0,
            unit="mm",
            note=(
                f"{count} cut-outs line up over the closing plane: clamp both halves closed, mark "
                "across both profiles, then cut each."
                if worst <= ACCURACY_MM
                else f"The cut-outs are {worst:.2f} mm off each other."
            ),
            source=GEOMETRY,
            caution=cautions()["saw"].text,
        ),
    )


def _spans(shell: Shell, one: Fitted) -> list[tuple[float, float]]:
    """Where the cut-outs of one piece lie, along the axis of their bars [mm]."""
    found = []
    for cut in shell.bar_cuts:
        if cut.owner == one.name:
            bar = shell.bar(cut.bar)
            if bar.kind != "edge":
                found.append(_span(bar, cut))
    return found


def _span(bar: Bar, cut: BarCut) -> tuple[float, float]:
    axis = max(range(3), key=lambda k: abs(bar.end_mm[k] - bar.start_mm[k]))
    sense = 1.0 if bar.end_mm[axis] > bar.start_mm[axis] else -1.0
    ends = [bar.start_mm[axis] + sense * at for at in (cut.from_mm, cut.to_mm)]
    return min(ends), max(ends)


def castors_carry(stages: Stages) -> tuple[Finding, ...]:
    """Does each castor carry its share: T >= m / (n - 1), since one of n may hang in the air?

    For four castors that is a third of the loaded case.
    """
    return _share(
        stages,
        "castor",
        check="castor load",
        carriers=lambda count: max(count - 1, 1),
        rule="gross mass / (castors - 1), five pages agree (secondary)",
        each="Castors that carry {:.0f} kg each or more; one of them may hang over a sill.",
    )


def handles_carry(stages: Stages) -> tuple[Finding, ...]:
    """Does each handle carry its share of the loaded case, two of them to a person?"""
    shell = stages.shell
    found = _share(
        stages,
        "handle",
        check="handle load",
        carriers=lambda count: max(count, 1),
        rule="gross mass / handles (derived)",
        each="Handles that carry {:.0f} kg each or more, on rivets or bolts that do so too.",
    )
    count = 0 if shell is None else sum(one.kind == "handle" for one in shell.hardware)
    if not count:
        return found
    people = max(1, count // 2)
    person = stages.payload.workshop.hardware.person_kg
    share = stages.mass.total_kg / people
    more = 2 * math.ceil(stages.mass.total_kg / person)
    return (
        *found,
        at_most(
            "handles for people",
            f"{count} handles, {people} to lift",
            value=share,
            limit=person,
            unit="kg",
            note=(
                "Enough handles for as many people as it takes."
                if share <= person + 0.01
                else f"Fit {more} handles for {more // 2} people, or castors."
            ),
            source="your sheet: hardware.person; two handles to a person (common practice)",
            caution=cautions()["lifting"].text,
        ),
    )


def _share(
    stages: Stages,
    kind: HardwareKind,
    *,
    check: str,
    carriers: Callable[[int], int],
    rule: str,
    each: str,
) -> tuple[Finding, ...]:
    """The share of the loaded case that one piece carries, against what its maker says."""
    shell = stages.shell
    count = 0 if shell is None else sum(one.kind == kind for one in shell.hardware)
    if not count:
        return ()
    load = type_for(stages.payload, kind).load_kg
    share = stages.mass.total_kg / carriers(count)
    subject = f"{count} {kind}s"
    need = each.format(math.ceil(share))
    if load is None:
        return (
            unknown(
                check, subject, value=share, unit="kg",
                note=f"Its load was not given. {need}", source=rule,
                caution=cautions()["lifting"].text,
            ),
        )  # fmt: skip
    return (
        at_most(
            check, subject, value=share, limit=load, unit="kg",
            note=f"Take others. {need}" if share > load + 0.01 else "They carry it.",
            source=rule, caution=cautions()["lifting"].text,
        ),
    )  # fmt: skip


def _sentence(text: str) -> str:
    """A trouble's words as a sentence."""
    bare = text.strip().rstrip(".")
    return f"{bare[:1].upper()}{bare[1:]}."
