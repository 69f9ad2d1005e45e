"""Everything decided and derived for one payload: the one place where the stages are joined."""

from __future__ import annotations

from collections.abc import Callable

from attrs import evolve, frozen

from fitkit.checks.finding import Finding
from fitkit.checks.registry import all_checks
from fitkit.checks.stages import Stages
from fitkit.fit.layout import Fit, Placement
from fitkit.fit.search import smallest
from fitkit.fit.state import Progress
from fitkit.foam.layers import make_foam
from fitkit.foam.model import Foam
from fitkit.payload.model import Objective, Payload
from fitkit.shell.mass import Mass as Mass
from fitkit.shell.mass import MassPart as MassPart
from fitkit.shell.mass import weigh
from fitkit.shell.outside import outside_of


@frozen
class Choices:
    """What the builder chose for this run, beside the sheet.

    ``objective`` overrides the sheet's when not None. ``budget_s`` limits the search in seconds;
    with ``repeatable`` work is counted instead of time, and the same bytes come out twice.
    ``pins`` are placements that stay where they are.
    """

    objective: Objective | None = None
    budget_s: float = 10.0
    seed: int = 1
    repeatable: bool = False
    pins: tuple[Placement, ...] = ()


@frozen
class Plan:
    """Everything decided and derived for one payload."""

    payload: Payload
    choices: Choices
    fit: Fit
    outside_mm: tuple[float, float, float]
    foam: Foam
    mass: Mass
    findings: tuple[Finding, ...]


def make_plan(
    payload: Payload,
    *,
    choices: Choices = Choices(),
    progress: Callable[[Progress], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Plan:
    """The plan of a payload: searched, lined with foam, weighed and checked.

    ``progress`` hears of the search about ten times a second; ``cancelled`` is asked as often, and
    once true the plan is made of the best layout so far (as after Ctrl-C), with
    ``fit.interrupted`` set. BadInput if pins contradict each other or name no copy.
    """
    fit = smallest(
        payload,
        objective=choices.objective,
        budget_s=choices.budget_s,
        seed=choices.seed,
        repeatable=choices.repeatable,
        pins=choices.pins,
        progress=progress,
        cancelled=cancelled,
    )
    return plan_of(payload, fit=fit, choices=choices)


def plan_of(payload: Payload, *, fit: Fit, choices: Choices = Choices()) -> Plan:
    """Everything that follows from a layout: settled heights, foam, outside, mass and findings."""
    placements, foam = make_foam(payload, interior=fit.interior, placements=fit.placements)
    fit = evolve(fit, placements=placements)
    outside_mm = outside_of(fit.interior, wall=payload.wall).size_mm
    mass = weigh(payload, interior=fit.interior, placements=placements, foam=foam)
    findings = all_checks(
        Stages(payload=payload, fit=fit, outside_mm=outside_mm, foam=foam, mass=mass)
    )
    return Plan(payload, choices, fit, outside_mm, foam, mass, findings)
