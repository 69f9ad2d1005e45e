"""All cables of a layout: where they run, how long they must be, and what is said of them."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from attrs import evolve

import cable_kits as kits
from fitkit.fit.place import place_all
from fitkit.foam.model import Room
from fitkit.payload.cables import Cable, Plug
from fitkit.payload.workshop import HardwareWishes, LidKind, Use, Workshop
from fitkit.shell.cables.blocks import body_blocks, front_blocks
from fitkit.shell.cables.curve import tightest_mm
from fitkit.shell.cables.make import Cabled, cables_of
from fitkit.shell.cables.model import Route
from fitkit.shell.cables.opening import BESIDE_MM, SLACK


def cabled(*cables: Cable, rooms: tuple[Room, ...] = (), workshop: Workshop = Workshop(),
           low_mm: float = 35.0, exits: bool = True) -> Cabled:  # fmt: skip
    """The cables of the twin screens."""
    return cables_of(
        kits.payload(*cables, workshop=workshop),
        interior=kits.interior(),
        placements=kits.placements(low_mm=low_mm),
        rooms=rooms,
        exits=kits.EXITS if exits else (),
    )


def assert_clear(route: Route, thick_mm: float) -> None:
    """Off every body, every front and every wall by half its thickness."""
    placed = place_all(kits.payload(), kits.placements())
    path = np.array(route.path_mm)
    half = thick_mm / 2
    for block in (*body_blocks(placed), *front_blocks(placed, interior=kits.interior())):
        low, high = np.array(block.low_mm) - half + 0.2, np.array(block.high_mm) + half - 0.2
        within = np.all(path > low, axis=1) & np.all(path < high, axis=1)
        assert not within[3:-3].any()
    size = np.array(kits.interior().size_mm)
    assert (path[:, :2] >= half - 0.1).all()
    assert (path[:, :2] <= size[:2] - half + 0.1).all()
    assert (path[:, 2] >= -0.1).all()
    assert (path[:, 2] <= size[2] + 0.1).all()


def test_each_copy_has_its_own_cable_through_its_own_exit() -> None:
    """Two leads, numbered, each out of the half in which its screen stands."""
    found = cabled(kits.power())
    assert [route.label for route in found.routes] == ["power lead 1", "power lead 2"]
    assert [route.through for route in found.routes] == ["exit deep", "exit shallow"]
    assert all(route.to == "outside" for route in found.routes)
    for route, back in zip(found.routes, (0.0, 2 * kits.DEPTH_MM), strict=True):
        assert route.blocked == ""
        assert route.path_mm[-1][2] == pytest.approx(back)
        assert_clear(route, 8.0)
        assert tightest_mm(np.array(route.path_mm)) >= 24.0 + 4.0 - 1e-3
        assert route.tightest_mm == route.bend_mm == 24.0  # power flex, laid once: 3 d
        path = np.array(route.path_mm)
        drawn = float(np.linalg.norm(np.diff(path, axis=0), axis=1).sum())
        assert route.closed_mm == pytest.approx(drawn - 30.0, rel=2e-3)  # the plug is left out
        assert route.needed_mm == pytest.approx((1 + SLACK) * route.closed_mm)
    assert found.bundles == ()
    assert found.troubles == ()


def test_halves_swapped_give_the_same_cables_mirrored() -> None:
    """Two screens that are alike in the closing plane have paths and coils alike in it."""
    item = kits.screen()
    middle = tuple(evolve(zone, at_mm=(131.0, zone.at_mm[1])) for zone in item.zones)
    body = evolve(
        item.body,
        sections=(
            item.body.sections[0],
            evolve(item.body.sections[1], outline=shapely.box(120, 71, 300, 191)),
        ),
    )
    alike = evolve(item, zones=middle, body=body)
    kit = evolve(kits.payload(kits.power(length_mm=2000.0)), items=(alike,))
    lower, upper = cables_of(
        kit, interior=kits.interior(), placements=kits.placements(), exits=kits.EXITS
    ).routes
    mirrored = [(x, y, 2 * kits.DEPTH_MM - z) for x, y, z in upper.path_mm]
    assert len(mirrored) == len(lower.path_mm)
    for there, here in zip(mirrored, lower.path_mm, strict=True):
        assert there == pytest.approx(here)
    assert lower.coil is not None
    assert upper.coil is not None
    assert lower.coil.turns == pytest.approx(upper.coil.turns)
    assert (lower.coil.room is None) == (upper.coil.room is None)
    if lower.coil.room is not None and upper.coil.room is not None:
        assert upper.coil.room.high_mm[2] == pytest.approx(
            2 * kits.DEPTH_MM - lower.coil.room.low_mm[2]
        )
        assert upper.coil.room.low_mm[:2] == pytest.approx(lower.coil.room.low_mm[:2])


def test_a_cable_across_the_plane_is_long_enough_to_open_the_case() -> None:
    """Side by side: to the rim, across two walls and the room between, and to the other end."""
    route = cabled(kits.link()).routes[0]
    assert route.through == "closing plane"
    assert route.blocked == ""
    assert_clear(route, 6.0)
    assert route.open_mm > route.closed_mm
    # at the very least the crow's way: from either end up to the rim at the back wall, and across
    ends = [np.array(route.path_mm[0]), np.array(route.path_mm[-1])]
    rims = [math.hypot(kits.WIDTH_MM - end[1], kits.DEPTH_MM - end[2]) for end in ends]
    assert route.open_mm >= sum(rims) + 20.0 + BESIDE_MM - 40.0  # less what lies in the plugs
    assert route.needed_mm == pytest.approx((1 + SLACK) * route.open_mm)
    assert route.coil is not None or route.given_mm is not None


@pytest.mark.parametrize(
    ("lid", "use", "across"), [("hinged", "flat", 20.0), ("lift off", "flat", 70.0)]
)
def test_how_the_case_opens_counts(lid: LidKind, use: Use, across: float) -> None:
    """On hinges the rims turn about one line: the room between the halves is not needed."""
    shop = Workshop(hardware=HardwareWishes(lid=lid, use=use))
    apart = cabled(kits.link()).routes[0]
    route = cabled(kits.link(), workshop=shop).routes[0]
    assert apart.open_mm - route.open_mm == pytest.approx(70.0 - across)


def test_upright_halves_open_about_a_short_side() -> None:
    """Upright, side by side: a cable on the right side is short, one on the left is long."""
    shop = Workshop(hardware=HardwareWishes(use="upright"))
    flat = cabled(kits.link()).routes[0]
    upright = cabled(kits.link(), workshop=shop).routes[0]
    assert upright.open_mm < flat.open_mm


def test_together_they_are_as_thick_as_their_bundle() -> None:
    """Three alike in one run: bent as a bundle, and the exit's bundle counts all of them."""
    one, three = cabled(kits.power()), cabled(kits.power(count=3))
    assert three.routes[0].closed_mm != one.routes[0].closed_mm
    bundle = three.bundles[0]
    assert bundle.where == "exit deep"
    assert bundle.labels == ("power lead 1 (3)",)
    assert bundle.diameter_mm == pytest.approx(8.0 * 2.1547, abs=0.01)


def test_without_an_exit_a_cable_that_stays_plugged_in_is_lost() -> None:
    """It is named, with what would do; unplugged it needs none."""
    found = cabled(kits.power(), exits=False)
    assert all(route.blocked for route in found.routes)
    assert [trouble.where for trouble in found.troubles] == ["power lead 1", "power lead 2"]
    assert "exits" in found.troubles[0].remedy
    quiet = cabled(kits.power(plugged=False), exits=False)
    assert quiet.troubles == ()
    assert all(not route.blocked and route.path_mm == () for route in quiet.routes)


def test_an_unplugged_cable_is_wound_up_whole() -> None:
    """Its whole length is in the coil, none in a path."""
    route = cabled(kits.link(plugged=False, length_mm=900.0)).routes[0]
    assert route.path_mm == ()
    assert route.closed_mm == 0.0
    assert route.open_mm > 0
    assert route.coil is not None
    around = math.pi * route.coil.mean_mm + 2 * route.coil.straight_mm
    assert route.coil.turns * around == pytest.approx(900.0)


def test_too_stiff_a_cable_is_told_how_tight_it_would_be() -> None:
    """A bend that has no room: the tightest that has is known within its step."""
    route = cabled(kits.power(bend_mm=120.0)).routes[0]
    assert route.bend_mm == 120.0
    assert 0 < route.tightest_mm < 120.0
    gentler = cabled(kits.power(bend_mm=route.tightest_mm)).routes[0]
    assert gentler.tightest_mm == pytest.approx(route.tightest_mm)


def test_what_shuts_the_way_is_named() -> None:
    """A dish across the half: the cable has no way, and the dish is the culprit."""
    wall = Room((40.0, 200.0, 0.0), (60.0, 320.0, 95.0), "handle left 1")
    front = Room((0.0, 200.0, 0.0), (60.0, 215.0, 95.0), "handle left 1")
    under = Room((60.0, 200.0, 0.0), (540.0, 215.0, 47.0), "handle left 1")
    beyond = Room((500.0, 200.0, 0.0), (540.0, 215.0, 95.0), "handle left 1")
    found = cabled(kits.power(), rooms=(wall, front, under, beyond))
    assert found.routes[0].blocked == "handle left 1 leaves no room for it"
    assert found.routes[0].path_mm == ()


@pytest.mark.parametrize(("count", "thick"), [(1, 8.0), (3, 8.0 * 2.1547)])
def test_a_cable_passes_a_slot_that_is_as_wide_as_it_is_thick(count: int, thick: float) -> None:
    """Between a wall and a dish it passes with 2 mm to spare, off both by half of all that run.

    Where 1 mm is missing it does not.
    """
    dish = Room((thick + 2.0, 250.0, 0.0), (540.0, 256.0, 95.0), "handle left 1")
    cable = kits.power(count=count, bend_mm=10.0)
    route = cabled(cable, rooms=(dish,)).routes[0]
    assert route.blocked == ""
    path = np.array(route.path_mm)
    nearest = min(
        float(np.linalg.norm(np.maximum(0.0, np.maximum(dish.low_mm - a, a - dish.high_mm))))
        for p, q in zip(path[:-1], path[1:], strict=True)
        for a in (p + (q - p) * share for share in np.linspace(0, 1, 40))
    )
    assert thick / 2 - 0.15 <= nearest <= thick / 2 + 2.15
    narrow = evolve(dish, low_mm=(thick - 1.0, 250.0, 0.0))
    assert cabled(cable, rooms=(narrow,)).routes[0].blocked == "handle left 1 leaves no room for it"


def test_a_plug_without_its_room_is_named_with_the_millimetres() -> None:
    """A plug of 75 mm and its run reach as far into the left wall as figures say."""
    long = evolve(kits.POWER_PLUG, length_mm=75.0)
    found = cabled(kits.power(plugs=(long, None)))
    trouble = found.troubles[0]
    assert trouble.where == "power lead 1 at field screen 1.left.1"
    # the connector lies 80 mm off the wall; plug 75 and straight run 8
    assert trouble.short_mm == pytest.approx(3.0)
    assert "the left wall" in trouble.what


def test_an_angled_plug_turns_the_cable_aside() -> None:
    """Its cable leaves beside the plug: the room before it is the plug's body alone."""
    flat = Plug(22.0, 13.0, 76.0, angled=True)
    found = cabled(kits.power(plugs=(flat, None)))
    assert found.troubles == ()
    assert all(not route.blocked for route in found.routes)


def test_no_cables_no_work() -> None:
    """A kit without cables has none."""
    assert cabled() == Cabled()
