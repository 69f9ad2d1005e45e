"""Heights: sums of sheets, floors of levels, and the place of the closing plane."""

from __future__ import annotations

import itertools
from functools import lru_cache

import pytest
from attrs import evolve
from hypothesis import given
from hypothesis import strategies as st

from fitkit.fit.elevation import Need, elevate, levels, reachable, thickness
from fitkit.geometry.shapes import rectangle
from fitkit.payload.model import Body, CaseWishes, Clearance, FoamWishes, Item, Payload, Section
from fitkit.payload.walls import least_depth_mm

SHEETS = st.lists(
    st.sampled_from([10.0, 12.7, 15.0, 20.0, 30.0, 50.0]), min_size=1, max_size=3, unique=True
).map(lambda sheets: tuple(sorted(sheets)))


def payload(**case: object) -> Payload:
    """A payload of one block; only its wishes matter here."""
    block = Item("block", Body((Section(rectangle(40.0, 30.0), 0.0, 20.0),)))
    return Payload("heights", (block,), case=CaseWishes(**case))  # type: ignore[arg-type]  # by test


@lru_cache(maxsize=256)
def sums(sheets: tuple[float, ...], upto_mm: float) -> frozenset[int]:
    """All heights up to a limit that sheets add up to [0.01 mm], by trying all counts."""
    counts = [range(int(upto_mm / sheet) + 1) for sheet in sheets]
    made = (
        round(100 * sum(n * sheet for n, sheet in zip(chosen, sheets, strict=True)))
        for chosen in itertools.product(*counts)
    )
    return frozenset(height for height in made if height <= round(100 * upto_mm))


def built_of(sheets: tuple[float, ...], height_mm: float) -> bool:
    """Whether sheets add up to a height."""
    return round(100 * height_mm) in sums(sheets, 450.0)


@given(SHEETS, st.integers(0, 1200).map(lambda tenths: tenths / 10))
def test_reachable_heights_are_all_sums_of_sheets(sheets: tuple[float, ...], upto: float) -> None:
    """Every height listed is a sum of sheets, none in between is left out, the last reaches up."""
    listed = reachable(sheets, upto)
    assert listed[-1] >= upto - 1e-6
    assert {round(100 * height) for height in listed} == set(sums(sheets, listed[-1]))
    assert all(height < upto for height in listed[:-1])


@given(SHEETS, st.floats(0.1, 120.0))
def test_thickness_is_the_least_sum(sheets: tuple[float, ...], least: float) -> None:
    """The thickness is a sum of sheets, at least what is asked, and no smaller sum would do."""
    found = thickness(sheets, least)
    assert found >= least - 1e-9
    assert built_of(sheets, found)
    assert all(height < least for height in reachable(sheets, least) if height < found - 1e-9)


@given(
    st.sampled_from(["box", "pair", "tray"]),
    st.integers(1, 2),
    SHEETS,
    st.lists(st.floats(5.0, 90.0), min_size=4, max_size=4),
    st.booleans(),
)
def test_depths_hold_what_stands_in_them(
    form: str, tiers: int, sheets: tuple[float, ...], tops: list[float], flush: bool
) -> None:
    """Floors and depths are sums of sheets; floor, tier and lid clearances are kept."""
    kit = evolve(payload(form=form, tiers=tiers), foam=FoamWishes(sheets_mm=sheets, accent_mm=None))
    clear = kit.case.clearance
    places = levels(kit)
    needs = tuple(Need(top, top, top if flush else 0.0) for top in tops[: len(places)])
    found = elevate(kit, needs)
    assert found is not None
    for depth in found.depths_mm:
        assert depth >= least_depth_mm(kit.wall.profile) - 1e-9
    for index, (place, floor) in enumerate(zip(places, found.floors_mm, strict=True)):
        assert built_of(sheets, floor)
        top = floor + needs[index].body_mm
        if place.tier == 1:
            assert floor >= clear.floor_mm - 1e-9
        else:
            assert floor >= found.floors_mm[index - 1] + tops[index - 1] + clear.tier_mm - 1e-9
        half = 1 if place.half == "shallow" else 0
        if form == "pair":
            assert top <= found.depths_mm[half] - clear.lid_mm + 1e-9
            assert found.depths_mm[0] == found.depths_mm[1]
        else:
            assert top <= found.height_mm - clear.lid_mm + 1e-9
            assert not flush or form == "tray" or top <= found.depths_mm[0] + 1e-9
    assert all(built_of(sheets, depth) for depth in found.depths_mm)


@given(st.floats(5.0, 90.0), SHEETS)
def test_the_closing_plane_stands_where_the_case_is_lowest(
    top: float, sheets: tuple[float, ...]
) -> None:
    """No other pair of depths made of the sheets holds the same item in less height."""
    kit = evolve(payload(), foam=FoamWishes(sheets_mm=sheets))
    clear, least = kit.case.clearance, least_depth_mm(kit.wall.profile)
    found = elevate(kit, (Need(top, top, 0.0),))
    assert found is not None
    floor = found.floors_mm[0]
    for deep, shallow in itertools.product(reachable(sheets, 160.0), repeat=2):
        if deep < max(least, floor) or shallow < least or not built_of(sheets, deep - floor):
            continue
        proud = max(0.0, floor + top - deep)
        lid = clear.lid_mm - max(0.0, deep - floor - top)
        relief = thickness(sheets, proud)
        if shallow < relief or not built_of(sheets, shallow - relief):
            continue
        if shallow - relief >= lid - 1e-9:
            assert found.height_mm <= deep + shallow + 1e-9


@pytest.mark.parametrize(("deep", "holds"), [(70.0, True), (55.0, True), (45.0, False)])
def test_given_depths_are_kept_or_refused(deep: float, holds: bool) -> None:
    """A flush item of 30 mm on its floor of 20 mm of sheets needs 50 mm, or more if given."""
    kit = payload(depths_mm=(deep, 60.0), clearance=Clearance(floor_mm=20.0))
    found = elevate(kit, (Need(30.0, 30.0, 30.0),))
    assert (found is not None) is holds
    if found is not None:
        assert found.depths_mm == (deep, 60.0)
