"""Mass and centre of a loaded case."""

import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from fitkit.fit.layout import Half, Interior, Placement
from fitkit.foam.model import Cutout, Foam, Layer
from fitkit.geometry.shapes import rectangle
from fitkit.payload.model import Body, Item, Payload, Section, Wall
from fitkit.shell.mass import NOT_WEIGHED, weigh

INSIDE = Interior(200.0, 100.0, (Half("deep", 60.0), Half("shallow", 50.0)))
BLOCK = Item("recorder", Body((Section(rectangle(40.0, 20.0), 0.0, 10.0),)), count=2, mass_kg=1.5)
PROBE = Item("probe", Body((Section(rectangle(40.0, 20.0), 0.0, 10.0),)))
NO_PANELS = Wall(areal_kg_m2=None)
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
    assert [part.name for part in mass.parts] == ["recorder 1", "recorder 2"]


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
    assert mass.unknown == ("probe", "panels (birch plywood 6.5: kg per m2 not given)")
    assert mass.left_out == NOT_WEIGHED


def test_panels_of_the_worked_example() -> None:
    """0.95237 m2 of birch at 4.37 kg/m2 weigh 4.16 kg, balanced over the middle of the room."""
    inside = Interior(580.0, 380.0, (Half("deep", 190.0), Half("shallow", 90.0)))
    mass = weigh(Payload("kit", ()), interior=inside, placements=(), foam=NO_FOAM)
    assert mass.total_kg == pytest.approx(4.16, abs=5e-3)
    assert mass.centre_mm[:2] == pytest.approx((290.0, 190.0))


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
