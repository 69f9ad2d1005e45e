"""Can the loaded case be lifted, and is every mass known?"""

from __future__ import annotations

from fitkit.checks.finding import Finding
from fitkit.checks.judge import at_most, names, unknown
from fitkit.checks.stages import Stages
from fitkit.reference.cautions import cautions
from fitkit.reference.handling import reference_masses
from fitkit.shell.mass import Mass

CAUTION = (
    "The reference is for one lift in an ideal posture: reach, height, twisting and repetition "
    "lower it. Follow your local manual-handling rules."
)


def total_against(
    mass: Mass,
    *,
    check: str,
    limit_kg: float,
    over: str,
    within: str,
    source: str,
    caution: str = "",
) -> tuple[Finding, ...]:
    """The mass of the loaded case against a limit.

    Above it the case fails for certain; below it is "unknown" as long as something is not weighed,
    with what is left for the rest.
    """
    value = {"value": mass.total_kg, "limit": limit_kg}
    rest = [*mass.unknown, *mass.left_out]
    if mass.total_kg > limit_kg or not rest:
        note = over if mass.total_kg > limit_kg else within
        return (
            at_most(
                check, "loaded case", **value, unit="kg", note=note, source=source, caution=caution
            ),
        )
    note = f"{limit_kg - mass.total_kg:.1f} kg are left for {names(rest, most=8)}: weigh them."
    return (
        unknown(
            check, "loaded case", **value, unit="kg", note=note, source=source, caution=caution
        ),
    )


def lifting(stages: Stages) -> tuple[Finding, ...]:
    """The mass of the loaded case against the reference for a lift by one person."""
    mass = stages.mass
    row = reference_masses()["starting value"]
    reference, source = row.reference_kg, f"{row.source}, reference mass, {row.known}"
    return total_against(
        mass,
        check="lifting",
        limit_kg=reference,
        over="Two people lift it, or it gets wheels; or make two cases of it.",
        within="One person may lift it in an ideal posture.",
        source=source,
        caution=f"{cautions()['lifting'].text} {CAUTION}",
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
