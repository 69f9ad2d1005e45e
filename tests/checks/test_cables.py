"""The checks of cables: what is missing, by how much, and what would do."""

from __future__ import annotations

import pytest
from attrs import evolve

import cable_kits as kits
from fitkit.checks.cables import (
    bends_allowed,
    cables_have_a_way,
    cables_long_enough,
    coils_stowed,
)
from fitkit.checks.registry import CHECKS
from fitkit.checks.stages import Stages
from fitkit.shell.cables.model import Coil, Route


def with_routes(**more: object) -> Stages:
    """The twin screens with their link, its route changed."""
    made = kits.stages(kits.link())
    assert made.shell is not None
    routes = tuple(evolve(route, **more) for route in made.shell.routes)
    return evolve(made, shell=evolve(made.shell, routes=routes))


def the_route() -> Route:
    """The link as it runs."""
    shell = kits.stages(kits.link()).shell
    assert shell is not None
    return shell.routes[0]


def test_the_checks_are_asked() -> None:
    """All four stand in the list of checks."""
    assert {cables_have_a_way, bends_allowed, cables_long_enough, coils_stowed} <= set(CHECKS)


def test_a_cable_that_is_long_enough_is_ok() -> None:
    """What is to spare is told."""
    route = the_route()
    (found,) = cables_long_enough(with_routes(given_mm=route.open_mm * 1.2))
    assert found.verdict == "ok"
    assert found.limit == pytest.approx(route.open_mm)
    assert f"{route.open_mm * 0.2:.0f} mm are to spare" in found.note


def test_without_slack_it_is_tight_and_shorter_it_fails_by_the_millimetres() -> None:
    """Long enough but not by a tenth: tight. One millimetre short: fails by one."""
    route = the_route()
    (tight,) = cables_long_enough(with_routes(given_mm=route.open_mm * 1.05))
    assert tight.verdict == "tight"
    (short,) = cables_long_enough(with_routes(given_mm=route.open_mm - 37.0))
    assert short.verdict == "fails"
    assert short.margin == pytest.approx(-37.0)
    assert "37 mm too short" in short.note
    assert "side by side" in short.note


def test_a_cable_that_is_still_to_be_bought_is_told_its_length() -> None:
    """The length with slack is the value, and nothing fails."""
    route = the_route()
    (found,) = cables_long_enough(with_routes(given_mm=None))
    assert found.verdict == "ok"
    assert found.value == pytest.approx(route.needed_mm)
    assert "Buy or cut" in found.note


def test_a_bend_that_is_too_tight_fails_by_the_millimetres() -> None:
    """Allowed 24, found 15: 9 missing, and the rule; where all are allowed, one finding says so."""
    (found,) = bends_allowed(with_routes(bend_mm=24.0, tightest_mm=15.0))
    assert found.verdict == "fails"
    assert found.margin == pytest.approx(-9.0)
    assert "9 mm are missing" in found.note
    assert "TIA-568" in found.source or "twisted pair cord" in found.source
    (fine,) = bends_allowed(with_routes(bend_mm=24.0, tightest_mm=24.0))
    assert fine.verdict == "ok"


def test_a_cable_without_a_way_fails() -> None:
    """What stands in its way is named; length, bends and coil are not judged then."""
    blocked = with_routes(blocked="the recorder leaves no room for it", path_mm=())
    (found,) = cables_have_a_way(blocked)
    assert found.verdict == "fails"
    assert "the recorder leaves no room for it" in found.note
    assert bends_allowed(blocked) == ()
    assert cables_long_enough(blocked) == ()
    assert cables_have_a_way(with_routes()) == ()


def test_a_coil_without_a_place_fails_by_the_millimetres() -> None:
    """Between two connectors it fails; from an outside lead it may be wound up outside: tight."""
    coil = Coil(4.0, 110.0, 130.0, 20.0, None, 12.0)
    (found,) = coils_stowed(with_routes(coil=coil))
    assert found.verdict == "fails"
    assert found.margin == pytest.approx(-12.0)
    made = kits.stages(kits.power())
    assert made.shell is not None
    routes = tuple(evolve(route, coil=coil) for route in made.shell.routes)
    outside = coils_stowed(evolve(made, shell=evolve(made.shell, routes=routes)))
    assert [one.verdict for one in outside] == ["tight", "tight"]
    assert all("hot" in one.caution for one in outside)


def test_nothing_is_said_without_a_shell_or_cables() -> None:
    """No cables, no findings."""
    none = kits.stages()
    for check in (cables_have_a_way, bends_allowed, cables_long_enough, coils_stowed):
        assert check(none) == ()
        assert check(evolve(none, shell=None)) == ()


def test_a_zone_too_shallow_to_bend_behind_its_plug_is_told_its_depth() -> None:
    """Plug, straight run of one diameter, radius inside, diameter again: that deep, or nothing."""
    made = kits.stages(kits.power())
    assert made.shell is not None
    plug = kits.power().plugs[0]
    assert plug is not None
    assert not plug.angled

    def told(bend_mm: float, tightest_mm: float) -> str:
        shell = made.shell
        assert shell is not None
        route = evolve(shell.routes[0], bend_mm=bend_mm, tightest_mm=tightest_mm)
        (found,) = bends_allowed(evolve(made, shell=evolve(shell, routes=(route,))))
        return found.note

    need = plug.length_mm + 2 * 8.0 + 24.0
    assert need > 55.0
    note = told(24.0, 0.0)
    assert f"make the zone of field screen 1.left.1 {need:.0f} mm deep (55 now)" in note
    assert "radius of 0" not in note
    note = told(55.0 - plug.length_mm - 2 * 8.0, 3.0)
    assert "zone" not in note
    assert "a cable that may be bent to a radius of 3 mm" in note
