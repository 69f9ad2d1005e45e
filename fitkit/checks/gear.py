"""What the gear itself asks for, and what is not known of it."""

from __future__ import annotations

from fitkit.checks.finding import Finding
from fitkit.checks.judge import names, unknown
from fitkit.checks.stages import Stages
from fitkit.reference.cautions import cautions


def fragility_known(stages: Stages) -> tuple[Finding, ...]:
    """Is it known what shock the items stand, and what is between them and it?"""
    items = stages.payload.items
    missing = [item.name for item in items if item.fragility_g is None]
    found = []
    if missing:
        found.append(
            unknown(
                "fragility",
                names(missing),
                value=float(len(missing)),
                unit="items",
                note="Ask the maker what shock in G they stand; without it no pad can be judged.",
                source="your sheet: item.fragility",
            )
        )
    for mounted, note in (
        (
            False,
            "The fragility is known but the foam's cushion curve is not: pads are as thick "
            "as you asked for, not as thick as a drop asks for.",
        ),
        (
            True,
            "Mounted gear has no cushion of its own: what reaches it hangs on feet, corners and "
            "what the case is packed in. Mount it on soft feet, or pad the case outside.",
        ),
    ):
        given = [
            (item.name, item.fragility_g)
            for item in items
            if item.fragility_g is not None and (item.mount is not None) == mounted
        ]
        if given:
            found.append(
                unknown(
                    "drop protection",
                    names([name for name, _ in given]),
                    unit="G",
                    value=min(shock for _, shock in given),
                    note=note,
                    source="your sheet: item.fragility",
                    caution="Test with a dummy load before you trust the case with the gear.",
                )
            )
    return tuple(found)


def heat_and_power(stages: Stages) -> tuple[Finding, ...]:
    """Items that run, or may run, in the closed case."""
    powered = [
        (item.name, item.power_w * item.count) for item in stages.payload.items if item.power_w
    ]
    if not powered:
        return ()
    return (
        unknown(
            "heat",
            names([name for name, _ in powered]),
            value=sum(watts for _, watts in powered),
            unit="W",
            note="How warm it gets is not worked out yet: run it with the case open, or measure.",
            source="your sheet: item.power",
            caution=" ".join(
                cautions()[hazard].text for hazard in ("ventilation", "lithium batteries", "mains")
            ),
        ),
    )
