"""The least recess: for one side, for both, for copies, and for none."""

from __future__ import annotations

import pytest
from attrs import evolve

from fitkit.payload.mounts import Mount
from fitkit.shell.gap.model import Contribution, Gap
from fitkit.shell.gap.recess import is_free, item_named, recesses_needed_mm
from gap_kits import block, kit, rails


def gap(deep: str, shallow: str, nominal: float, recess: tuple[float, float]) -> Gap:
    """A gap that loses 6 mm at worst and must keep 2."""
    loses = (Contribution("flex", 6.0, "shift", ""),)
    return Gap(deep, shallow, nominal, recess, (0.0, 0.0, 0.0), 2.0, loses, (0.0, 0.0))


def test_one_free_side_takes_all_that_is_missing() -> None:
    """Worst case 5 - 6 = -1: 3 mm are missing, all from the free side."""
    payload = kit(block("screen", mount=rails()), block("meter", mount=rails(9.0)))
    needed = recesses_needed_mm(payload, (gap("screen", "meter", 5.0, (1.0, 9.0)),))
    assert needed == {"screen": pytest.approx(4.0)}


def test_two_free_sides_share_it() -> None:
    """Both give half of what is missing."""
    payload = kit(block("screen", mount=rails()), block("meter", mount=rails()))
    needed = recesses_needed_mm(payload, (gap("screen", "meter", 5.0, (1.0, 2.0)),))
    assert needed == {"screen": pytest.approx(2.5), "meter": pytest.approx(3.5)}


def test_copies_have_one_recess() -> None:
    """Both copies need what the worse of the two needs."""
    payload = kit(evolve(block("screen", mount=rails()), count=2))
    needed = recesses_needed_mm(payload, (gap("screen 1", "screen 2", 5.0, (1.0, 2.0)),))
    assert needed == {"screen": pytest.approx(3.5)}


def test_the_worst_of_several_gaps_decides() -> None:
    """An item that faces two takes the recess of the one that needs more."""
    payload = kit(*(block(name, mount=rails()) for name in ("screen", "meter", "lamp")))
    found = (
        gap("screen", "meter", 5.0, (1.0, 2.0)),
        gap("screen", "lamp", 7.0, (1.0, 2.0)),
    )
    needed = recesses_needed_mm(payload, found)
    assert needed["screen"] == pytest.approx(2.5)
    assert needed["lamp"] == pytest.approx(2.5)


def test_what_is_to_spare_is_given_back_down_to_the_least() -> None:
    """A gap with room to spare asks for less recess, never for less than the mount's least."""
    payload = kit(block("screen", mount=rails(least_mm=11.0)), block("meter", mount=rails()))
    needed = recesses_needed_mm(payload, (gap("screen", "meter", 28.0, (14.0, 14.0)),))
    assert needed == {"screen": 11.0, "meter": pytest.approx(4.0)}


def test_only_free_recesses_behind_the_plane_are_asked_for() -> None:
    """A given recess, a front at a wall and gear in foam are nobody's to choose."""
    items = (
        block("given", mount=rails(3.0)),
        block("wall", mount=Mount(faces="left wall")),
        block("foam"),
        block("free", mount=rails(least_mm=4.0)),
    )
    assert [is_free(item) for item in items] == [False, False, False, True]
    assert recesses_needed_mm(kit(*items), ()) == {"free": 4.0}


def test_a_recess_is_rounded_up() -> None:
    """To a hundredth of a millimetre, never down."""
    payload = kit(block("screen", mount=rails()), block("meter", mount=rails(9.0)))
    needed = recesses_needed_mm(payload, (gap("screen", "meter", 5.0, (1.0011, 9.0)),))
    assert needed["screen"] == pytest.approx(4.01, abs=1e-9)


def test_labels_name_items() -> None:
    """Copies are numbered where there are several; a name may end in a number itself."""
    payload = kit(block("lamp 2"), evolve(block("probe"), count=3))
    assert item_named("lamp 2", payload) == payload.items[0]
    assert item_named("probe 3", payload) == payload.items[1]
    for label in ("probe", "lamp", "panel deep bottom", "probe x"):
        assert item_named(label, payload) is None
