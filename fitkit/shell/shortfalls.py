"""What keeps parts of a case from being built of their panels and profiles, and by how much.

A part that is too low or too narrow leaves no length for its profiles or no height for its walls;
such pieces are left out of the lists, and named here with the millimetres that are missing and
what would do. What the builder has to mind, without anything missing, are notes.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from fitkit.payload.model import Payload, Profile, Wall
from fitkit.payload.walls import build_up_mm
from fitkit.shell.bars import End, Stop, bars_of_any_length, ends_of
from fitkit.shell.forms import LEAST_MM, halves_row, tray_row
from fitkit.shell.frame import AXES, side_at, u_of, v_of
from fitkit.shell.graph import edge_kinds
from fitkit.shell.model import Assembly, Bar, BarKind, Panel, Part, Trouble, called
from fitkit.shell.panels import insets_mm, panels_of_any_size

SIZES = ("long", "wide", "high")
"""What a part is along x, y and z."""

MORE = ("longer", "wider", "higher")

TAKES: dict[Stop, str] = {
    "corner": "a corner",
    "mitre": "a mitre",
    "butt": "a butted leg",
    "opening": "a closing profile",
}
"""What takes a share of a profile's length at one of its ends."""

SMALLER: dict[Stop, str] = {
    "corner": "corners",
    "mitre": "legs",
    "butt": "legs",
    "opening": "closing profiles",
}


def troubles_of(
    assembly: Assembly, *, panels: Sequence[Panel], bars: Sequence[Bar], payload: Payload
) -> tuple[Trouble, ...]:
    """Everything that is too low, too narrow or too deep, with what is missing and what would do.

    Rings and doors that leave nothing of their half; square ends whose legs would meet; profiles
    and panels of the graph that are not among ``bars`` and ``panels`` because no length is left.

    >>> from fitkit.fit.layout import Half, Interior
    >>> from fitkit.shell.bars import bars_of
    >>> from fitkit.shell.graph import assembly_of
    >>> from fitkit.shell.panels import panels_of
    >>> kit = Payload("kit", ())
    >>> case = assembly_of(Interior(580.0, 380.0, (Half("deep", 190.0), Half("shallow", 33.0))),
    ...                    payload=kit)
    >>> found = troubles_of(case, panels=panels_of(case, payload=kit),
    ...                     bars=bars_of(case, wall=kit.wall), payload=kit)
    >>> found[0].short_mm, found[0].remedy
    (12.0, 'make the shallow half 12.0 mm higher, or use smaller corners or closing profiles')
    """
    return (
        *_left_out(assembly, payload),
        *_legs(assembly, payload.wall.profile),
        *_missing_bars(assembly, bars, payload.wall),
        *_missing_panels(assembly, panels, payload),
    )


def notes_of(assembly: Assembly, *, wall: Wall) -> tuple[str, ...]:
    """What to mind when the profiles are cut, one sentence each; nothing here is missing.

    A flat part is as thick as the wall, so its frame's leg along the walls is sawn down to that;
    the tongue of a rim that a flat part closes has no groove to go into. Butted edges leave a
    square of the legs' width open at the corners of the two faces that the longest ones run to.
    """
    thick, leg = build_up_mm(wall.profile), wall.profile.leg_mm
    found = []
    if wall.profile.ends == "butt":
        sizes = [b - a for a, b in zip(assembly.low_mm, assembly.high_mm, strict=True)]
        axis = AXES[sizes.index(max(sizes))]
        low, high = (side_at(axis, high=end) for end in (False, True))
        found.append(
            f"butted edges leave a square of {leg:.1f} mm open at the corners of {low} and {high}: "
            "choose brackets that cover it"
        )
    for part in assembly.parts:
        if part.plate and leg > thick + LEAST_MM:
            found.append(
                f"{called(part.name)}: the profiles of its frame lie with one leg along its edge; "
                f"saw that leg from {leg:.1f} down to {thick:.1f} mm"
            )
    for split in assembly.splits:
        if split.tongue is None:
            below, above = assembly.part(split.below), assembly.part(split.above)
            flat, body = (below, above) if below.plate else (above, below)
            found.append(
                f"{called(body.name)}: its rim under the {flat.name} is the profile with the "
                f"tongue, and a flat part has no groove: take the tongue of "
                f"{wall.profile.tongue_mm:.1f} mm off there"
            )
    return tuple(found)


def _left_out(assembly: Assembly, payload: Payload) -> tuple[Trouble, ...]:
    thick = build_up_mm(payload.wall.profile)
    x, y, z = (high - thick for high in assembly.high_mm)
    for split in assembly.splits:
        if split.above == "shallow":
            return halves_row((split.at_mm, z - split.at_mm), payload=payload).left_out
    return tray_row((x, y, z), payload=payload).left_out


def _legs(assembly: Assembly, profile: Profile) -> Iterator[Trouble]:
    short = profile.leg_mm - profile.corner_mm
    if profile.ends == "square" and short > LEAST_MM:
        yield Trouble(
            "edge profiles",
            f"square ends stop {profile.corner_mm:.1f} mm short of the corners, and legs "
            f"{profile.leg_mm:.1f} mm wide meet there",
            short,
            f"make the corner's allowance {profile.leg_mm:.1f} mm or more, or mitre the ends",
        )
    short = build_up_mm(profile) - profile.corner_mm
    framed = any(split.tongue is not None for split in assembly.splits)
    if profile.closing_ends == "square" and framed and short > LEAST_MM:
        yield Trouble(
            "closing profiles",
            f"square ends stop {profile.corner_mm:.1f} mm short of the corners, and profiles "
            f"{build_up_mm(profile):.1f} mm thick meet there",
            short,
            "make the corner's allowance as large as the wall is thick, or mitre the ends",
        )


def _missing_bars(assembly: Assembly, bars: Sequence[Bar], wall: Wall) -> Iterator[Trouble]:
    """Profiles of less than no length, those of a part that miss the same told in one."""
    there = {bar.name for bar in bars}
    edges = [edge for edge in edge_kinds(assembly) if edge.kind is not None]
    groups: dict[tuple[str, int, BarKind, float], list[str]] = {}
    whys: dict[tuple[str, int, BarKind, float], tuple[End, End]] = {}
    for edge, bar in zip(edges, bars_of_any_length(assembly, wall=wall), strict=True):
        short = -min(bar.length_mm, bar.short_mm)
        if bar.name in there or short <= LEAST_MM:
            continue
        key = (bar.part, edge.axis, bar.kind, round(short, 6))
        groups.setdefault(key, []).append(" ".join(bar.sides))
        whys[key] = ends_of(assembly, edge, profile=wall.profile)
    for key, sides in groups.items():
        name, axis, kind, short = key
        ends = [end for end in whys[key] if end.stop != "through"]
        taken = " and ".join(f"{TAKES[end.stop]} of {end.takes_mm:.1f} mm" for end in ends)
        smaller = " or ".join(sorted({SMALLER[end.stop] for end in ends}, reverse=True))
        part = called(name)
        yield Trouble(
            f"{part}: {kind} profile {', '.join(sides)}",
            f"the {part} is {_size_mm(assembly.part(name), axis):.1f} mm {SIZES[axis]} outside; "
            f"{taken} leave no length",
            short,
            f"make the {part} {short:.1f} mm {MORE[axis]}, or use smaller {smaller}",
        )


def _missing_panels(
    assembly: Assembly, panels: Sequence[Panel], payload: Payload
) -> Iterator[Trouble]:
    """Panels of no size, those of a part that miss the same told in one."""
    there = {panel.name for panel in panels}
    groups: dict[tuple[str, int, float], list[str]] = {}
    for panel in panels_of_any_size(assembly, payload=payload):
        if panel.name in there:
            continue
        for (axis, _), size in (
            (u_of(panel.side), panel.length_mm),
            (v_of(panel.side), panel.width_mm),
        ):
            if size <= LEAST_MM:
                groups.setdefault((panel.part, axis, round(-size, 6)), []).append(panel.side)
    for (name, axis, short), sides in groups.items():
        part = assembly.part(name)
        size_mm = _size_mm(part, axis)
        low, high = insets_mm(assembly, part, axis, profile=payload.wall.profile)
        yield Trouble(
            f"{called(name)}: {', '.join(sides)}",
            f"the slots take {low:.1f} and {high:.1f} mm of the {size_mm:.1f} mm that "
            f"it is {SIZES[axis]} outside: no panel is left",
            max(0.0, short),
            f"make the {called(name)} more than {low + high:.1f} mm {SIZES[axis]} outside",
        )


def _size_mm(part: Part, axis: int) -> float:
    return part.high_mm[axis] - part.low_mm[axis]
