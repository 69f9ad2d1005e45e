"""Limits, lifting, panels, cutting, and what is not known of the gear."""

import pytest
from attrs import evolve

from checks.kit import block, stages
from fitkit.checks.building import panel_in_slot, sheets_can_be_cut
from fitkit.checks.gear import fragility_known, heat_and_power
from fitkit.checks.handling import lifting, masses_known
from fitkit.checks.limits import depths_make_corners, mass_limit, outside_limits
from fitkit.checks.mounting import mounted_items
from fitkit.checks.registry import CHECKS, all_checks
from fitkit.fit.layout import Half, Interior
from fitkit.payload.model import CaseWishes, FoamWishes, Limits, Profile, Wall
from fitkit.payload.mounts import Mount
from fitkit.shell.mass import Mass


def limited(**limits: object) -> CaseWishes:
    """Wish for nothing but limits."""
    return CaseWishes(limits=Limits(**limits))  # type: ignore[arg-type]  # passed on as they are


def test_no_limit_no_finding() -> None:
    """Without limits there is nothing to judge."""
    assert outside_limits(stages()) == ()
    assert mass_limit(stages()) == ()


def test_outside_limits() -> None:
    """The longer side of the plan (220) meets the larger limit (210); the height keeps its own."""
    case = limited(outside_mm=(None, 140.0, None))
    found = {one.subject: one for one in outside_limits(stages(case=case))}
    # free goes with the longer side: 140 <= 140 is all that is left to judge
    assert {name: one.verdict for name, one in found.items()} == {"width": "ok"}
    case = limited(outside_mm=(140.0, 210.0, 130.0))
    found = {one.subject: one for one in outside_limits(stages(case=case))}
    assert found["length"].verdict == "fails"
    assert found["length"].margin == -10.0
    assert "length is 10.0 mm too much" in found["length"].note
    assert found["height"].margin == -10.0


def test_linear_sum() -> None:
    """220 + 140 + 140 = 500 against 500 is ok, against 499 fails by 1."""
    assert outside_limits(stages(case=limited(linear_mm=500.0)))[0].verdict == "ok"
    assert outside_limits(stages(case=limited(linear_mm=499.0)))[0].margin == -1.0


@pytest.mark.parametrize(
    ("total", "unknown", "left_out", "verdict"),
    [
        (24.0, (), ("corners",), "unknown"),
        (24.0, ("probe",), (), "unknown"),
        (24.0, (), (), "ok"),
        (25.0, (), (), "ok"),
        (25.1, ("probe",), ("corners",), "fails"),
    ],
)
def test_lifting_and_mass_limit(
    total: float, unknown: tuple[str, ...], left_out: tuple[str, ...], verdict: str
) -> None:
    """Above 25 kg fails whatever is unknown; below it is ok only if all is weighed.

    25 kg: ISO 11228-1, starting reference mass (secondary page).
    """
    mass = Mass((), total, (0.0, 0.0, 0.0), unknown, left_out)
    looked = stages(case=limited(mass_kg=25.0), mass=mass)
    for check in (lifting, mass_limit):
        (finding,) = check(looked)
        assert (finding.verdict, finding.limit) == (verdict, 25.0)
    (finding,) = lifting(looked)
    assert "local" in finding.caution
    assert "ISO 11228-1" in finding.source


def test_unknown_masses_are_listed() -> None:
    """Items without a mass are named; none, no finding."""
    (finding,) = masses_known(stages(items=(block("recorder", mass_kg=1.0), block("probe"))))
    assert (finding.subject, finding.verdict) == ("probe", "unknown")
    assert (
        masses_known(stages(items=(block("recorder", mass_kg=1.0), block("probe", mass_kg=2.0))))
        == ()
    )


def test_shallow_halves_fail() -> None:
    """A half of 40 mm is 5 mm short of the 45 that its corners need."""
    looked = stages()
    room = Interior(200.0, 120.0, (Half("deep", 70.0), Half("shallow", 40.0)))
    found = depths_make_corners(evolve(looked, fit=evolve(looked.fit, interior=room)))
    assert [(one.subject, one.verdict, one.margin) for one in found] == [
        ("deep half", "ok", 25.0),
        ("shallow half", "fails", -5.0),
    ]


@pytest.mark.parametrize(
    ("panel", "panel_mm", "slot_mm", "verdict"),
    [
        ("birch plywood 6.5", 6.4, 7.0, "ok"),  # sold 6.1 to 6.9
        ("birch plywood 6.5", 6.4, 6.5, "tight"),
        ("birch plywood 6.5", 6.9, 6.5, "fails"),
        ("birch plywood 9", 9.2, 9.5, "ok"),  # sold 8.8 to 9.5: just
        ("birch plywood 12", 12.0, 12.0, "tight"),  # sold 11.5 to 12.5
        ("our own board", 6.0, 7.0, "unknown"),
    ],
)
def test_panel_in_slot(panel: str, panel_mm: float, slot_mm: float, verdict: str) -> None:
    """The range in which birch plywood is sold decides, not the name.

    Ranges: table of real thickness of birch plywood (secondary).
    """
    wall = Wall(panel=panel, panel_mm=panel_mm, profile=Profile(slot_mm=slot_mm))
    (finding,) = panel_in_slot(stages(wall=wall))
    assert finding.verdict == verdict


def test_cutting_depth_and_cautions() -> None:
    """A knife masters 50 mm (common practice, no source); each method has its caution."""
    looked = stages()
    (knife,) = sheets_can_be_cut(looked)
    assert (knife.verdict, knife.value, knife.limit) == ("ok", 50.0, 50.0)
    assert "blade" in knife.caution
    thick = evolve(looked.foam.layers[2], z1_mm=130.0)
    (fails,) = sheets_can_be_cut(evolve(looked, foam=evolve(looked.foam, layers=(thick,))))
    assert (fails.verdict, fails.value) == ("fails", 60.0)
    for cutting, word in (("hot wire", "never polyurethane"), ("router", "dust")):
        wishes = FoamWishes(cutting=cutting)  # type: ignore[arg-type]  # one of the three
        (other,) = sheets_can_be_cut(evolve(looked, payload=evolve(looked.payload, foam=wishes)))
        assert other.verdict == "unknown"
        assert word in other.caution


def test_gear_that_needs_more_is_said() -> None:
    """Mounted, running and fragile items are unknown until a later stage answers for them."""
    items = (
        block("recorder", hold="mounted", power_w=12.0, fragility_g=40.0),
        block("probe"),
    )
    looked = stages(items=items)
    (mount,) = mounted_items(looked)
    assert (mount.subject, mount.verdict) == ("recorder", "unknown")
    (heat,) = heat_and_power(looked)
    assert heat.value == 12.0
    assert "electrician" in heat.caution
    ask, drop = fragility_known(looked)
    assert (ask.subject, drop.subject, drop.value) == ("probe", "recorder", 40.0)


def test_mounted_gear_is_not_said_to_lie_in_foam() -> None:
    """Drop protection of mounted gear asks for padding, that of gear in foam for its curve."""
    items = (
        block("probe", hold="mounted", mount=Mount(), fragility_g=60.0),
        block("recorder", fragility_g=40.0),
    )
    foam, mounted = fragility_known(stages(items=items))
    assert (foam.subject, foam.value, mounted.subject, mounted.value) == (
        "recorder",
        40.0,
        "probe",
        60.0,
    )
    assert "cushion curve" in foam.note
    assert "no cushion of its own" in mounted.note
    assert "foam" not in mounted.note


def test_every_check_runs_once_in_order() -> None:
    """The registry lists each check once and gives their findings in its order."""
    looked = stages()
    assert len(set(CHECKS)) == len(CHECKS)
    assert all_checks(looked) == tuple(one for check in CHECKS for one in check(looked))


def test_findings_are_fit_to_print() -> None:
    """Every finding has a check, a subject, a sentence with a full stop, and a source."""
    items = (block("recorder", hold="mounted", power_w=12.0, fragility_g=40.0), block("probe"))
    case = limited(outside_mm=(100.0, 100.0, 100.0), linear_mm=300.0, mass_kg=1.0)
    for finding in all_checks(stages(items=items, case=case)):
        assert finding.check
        assert finding.subject
        assert finding.note.endswith("."), finding
        assert finding.note[0].isupper() or finding.note[0].isdigit(), finding
        assert finding.source
        if finding.verdict == "fails":
            assert finding.margin is not None
            assert finding.margin < 0
