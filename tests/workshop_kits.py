"""Random workshops that a sheet can say: hardware that holds together, and what is bought."""
# ruff: noqa: E501 (tables, one thing on a line)

from __future__ import annotations

from hypothesis import strategies as st

from fitkit.payload.hardware import KINDS
from fitkit.payload.hardware_in import FIXINGS, GROUNDS, LIDS, USES, WALLS
from fitkit.payload.workshop import (
    HardwareType,
    HardwareWishes,
    HoleAt,
    Offcut,
    StockWishes,
    Workshop,
)

sizes = st.integers(2, 40).map(float)


@st.composite
def hardware_types(draw: st.DrawFn) -> HardwareType:
    """Pieces of hardware that hold together: the dish in the flange, the holes beside the dish."""
    kind = draw(st.sampled_from(KINDS))
    across, up = draw(sizes), draw(sizes)
    dish = draw(st.none() | st.just((across, up)))
    flange = (across + 20, up + 20)
    holes = tuple(HoleAt(sign * (across / 2 + 5), y, 4.1) for sign, y in draw(
        st.sampled_from([(), ((-1, 0.0), (1, 0.0)), ((1, -6.0),)])
    ))  # fmt: skip
    known = WALLS if kind in ("latch", "hinge") else (*WALLS, "top", "bottom")
    sides = draw(st.lists(st.sampled_from(known), unique=True, max_size=3))
    return HardwareType(
        kind, draw(st.sampled_from(("sunk piece", "our own"))), flange, dish,
        draw(st.sampled_from((0.0, 1.0))) if dish else 0.0, draw(sizes) if dish else 0.0,
        draw(st.sampled_from((0.0, 2.5))), holes, draw(st.sampled_from(FIXINGS)),
        draw(st.sampled_from((None, 0.25))), draw(st.sampled_from((None, 40.0))),
        draw(st.sampled_from((None, 2, 6))), tuple(sides), "measured",
    )  # fmt: skip


@st.composite
def workshops(draw: st.DrawFn) -> Workshop:
    """Workshops for a pair, which has the most to say."""
    doors = draw(st.booleans())
    return Workshop(
        grain=draw(st.sampled_from(("any", "long", "short"))),
        tongue=draw(st.sampled_from(("deep", "shallow"))),
        rings_mm=tuple(draw(st.lists(st.sampled_from((60.0, 72.5)), max_size=3))),
        doors=doors,
        door_mm=draw(st.sampled_from((None, 70.0))) if doors else None,
        hardware=HardwareWishes(
            draw(st.sampled_from(LIDS)), draw(st.sampled_from(USES)), draw(st.sampled_from(GROUNDS)),
            draw(st.booleans()),
            tuple(sorted(
                draw(st.lists(hardware_types(), unique_by=lambda one: one.kind, max_size=3)),
                key=lambda one: KINDS.index(one.kind),
            )),
            draw(st.sampled_from((16.0, 25.0))), draw(st.sampled_from((3.2, 4.0, 4.8))),
            draw(st.booleans()), draw(sizes) + 80, draw(st.sampled_from((0.0, 0.1, 0.25))),
        ),
        stock=StockWishes(
            draw(st.sampled_from(((3000.0,), (2500.0, 6000.0)))),
            tuple(draw(st.lists(st.builds(
                Offcut, st.sampled_from(("edge", "tongue", "groove")), sizes.map(lambda s: 30 * s),
                st.integers(1, 4)), max_size=2))),
            draw(sizes), 3.2, draw(sizes), 2.8, draw(st.sampled_from((2, 3))), (1500.0, 900.0),
            4.0, 250.0, draw(st.sampled_from(("", "crowns"))),
        ),
    )  # fmt: skip
