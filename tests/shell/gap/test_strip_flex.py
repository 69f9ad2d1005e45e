"""Boards on two edges: between a beam and a plate on four, and where a sub-panel lies on them."""

from __future__ import annotations

import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from fitkit.fit.place import place_all
from fitkit.payload.mounts import HolePattern, Mount
from fitkit.reference.moduli import Rigidity
from fitkit.shell.gap.flex import beam_compliance, plate_compliance
from fitkit.shell.gap.lies_on import lies_on
from fitkit.shell.gap.strip_flex import strip_compliance
from fitkit.shell.mounting.model import Support
from gap_kits import block, kit, room, stand

PLY = Rigidity(278244.0, 104049.0, 27088.0)


def middle_of(sides: tuple[float, float], rigidity: Rigidity, patch: tuple[float, float]) -> float:
    """The middle of a board on two edges, pulled at over a patch there [mm/N]."""
    middle = (sides[0] / 2, sides[1] / 2)
    return strip_compliance(sides, rigidity, load_at_mm=middle, load_mm=patch, at_mm=middle)


def test_a_narrow_one_is_a_beam() -> None:
    """20 mm wide over 400 mm: P L3 / 48 E I, with D times the width for E I."""
    w = middle_of((400.0, 20.0), PLY, (0.0, 20.0))
    assert w == pytest.approx(beam_compliance(400.0, PLY.along_nmm * 20.0), rel=0.001)


@given(
    st.floats(100.0, 600.0), st.floats(60.0, 600.0), st.floats(0.1, 0.9),
    st.sampled_from((PLY, PLY.softest, Rigidity(1.0, 1.0, 1.0))),
)  # fmt: skip
def test_two_edges_give_way_more_than_four_and_less_than_a_strip_of_their_own(
    span: float, width: float, share: float, rigidity: Rigidity
) -> None:
    """Free edges make it softer under a force at a point; what lies beside a strip helps it."""
    middle, point = (span / 2, width / 2), (0.0, 0.0)
    four = plate_compliance((span, width), rigidity, load_at_mm=middle, load_mm=point, at_mm=middle)
    # both are sums that were broken off
    assert middle_of((span, width), rigidity, point) >= four * 0.99
    line = (0.0, share * width)
    strip = beam_compliance(span, rigidity.along_nmm * line[1])
    # its middle gives way a little more than the mean of the line that is pulled at
    assert middle_of((span, width), rigidity, line) <= strip * 1.05


def test_wrong_sides_are_refused() -> None:
    """A board has sides."""
    with pytest.raises(ValueError, match="above 0"):
        middle_of((0.0, 100.0), PLY, (0.0, 0.0))


def test_a_sub_panel_spans_between_its_battens() -> None:
    """From middle to middle of two battens, and pulled at where the item's holes are."""
    holes = HolePattern("own", ((30.0, 20.0), (90.0, 20.0), (30.0, 60.0), (90.0, 60.0)))
    mount = Mount(by="sub-panel", pattern=holes)
    payload = kit(block("screen", mount=mount))
    item = payload.items[0]
    (one,) = place_all(payload, (stand(item, "deep", inside=room(), recess_mm=20.0),))
    x0, y0, x1, y1 = one.solid.silhouette.bounds
    board = Support(
        "board", "sub-panel", "screen", 1, "deep",
        (x0 - 20, y0 - 20, 20.0), (x1 + 20, y1 + 20, 26.4),
        "x", "y", x1 - x0 + 40, y1 - y0 + 40, 6.4, "birch plywood 6.5",
    )  # fmt: skip
    ends = [
        evolve(board, name=f"batten {k}", kind="batten", low_mm=(x, y0 - 20, 0.0),
               high_mm=(x + 20, y1 + 20, 20.0))
        for k, x in enumerate((x0 - 20, x1))
    ]  # fmt: skip
    lies = lies_on(one, mount, supports=(board, *ends))
    assert lies.sides_mm == pytest.approx((x1 - x0 + 20.0, y1 - y0 + 40.0))
    assert sorted(lies.load_mm) == pytest.approx([40.0, 60.0])
    bare = lies_on(one, mount, supports=(board,))
    assert bare.sides_mm == pytest.approx(
        (max(x1 - x0, y1 - y0) + 40.0, min(x1 - x0, y1 - y0) + 40.0)
    )
    unplanned = lies_on(one, mount, supports=())
    assert unplanned.sides_mm == pytest.approx(bare.sides_mm)
