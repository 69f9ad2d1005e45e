"""Pockets, floors and webs, measured on finished layers."""

from attrs import evolve

from checks.kit import at, foam_for, stages
from fitkit.checks.pockets import floors_under, pockets_hold
from fitkit.checks.webs import webs_thick_enough
from fitkit.fit.layout import Placement
from fitkit.foam.model import Foam, Web
from fitkit.payload.model import FoamWishes


def test_pockets_hold_their_items() -> None:
    """With pockets cut to the outlines every item is held and stands on its floor of 25."""
    looked = stages()
    assert [finding.verdict for finding in pockets_hold(looked)] == ["ok"]
    (floor,) = floors_under(looked)
    assert (floor.verdict, floor.value) == ("ok", 25.0)


def test_a_missing_pocket_is_found() -> None:
    """An item without a pocket meets foam; the finding names the layer and the area 60 x 40."""
    looked = stages()
    uncut = foam_for(looked.payload, looked.fit.placements[:1])
    findings = pockets_hold(evolve(looked, foam=uncut))
    assert [(one.subject, one.verdict) for one in findings] == [
        ("probe", "fails"),
        ("1 items", "ok"),
    ]
    assert "deep-02" in findings[0].note
    assert findings[0].value is not None
    assert abs(findings[0].value - 60 * 40) < 10


def test_an_item_that_stands_proud_needs_a_relief() -> None:
    """A block raised by 10 mm pokes into the uncut shallow half."""
    looked = stages(at("recorder", 20, 20, 35.0), at("probe", 95, 20))
    (fails, _) = pockets_hold(looked)
    assert (fails.subject, fails.verdict) == ("recorder", "fails")
    assert "shallow-01" in fails.note


def test_a_snug_pocket_is_no_fault() -> None:
    """With an allowance of -0.5 a pocket 0.5 smaller all round is what was asked for."""
    looked = stages(foam=None)
    layers = []
    for layer in looked.foam.layers:
        cut = tuple(evolve(c, shape=c.shape.buffer(-0.5)) for c in layer.cutouts)
        layers.append(evolve(layer, cutouts=cut))
    tight = evolve(looked, foam=Foam(tuple(layers), (), ()))
    assert pockets_hold(tight)[0].verdict == "fails"
    snug = evolve(tight, payload=evolve(tight.payload, foam=FoamWishes(allowance_mm=-0.5)))
    assert [one.verdict for one in pockets_hold(snug)] == ["ok"]


def test_no_floor_is_found_in_both_halves() -> None:
    """A block that stands on the panel, or hangs right under the lid's panel, has no floor."""
    bare = stages(at("recorder", 20, 20, 0.0), at("probe", 95, 20))
    found = [one for one in floors_under(bare) if one.verdict == "fails"]
    assert [(one.subject, one.value) for one in found] == [("recorder", 0.0)]
    lid = Placement("probe", 1, "shallow", 1, "bottom", 0.0, 95.0, 20.0, 72.0)
    thin = stages(at("recorder", 20, 20), lid)
    (fails, _) = floors_under(thin)
    assert (fails.subject, fails.verdict, fails.value) == ("probe", "fails", 3.0)


def test_a_pocket_that_is_too_deep_asks_for_a_pad() -> None:
    """A block 4 mm above the bottom of its pocket needs a pad of 4 mm under it."""
    looked = stages(at("recorder", 20, 20, 29.0), at("probe", 95, 20, 29.0))
    (finding,) = floors_under(looked)
    assert finding.value == 25.0
    assert "put a pad of 4.0 mm under it" in finding.note


def test_narrow_webs_are_reported_with_place_and_width() -> None:
    """A web of 9.2 against 15 fails and names layer, neighbours, place and what is missing."""
    looked = stages()
    web = Web("deep", 2, "recorder", "probe", 9.2, 15.0, (80.0, 40.0), (89.2, 40.0))
    (finding,) = webs_thick_enough(evolve(looked, foam=evolve(looked.foam, webs=(web,))))
    assert (finding.verdict, finding.value, finding.limit) == ("fails", 9.2, 15.0)
    assert finding.subject == "deep-02: recorder, probe"
    assert "x 85, y 40" in finding.note
    assert "5.8 mm" in finding.note
    assert [one.verdict for one in webs_thick_enough(looked)] == ["ok"]
