"""Profiles cut across: as measured, each about its panel, none through another."""

from __future__ import annotations

from itertools import combinations

import pytest
import shapely
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

import closing_kits
from fitkit.documents.section_cut import cut_through
from fitkit.documents.section_profiles import bar_cut
from fitkit.payload.model import Profile
from fitkit.plan import Plan
from fitkit.shell.bare_shell import bare_shell

PROFILE = Profile()


def sections(plan: Plan, y_mm: float = 160.0) -> dict[str, shapely.Polygon]:
    """Every profile that the cut goes through, by its name."""
    assert plan.shell is not None
    profile = plan.payload.wall.profile
    cuts = {bar.name: bar_cut(bar, y_mm, profile=profile) for bar in plan.shell.bars}
    return {name: cut for name, cut in cuts.items() if not cut.is_empty}


def with_profile(profile: Profile) -> Plan:
    """The two screens in walls of another profile."""
    plan = closing_kits.twins()
    payload = evolve(plan.payload, wall=evolve(plan.payload.wall, profile=profile))
    shell = bare_shell(payload, interior=plan.fit.interior)
    return evolve(plan, payload=payload, shell=shell)


def test_an_edge_profile_has_its_legs_slots_and_web() -> None:
    """By hand: two outer leaves 30 x 1.5, two inner 16.5 x 1.5, two webs 10 x 1.5, less corners.

    Corners counted twice: 1.5 x 1.5 where the leaves meet, where each web meets the other's leaf
    and inner leaf, and where both webs cross.
    """
    section = sections(closing_kits.twins())["deep edge bottom left"]
    assert section.bounds == pytest.approx((-10.0, -10.0, 20.0, 20.0))
    outer, web, inner = 30 * 1.5, 10 * 1.5, 16.5 * 1.5
    once = 1.5 * 1.5
    # leaf and leaf, two of web and leaf, web and web; each inner leaf starts on the webs' crossing
    assert section.area == pytest.approx(2 * outer + 2 * web + 2 * inner - once * (1 + 2 + 1 + 2))


def test_tongue_and_groove_lie_in_each_other_with_play() -> None:
    """The tongue stands 3.5 mm over the plane, in a groove 4 mm deep: 0.5 mm are left."""
    plan = closing_kits.twins()
    found = sections(plan)
    tongue, groove = found["deep tongue left top"], found["shallow groove left bottom"]
    closing = plan.fit.interior.closing_mm
    assert tongue.bounds[3] - closing == pytest.approx(3.5)
    assert tongue.intersection(groove).area == pytest.approx(0.0)
    assert groove.bounds[1] == pytest.approx(closing)
    roof = groove.intersection(shapely.box(-6.0, closing + 3.9, -4.0, closing + 4.1))
    assert roof.bounds[1] - closing == pytest.approx(4.0)


@settings(max_examples=20, deadline=None)
@given(
    leaf=st.floats(1.0, 3.0),
    slot=st.floats(6.5, 13.0),
    web=st.floats(1.0, 3.0),
    engagement=st.floats(5.0, 14.0),
    groove=st.floats(4.0, 6.0),
)
def test_no_profile_runs_through_a_panel_or_another(
    leaf: float, slot: float, web: float, engagement: float, groove: float
) -> None:
    """Whatever the builder measures, panels lie in their slots, and profiles beside each other."""
    profile = evolve(
        PROFILE, outer_leaf_mm=leaf, inner_leaf_mm=leaf, slot_mm=slot, slot_web_mm=web,
        engagement_mm=engagement, groove_mm=groove,
    )  # fmt: skip
    plan = with_profile(profile)
    cut = cut_through(plan, 160.0)
    found = list(sections(plan).values())
    assert len(found) == 8
    for panel in cut.panels:
        for section in found:
            assert panel.intersection(section).area == pytest.approx(0.0, abs=1e-9)
    for one, other in combinations((*found, *cut.panels), 2):
        assert one.intersection(other).area == pytest.approx(0.0, abs=1e-9)


def test_profiles_along_the_cut_are_not_drawn() -> None:
    """Bars along x and uprights are missed; past the ends of the bars nothing is cut."""
    plan = closing_kits.twins()
    names = set(sections(plan))
    assert len(names) == 8
    assert all("left" in name or "right" in name for name in names)
    assert sections(plan, y_mm=-9.0).keys() <= {
        name for name in names if "tongue" in name or "groove" in name
    }
