"""What each way of holding an item adds, and how many sheets make a thickness."""

from __future__ import annotations

import itertools

import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from fitkit.payload.closing import Closing, Tolerances
from fitkit.payload.mounts import Mount, Rails, SubPanel
from fitkit.shell.gap import tolerances
from gap_kits import block, kit

GIVEN = Closing(tolerances=Tolerances(saw_mm=0.4, rail_mm=3.2))


@pytest.mark.parametrize(
    ("mount", "mm"),
    [
        (Mount(by="rails"), [3.2]),
        (Mount(by="rails", rails=Rails(on="walls")), [3.2, 0.4]),
        (Mount(by="sub-panel"), [3.2, 3.2]),
        (Mount(by="sub-panel", sub_panel=SubPanel(batten_mm=None)), [3.2, 0.4]),
        (Mount(by="walls"), [0.4]),
        (Mount(by="rails", faces="left wall"), [0.4]),
    ],
)
def test_each_mount_adds_its_pieces(mount: Mount, mm: list[float]) -> None:
    """Rails, a sub-panel on battens, or holes in the walls: one tolerance a piece."""
    item = block("screen", mount=mount)
    on_back = mount in (Mount(by="rails"), Mount(by="sub-panel"))
    found = tolerances.of_mount("screen", item, payload=kit(item, closing=GIVEN), on_back=on_back)
    assert [one.mm for one in found] == mm
    assert all(one.kind == "tolerance" for one in found)


def test_gear_in_foam_has_no_mount() -> None:
    """Nothing is added for a mount that is not there."""
    item = block("recorder")
    assert tolerances.of_mount("recorder", item, payload=kit(item), on_back=False) == ()


def test_an_item_says_what_its_size_is_off_by() -> None:
    """Its own uncertainty counts, else what the sheet says of all."""
    item = block("recorder")
    said = evolve(item, uncertainty_mm=1.5)
    payload = kit(item)
    assert tolerances.of_item("recorder", item, payload=payload).mm == 0.5
    assert "assumption" in tolerances.of_item("recorder", item, payload=payload).source
    assert tolerances.of_item("recorder", said, payload=payload).mm == 1.5
    assert tolerances.of_item("recorder", said, payload=payload).source == (
        "your sheet: item.uncertainty"
    )


@given(
    st.lists(st.sampled_from((6.0, 10.0, 12.5, 20.0, 30.0, 50.0)), min_size=1, max_size=3),
    st.integers(0, 240),
)
def test_sheets_are_as_few_as_can_be(sheets: list[float], halves: int) -> None:
    """No fewer sheets make that thickness, tried one by one; without any, they reach above it."""
    thick = halves / 2
    count = tolerances.fewest_sheets(tuple(sheets), thick)
    exact = [
        k
        for k in range(7)
        if any(sum(some) == thick for some in itertools.combinations_with_replacement(sheets, k))
    ]
    if exact:
        assert count == exact[0]
    elif count < 7:
        assert count * max(sheets) >= thick or count >= 7
