"""Everything decided and derived for one payload: the one place where the stages are joined."""

from __future__ import annotations

from attrs import frozen

from fitkit.checks.finding import Finding
from fitkit.fit.layout import Fit, Placement
from fitkit.foam.model import Foam
from fitkit.payload.model import Objective, Payload
from fitkit.shell.mass import Mass as Mass
from fitkit.shell.mass import MassPart as MassPart


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
