"""Panels as cut: in their slots, clear of each other, of the right board, with the right grain."""

from __future__ import annotations

import itertools

import pytest
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from assemblies import kits, nested, panel_box, shared_mm3, stacks, walls
from fitkit.fit.layout import Half, Interior
from fitkit.payload.model import Payload, Profile, Wall
from fitkit.payload.workshop import Board, PanelChoice, Workshop
from fitkit.shell.frame import out_of, plane_mm
from fitkit.shell.graph import assembly_of
from fitkit.shell.model import Assembly
from fitkit.shell.panels import board_for, panels_of, slot_bottom_mm, wall_board
from panels_by_interior import GROOVE_RIM_MM, PLAY_MM, TONGUE_RIM_MM, panels_by_interior

INSIDE = Interior(580.0, 380.0, (Half("deep", 190.0), Half("shallow", 90.0)))
LIGHT = Board("poplar plywood 6", 6.0, 5.8, 6.2, 2.6, grain=True, wood=True)
STIFF = Board("twin-wall 7", 6.9, 6.8, 7.0, 1.2, grain=True)
PLAIN = Board("solid plastic 6", 6.0, 5.9, 6.1, 5.5)


@settings(max_examples=40)
@given(st.one_of(stacks(plates=True), nested()), walls())
def test_no_two_panels_collide(case: Assembly, wall: Wall) -> None:
    """Where e >= f + s and t <= s, no two panels share room, as solids of their real thickness."""
    profile = wall.profile
    assert slot_bottom_mm(profile) >= profile.outer_leaf_mm + profile.slot_mm
    assert wall.panel_mm <= profile.slot_mm
    panels = panels_of(case, payload=Payload("kit", (), wall=wall))
    for one, two in itertools.combinations(map(panel_box, panels), 2):
        assert shared_mm3(one, two) == 0


def test_panels_collide_where_the_slot_reaches_too_far_out() -> None:
    """With e < f + s (a web of less than nothing) neighbours would meet: the check can see it."""
    profile = evolve(Profile(), slot_web_mm=-1.5)
    wall = Wall(profile=profile, panel_mm=profile.slot_mm)
    payload = Payload("kit", (), wall=wall)
    panels = panels_of(assembly_of(INSIDE, payload=payload), payload=payload)
    pairs = itertools.combinations(map(panel_box, panels), 2)
    assert any(shared_mm3(one, two) > 0 for one, two in pairs)


@settings(max_examples=40)
@given(kits())
def test_panels_lie_in_their_slots(drawn: tuple[Interior, Payload]) -> None:
    """A panel lies between outer and inner leaf, and its edges end with play before the slot's end.

    Edges next to a panel end e + g inside the part, those at an opening at most a rim and g.
    """
    interior, payload = drawn
    profile = payload.wall.profile
    case = assembly_of(interior, payload=payload)
    for panel in panels_of(case, payload=payload):
        part = case.part(panel.part)
        low, high = panel_box(panel)
        across, sense = out_of(panel.side)
        outer = plane_mm(part, panel.side)
        depths = sorted(sense * (outer - end) for end in (low[across], high[across]))
        assert depths[0] >= profile.outer_leaf_mm - 1e-9
        assert depths[1] <= profile.outer_leaf_mm + profile.slot_mm + 1e-9
        rims = (profile.tongue_rim_mm, profile.groove_rim_mm)
        for axis in range(3):
            if axis == across:
                continue
            for inset, face in (
                (low[axis] - part.low_mm[axis], ("left", "front", "bottom")[axis]),
                (part.high_mm[axis] - high[axis], ("right", "back", "top")[axis]),
            ):
                gaps = rims if face in part.open and not part.plate else (slot_bottom_mm(profile),)
                assert any(inset == pytest.approx(gap + profile.play_mm) for gap in gaps)


sides = st.floats(100.0, 900.0)


@given(sides, sides, st.tuples(*[st.floats(50.0, 400.0)] * 2), walls(), st.booleans())
def test_plain_cases_are_as_ever(
    length: float, width: float, depths: tuple[float, float], wall: Wall, tray: bool
) -> None:
    """A plain workshop gives, panel for panel, what the closed formulas of the outside give.

    Independent: those place panels by the interior, these by the parts of the outside.
    """
    profile = evolve(
        wall.profile,
        play_mm=PLAY_MM,
        tongue_rim_mm=TONGUE_RIM_MM,
        groove_rim_mm=GROOVE_RIM_MM,
    )
    wall = evolve(wall, profile=profile)
    both = (Half("deep", depths[0]), Half("shallow", depths[1]))
    halves = (Half("tray", depths[0]),) if tray else both
    interior = Interior(length, width, halves)
    payload = Payload("kit", (), wall=wall)
    found = {
        panel.side if tray else panel.name: panel
        for panel in panels_of(assembly_of(interior, payload=payload), payload=payload)
    }
    wanted = panels_by_interior(interior, wall=wall)
    assert len(found) == len(wanted)
    for old in wanted:
        new = found[old.side if tray else f"{old.half} {old.side}"]
        assert (new.length_mm, new.width_mm) == pytest.approx((old.length_mm, old.width_mm))
        assert new.centre_mm == pytest.approx(old.centre_mm)


def test_middle_ring() -> None:
    """A ring of 60 with its groove below and its tongue above: walls 60 - 6 - 4 - 2 x 0.5 high.

    The formula is h - d_lo - d_hi - 2 g of the shell's geometry.
    """
    payload = Payload("kit", (), workshop=Workshop(rings_mm=(60.0,)))
    panels = panels_of(assembly_of(INSIDE, payload=payload), payload=payload)
    ring = {
        panel.side: (panel.length_mm, panel.width_mm) for panel in panels if panel.part == "ring 1"
    }
    assert ring == {
        "front": (579.0, 49.0),
        "back": (579.0, 49.0),
        "left": (379.0, 49.0),
        "right": (379.0, 49.0),
    }


def test_the_switch_changes_the_walls() -> None:
    """With the tongue on the shallow half rims change places: walls 183 and 85, not 185 and 83."""
    payload = Payload("kit", (), workshop=Workshop(tongue="shallow"))
    panels = panels_of(assembly_of(INSIDE, payload=payload), payload=payload)
    tall = {panel.name: panel.width_mm for panel in panels if panel.side == "front"}
    assert tall == {"deep front": 183.0, "shallow front": 85.0}


def test_play_is_the_profiles() -> None:
    """With no play at all a panel is 2 x 0.5 larger each way than with the plain one."""
    payload = Payload("kit", (), wall=Wall(profile=Profile(play_mm=0.0)))
    panels = panels_of(assembly_of(INSIDE, payload=payload), payload=payload)
    assert (panels[0].length_mm, panels[0].width_mm) == (580.0, 380.0)


def test_boards_the_more_exact_choice_wins() -> None:
    """A board for "deep front" beats one for "front", which beats that of the walls."""
    chosen = (PanelChoice("front", LIGHT), PanelChoice("deep front", STIFF))
    for panels in (chosen, chosen[::-1]):
        payload = Payload("kit", (), workshop=Workshop(panels=panels))
        assert board_for(payload, "deep", "front") == STIFF
        assert board_for(payload, "shallow", "front") == LIGHT
        assert board_for(payload, "deep", "back") == wall_board(payload)
        cut = {p.name: p for p in panels_of(assembly_of(INSIDE, payload=payload), payload=payload)}
        front = cut["deep front"]
        assert (front.board, front.thickness_mm, front.areal_kg_m2) == ("twin-wall 7", 6.9, 1.2)
        assert cut["shallow front"].board == "poplar plywood 6"
        assert cut["deep back"].board == "birch plywood 6.5"


def test_grain_runs_as_wished() -> None:
    """Along the longer or the shorter side of each panel, by its choice or else by the case's wish.

    A board without a grain has none, whatever is wished.
    """
    shop = Workshop(
        panels=(
            PanelChoice("front", LIGHT, "short"),
            PanelChoice("top", PLAIN, "long"),
            PanelChoice("bottom", LIGHT),
        ),
        grain="long",
    )
    inside = Interior(300.0, 200.0, (Half("deep", 350.0), Half("shallow", 90.0)))
    payload = Payload("kit", (), workshop=shop)
    cut = {p.name: p for p in panels_of(assembly_of(inside, payload=payload), payload=payload)}
    assert cut["deep front"].length_mm < cut["deep front"].width_mm
    assert {name: panel.grain for name, panel in cut.items()} == {
        "deep bottom": None,
        "deep front": "length",
        "deep back": "width",
        "deep left": "width",
        "deep right": "width",
        "shallow top": None,
        "shallow front": "width",
        "shallow back": "length",
        "shallow left": "length",
        "shallow right": "length",
    }
