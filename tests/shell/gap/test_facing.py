"""Who faces whom: bodies with the supports that hold them, and foam."""

from __future__ import annotations

import pytest
import shapely

from fitkit.fit.place import place_all
from fitkit.payload.pose import Band
from fitkit.shell.gap.facing import foremost_at, has_foam, nearest
from fitkit.shell.mounting.model import Support
from gap_kits import block, gaps, kit, rails, room, stand, sub_panel


def test_a_knob_meets_the_sub_panel_beside_a_screen() -> None:
    """What stands proud is judged against the rails and sub-panels opposite too."""
    mast, screen = block("mast", size=(20.0, 20.0, 60.0), mount=rails()), block(
        "screen", mount=sub_panel()
    )  # fmt: skip
    inside = room()
    placements = (
        stand(mast, "deep", inside=inside, recess_mm=-30.0, x=70.0, y=100.0),
        stand(screen, "shallow", inside=inside, recess_mm=10.0, x=100.0, y=80.0),
    )
    board = Support(
        "sub-panel", "sub-panel", "screen", 1, "shallow",
        (60.0, 60.0, 140.0), (340.0, 240.0, 146.4), "x", "y", 280.0, 180.0, 6.4,
        "birch plywood 6.5",
    )  # fmt: skip
    alone = {gap.deep: gap for gap in gaps(kit(mast, screen), *placements, inside=inside)}
    assert alone["mast"].shallow == "panel shallow top"
    held = gaps(kit(mast, screen), *placements, inside=inside, supports=(board,))
    (gap,) = (one for one in held if one.deep == "mast")
    assert gap.shallow == "screen"
    assert gap.nominal_mm == pytest.approx(140.0 - (90.0 + 30.0))


def test_the_least_of_all_bands_counts() -> None:
    """Of bands over the same spot the foremost pair decides, wherever it is."""
    low = [
        Band(0.0, 30.0, shapely.box(0, 0, 50, 50)),
        Band(30.0, 45.0, shapely.box(40, 40, 50, 50)),
    ]
    high = [Band(60.0, 90.0, shapely.box(0, 0, 50, 50)), Band(50.0, 60.0, shapely.box(0, 0, 9, 9))]
    found = nearest(low, high, play_mm=0.0)
    assert found is not None
    assert found.gap_mm == pytest.approx(15.0)
    assert found.at_mm[:2] == pytest.approx((45.0, 45.0), abs=5.0)
    assert nearest(low, [Band(60.0, 90.0, shapely.box(60, 60, 70, 70))], play_mm=9.0) is None


def test_a_half_of_mounted_gear_alone_has_no_foam() -> None:
    """An empty half is foam, one with anything in foam too; mounted gear alone needs none."""
    screen, pouch = block("screen", mount=rails()), block("pouch", size=(50.0, 50.0, 20.0))
    inside = room()
    mounted = stand(screen, "deep", inside=inside, recess_mm=10.0)
    laid = stand(pouch, "deep", inside=inside, recess_mm=10.0, x=330.0)
    payload = kit(screen, pouch)
    assert has_foam("shallow", place_all(payload, (mounted,)))
    assert not has_foam("deep", place_all(payload, (mounted,)))
    assert has_foam("deep", place_all(payload, (mounted, laid)))


def test_the_foremost_point_is_on_the_body() -> None:
    """It lies within the foremost band, at its top in the deep half and its underside above."""
    knob = block("keyboard", knob_mm=16.0, mount=rails())
    inside = room()
    for half in ("deep", "shallow"):
        (one,) = place_all(kit(knob), (stand(knob, half, inside=inside, recess_mm=7.0),))
        x, y, z = foremost_at(one, inside)
        assert abs(z - inside.closing_mm) == pytest.approx(7.0)
        assert one.solid.section(z - 1.0, z + 1.0).covers(shapely.Point(x, y))
