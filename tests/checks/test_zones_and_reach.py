"""Zones stay free; what must be at hand can be lifted out."""

from checks.kit import at, block, foam_for, stages
from fitkit.checks.reach import always_in_reach
from fitkit.checks.zones import zones_free
from fitkit.payload.model import Payload, Zone

PLUG = Zone("connector", "right", (20.0, 22.0), (10.0, 10.0), 30.0)


def test_a_free_zone_is_ok() -> None:
    """A plug that looks at a gap of 50 mm is free."""
    looked = stages(
        at("recorder", 20.0, 20.0),
        at("probe", 120.0, 20.0),
        items=(block("recorder", zones=(PLUG,)), block("probe")),
    )
    (finding,) = zones_free(looked)
    assert (finding.verdict, finding.subject) == ("ok", "1 zone")


def test_a_body_in_a_zone_is_named() -> None:
    """A block 15 mm away stands 15 mm deep in a plug's zone of 30 mm, wide 10 mm."""
    items = (block("recorder", zones=(PLUG,)), block("probe"))
    (finding,) = zones_free(stages(items=items))
    assert finding.verdict == "fails"
    assert "probe stands in the connector zone of recorder: move it by 10.0 mm" in finding.note


def test_a_zone_through_the_wall_fails() -> None:
    """A plug of 30 mm towards a wall 20 mm away runs into it."""
    left = Zone("connector", "left", (20.0, 22.0), (10.0, 10.0), 30.0)
    items = (block("recorder", zones=(left,)), block("probe"))
    (finding,) = zones_free(stages(items=items))
    assert "runs into the wall" in finding.note
    assert finding.verdict == "fails"


def test_zones_may_share_room() -> None:
    """Two plugs that look at each other across 60 mm share room and are free."""
    facing = Zone("cable", "left", (20.0, 22.0), (10.0, 10.0), 40.0)
    plug = Zone("cable", "right", (20.0, 22.0), (10.0, 10.0), 40.0)
    items = (block("recorder", zones=(plug,)), block("probe", zones=(facing,)))
    looked = stages(at("recorder", 20.0, 20.0), at("probe", 130.0, 20.0), items=items)
    assert [finding.verdict for finding in zones_free(looked)] == ["ok"]


def test_under_another_item_is_out_of_reach() -> None:
    """An item under another one fails, and the note names what must be lifted."""
    low = block("recorder", height_mm=15.0, reach="always")
    high = block("probe", height_mm=15.0, reach="always")
    looked = stages(at("recorder", 20, 20), at("probe", 30, 30, 50.0, tier=2), items=(low, high))
    found = {finding.subject: finding for finding in always_in_reach(looked)}
    assert found["recorder"].verdict == "fails"
    assert "probe must be lifted first" in found["recorder"].note
    assert found["probe"].verdict == "ok"


def test_a_whole_sheet_above_is_out_of_reach_too() -> None:
    """An item under an uncut sheet of its own half fails, though no item is above it."""
    item = block("recorder", height_mm=15.0, reach="always")
    payload = Payload("kit", (item,))
    placed = (at("recorder", 20.0, 20.0, 2.0),)
    looked = stages(*placed, items=(item,), foam=foam_for(payload, ()))
    (finding,) = always_in_reach(looked)
    assert finding.verdict == "fails"
    assert "deep-02" in finding.note


def test_other_items_are_not_asked_about() -> None:
    """Items that may lie under others give no finding."""
    assert always_in_reach(stages()) == ()


def test_a_zone_through_the_lid_fails() -> None:
    """A plug on top that needs 51 mm under a lid 50 mm away runs into it; 50 mm is free."""
    for depth, verdict in ((50.0, "ok"), (51.0, "fails")):
        above = Zone("connector", "top", (30.0, 20.0), (10.0, 10.0), depth)
        (finding,) = zones_free(stages(items=(block("recorder", zones=(above,)), block("probe"))))
        assert finding.verdict == verdict
