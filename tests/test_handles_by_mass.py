"""A case carries the handles that its own finished mass asks for: hardware and foam included."""

from __future__ import annotations

from functools import lru_cache

import pytest

from case_kits import box
from fitkit.fit.layout import Fit
from fitkit.payload.model import Payload
from fitkit.plan import Choices, Plan, make_plan, plan_of
from fitkit.plan_several import known_kg
from fitkit.shell.counts import handles_for

QUICK = Choices(budget_s=0.2, repeatable=True)
PERSON_KG = 25.0  # the workshop's value when a sheet says nothing


def kit(mass_kg: float) -> Payload:
    """One heavy recorder, in a case with room for two handles on each short side."""
    return Payload("Tideline ballast", (box("recorder", 460.0, 420.0, 200.0, mass_kg=mass_kg),))


@lru_cache(maxsize=1)
def bare() -> tuple[Fit, float]:
    """Its layout, and what the finished case with two handles weighs without the recorder [kg]."""
    plan = make_plan(kit(1.0), choices=QUICK)
    return plan.fit, plan.mass.total_kg - 1.0


def planned(total_kg: float) -> Plan:
    """The case whose recorder makes it come to that mass if it had two handles."""
    fit, empty_kg = bare()
    return plan_of(kit(total_kg - empty_kg), fit=fit, choices=QUICK)


def handles(plan: Plan) -> int:
    """How many handles are fitted."""
    assert plan.shell is not None
    return sum(one.kind == "handle" for one in plan.shell.hardware)


def handles_kg(plan: Plan) -> float:
    """What its handles weigh."""
    return sum(one.mass_kg for one in plan.mass.pieces if one.name.startswith("handle"))


@pytest.mark.parametrize(
    ("total_kg", "count"), [(12.0, 2), (24.99, 2), (25.01, 4), (26.0, 4), (28.0, 4), (49.0, 4)]
)
def test_handles_follow_the_finished_mass(total_kg: float, count: int) -> None:
    """Two to a person, by the mass with hardware and foam, and the finding agrees with the case."""
    plan = planned(total_kg)
    assert handles(plan) == count == handles_for(plan.mass.total_kg, person_kg=PERSON_KG)
    verdicts = {one.check: one.verdict for one in plan.findings}
    assert verdicts["handles for people"] == "ok"


@pytest.mark.parametrize("total_kg", [24.99, 25.01])
def test_the_mass_is_that_of_the_case_as_drawn(total_kg: float) -> None:
    """The handles that were fitted are weighed; so they are in what is known before the foam."""
    plan = planned(total_kg)
    pair = handles_kg(planned(12.0))
    assert pair > 0
    assert handles_kg(plan) == pytest.approx(pair * handles(plan) / 2)
    more = handles_kg(plan) - pair
    # their dishes take some of the panel
    assert total_kg + 0.9 * more - 1e-9 <= plan.mass.total_kg <= total_kg + more + 1e-9
    # foam only loses by pockets
    assert known_kg(plan.payload, plan.fit) >= plan.mass.total_kg - 1e-9
