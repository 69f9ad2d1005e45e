"""Do the profiles of the shell go together: tongue in groove, corners on their legs, rivets?"""

from __future__ import annotations

from fitkit.checks.finding import Finding
from fitkit.checks.judge import at_least
from fitkit.checks.stages import ACCURACY_MM, Stages
from fitkit.reference.cautions import cautions
from fitkit.reference.rivets import EDGE_DIAMETERS, SPACING_DIAMETERS
from fitkit.shell.model import called

ROOM_MM = 0.3
"""How much deeper than the tongue a groove is at least [mm] (common practice, no source)."""

FLOOR_MM = 1.0
"""Least material between a groove and the slot behind it [mm] (common practice, no source)."""

PROFILE = "your sheet: wall.profile"
USUAL = "common practice, no source"


def tongue_in_groove(stages: Stages) -> tuple[Finding, ...]:
    """Does the tongue go into the groove with room, and is there a floor under the groove?

    Groove less tongue, wanted 0.3 mm or more; slot bottom to closing plane less the groove, 1 mm
    or more. Asked only where the shell has closing profiles of both kinds.
    """
    shell = stages.shell
    if shell is None or {"tongue", "groove"} - {bar.kind for bar in shell.bars}:
        return ()
    profile = stages.payload.wall.profile
    room = profile.groove_mm - profile.tongue_mm
    floor = profile.groove_rim_mm - profile.groove_mm
    return (
        at_least(
            "tongue in groove",
            "closing profiles",
            value=room,
            limit=0.0,
            slack=ROOM_MM,
            unit="mm",
            note=(
                "The halves close on the rims, not on the tongue."
                if room >= ROOM_MM
                else "Dirt in the groove keeps the case from closing: measure both, or take a "
                f"profile whose groove is {ROOM_MM:g} mm deeper than the tongue."
            ),
            source=f"{PROFILE}; {USUAL}",
        ),
        at_least(
            "floor of the groove",
            "closing profiles",
            value=floor,
            limit=FLOOR_MM,
            unit="mm",
            note="From the groove's bottom to the slot: measure groove_rim and groove again."
            if floor < FLOOR_MM - 0.01
            else "The groove keeps clear of the slot behind it.",
            source=f"{PROFILE}; {USUAL}",
        ),
    )


def corners_reach(stages: Stages) -> tuple[Finding, ...]:
    """Do the corners' legs lap the profiles far enough for a rivet?

    R_b >= k + 2 (2 d): a rivet sits 2 d from the profile's end and 2 d from the leg's end; k is
    the corner's allowance of square ends, 0 for others (derived; 2 d from memory).
    """
    shell = stages.shell
    if shell is None or not any(corner.kind == "outer" for corner in shell.corners):
        return ()
    payload = stages.payload
    profile, d_mm = payload.wall.profile, payload.workshop.hardware.rivet_mm
    allowance = profile.corner_mm if profile.ends == "square" else 0.0
    need = allowance + 2 * EDGE_DIAMETERS * d_mm
    short = need - profile.corner_reach_mm
    return (
        at_least(
            "corner reach",
            f"corners with rivets of {d_mm:g} mm",
            value=profile.corner_reach_mm,
            limit=need,
            unit="mm",
            note=(
                "A rivet through each leg keeps its distance to both ends."
                if short <= 0.01
                else f"The legs are {short:.1f} mm short: take corners with longer legs, less "
                "corner allowance, or thinner rivets."
            ),
            source="corner allowance + 2 x 2 diameters (derived; 2 diameters from memory)",
            caution=cautions()["riveting"].text,
        ),
    )


def profiles_take_rivets(stages: Stages) -> tuple[Finding, ...]:
    """Is the shortest edge profile of each part long enough for its rivets?

    One rivet keeps 2 d to both ends: c >= 2 (2 d). Below 2 (2 d) + 3 d there is no room for a
    second, which is tight; so is one too short for any, since slots and corners still hold it. A
    mitred profile counts with the middle of its long and short point.
    """
    shell = stages.shell
    if shell is None:
        return ()
    d_mm = stages.payload.workshop.hardware.rivet_mm
    one, two = 2 * EDGE_DIAMETERS * d_mm, (2 * EDGE_DIAMETERS + SPACING_DIAMETERS) * d_mm
    shortest: dict[str, float] = {}
    for bar in shell.bars:
        if bar.kind == "edge":
            middle = (bar.length_mm + bar.short_mm) / 2
            shortest[bar.part] = min(middle, shortest.get(bar.part, middle))
    return tuple(
        Finding(
            "profile for its rivets",
            f"shortest edge profile of {called(part)}",
            length,
            one,
            "mm",
            length - one,
            "ok" if length >= two - ACCURACY_MM else "tight",
            _rivets_said(length, one, two),
            "2 x 2 diameters, and 3 more to a second rivet (from memory: EN 1993-1-3)",
        )
        for part, length in shortest.items()
    )


def _rivets_said(length_mm: float, one_mm: float, two_mm: float) -> str:
    if length_mm >= two_mm - ACCURACY_MM:
        return "Two rivets hold it in each leg."
    if length_mm >= one_mm - ACCURACY_MM:
        said = f"It is {two_mm - length_mm:.1f} mm short of two rivets"
    else:
        said = (
            f"It is {one_mm - length_mm:.1f} mm short of one rivet: only its panels and the corner "
            "hold it"
        )
    return f"{said}. Make the part deeper, or join its corners by one strip over the full height."
