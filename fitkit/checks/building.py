"""Can it be built from what is on the shelf: panels in their slots, sheets under the blade?"""

from __future__ import annotations

from fitkit.checks.finding import Finding
from fitkit.checks.judge import at_most, unknown
from fitkit.checks.stages import Stages
from fitkit.reference.cautions import cautions
from fitkit.reference.foams import cutting_methods
from fitkit.reference.panels import panels
from fitkit.sources import cited


def panel_in_slot(stages: Stages) -> tuple[Finding, ...]:
    """Does the panel slide into the slot: as measured, and over the whole range it is sold in?

    A nominal thickness is a name, not a size; what counts is t <= s for the thickest panel that
    the name allows. A ready-made case has neither.
    """
    if stages.fit.ready_made is not None:
        return ()
    wall = stages.payload.wall
    slot = wall.profile.slot_mm
    if wall.panel_mm > slot:
        return (
            at_most(
                "panel in slot",
                wall.panel,
                value=wall.panel_mm,
                limit=slot,
                unit="mm",
                accuracy=0.0,
                note=f"Take a panel of at most {slot:g} mm, or a profile with a wider slot.",
                source="your sheet: wall",
            ),
        )
    trade = panels().get(wall.panel)
    if trade is None:
        return (
            unknown(
                "panel in slot",
                wall.panel,
                value=wall.panel_mm,
                limit=slot,
                unit="mm",
                note=(
                    "Fits as given. No table says how thick this panel is sold: measure it in "
                    "several places before you cut."
                ),
                source="your sheet: wall",
            ),
        )
    if trade.max_mm > slot:
        note = (
            f"Sold from {trade.min_mm:g} to {trade.max_mm:g} mm: measure yours; take none that is "
            f"thicker than {slot:g} mm."
        )
    else:
        note = f"Sold from {trade.min_mm:g} to {trade.max_mm:g} mm: all of it slides in."
    return (
        at_most(
            "panel in slot",
            wall.panel,
            value=wall.panel_mm,
            limit=slot,
            unit="mm",
            slack=max(trade.max_mm - wall.panel_mm, 0.0),
            accuracy=0.0,
            note=note,
            source=cited(trade.source),
            caution=f"{cautions()['wood dust'].text} {cautions()['sharp edges'].text}",
        ),
    )


def sheets_can_be_cut(stages: Stages) -> tuple[Finding, ...]:
    """Is the thickest sheet in use within the depth that the cutting method masters?"""
    wishes = stages.payload.foam
    method = cutting_methods()[wishes.cutting]
    used = [layer.thickness_mm for layer in stages.foam.layers]
    if not used:
        return ()
    thickest = max(used)
    if method.most_depth_mm is None:
        question = (
            "Make sure that your tool reaches through it"
            if wishes.cutting == "router"
            else "Any thickness that your wire spans"
        )
        return (
            unknown(
                "cutting depth",
                wishes.cutting,
                value=thickest,
                unit="mm",
                note=f"The thickest sheet is {thickest:g} mm. {question}. {method.advice}",
                source=cited(method.source),
                caution=method.caution,
            ),
        )
    within = thickest <= method.most_depth_mm
    note = (
        method.advice
        if within
        else f"Use sheets of at most {method.most_depth_mm:g} mm, or cut with a hot wire."
    )
    return (
        at_most(
            "cutting depth",
            wishes.cutting,
            value=thickest,
            limit=method.most_depth_mm,
            unit="mm",
            note=note,
            source=cited(method.source),
            caution=method.caution,
        ),
    )
