"""Do plugs, cables, vents and hands keep the room that they need?"""

from __future__ import annotations

from fitkit.checks.finding import Finding
from fitkit.checks.stages import ACCURACY_MM, Stages
from fitkit.fit.place import Placed
from fitkit.payload.pose import Room

SOURCE = "your sheet: item.zone"


def zones_free(stages: Stages) -> tuple[Finding, ...]:
    """One finding for each zone that is in trouble, and one for all the others together.

    A zone must lie inside the room and hold no body. Zones may share room with zones.
    """
    found: list[Finding] = []
    count = 0
    for one in stages.placed:
        for room in one.solid.rooms:
            count += 1
            found += [
                _finding(f"{one.label}, {room.kind} zone", note)
                for note in _troubles(one, room, stages)
            ]
    free = count - len({finding.subject for finding in found})
    if free:
        found.append(
            Finding(
                "zones",
                f"{free} {'zone' if free == 1 else 'zones'}",
                0.0,
                0.0,
                "mm2",
                0.0,
                "ok",
                "Free of bodies and inside the room.",
                SOURCE,
            )
        )
    return tuple(found)


def _troubles(one: Placed, room: Room, stages: Stages) -> list[str]:
    notes = []
    inside = stages.interior
    clear = inside.outline_within(room.z0_mm, room.z1_mm)
    sticks_out_mm2 = float(room.outline.difference(clear).area)
    below, above = -room.z0_mm, room.z1_mm - inside.height_mm
    if sticks_out_mm2 > ACCURACY_MM or max(below, above) > ACCURACY_MM:
        notes.append(
            f"The {room.kind} zone of {one.label} runs into the wall: turn {one.label}, or move it "
            "away from the wall."
        )
    for other in stages.placed:
        if other is one or other.placement == one.placement:
            continue
        if room.kind == "mount" and other.placement.half != one.placement.half:
            continue  # what faces a mounted item is judged by the closing gap
        body = other.solid.section(room.z0_mm + ACCURACY_MM, room.z1_mm - ACCURACY_MM)
        shared = room.outline.intersection(body)
        if float(shared.area) > ACCURACY_MM:
            x0, y0, x1, y1 = shared.bounds
            notes.append(
                f"{other.label} stands in the {room.kind} zone of {one.label}: move it by "
                f"{min(x1 - x0, y1 - y0):.1f} mm, or turn one of the two."
            )
    return notes


def _finding(subject: str, note: str) -> Finding:
    return Finding("zones", subject, None, None, "mm", None, "fails", note, SOURCE)
