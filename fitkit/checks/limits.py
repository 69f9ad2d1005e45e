"""Does the case keep the outside sizes and the mass that the builder asked for?"""

from __future__ import annotations

from fitkit.checks.finding import Finding
from fitkit.checks.handling import total_against
from fitkit.checks.judge import at_most, unknown
from fitkit.checks.stages import Stages
from fitkit.payload.limits import sides_of
from fitkit.payload.walls import least_depth_mm

SHEET = "your sheet: case.limits"


def outside_limits(stages: Stages) -> tuple[Finding, ...]:
    """Outside length, width and height against their limits; the linear sum."""
    limits = stages.payload.case.limits
    if not stages.outside_known:
        return _not_measured(stages)
    found = []
    for side in sides_of(stages.outside_mm, limits=limits):
        if side.limit_mm is None:
            continue
        found.append(
            at_most(
                "outside size",
                side.name,
                value=side.size_mm,
                limit=side.limit_mm,
                unit="mm",
                note=_by(
                    side.size_mm - side.limit_mm,
                    "The outside " + side.name + " is {} mm too much: ",
                ),
                source=SHEET,
                caution="Latches, handles and feet stand out further and are not counted.",
            )
        )
    if limits.linear_mm is not None:
        total = sum(stages.outside_mm)
        found.append(
            at_most(
                "linear sum",
                "length + width + height",
                value=total,
                limit=limits.linear_mm,
                unit="mm",
                note=_by(total - limits.linear_mm, "The sum is {} mm too much: "),
                source=SHEET,
                caution="Carriers measure over wheels and handles: ask yours before you build.",
            )
        )
    return tuple(found)


def _not_measured(stages: Stages) -> tuple[Finding, ...]:
    """Limits on the outside of a ready-made case whose outside the list does not give."""
    limits = stages.payload.case.limits
    asked = [
        ("outside size", side.name, side.limit_mm)
        for side in sides_of(stages.outside_mm, limits=limits)
    ]
    asked.append(("linear sum", "length + width + height", limits.linear_mm))
    return tuple(
        unknown(
            check,
            subject,
            value=None,
            limit=limit,
            unit="mm",
            note="Measure the case outside, over latches and feet, and put it into your list.",
            source=SHEET,
        )
        for check, subject, limit in asked
        if limit is not None
    )


def mass_limit(stages: Stages) -> tuple[Finding, ...]:
    """The mass of the loaded case against the limit of the sheet, if there is one.

    Something is always left out of the mass in this version, so a case below the limit is
    "unknown", with what is left for the rest; a case above it fails for certain.
    """
    limit, mass = stages.payload.case.limits.mass_kg, stages.mass
    if limit is None:
        return ()
    return total_against(
        mass,
        check="mass",
        limit_kg=limit,
        over=f"Take out {mass.total_kg - limit:.1f} kg, or make two cases.",
        within="The loaded case keeps its limit.",
        source=SHEET,
    )


def depths_make_corners(stages: Stages) -> tuple[Finding, ...]:
    """Is each half deep enough for its corners and its closing profile, where there are any?"""
    if stages.fit.ready_made is not None:
        return ()
    least = least_depth_mm(stages.payload.wall.profile)
    found = []
    for half in stages.interior.halves:
        short = least - half.depth_mm
        found.append(
            Finding(
                "depth",
                f"{half.name} half",
                half.depth_mm,
                least,
                "mm",
                -short,
                "fails" if short > 1e-6 else "ok",
                f"Make it {short:.1f} mm deeper: the corner profiles have no length left."
                if short > 1e-6
                else "Deep enough for corners and closing profile.",
                "your profile: corner + closing leaf - wall build-up",
            )
        )
    return tuple(found)


def _by(over_mm: float, sentence: str) -> str:
    if over_mm > 0.01:
        return (
            sentence.format(f"{over_mm:.1f}")
            + "allow another tier, other poses or smaller clearances, or raise the limit."
        )
    return "Within the limit."
