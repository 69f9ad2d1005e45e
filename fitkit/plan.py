"""Everything decided and derived for one payload: the one place where the stages are joined."""

from __future__ import annotations

from collections.abc import Callable

from attrs import evolve, frozen

from fitkit.checks.finding import Finding
from fitkit.checks.registry import all_checks
from fitkit.checks.stages import Stages
from fitkit.errors import BadInput, Fault
from fitkit.fit.layout import Fit, Interior, Placement
from fitkit.fit.ready_made import Answer, choose
from fitkit.fit.recess import deepened
from fitkit.fit.search import smallest
from fitkit.fit.state import Progress
from fitkit.foam.layers import make_foam
from fitkit.foam.model import Foam, NotchesOf, Room, Way
from fitkit.foam.stack import settle
from fitkit.payload.model import Objective, Payload
from fitkit.shell.cables.foam_ways import ways_of
from fitkit.shell.gap.make import gaps_of
from fitkit.shell.gap.recess import is_free, recesses_needed_mm
from fitkit.shell.make import make_shell
from fitkit.shell.mass import Mass as Mass
from fitkit.shell.mass import MassPart as MassPart
from fitkit.shell.mass import weigh
from fitkit.shell.model import Shell
from fitkit.shell.mounting.foam_ways import support_ways
from fitkit.shell.outside import outside_of, ready_made_outside_mm
from fitkit.stock.make import stock_of
from fitkit.stock.model import Stock

MOST_ROUNDS = 8
"""How often free recesses are made deeper until the closing gaps are kept."""

MOST_WEIGHINGS = 4
"""How often a case is weighed until its handles are those that its mass asks for."""

SAME_KG = 1e-6
"""Two masses nearer to each other than this are the same [kg] (a setting of the house)."""


@frozen
class Choices:
    """What the builder chose for this run, beside the sheet.

    ``objective`` overrides the sheet's when not None. ``budget_s`` limits the search in seconds;
    with ``repeatable`` work is counted instead of time, and the same bytes come out twice.
    ``pins`` are placements that stay where they are. ``case`` names the ready-made case to plan
    for; None is the best of the sheet's list. ``notches`` are those that the builder placed, by
    copy: the other copies get the planned ones.
    """

    objective: Objective | None = None
    budget_s: float = 10.0
    seed: int = 1
    repeatable: bool = False
    pins: tuple[Placement, ...] = ()
    case: str | None = None
    notches: tuple[NotchesOf, ...] = ()


@frozen
class Plan:
    """Everything decided and derived for one payload.

    ``outside_mm`` of a ready-made case that was not measured outside is the room inside: it is at
    least that (:attr:`outside_known`). ``ready_made`` tells of every case of the builder's list.
    """

    payload: Payload
    choices: Choices
    fit: Fit
    outside_mm: tuple[float, float, float]
    foam: Foam
    mass: Mass
    findings: tuple[Finding, ...]
    ready_made: Answer | None = None
    shell: Shell | None = None
    stock: Stock | None = None

    @property
    def rooms(self) -> tuple[Room, ...]:
        """What sunk hardware takes of the interior; nothing where the shell is not known."""
        return () if self.shell is None else self.shell.rooms

    @property
    def ways(self) -> tuple[Way, ...]:
        """What cables and supports take of the foam; nothing where the shell is not known."""
        return () if self.shell is None else _ways(self.payload, self.shell)

    @property
    def outside_known(self) -> bool:
        """Whether the outside is known, as it is but for a ready-made case not measured there."""
        case = self.fit.ready_made
        return case is None or (case.outside_mm is not None and not self.fit.misses)


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
    ``fit.interrupted`` set. Where the sheet names a list of ready-made cases, the best of them is
    planned for instead of a case of its own. BadInput if pins contradict each other or name no
    copy, or if the list has no case of the name that was chosen.
    """
    if payload.case.ready_made:
        return _ready_made_plan(payload, choices, progress, cancelled)
    if choices.case is not None:
        raise BadInput(
            [
                Fault(
                    f'case "{choices.case}"',
                    "the sheet names no list of ready-made cases",
                    'name one: [case] ready_made = "cases.csv"',
                )
            ]
        )
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
    fit = with_recesses(payload, fit)
    return with_stock(plan_of(payload, fit=fit, choices=choices))


def with_recesses(payload: Payload, fit: Fit) -> Fit:
    """The layout with every free recess as deep as its closing gaps ask for at their worst.

    How far a panel gives way depends on the case that the recess makes, so it is asked again until
    nothing changes, :data:`MOST_ROUNDS` times at most; what is then still missing, a finding says.
    A layout in which nothing is mounted with a free recess stays as it is.
    """
    if not any(is_free(item) for item in payload.items):
        return fit
    for _ in range(MOST_ROUNDS):
        stacks = settle(payload, interior=fit.interior, placements=fit.placements)
        shell = make_shell(payload, interior=fit.interior, placements=stacks.placements)
        deeper = deepened(payload, fit, needed_mm=recesses_needed_mm(payload, shell.gaps))
        if deeper == fit:
            break
        fit = deeper
    return fit


def _ready_made_plan(
    payload: Payload,
    choices: Choices,
    progress: Callable[[Progress], None] | None,
    cancelled: Callable[[], bool] | None,
) -> Plan:
    if choices.pins:
        what = "cannot stay where they are while a case is chosen from a list"
        raise BadInput([Fault("pins", what, "set them free, or take ready_made out of the sheet")])

    def on_sheets(interior: Interior, placements: tuple[Placement, ...]) -> tuple[Placement, ...]:
        return settle(payload, interior=interior, placements=placements).placements

    answer, fit = choose(
        payload,
        only=choices.case,
        settle=on_sheets,
        budget_s=choices.budget_s,
        seed=choices.seed,
        repeatable=choices.repeatable,
        progress=progress,
        cancelled=cancelled,
    )
    return plan_of(payload, fit=fit, choices=choices, ready_made=answer)


def plan_of(
    payload: Payload, *, fit: Fit, choices: Choices = Choices(), ready_made: Answer | None = None
) -> Plan:
    """Everything that follows from a layout: settled heights, shell, foam, mass and findings.

    ``ready_made`` is what the search over a list of cases found out. What is to buy is left open:
    :func:`with_stock` works it out.
    """
    if fit.ready_made is None:
        fit, shell, foam, mass = _made(payload, fit, choices)
        outside_mm = outside_of(fit.interior, wall=payload.wall).size_mm
    else:
        shell = None
        ready = fit.ready_made
        fit, foam = _lined(payload, fit, choices)
        mass = _weighed(payload, fit, foam, shell)
        outside_mm = fit.interior.size_mm  # all that is known of a case that is too small
        if not fit.misses:
            outside_mm = ready_made_outside_mm(ready, interior=fit.interior)
    plan = Plan(payload, choices, fit, outside_mm, foam, mass, (), ready_made, shell)
    return _checked(plan)


def _made(payload: Payload, fit: Fit, choices: Choices) -> tuple[Fit, Shell, Foam, Mass]:
    """Shell, foam and mass that agree: the case carries the handles that its own mass asks for.

    Handles weigh something too, so it is weighed again with them, :data:`MOST_WEIGHINGS` times at
    most; should the mass not settle, the last shell is for the heaviest.
    """
    stacks = settle(payload, interior=fit.interior, placements=fit.placements)
    load: Mass | None = None
    heaviest: Mass | None = None
    around: tuple[tuple[Room, ...], tuple[Way, ...]] | None = None
    for weighing in range(MOST_WEIGHINGS):
        if weighing == MOST_WEIGHINGS - 1:
            load = heaviest
        shell = make_shell(payload, interior=fit.interior, placements=stacks.placements, load=load)
        taken = (shell.rooms, _ways(payload, shell))
        if taken != around:
            around = taken
            lined, foam = _lined(payload, fit, choices, *taken)
        mass = _weighed(payload, lined, foam, shell)
        if load is not None and abs(mass.total_kg - load.total_kg) < SAME_KG:
            break
        load = mass
        if heaviest is None or mass.total_kg > heaviest.total_kg:
            heaviest = mass
    return lined, shell, foam, mass


def _lined(
    payload: Payload,
    fit: Fit,
    choices: Choices,
    rooms: tuple[Room, ...] = (),
    ways: tuple[Way, ...] = (),
) -> tuple[Fit, Foam]:
    """The layout on its foam, and the foam, clear of hardware and of what runs through it."""
    placements, foam = make_foam(
        payload,
        interior=fit.interior,
        placements=fit.placements,
        notches=choices.notches,
        rooms=rooms,
        ways=ways,
    )
    return evolve(fit, placements=placements), foam


def _weighed(payload: Payload, fit: Fit, foam: Foam, shell: Shell | None) -> Mass:
    return weigh(
        payload,
        interior=fit.interior,
        placements=fit.placements,
        foam=foam,
        ready_made=fit.ready_made,
        shell=shell,
    )


def _ways(payload: Payload, shell: Shell) -> tuple[Way, ...]:
    return (*support_ways(shell.supports), *ways_of(payload, shell.routes))


def with_stock(plan: Plan) -> Plan:
    """The plan with what is to buy and how it is cut; as it is where that is known already.

    A ready-made case has no stock of its own. A piece that no bar or sheet of the builder's holds
    leaves the stock open: the findings name it, with the millimetres and what would do.
    """
    if plan.shell is None or plan.stock is not None:
        return plan
    try:
        stock = stock_of(
            plan.payload, shell=plan.shell, foam=plan.foam, repeatable=plan.choices.repeatable
        )
    except BadInput:  # each fault is a finding of fitkit.checks: longest part, sheet, foam sheet
        return plan
    return _checked(evolve(plan, stock=stock))


def checked_again(plan: Plan) -> Plan:
    """The plan, such as one that was saved, with the findings of every check as it is now.

    What faces what is measured anew, for the case that somebody moved an item in the file.
    """
    if plan.shell is None:
        return _checked(plan)
    gaps = gaps_of(
        plan.payload,
        interior=plan.fit.interior,
        placements=plan.fit.placements,
        panels=plan.shell.panels,
        supports=plan.shell.supports,
    )
    return _checked(evolve(plan, shell=evolve(plan.shell, gaps=gaps)))


def _checked(plan: Plan) -> Plan:
    """The plan with the findings of every check, on all that it holds."""
    stages = Stages(
        payload=plan.payload,
        fit=plan.fit,
        outside_mm=plan.outside_mm,
        foam=plan.foam,
        mass=plan.mass,
        shell=plan.shell,
        stock=plan.stock,
    )
    return evolve(plan, findings=all_checks(stages))
