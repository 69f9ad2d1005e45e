"""Do the cables reach: a way for each, bends no tighter than allowed, long enough, and stowed?"""

from __future__ import annotations

import math

from fitkit.checks.finding import Finding
from fitkit.checks.judge import at_least
from fitkit.checks.stages import Stages
from fitkit.payload.cables import Cable
from fitkit.payload.model import Payload
from fitkit.reference.cautions import cautions
from fitkit.shell.cables.bends import bend_of
from fitkit.shell.cables.bundling import CLOSING
from fitkit.shell.cables.coils import FILL
from fitkit.shell.cables.ends import connector_zone
from fitkit.shell.cables.model import Route
from fitkit.shell.cables.opening import SLACK, opened
from fitkit.shell.cables.threads import OUTSIDE

PATHS = "geometry of the layout"
STRAIGHT = "plug, then straight for the cable's own diameter (a rule that was read), then bends"
COILS = f"N = l / (pi Dm), Db = d sqrt(N / {FILL:g}); {FILL:g} is common practice, no source"
BEND_STEP_MM = 1.0
"""The gentlest bend that still fits is found to about this [mm]."""


def cables_have_a_way(stages: Stages) -> tuple[Finding, ...]:
    """Is there a way for every cable that stays plugged in when the case is closed?"""
    found = []
    for route, _ in _routes(stages):
        if route.blocked:
            note = (
                f"No way from {route.start} to {route.to}: {route.blocked}. Make room there, move "
                "the connector, or say plugged = false and wind the cable up."
            )
            found.append(
                Finding("cable path", route.label, None, None, "", None, "fails", note, PATHS)
            )
    return tuple(found)


def bends_allowed(stages: Stages) -> tuple[Finding, ...]:
    """Is every bend as wide as its cable asks for?

    Bends that are too tight are named one by one; else the cable that asks for most is told.
    """
    found = []
    for route, cable in _routes(stages):
        if route.blocked or not route.path_mm:
            continue
        short = route.bend_mm - route.tightest_mm
        if short > BEND_STEP_MM:
            ways = [_more_room(stages.payload, route, cable), "take angled plugs"]
            if route.tightest_mm >= BEND_STEP_MM:
                ways.append(f"a cable that may be bent to a radius of {route.tightest_mm:.0f} mm")
            note = (
                f"{short:.0f} mm are missing between {route.start} and {route.to}: "
                f"{', '.join(ways[:-1])}, or {ways[-1]}."
            )
        else:
            note = "Its path has no tighter bend."
        crossing = route.through == CLOSING
        found.append(
            at_least(
                "cable bend",
                route.label,
                value=route.tightest_mm,
                limit=route.bend_mm,
                unit="mm",
                note=note,
                source=bend_of(cable, use="moving" if crossing else "fixed").source,
                accuracy=BEND_STEP_MM,
            )
        )
    bad = tuple(one for one in found if one.verdict != "ok")
    if bad or not found:
        return bad
    return (max(found, key=lambda one: one.limit or 0.0),)


def cables_long_enough(stages: Stages) -> tuple[Finding, ...]:
    """Is every cable as long as its path, and long enough to open the case with it plugged in?

    Without slack it is tight. A cable whose length is not given is told what to buy.
    """
    found = []
    for route, _ in _routes(stages):
        least = max(route.closed_mm, route.open_mm)
        if route.blocked or least <= 0:
            continue
        opening = route.open_mm > route.closed_mm
        why = f"with {opened(stages.payload).words}" if opening else "along its path"
        source = f"{STRAIGHT}; {SLACK:.0%} slack (assumption)"
        if route.given_mm is None:
            note = (
                f"Buy or cut at least {route.needed_mm:.0f} mm: {least:.0f} mm {why}, and "
                f"{SLACK:.0%} slack{_outside(route)}."
            )
            found.append(
                Finding(
                    "cable length", route.label, route.needed_mm, None, "mm", None, "ok", note,
                    source,
                )
            )  # fmt: skip
            continue
        short = least - route.given_mm
        wanting = route.needed_mm - route.given_mm
        if short > 0:
            note = (
                f"{short:.0f} mm too short {why}: take one of {route.needed_mm:.0f} mm or more"
                f"{_outside(route)}, or plug it in nearer."
            )
        elif wanting > 0:
            note = f"It reaches {why}, but is {wanting:.0f} mm short of {SLACK:.0%} slack."
        else:
            note = f"{least:.0f} mm {why}; {route.given_mm - least:.0f} mm are to spare."
        found.append(
            at_least(
                "cable length",
                route.label,
                value=route.given_mm,
                limit=least,
                unit="mm",
                note=note,
                source=source,
                slack=max(route.needed_mm - least, 0.0),
            )
        )
    return tuple(found)


def coils_stowed(stages: Stages) -> tuple[Finding, ...]:
    """Is there a free place for every cable's spare length, wound up as tightly as it may be?"""
    found = []
    for route, cable in _routes(stages):
        coil = route.coil
        if coil is None:
            continue
        size = f"{coil.outer_mm + coil.straight_mm:.0f} by {coil.outer_mm:.0f} mm"
        if coil.straight_mm == 0:
            size = f"{coil.outer_mm:.0f} mm across"
        thick = f"{coil.height_mm:.0f} mm {'thick, on edge' if coil.on_edge else 'high'}"
        what = f"{coil.turns:.1f} turns, {size} and {thick}"
        source = f"{COILS}; {bend_of(cable, use='coiled').source}"
        if coil.room is not None:
            note = f"Wound up to {what}, it has a place of its own."
            found.append(
                Finding(
                    "cable stowed", route.label, coil.outer_mm, None, "mm", None, "ok", note,
                    source, _caution(cable),
                )
            )  # fmt: skip
            continue
        leaves = cable.to is None and cable.plugged
        note = (
            f"Wound up ({what}) it lacks {coil.short_mm:.0f} mm each way: "
            f"{'wind it up outside, ' if leaves else ''}take a shorter one, or make room for it."
        )
        verdict = "tight" if leaves else "fails"
        found.append(
            Finding(
                "cable stowed", route.label, coil.short_mm, 0.0, "mm missing", -coil.short_mm,
                "tight" if verdict == "tight" else "fails", note, source, _caution(cable),
            )
        )  # fmt: skip
    return tuple(found)


def _routes(stages: Stages) -> list[tuple[Route, Cable]]:
    """Every route with its cable."""
    if stages.shell is None:
        return []
    cables = {cable.name: cable for cable in stages.payload.cables}
    return [(route, cables[route.cable]) for route in stages.shell.routes]


def _more_room(payload: Payload, route: Route, cable: Cable) -> str:
    """How deep the zones of its ends have to be, where they are not: plug, straight run and bend.

    A bend at once behind a straight plug takes the plug's length, the cable's own diameter, the
    radius inside and the diameter again.
    """
    deeper = []
    ends = zip((cable.start, cable.to), (route.start, route.to), cable.plugs, strict=True)
    for connector, name, plug in ends:
        if connector is None or (plug is not None and plug.angled):
            continue
        item = next((one for one in payload.items if one.name == connector.item), None)
        zone = None if item is None else connector_zone(item, connector)
        if zone is None:
            continue
        straight = zone.depth_mm if plug is None else plug.length_mm + route.diameter_mm
        need = math.ceil(straight + route.bend_mm + route.diameter_mm - 1e-6)
        if need > zone.depth_mm + BEND_STEP_MM:
            deeper.append(f"the zone of {name} {need} mm deep ({zone.depth_mm:g} now)")
    if not deeper:
        return "give it more room behind its plugs"
    return f"make {' and '.join(deeper)}"


def _outside(route: Route) -> str:
    return ", and what you want outside" if route.to == OUTSIDE else ""


def _caution(cable: Cable) -> str:
    """A power cable that is wound up gets warm."""
    if cable.kind != "power flex":
        return ""
    return f"Unwind power cables before use: a coil under load gets hot. {cautions()['mains'].text}"
