"""Can the loaded case be lifted, and is every mass known?"""

from __future__ import annotations

from fitkit.checks.finding import Finding
from fitkit.checks.judge import at_most, names, unknown
from fitkit.checks.stages import Stages
from fitkit.reference.cautions import cautions
from fitkit.reference.handling import reference_masses

CAUTION = (
    "The reference is for one lift in an ideal posture: reach, height, twisting and repetition "
    "lower it. Follow your local manual-handling rules."
)


def lifting(stages: Stages) -> tuple[Finding, ...]:
    """The mass of the loaded case against the reference for a lift by one person."""
    mass = stages.mass
    row = reference_masses()["starting value"]
    reference, source = row.reference_kg, f"{row.source}, reference mass, {row.known}"
    caution = f"{cautions()['lifting'].text} {CAUTION}"
    if mass.total_kg > reference:
        return (
            at_most(
                "lifting",
                "loaded case",
                value=mass.total_kg,
                limit=reference,
                unit="kg",
                note="Two people lift it, or it gets wheels; or make two cases of it.",
                source=source,
                caution=caution,
            ),
        )
    rest = [*mass.unknown, *mass.left_out]
    if not rest:
        return (
            at_most(
                "lifting",
                "loaded case",
                value=mass.total_kg,
                limit=reference,
                unit="kg",
                note="One person may lift it in an ideal posture.",
                source=source,
                caution=caution,
            ),
        )
    return (
        unknown(
            "lifting",
            "loaded case",
            value=mass.total_kg,
            limit=reference,
            unit="kg",
            note=(
                f"At least {mass.total_kg:.1f} kg; {reference - mass.total_kg:.1f} kg are left "
                f"for {names(rest, most=6)}: weigh them."
            ),
            source=source,
            caution=caution,
        ),
    )


def masses_known(stages: Stages) -> tuple[Finding, ...]:
    """Items whose mass was not given."""
    missing = [item.name for item in stages.payload.items if item.mass_kg is None]
    if not missing:
        return ()
    return (
        unknown(
            "mass of items",
            names(missing),
            value=float(len(missing)),
            unit="items",
            note="Put them on a scale and give their mass: the total is without them.",
            source="your sheet: item.mass",
        ),
    )
