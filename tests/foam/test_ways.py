"""Channels for cables: the foam is free where a cable runs, and no sliver stands beside it."""

from __future__ import annotations

import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import LineString, Polygon

from fitkit.fit.layout import Half, Interior, Placement
from fitkit.foam.layers import make_foam
from fitkit.foam.model import Foam, Way
from fitkit.geometry.shapes import rectangle
from fitkit.payload.cables import Cable, Connector
from fitkit.payload.model import Body, FoamWishes, Item, Payload, Section
from fitkit.shell.cables.foam_ways import owner_of, ways_of
from fitkit.shell.cables.model import Route

ROOM = Interior(300.0, 200.0, (Half("deep", 120.0), Half("shallow", 50.0)))
BOX = Item("box", Body((Section(rectangle(100.0, 80.0), 0.0, 60.0),)))
KIT = Payload("kit", (BOX,), foam=FoamWishes(notch=None))
STANDS = (Placement("box", 1, "deep", 1, "top", 0.0, 30.0, 60.0, 30.0),)


def route(path: tuple[tuple[float, float, float], ...], *, diameter: float = 8.0) -> Route:
    """A cable from the box along a path."""
    return Route("link", "link", "box.right.1", "outside", diameter, path, 0.0, 0.0, 0.0, None,
                 20.0, 20.0)  # fmt: skip


def lined(ways: tuple[Way, ...]) -> Foam:
    """The foam of the box with those channels."""
    return make_foam(KIT, interior=ROOM, placements=STANDS, ways=ways)[1]


def test_a_cable_is_laid_in_from_above() -> None:
    """A path at half height: free in its own layer and above it, foam whole below it."""
    ways = ways_of(KIT, [route(((140.0, 100.0, 60.0), (280.0, 100.0, 60.0)))])
    line = LineString([(140.0, 100.0), (280.0, 100.0)])
    for layer in lined(ways).layers:
        if layer.half != "deep":
            continue
        met = float(layer.shape.intersection(line.buffer(4.9)).area)
        assert (met == 0.0) == (layer.z1_mm > 55.0 + 1e-6), layer


def test_under_a_body_the_foam_that_it_stands_on_stays() -> None:
    """A cable below the box takes its own band alone; the foam between the two stays whole."""
    ways = ways_of(KIT, [route(((40.0, 70.0, 4.0), (120.0, 130.0, 4.0)), diameter=4.0)])
    foam = lined(ways)
    line = LineString([(40.0, 70.0), (120.0, 130.0)])
    under = [one for one in foam.layers if one.half == "deep" and one.z1_mm <= 30.0 + 1e-6]
    taken = [float(one.shape.intersection(line).length) < 1e-6 for one in under]
    assert taken == [one.z0_mm < 7.0 for one in under]
    assert taken[0] is True


def test_a_coil_takes_its_own_room_alone() -> None:
    """Layers that the coil's room reaches into are free there, all others are whole."""
    way = Way("box", 1, rectangle(60.0, 60.0, at=(200.0, 20.0)), 0.0, 15.0, laid=False)
    for layer in lined((way,)).layers:
        if layer.half == "deep":
            met = float(layer.shape.intersection(way.outline).area)
            assert (met < 1e-6) == (layer.z0_mm < 15.0)


def test_a_cable_belongs_to_the_copy_that_it_starts_at() -> None:
    """The connector's label names item and copy; a name that another one begins with is not it."""
    kit = Payload("kit", (Item("box", BOX.body), Item("box lid", BOX.body, count=2)))
    assert owner_of(kit, "box lid 2.left.1") == ("box lid", 2)
    assert owner_of(kit, "box.left.1") == ("box", 1)
    assert owner_of(kit, "reel.left.1") is None
    assert Cable("link", Connector("box", "left"), None, 5.0).start.name == "box.left.1"


@settings(max_examples=30, deadline=None)
@given(
    st.lists(
        st.tuples(st.integers(8, 292), st.integers(8, 192), st.integers(45, 115)),
        min_size=2, max_size=5, unique=True,
    ),
    st.sampled_from((4.0, 8.0, 12.0)),
)  # fmt: skip
def test_foam_is_free_along_any_path(points: list[tuple[int, int, int]], diameter: float) -> None:
    """No foam within the cable's radius anywhere along it, and no web beside it that tears."""
    path = tuple((float(x), float(y), float(z)) for x, y, z in points)
    foam = lined(ways_of(KIT, [route(path, diameter=diameter)]))
    for start, end in zip(path[:-1], path[1:], strict=True):
        low, high = sorted((start[2], end[2]))
        core = LineString([start[:2], end[:2]]).buffer(diameter / 2)
        if not isinstance(core, Polygon) or core.is_empty:
            core = shapely.Point(start[:2]).buffer(diameter / 2)
        for layer in foam.layers:
            if layer.half == "deep" and layer.z0_mm < high and layer.z1_mm > low:
                assert float(layer.shape.intersection(core).area) < 1e-6
    beside = [web for web in foam.webs if web.width_mm < web.limit_mm - 0.02]
    assert beside == []
