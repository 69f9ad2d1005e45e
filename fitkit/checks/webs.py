"""Is there enough foam left between pockets, and towards the edge?"""

from __future__ import annotations

from fitkit.checks.finding import Finding
from fitkit.checks.judge import at_least
from fitkit.checks.stages import Stages

SOURCE = (
    "your sheet: case.clearance, less what allowance and reliefs take; the narrowest web of the "
    "cutting method (common practice, no source)"
)


def webs_thick_enough(stages: Stages) -> tuple[Finding, ...]:
    """One finding for each narrow web of the finished layers; one if there is none."""
    findings = [
        at_least(
            "web",
            f"{web.half}-{web.layer:02d}: {web.left}, {web.right}",
            value=web.width_mm,
            limit=web.limit_mm,
            unit="mm",
            note=(
                f"Between {web.left} and {web.right} at x {(web.a_mm[0] + web.b_mm[0]) / 2:.0f}, "
                f"y {(web.a_mm[1] + web.b_mm[1]) / 2:.0f}: move one of them by "
                f"{max(web.limit_mm - web.width_mm, 0.0):.1f} mm, make the notch or channel there "
                "smaller, or ask for more clearance."
            ),
            source=SOURCE,
        )
        for web in stages.foam.webs
    ]
    if not findings and stages.foam.layers:
        return (
            Finding(
                "web",
                "all layers",
                None,
                stages.payload.case.clearance.item_mm,
                "mm",
                None,
                "ok",
                "No web of the finished layers is thinner than asked.",
                SOURCE,
            ),
        )
    return tuple(findings)
