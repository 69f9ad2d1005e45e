"""Mass and centre of a loaded case."""

import itertools

import pytest
import shapely
from attrs import evolve
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from fitkit.fit.layout import Half, Interior, Placement
from fitkit.fit.place import place_all
from fitkit.foam.model import Cutout, Foam, Layer
from fitkit.geometry.shapes import rectangle
from fitkit.payload.model import Body, Item, Payload, Profile, ReadyMade, Section, Wall
from fitkit.shell.bare_shell import bare_shell
from fitkit.shell.mass import NOT_WEIGHED, known, weigh
from fitkit.shell.model import Opening
from strategies import layouts

INSIDE = Interior(200.0, 100.0, (Half("deep", 60.0), Half("shallow", 50.0)))
BLOCK = Item("recorder", Body((Section(rectangle(40.0, 20.0), 0.0, 10.0),)), count=2, mass_kg=1.5)
PROBE = Item("probe", Body((Section(rectangle(40.0, 20.0), 0.0, 10.0),)))
# profiles that were weighed and came out as nothing, so that the gear is weighed alone
NO_PANELS = Wall("our board", areal_kg_m2=None, profile=Profile(kg_per_m=0.0, closing_kg_per_m=0.0))
NO_FOAM = Foam((), (), ())


def at(item: str, copy: int, x: float, y: float, z: float) -> Placement:
    """Stand a copy upright in the deep half."""
    return Placement(item, copy, "deep", 1, "top", 0.0, x, y, z)


def test_items_at_their_own_centres() -> None:
    """Two equal blocks balance in the middle between them."""
    payload = Payload("kit", (BLOCK,), wall=NO_PANELS)
    mass = weigh(
        payload,
        interior=INSIDE,
        placements=(at("recorder", 1, 0.0, 0.0, 0.0), at("recorder", 2, 100.0, 40.0, 30.0)),
        foam=NO_FOAM,
    )
    assert mass.total_kg == 3.0
    assert mass.centre_mm == pytest.approx((70.0, 30.0, 20.0))
    assert [part.name for part in mass.parts] == ["recorder 1", "recorder 2", "profiles"]


def test_a_body_of_two_sections_balances_by_volume() -> None:
    """A slab with a post on its end: the centre by hand, volumes 8000 and 2000 mm3."""
    body = Body(
        (Section(rectangle(40.0, 20.0), 0.0, 10.0), Section(rectangle(10.0, 20.0), 10.0, 20.0))
    )
    payload = Payload("kit", (Item("tool", body, mass_kg=2.0),), wall=NO_PANELS)
    mass = weigh(payload, interior=INSIDE, placements=(at("tool", 1, 0, 0, 0),), foam=NO_FOAM)
    assert mass.centre_mm == pytest.approx(((8 * 20 + 2 * 5) / 10, 10.0, (8 * 5 + 2 * 15) / 10))


def test_foam_by_volume() -> None:
    """A layer of 200 x 100 x 20 less a pocket of 40 x 20 weighs 0.384 litres of foam."""
    pocket = Cutout("recorder", 1, "pocket", rectangle(40.0, 20.0))
    layer = Layer("deep", 1, 0.0, 20.0, "foam", rectangle(200.0, 100.0), (pocket,))
    payload = Payload("kit", (BLOCK,), wall=NO_PANELS)
    mass = weigh(payload, interior=INSIDE, placements=(), foam=Foam((layer,), (), ()))
    assert mass.total_kg == pytest.approx(0.384e-3 * payload.foam.density_kg_m3)
    assert mass.centre_mm[2] == 10.0


def test_what_is_unknown_is_named() -> None:
    """Items and panels without a mass are listed, and so is what this version leaves out."""
    payload = Payload("kit", (PROBE,), wall=NO_PANELS)
    mass = weigh(payload, interior=INSIDE, placements=(at("probe", 1, 0, 0, 0),), foam=NO_FOAM)
    assert mass.total_kg == 0.0
    assert mass.unknown == ("probe", "panels (our board: kg per m2 not given)")
    assert mass.left_out == NOT_WEIGHED


def test_panels_of_the_worked_example() -> None:
    """0.95237 m2 of birch at 4.37 kg/m2 weigh 4.16 kg, balanced over the middle of the room."""
    inside = Interior(580.0, 380.0, (Half("deep", 190.0), Half("shallow", 90.0)))
    mass = weigh(Payload("kit", ()), interior=inside, placements=(), foam=NO_FOAM)
    panels, profiles = mass.parts
    assert panels.mass_kg == pytest.approx(4.16, abs=5e-3)
    assert panels.centre_mm[:2] == pytest.approx((290.0, 190.0))
    assert profiles.centre_mm[:2] == pytest.approx((290.0, 190.0))
    assert mass.total_kg == pytest.approx(panels.mass_kg + profiles.mass_kg)
    assert len(mass.pieces) == 10 + 24
    assert sum(piece.mass_kg for piece in mass.pieces) == pytest.approx(mass.total_kg)


def test_profiles_by_the_metre() -> None:
    """Edge lengths of the worked example, 4.28 m, and 8 m of mitred frame, at given masses."""
    inside = Interior(580.0, 380.0, (Half("deep", 190.0), Half("shallow", 90.0)))
    wall = Wall("our board", areal_kg_m2=None, profile=Profile(kg_per_m=0.5, closing_kg_per_m=0.25))
    mass = weigh(Payload("kit", (), wall=wall), interior=inside, placements=(), foam=NO_FOAM)
    edge_m = 4 * (0.540 + 0.340 + 0.145 + 0.045)
    frame_m = 2 * 2 * (0.600 + 0.580 + 0.400 + 0.380) / 2  # mitred: long and short points' mean
    assert mass.total_kg == pytest.approx(0.5 * edge_m + 0.25 * frame_m)


def test_an_opening_takes_its_share_out_of_its_panel() -> None:
    """A hole of 200 x 100 on the left of the front takes 0.02 m2 and shifts the centre right."""
    inside = Interior(580.0, 380.0, (Half("deep", 190.0), Half("shallow", 90.0)))
    payload = Payload("kit", ())
    whole = bare_shell(payload, interior=inside)
    cut = evolve(whole, openings=(Opening("deep front", "latch", shapely.box(0, 0, 200, 100)),))
    before, after = (
        weigh(payload, interior=inside, placements=(), foam=NO_FOAM, shell=shell)
        for shell in (whole, cut)
    )
    assert before.left_out == after.left_out == ()
    assert before.total_kg - after.total_kg == pytest.approx(0.02 * 4.37)
    assert after.centre_mm[0] > before.centre_mm[0]


@given(st.floats(0.01, 30.0), st.floats(0.01, 30.0), st.floats(-50.0, 50.0))
def test_shifting_one_item_shifts_the_centre_by_its_share(
    first_kg: float, second_kg: float, by_mm: float
) -> None:
    """The centre moves by (share of the mass) x (shift); the total stays."""
    one = evolve(BLOCK, name="one", count=1, mass_kg=first_kg)
    two = evolve(BLOCK, name="two", count=1, mass_kg=second_kg)
    payload = Payload("kit", (one, two), wall=NO_PANELS)

    def centre(x: float) -> tuple[float, float]:
        mass = weigh(
            payload,
            interior=INSIDE,
            placements=(at("one", 1, 60.0, 0, 0), at("two", 1, x, 0, 0)),
            foam=NO_FOAM,
        )
        return mass.centre_mm[0], mass.total_kg

    before, total = centre(100.0)
    after, same = centre(100.0 + by_mm)
    assert total == same == pytest.approx(first_kg + second_kg)
    assert after - before == pytest.approx(by_mm * second_kg / total, abs=1e-6)


@settings(
    deadline=None,
    max_examples=40,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
@given(layout=layouts(), areal=st.sampled_from((None, 4.37)))
def test_known_is_the_mass_with_foam_that_fills_all_that_the_bodies_leave(layout, areal) -> None:
    """Weighed with a lining cut exactly to the bodies, layer by layer, all comes out the same."""
    payload, interior, placements = layout
    payload = evolve(payload, wall=Wall("our board", areal_kg_m2=areal))
    # one beside the other in a long room, so that no foam is taken away twice
    placements = tuple(
        evolve(p, x_mm=10.0 + 200.0 * k, y_mm=20.0, z_mm=7.0 + k) for k, p in enumerate(placements)
    )
    length, width, height = 20.0 + 200.0 * len(placements), 260.0, 170.0
    halves = tuple(evolve(h, depth_mm=height / len(interior.halves)) for h in interior.halves)
    interior = evolve(interior, length_mm=length, width_mm=width, halves=halves)
    bands = [band for one in place_all(payload, placements) for band in one.solid.bands]
    cuts = {0.0, interior.closing_mm, height, *(z for b in bands for z in (b.z0_mm, b.z1_mm))}
    layers = []
    for z0, z1 in itertools.pairwise(sorted(cuts)):
        half = interior.halves[0 if z1 <= interior.closing_mm else -1].name
        middle = (z0 + z1) / 2
        bodies = [band.shape for band in bands if band.z0_mm < middle < band.z1_mm]
        rest = shapely.box(0.0, 0.0, length, width).difference(shapely.union_all(bodies))
        layers.append(Layer(half, len(layers) + 1, z0, z1, "foam", rest, ()))
    whole = weigh(
        payload, interior=interior, placements=placements, foam=Foam(tuple(layers), (), ())
    )
    mass = known(payload, interior, placements)
    assert mass.total_kg == pytest.approx(whole.total_kg, rel=1e-6)
    assert mass.centre_mm == pytest.approx(whole.centre_mm, abs=1e-3)
    assert mass.unknown == whole.unknown
    assert mass.left_out == whole.left_out


def test_known_mass_of_a_layout_that_cannot_be_never_goes_below_its_items() -> None:
    """Bodies that fill more than the room leave no foam, and take none away."""
    payload = Payload("kit", (BLOCK,), wall=NO_PANELS)
    tiny = Interior(10.0, 10.0, (Half("deep", 5.0), Half("shallow", 5.0)))
    laid = (at("recorder", 1, 0.0, 0.0, 0.0), at("recorder", 2, 0.0, 0.0, 0.0))
    assert known(payload, tiny, laid).total_kg == 3.0
    ready = ReadyMade("M", 10.0, 10.0, (10.0, 10.0), (10.0, 10.0), 5.0, 5.0, mass_kg=2.5)
    heavier = known(payload, tiny, laid, ready_made=ready)
    assert heavier.total_kg == 5.5
    assert heavier.left_out == ()
