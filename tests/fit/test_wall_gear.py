"""Gear that has to do with walls: it looks at one, or two hold it."""

from __future__ import annotations

from typing import Literal

import pytest
from attrs import evolve, frozen
from hypothesis import given, settings
from hypothesis import strategies as st

from fitkit.fit.layout import Fit
from fitkit.fit.place import Placed, place_all
from fitkit.fit.search import smallest
from fitkit.fit.validate import violations
from fitkit.geometry.shapes import rectangle
from fitkit.payload.faces import Face
from fitkit.payload.model import Body, CaseWishes, Item, Payload, Section
from fitkit.payload.mounts import Facing, Mount, Rails
from mounted_kits import mounted

QUICK = settings(max_examples=8, deadline=None)

FACING = ("front wall", "back wall", "left wall", "right wall")

SIZES = st.lists(st.tuples(st.integers(80, 260), st.integers(80, 260)), min_size=1, max_size=3)


def outlet(name: str, mount: Mount) -> Item:
    """A panel of connectors, mounted."""
    return mounted(Item(name, Body((Section(rectangle(90.0, 40.0), 0.0, 60.0),))), mount)


def kit_of(*gear: Item, reels: list[tuple[int, int]]) -> Payload:
    """A tray with mounted gear and reels in foam beside it."""
    others = (
        Item(f"reel {k}", Body((Section(rectangle(float(length), float(width)), 0.0, 70.0),)))
        for k, (length, width) in enumerate(reels)
    )
    return Payload("kit", (*gear, *others), case=CaseWishes(form="tray"))


def placed(kit: Payload, fit: Fit) -> dict[str, Placed]:
    """Who stands where; nothing is wrong with the layout."""
    assert violations(kit, interior=fit.interior, placements=fit.placements) == ()
    return {one.item.name: one for one in place_all(kit, fit.placements)}


@QUICK
@given(st.sampled_from(FACING), SIZES, st.sampled_from((None, 12.0, 35.0)))
def test_what_looks_at_a_wall_stands_at_it(
    faces: Facing, reels: list[tuple[int, int]], recess_mm: float | None
) -> None:
    """Nothing between it and its wall but its recess or the clearance to walls, and no overlap."""
    mount = Mount(front="front", faces=faces, least_mm=8.0, recess_mm=recess_mm)
    kit = kit_of(outlet("outlet", mount), reels=reels)
    fit = smallest(kit, budget_s=0.05)
    x0, y0, x1, y1 = placed(kit, fit)["outlet"].solid.silhouette.bounds
    length, width, _ = fit.interior.size_mm
    off_mm = {"front wall": y0, "back wall": width - y1, "left wall": x0}.get(faces, length - x1)
    asked_mm = max(kit.case.clearance.wall_mm, 8.0 if recess_mm is None else recess_mm)
    assert asked_mm - 1e-6 <= off_mm <= asked_mm + 0.5


def test_gear_at_two_walls_and_a_pin() -> None:
    """Two outlets each at its own wall; one that is pinned stays where it is pinned."""
    left, right = (
        outlet(name, Mount(front="front", faces=faces, least_mm=25.0))
        for name, faces in (("inlet", "left wall"), ("outlet", "right wall"))
    )
    kit = kit_of(left, right, reels=[(210, 160)])
    fit = smallest(kit, budget_s=0.1)
    stand = placed(kit, fit)
    assert stand["inlet"].solid.silhouette.bounds[0] == pytest.approx(25.0, abs=0.5)
    end = fit.interior.length_mm - stand["outlet"].solid.silhouette.bounds[2]
    assert end == pytest.approx(25.0, abs=0.5)
    pin = evolve(fit.placements[0], x_mm=fit.placements[0].x_mm + 40.0)
    again = smallest(kit, budget_s=0.1, pins=(pin,))
    assert pin in again.placements


def held(mount: Mount, reels: list[tuple[int, int]], *, lengthwise: bool) -> Held:
    """A mixer so mounted among reels, planned; ``lengthwise``: held along its own length."""
    kit = kit_of(outlet("mixer", mount), reels=reels)
    fit = smallest(kit, budget_s=0.05)
    stand = placed(kit, fit)
    mixer = stand.pop("mixer")
    turned = round(mixer.placement.turn_deg / 90.0) % 2 == 1
    axis = 0 if lengthwise != turned else 1
    return Held(
        mixer.solid.silhouette.bounds,
        axis,
        fit.interior.size_mm[axis],
        tuple(one.solid.silhouette.bounds for one in stand.values()),
    )


@frozen
class Held:
    """The box of gear in plan, the axis that it is held along, the room there, and the others."""

    box: tuple[float, float, float, float]
    axis: int
    span_mm: float
    others: tuple[tuple[float, float, float, float], ...]

    @property
    def sides(self) -> tuple[float, float]:
        """Where the gear begins and ends across that axis [mm]."""
        return self.box[1 - self.axis], self.box[3 - self.axis]

    def clear(self, low_mm: float, high_mm: float) -> bool:
        """Whether nobody else stands in a strip from wall to wall."""
        across = 1 - self.axis
        return all(
            box[across + 2] <= low_mm + 1e-6 or box[across] >= high_mm - 1e-6 for box in self.others
        )


@QUICK
@given(st.sampled_from((("left", "right"), ("front", "back"))), SIZES)
def test_nothing_stands_between_gear_and_the_walls_that_hold_it(
    walls: tuple[Face, Face], reels: list[tuple[int, int]]
) -> None:
    """The strips of its blocks are free of bodies, and both blocks are alike deep."""
    mount = Mount(by="walls", walls=walls, least_mm=8.0)
    made = held(mount, reels, lengthwise=walls[0] == "left")
    assert made.clear(*made.sides)
    before, behind = made.box[made.axis], made.span_mm - made.box[made.axis + 2]
    assert before == pytest.approx(behind, abs=0.5)


@QUICK
@given(SIZES, st.sampled_from(("along", "up")))
def test_nothing_stands_over_rails_that_run_from_wall_to_wall(
    reels: list[tuple[int, int]], run: Literal["along", "up"]
) -> None:
    """The rails' strips, 30 mm wide, a quarter in from the item's edges, are free of bodies."""
    mount = Mount(by="rails", rails=Rails(on="walls", run=run), least_mm=8.0)
    made = held(mount, reels, lengthwise=run == "along")
    low, high = made.sides
    half = mount.rails.width_mm / 2
    for share in (0.25, 0.75):
        row = low + share * (high - low)
        assert made.clear(row - half, row + half)
