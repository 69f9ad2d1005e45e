"""Loose backs: a flat part more on each half, screwed on, with finger room and stops."""

from __future__ import annotations

import math

import pytest
from attrs import evolve

import use_kits
from fitkit.payload.model import Profile, Wall
from fitkit.payload.workshop import ExitWish
from fitkit.shell.exits import exits_of
from fitkit.shell.graph import assembly_of
from fitkit.shell.make import make_shell
from fitkit.shell.panels import panels_of


def test_each_half_gets_a_flat_back_without_hinges_or_latches() -> None:
    """Four parts in a row, backs as thick as the wall; all latches lie on the closing plane."""
    payload, interior, placed = use_kits.screens(removable=True)
    shell = make_shell(payload, interior=interior, placements=placed)
    assert [part.name for part in shell.assembly.parts] == [
        "back deep", "deep", "shallow", "back shallow"
    ]  # fmt: skip
    for name in ("back deep", "back shallow"):
        part = shell.assembly.part(name)
        assert part.plate
        assert part.high_mm[2] - part.low_mm[2] == pytest.approx(10.0)
    assert {one.kind for one in shell.hardware} == {"corner", "foot", "handle", "latch"}
    assert {one.parts for one in shell.hardware if one.kind == "latch"} == {("deep", "shallow")}


def test_screws_lie_on_the_wall_clear_of_corners_and_go_into_the_rim() -> None:
    """Every screw lies 5 mm from the outer edge, 50 + 4 + 3 mm or more from corners, over a rim."""
    payload, interior, placed = use_kits.screens(removable=True)
    shell = make_shell(payload, interior=interior, placements=placed)
    screws = [one for one in shell.holes if one.fastener.startswith("screw M4")]
    taps = [one for one in shell.holes if one.fastener.startswith("tapped")]
    assert {one.at_mm for one in screws} == {one.at_mm for one in taps}
    assert len(screws) == len(taps) == 2 * (2 * 3 + 2 * 3)
    for hole in screws:
        x, y = hole.at_mm[0] + 10.0, hole.at_mm[1] + 10.0
        across = min(x, y, 500.0 - x, 350.0 - y)
        assert across == pytest.approx(5.0)
        if across in (x, 500.0 - x):
            assert 57.0 - 1e-6 <= y <= 350.0 - 57.0 + 1e-6
        else:
            assert 57.0 - 1e-6 <= x <= 500.0 - 57.0 + 1e-6
    assert all(name in {bar.name for bar in shell.bars} for one in taps for name in one.pieces)
    bought = next(one for one in shell.fasteners if one.kind == "screw" and "M4" in one.size)
    assert bought.used == len(screws)
    assert bought.size == "M4 x 16"


def test_a_finger_pocket_lifts_a_back_off_unless_an_exit_does() -> None:
    """One pocket of 24 x 22 mm on the shallow back; the deep one has the exit's corner."""
    payload, interior, placed = use_kits.screens(
        removable=True, exits=(ExitWish("deep", ("left", "back")),)
    )
    shell = make_shell(payload, interior=interior, placements=placed)
    pockets = [one for one in shell.openings if one.owner.startswith("finger pocket")]
    assert [one.panel for one in pockets] == ["back shallow top"]
    left, low, right, high = pockets[0].shape.bounds
    assert (right - left, high - low) == pytest.approx((24.0, 22.0))


@pytest.mark.parametrize("kind", [{"removable": True}, {"doors": True}])
def test_stops_clear_the_wall_inside(kind: dict[str, bool]) -> None:
    """Row at 17.75 mm, wall 10 mm thick: up to 2 (7.75 - 0.5) = 14.5 mm across, 8 to a back."""
    payload, interior, placed = use_kits.screens(**kind)
    shell = make_shell(payload, interior=interior, placements=placed)
    (stop,) = [one for one in shell.fasteners if one.name == "washer as stop"]
    assert stop.size == "up to 14.5 mm across"
    assert stop.used == 16


def test_pans_and_whole_cases_get_no_stops() -> None:
    """A pan has a groove of its own, and a case without doors has no back to hold."""
    for kind in ({"doors": True, "door_mm": 70.0}, {}):
        payload, interior, placed = use_kits.screens(**kind)  # type: ignore[arg-type]  # by test
        shell = make_shell(payload, interior=interior, placements=placed)
        assert not [one for one in shell.fasteners if "stop" in one.name]


def test_a_thin_rim_is_told_with_what_is_missing() -> None:
    """A rim of 2.5 mm holds no thread of 4 mm: 1.5 mm are missing, rivet nuts would do."""
    payload, interior, placed = use_kits.screens(removable=True)
    thin = evolve(payload, wall=Wall(profile=Profile(tongue_rim_mm=2.5)))
    assembly = assembly_of(interior, payload=thin)
    panels = panels_of(assembly, payload=thin)
    found = exits_of(thin, assembly=assembly, panels=panels, placements=placed)
    assert {(one.short_mm, one.verdict) for one in found.troubles} == {(1.5, "tight")}
    assert all("rivet nuts" in one.remedy for one in found.troubles)


def test_a_loose_back_leaves_the_counts_of_stacked_parts() -> None:
    """Four parts: 4 n + 2 panels less the two open backs; 12 + 4 (n - 1) edge profiles or fewer."""
    payload, interior, placed = use_kits.screens(removable=True)
    shell = make_shell(payload, interior=interior, placements=placed)
    panels = {panel.name for panel in shell.panels}
    assert {"back deep bottom", "back shallow top"} <= panels
    assert not {"deep bottom", "shallow top"} & panels
    assert len(panels) == 10
    screws = math.fsum(one.used for one in shell.fasteners if one.kind == "screw")
    assert screws > 0


def test_latch_pockets_of_flat_doors_are_cut_out_of_wall_and_rim() -> None:
    """Each latch of a flat door cuts its half's wall and rim alone, and that is said."""
    payload, interior, placed = use_kits.screens(doors=True, hardware=use_kits.UPRIGHT)
    shell = make_shell(payload, interior=interior, placements=placed)
    latches = [one for one in shell.hardware if one.kind == "door latch"]
    assert len(latches) == 4
    for one in latches:
        (half,) = {part for part in one.parts if not part.startswith("door")}
        walls = [cut.panel for cut in shell.openings if cut.owner == one.name]
        bars = [cut.bar for cut in shell.bar_cuts if cut.owner == one.name]
        assert walls == [f"{half} {one.side}"]
        assert bars
        assert all(bar.startswith(f"{half} ") for bar in bars)
    for door in ("door deep", "door shallow"):
        assert any(note.startswith(f"{door}: the pocket of each latch") for note in shell.notes)
