"""The closing gaps of a layout: who faces whom, and what is counted."""

from __future__ import annotations

from typing import Any

import pytest
from attrs import evolve

from fitkit.fit.layout import Half, Interior, Placement
from fitkit.payload.closing import Closing, Tolerances
from fitkit.payload.model import CaseWishes, Payload, Wall
from fitkit.payload.mounts import Mount, Rails
from fitkit.payload.workshop import Workshop
from fitkit.shell.gap.model import Gap
from gap_kits import block, face_to_face, gaps, kit, rails, room, stand, sub_panel

STILL = Closing(drop_mm=0.0, load_n=0.0)
"""Nothing presses and nothing falls: what is mounted merely sags."""


def test_two_screens_are_their_recesses_apart() -> None:
    """Glass to glass: the nominal gap is the sum of both recesses, and both are named."""
    screen = block("screen", mount=rails())
    _, (gap,) = face_to_face(screen, screen, recesses_mm=(21.0, 13.5))
    assert (gap.deep, gap.shallow) == ("screen 1", "screen 2")
    assert gap.nominal_mm == pytest.approx(34.5)
    assert gap.recess_mm == pytest.approx((21.0, 13.5))
    x, y, z = gap.at_mm
    assert 100 <= x <= 300
    assert 80 <= y <= 220
    assert z == pytest.approx(90.0 - 21.0 + 34.5 / 2)


def test_every_tolerance_of_the_loop_is_counted_once() -> None:
    """From back to back: walls, seats, rails and sizes of both sides, and the closing profiles."""
    given = Tolerances(
        measured_mm=0.1, tape_mm=0.2, saw_mm=0.4, seating_mm=0.8, foam_mm=1.6, rail_mm=3.2
    )
    below = block("screen", mount=rails())
    above = block("panel meter", mount=sub_panel(), uncertainty_mm=6.4)
    closing = evolve(STILL, tolerances=given)
    _, (gap,) = face_to_face(below, above, closing=closing)
    told = {one.what: one.mm or 0.0 for one in gap.contributions if one.kind == "tolerance"}
    assert told == {
        "deep half: walls as sawn": 0.4,
        "deep half: walls seat in their slots": 0.8,
        "screen: thickness of rails": 3.2,
        "screen: height as measured": 0.1,
        "shallow half: walls as sawn": 0.4,
        "shallow half: walls seat in their slots": 0.8,
        "panel meter: thickness of the sub-panel": 3.2,
        "panel meter: thickness of battens": 3.2,
        "panel meter: height as measured": 6.4,
        "closing profiles seat on each other": 0.8,
    }
    assert gap.worst_mm == pytest.approx(gap.nominal_mm - sum(told.values()) - gap.shifts_mm)


def test_foam_counts_sheet_by_sheet() -> None:
    """An item in foam stands on so many sheets, each off by its own tolerance."""
    below, above = block("recorder"), block("screen", mount=rails())
    _, (gap,) = face_to_face(below, above, recesses_mm=(10.0, 20.0), closing=STILL)
    sheets = [one.what for one in gap.contributions if "sheet" in one.what]
    # 90 - 10 - 40 = 40 mm of foam from sheets of 10, 20, 30 and 50
    assert sheets == ["foam under recorder: sheet 1 of 2", "foam under recorder: sheet 2 of 2"]


def test_a_given_depth_is_off_by_the_tape() -> None:
    """Where the builder gives a half's depth it was measured, not sawn to."""
    inside = room()
    screen = block("screen", mount=rails())
    payload = kit(evolve(screen, count=2), closing=STILL)
    payload = evolve(payload, case=CaseWishes(form="pair", depths_mm=(90.0, None)))
    low = stand(screen, "deep", inside=inside, recess_mm=20.0)
    high = stand(screen, "shallow", inside=inside, recess_mm=20.0, copy=2)
    (gap,) = gaps(payload, low, high, inside=inside)
    told = {one.what for one in gap.contributions}
    assert "deep half: depth off the tape" in told
    assert "shallow half: walls as sawn" in told


def test_a_knob_counts_where_it_is() -> None:
    """A knob is judged by what lies over it, not by what lies over the rest of its item."""
    keyboard = block("keyboard", knob_mm=16.0, mount=rails())
    screen = block("screen", mount=rails())
    inside = room()
    low = stand(keyboard, "deep", inside=inside, recess_mm=5.0, x=20.0, y=20.0)
    payload = kit(keyboard, screen)
    over = stand(screen, "shallow", inside=inside, recess_mm=30.0, x=20.0, y=20.0)
    beside = stand(screen, "shallow", inside=inside, recess_mm=30.0, x=60.0, y=20.0)
    (gap,) = gaps(payload, low, over, inside=inside)
    assert gap.nominal_mm == pytest.approx(35.0)
    (gap,) = gaps(payload, low, beside, inside=inside)
    assert gap.nominal_mm == pytest.approx(35.0 + 16.0)
    assert gap.recess_mm[0] == pytest.approx(5.0)


def test_side_play_makes_near_things_face() -> None:
    """What passes within the side play of both is taken to meet; what passes farther off is not."""
    left, right = block("left", mount=rails()), block("right", mount=rails())
    inside = room()
    low = stand(left, "deep", inside=inside, recess_mm=10.0, x=10.0)
    play = 2 * (0.5 + 0.5 + 0.25)  # as measured, as drilled, half a seat
    for apart, facing in ((play - 0.01, True), (play + 0.01, False)):
        high = stand(right, "shallow", inside=inside, recess_mm=10.0, x=210.0 + apart)
        found = gaps(kit(left, right), low, high, inside=inside)
        assert (("left", "right") in {(gap.deep, gap.shallow) for gap in found}) == facing


def test_what_stands_proud_may_pass_into_the_other_half() -> None:
    """A proud item has a negative recess; the gap is still that to what it faces."""
    low, high = block("mast", mount=rails()), block("screen", mount=rails())
    _, (gap,) = face_to_face(low, high, recesses_mm=(-12.0, 40.0))
    assert gap.recess_mm == pytest.approx((-12.0, 40.0))
    assert gap.nominal_mm == pytest.approx(28.0)


def test_a_mounted_item_that_faces_none_has_its_foam_or_panel() -> None:
    """Foam opposite stands at the closing plane; where it is missing or cut, the panel counts."""
    inside = room(90.0, 60.0)
    screen = block("screen", mount=rails(), mass_kg=1.0)
    low = stand(screen, "deep", inside=inside, recess_mm=18.0)
    (gap,) = gaps(kit(screen, form="box"), low, inside=inside)
    assert (gap.deep, gap.shallow) == ("screen", "foam of the shallow half")
    assert gap.nominal_mm == pytest.approx(18.0)
    assert gap.recess_mm == pytest.approx((18.0, 0.0))
    proud = stand(screen, "deep", inside=inside, recess_mm=-8.0)
    (gap,) = gaps(kit(screen, form="box"), proud, inside=inside)
    assert gap.shallow == "panel shallow top"
    assert gap.nominal_mm == pytest.approx(60.0 - 8.0)
    # a mounted neighbour leaves the other half without foam
    other = block("meter", size=(60.0, 60.0, 20.0), mount=rails(), mass_kg=0.5)
    high = stand(other, "shallow", inside=inside, recess_mm=5.0, x=340.0)
    found = {gap.deep: gap for gap in gaps(kit(screen, other), low, high, inside=inside)}
    assert found["screen"].shallow == "panel shallow top"
    assert found["screen"].nominal_mm == pytest.approx(18.0 + 60.0)
    assert found["panel deep bottom"].shallow == "meter"
    assert found["panel deep bottom"].nominal_mm == pytest.approx(90.0 + 5.0)


def test_foam_to_foam_is_not_a_closing_gap_of_a_box() -> None:
    """In a box, gear in foam that faces gear in foam is judged as tiers are; a pair has a gap."""
    low, high = block("recorder"), block("float")
    assert face_to_face(low, high, form="box")[1] == ()
    assert len(face_to_face(low, high, form="pair")[1]) == 1
    inside = room()
    alone = stand(low, "deep", inside=inside, recess_mm=10.0)
    assert gaps(kit(low), alone, inside=inside) == ()


def test_a_tray_closes_on_its_lid() -> None:
    """What is mounted in a tray faces its lid, what is in foam does not; a drawer has no plane."""
    inside = Interior(440.0, 320.0, (Half("tray", 90.0),))
    screen = block("screen", mount=rails())
    payload = evolve(kit(screen), case=CaseWishes(form="tray"))
    at = Placement("screen", 1, "tray", 1, "top", 0.0, 100.0, 80.0, 30.0)
    (gap,) = gaps(payload, at, inside=inside)
    assert gap.shallow == "panel lid top"
    assert gap.nominal_mm == pytest.approx(90.0 - 70.0)
    padded = evolve(kit(block("screen")), case=CaseWishes(form="tray"))
    assert gaps(padded, at, inside=inside) == ()
    drawer = evolve(payload, workshop=Workshop(opening="front"))
    assert gaps(drawer, at, inside=inside) == ()


def shifts(laid: tuple[Payload, tuple[Gap, ...]]) -> dict[str, float | None]:
    """What only closes the one gap of a kit."""
    (gap,) = laid[1]
    return {one.what: one.mm for one in gap.contributions if one.kind == "shift"}


def test_backs_count_pressed_and_in_a_drop() -> None:
    """Both backs are pressed in, and each gives way to what is mounted on it."""
    screen = block("screen", mount=rails())
    assert list(shifts(face_to_face(screen, screen))) == [
        "panel deep bottom: pressed in by 100 N in its middle",
        "panel deep bottom: gives way in a drop to what it holds",
        "panel shallow top: pressed in by 100 N in its middle",
        "panel shallow top: gives way in a drop to what it holds",
    ]


def test_a_drop_pulls_no_harder_than_the_fall_or_the_shock() -> None:
    """The pull is that of the fragility, or of the fall onto such springs: the less of both."""
    what = "panel deep bottom: gives way in a drop to what it holds"

    def moved(fragility: float | None, drop: float) -> float:
        screen = block("screen", mount=rails(), fragility_g=fragility)
        found = shifts(face_to_face(screen, screen, closing=Closing(drop_mm=drop)))[what]
        assert found is not None
        return found

    fragile, rugged = moved(15.0, 800.0), moved(5000.0, 800.0)
    assert fragile < rugged
    assert rugged == pytest.approx(moved(None, 800.0))
    assert moved(15.0, 800.0) == pytest.approx(moved(15.0, 700.0))
    assert moved(None, 700.0) < rugged
    rest = moved(None, 0.0) / 2  # let go from no height it sinks by twice its sag at rest
    assert fragile == pytest.approx(16 * rest)


def test_a_thicker_back_gives_way_less() -> None:
    """Rigidity goes with the cube of the thickness, and so does what a press takes."""
    screen = block("screen", mount=rails())
    inside, found = room(), []
    for board, thick in (("birch plywood 6.5", 6.4), ("birch plywood 12", 12.0)):
        payload = kit(evolve(screen, count=2))
        payload = evolve(payload, wall=evolve(Wall(), panel=board, panel_mm=thick))
        low = stand(screen, "deep", inside=inside, recess_mm=20.0)
        high = stand(screen, "shallow", inside=inside, recess_mm=20.0, copy=2)
        found.append(gaps(payload, low, high, inside=inside)[0])
    assert found[1].shifts_mm < found[0].shifts_mm / 3
    assert found[1].worst_mm > found[0].worst_mm


def test_foam_needs_its_stopping_distance() -> None:
    """An item in foam moves by 2 h / (G - 1): 300 mm at 61 G are 10 mm."""
    below, above = block("recorder", fragility_g=61.0), block("screen", mount=rails())
    told = shifts(face_to_face(below, above))
    assert told["recorder: way in which its foam stops it in a drop"] == pytest.approx(10.0)


@pytest.mark.parametrize(
    ("changed", "asks"),
    [
        ({"mass_kg": None}, "put it on a scale"),
        ({"mount": None, "fragility_g": None}, "ask its maker"),
        (
            {"mount": Mount(by="rails", rails=Rails(on="walls"))},
            "no rails are planned yet",
        ),
        (
            {"mount": sub_panel(board="our own board", thickness_mm=5.0)},
            "nothing is known of how stiff our own board is",
        ),
    ],
)
def test_what_is_not_known_is_asked_for(changed: dict[str, Any], asks: str) -> None:
    """A mass, a shock, rails or a board that nobody knows leave the gap unknown, and say so."""
    below = block("screen", **{"mount": rails(), **changed})
    _, (gap,) = face_to_face(below, block("meter", mount=rails()))
    assert not gap.known
    assert any(asks in one.source for one in gap.contributions if one.mm is None)


def test_an_unknown_board_of_the_wall_is_asked_for() -> None:
    """A wall of a board that no table knows leaves what presses on it unknown."""
    screen, inside = block("screen", mount=rails()), room()
    payload = kit(evolve(screen, count=2))
    payload = evolve(payload, wall=Wall(panel="our own board", panel_mm=6.0))
    low = stand(screen, "deep", inside=inside, recess_mm=20.0)
    high = stand(screen, "shallow", inside=inside, recess_mm=20.0, copy=2)
    (gap,) = gaps(payload, low, high, inside=inside)
    asked = [one for one in gap.contributions if one.mm is None]
    assert {one.what.partition(":")[0] for one in asked} == {
        "panel deep bottom",
        "panel shallow top",
    }
    assert all("[[closing.stiffness]]" in one.source for one in asked)


def test_the_fall_follows_from_the_mass() -> None:
    """Without a height of fall the table gives it by the loaded mass; above it the sheet must."""
    heavy, light = block("screen", mass_kg=30.0), block("screen", mass_kg=2.0)
    meter = block("meter", mount=rails())
    told = {}
    for name, item in (("heavy", heavy), ("light", light)):
        _, (gap,) = face_to_face(evolve(item), meter, closing=Closing())
        told[name] = next(one for one in gap.contributions if "its foam stops it" in one.what)
    assert "fall from 310 mm" in told["heavy"].source
    assert "kg before hardware, ISTA 1A" in told["light"].source
    assert told["light"].mm is not None
    assert told["heavy"].mm is not None
    assert told["light"].mm > told["heavy"].mm
    _, (gap,) = face_to_face(block("screen", mass_kg=90.0), meter, closing=Closing())
    above = next(one for one in gap.contributions if "its foam stops it" in one.what)
    assert above.mm is None
    assert "give closing.drop" in above.source


def test_the_least_recess_is_the_least() -> None:
    """With either side set back to its least recess the gap is kept at worst, to the hair."""
    low, high = block("keyboard", mount=rails()), block("screen", mount=sub_panel())
    _, (gap,) = face_to_face(low, high, recesses_mm=(6.0, 9.0), inside=room(140.0, 140.0))
    for side in (0, 1):
        recesses = [6.0, 9.0]
        recesses[side] = gap.least_recess_mm[side]
        _, (after,) = face_to_face(
            low, high, recesses_mm=(recesses[0], recesses[1]), inside=room(140.0, 140.0)
        )
        assert after.worst_mm == pytest.approx(after.keep_mm, abs=1e-6)
