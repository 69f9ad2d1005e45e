"""Whole plans of kits that nobody has seen."""

from __future__ import annotations

from hypothesis import HealthCheck, given, settings

from fitkit.fit.validate import violations
from fitkit.payload.model import Payload
from fitkit.plan import Choices, make_plan
from fitkit.plan_json import dumps, loads
from fitkit.reference.handling import reference_masses
from strategies import payloads


@settings(
    deadline=None,
    max_examples=25,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
@given(payloads(max_items=3))
def test_any_kit_is_planned(payload: Payload) -> None:
    """Settled on its foam the layout still holds, and only webs may fail (they are asked for thin).

    So may the shell of a case that is smaller than its corners' legs are long, the closing gap of a
    pair, whose recess is drawn without a thought for it, and the lift of a kit that is too heavy
    for one person, with the handles that more people need where its walls have no room for them.

    Every item has a pocket, every pocket a floor, every clearance is kept after items were raised,
    the saved plan is the plan, and value, bound and gap belong together.
    """
    plan = make_plan(payload, choices=Choices(budget_s=0.2, repeatable=True))
    fit = plan.fit
    assert violations(payload, interior=fit.interior, placements=fit.placements) == ()
    failing = {finding.check for finding in plan.findings if finding.verdict == "fails"}
    tiny = min(plan.outside_mm) < 2 * payload.wall.profile.corner_reach_mm
    heavy = plan.mass.total_kg > reference_masses()["starting value"].reference_kg + 0.01
    assert ("lifting" in failing) == heavy
    may = {"web"} | ({"shell"} if tiny else set())
    may |= {"lifting", "handles for people"} if heavy else set()
    assert failing <= may | ({"closing gap"} if payload.case.form == "pair" else set())
    cuts = [cut for layer in plan.foam.layers for cut in layer.cutouts]
    pockets = {(cut.item, cut.copy) for cut in cuts if cut.kind == "pocket"}
    assert pockets == {(p.item, p.copy) for p in fit.placements}
    assert 0 < fit.bound <= fit.value * (1 + 1e-9)
    assert loads(dumps(plan, written=())) == plan
