"""What gives way: backs by their grain, by what hangs on them, sub-panels, rails, doors."""

from __future__ import annotations

import pytest
from attrs import evolve

from fitkit.fit.place import place_all
from fitkit.payload.model import Payload, Wall
from fitkit.payload.mounts import HolePattern, Mount, Rails, SubPanel
from fitkit.payload.stiffness import Stiffness
from fitkit.payload.workshop import Workshop
from fitkit.reference.moduli import rigidity_of
from fitkit.shell.bare_shell import bare_shell
from fitkit.shell.gap.backs import Pull, given_way_mm, pressed_mm, rigidities
from fitkit.shell.gap.closed import Closed
from fitkit.shell.gap.drop import GRAVITY_M_S2
from fitkit.shell.gap.flex import beam_compliance, middle_mm
from fitkit.shell.gap.moves import item_in_drop, pressed
from fitkit.shell.model import Panel
from fitkit.shell.mounting.model import Support
from gap_kits import block, kit, rails, room, stand, sub_panel

NO_FALL = 2.0
"""A fall from no height pulls with twice the weight."""


def back(**more: object) -> Panel:
    """A back of 400 x 300 x 6.4 in the bottom of the deep half."""
    panel = Panel(
        "deep", "bottom", 400.0, 300.0, (200.0, 150.0, -5.0), "birch plywood 6.5", 6.4, 4.4
    )
    return evolve(panel, **more)


def piece(
    low: tuple[float, float, float], high: tuple[float, float, float], **more: object
) -> Support:
    """A rail of the screen that runs along x."""
    size = tuple(b - a for a, b in zip(low, high, strict=True))
    made = Support("rail 1", "rail", "screen", 1, "deep", low, high, "x", "y", *size, "aluminium")
    return evolve(made, **more)


def closed(payload: Payload, *supports: Support, recess_mm: float = 20.0) -> Closed:
    """A screen in the deep half and what holds it; a fall from no height."""
    inside = room()
    payload = evolve(payload, closing=evolve(payload.closing, drop_mm=0.0))
    placements = (stand(payload.items[0], "deep", inside=inside, recess_mm=recess_mm),)
    return Closed(
        payload,
        inside,
        place_all(payload, placements),
        bare_shell(payload, interior=inside).panels,
        supports,
    )


def test_grain_along_the_long_side_is_not_grain_across() -> None:
    """Where the grain is given it counts; where it is not, the softer way does."""
    payload = kit(block("screen"))
    ways = {grain: pressed_mm(back(grain=grain), payload) for grain in ("length", "width", None)}
    ply = rigidity_of("birch plywood 6.5", 6.4)
    assert ply is not None
    assert ways["length"] == pytest.approx(middle_mm(100.0, (400.0, 300.0), ply))
    assert ways["length"] is not None
    assert ways["width"] is not None
    assert ways["length"] > ways["width"]  # the short span is the stiffer one then
    assert ways[None] == pytest.approx(max(ways["length"], ways["width"]))
    assert len(rigidities(back(board="ABS 6"), payload)) == 1


def test_weights_on_one_back_add_up() -> None:
    """Two items pull at one back together: each moves by what both do."""
    payload = kit(block("screen"))
    one = Pull(2.0, (50.0, 100.0, 150.0, 200.0))
    two = Pull(5.0, (250.0, 80.0, 350.0, 220.0))
    way = {
        pulls: given_way_mm(back(), payload, pulls, at_mm=(100.0, 150.0), gravity=9.81)
        for pulls in ((one,), (two,), (one, two))
    }
    both = way[(one, two)]
    assert both is not None
    assert both > max(value or 0.0 for pulls, value in way.items() if len(pulls) == 1)
    assert both <= sum(value or 0.0 for pulls, value in way.items() if len(pulls) == 1) + 1e-9


def test_the_back_gives_way_where_its_rails_are() -> None:
    """Rails far apart spread the pull: the back gives way less than to rails in its middle."""
    payload = kit(block("screen", mount=rails()))
    near = closed(payload, piece((190.0, 140.0, 0.0), (250.0, 180.0, 20.0)))
    far = closed(payload, piece((20.0, 20.0, 0.0), (420.0, 300.0, 20.0)))
    moved = [item_in_drop(case.placed[0], case)[0].mm for case in (near, far)]
    assert moved[0] is not None
    assert moved[1] is not None
    assert moved[1] < moved[0]


def test_a_door_is_the_back_of_its_half() -> None:
    """Where a half has a door instead of a back panel, the door is what is pressed in."""
    payload = evolve(kit(block("screen", mount=rails())), workshop=Workshop(doors=True))
    (found,) = pressed("deep", closed(payload))
    assert found.what.startswith("panel door deep bottom:")


def test_rails_from_wall_to_wall_are_beams() -> None:
    """Two rails share the weight: P L3 / 48 E I each, by hand for aluminium of 69 GPa."""
    mount = Mount(by="rails", rails=Rails(on="walls", width_mm=30.0, height_mm=20.0))
    rows = [
        piece((0.0, y, 10.0), (440.0, y + 30.0, 30.0), name=f"rail {y:g}") for y in (100.0, 170.0)
    ]
    case = closed(kit(block("screen", mount=mount)), *rows)
    (found,) = item_in_drop(case.placed[0], case)
    one = beam_compliance(440.0, 69000.0 * 30.0 * 20.0**3 / 12)
    assert found.mm == pytest.approx(NO_FALL * 2.0 * GRAVITY_M_S2 * one / 2)
    assert "panel" not in found.what  # it is the walls that carry it
    case = closed(kit(block("screen", mount=mount)), evolve(rows[0], material="old broomstick"))
    (found,) = item_in_drop(case.placed[0], case)
    assert found.mm is None
    assert "old broomstick" in found.source
    assert "give rail = { stiffness = " in found.source


def test_a_measured_rail_from_wall_to_wall_counts_as_measured() -> None:
    """A rail that gave way by w on a span of L gives way by w (l / L)^3 here; three share."""
    loaded = Stiffness(span_mm=400.0, kg=5.0, sag_mm=1.2)
    mount = Mount(by="rails", rails=Rails(on="walls", stiffness=loaded))
    rows = [
        piece((0.0, y, 10.0), (440.0, y + 30.0, 30.0), name=f"rail {y:g}", material="broomstick")
        for y in (100.0, 150.0, 200.0)
    ]
    case = closed(kit(block("screen", mount=mount)), *rows)
    (found,) = item_in_drop(case.placed[0], case)
    at_rest = 1.2 * (440.0 / 400.0) ** 3 * (2.0 / 5.0) / 3  # a block weighs 2 kg
    assert found.mm == pytest.approx(NO_FALL * at_rest)
    assert "your sheet: mount.rail.stiffness" in found.source


def test_a_sub_panel_gives_way_as_well_as_the_back() -> None:
    """On battens it moves with the back and by itself, less the wider apart its holes are."""

    def moved(holes: float) -> dict[str, float]:
        pattern = HolePattern("own", ((50.0, 50.0), (50.0 + holes, 50.0 + holes)))
        mount = Mount(by="sub-panel", pattern=pattern)
        case = closed(kit(block("screen", mount=mount)))
        return {one.what: one.mm or 0.0 for one in item_in_drop(case.placed[0], case)}

    near, far = moved(10.0), moved(90.0)
    assert list(near) == [
        "panel deep bottom: gives way in a drop to what it holds",
        "screen: sub-panel gives way in a drop",
    ]
    what = "screen: sub-panel gives way in a drop"
    assert near[what] > far[what] > 0


def test_a_sub_panel_on_the_walls_does_not_pull_at_the_back() -> None:
    """Without battens the walls hold it."""
    mount = Mount(by="sub-panel", sub_panel=SubPanel(batten_mm=None))
    case = closed(kit(block("screen", mount=mount)))
    assert [one.what for one in item_in_drop(case.placed[0], case)] == [
        "screen: sub-panel gives way in a drop"
    ]
    assert case.pulls("deep") == ()


@pytest.mark.parametrize("mount", [Mount(by="walls"), Mount(faces="left wall")])
def test_what_hangs_on_walls_gives_way_to_nothing(mount: Mount) -> None:
    """Blocks on two walls, or rails on the wall behind it: no flex is counted, and that is said."""
    case = closed(kit(block("screen", mount=mount)))
    (found,) = item_in_drop(case.placed[0], case)
    assert found.mm == 0.0
    assert "assumption" in found.source


def test_beyond_half_its_thickness_the_plate_is_said_to_be_stiffer() -> None:
    """Figures of thin plates are on the safe side above t / 2, and the source says so."""
    words = "above half its thickness a plate is stiffer than counted"
    payload = kit(block("screen", mount=rails()))
    for load, said in ((50.0, False), (2000.0, True)):
        (found,) = pressed(
            "deep", closed(evolve(payload, closing=evolve(payload.closing, load_n=load)))
        )
        assert (found.mm is not None and found.mm > 3.2) == said
        assert (words in found.source) == said
    assert "hold it fast" in found.source


def test_a_weight_nobody_knows_leaves_its_neighbours_unknown() -> None:
    """What is mounted beside an item pulls at the same back: its mass must be known too."""
    screen = block("screen", size=(100.0, 100.0, 30.0), mount=rails())
    other = block("meter", size=(100.0, 100.0, 30.0), mount=rails(), mass_kg=None)
    payload, inside = kit(screen, other), room()
    placements = (
        stand(screen, "deep", inside=inside, recess_mm=20.0, x=30.0),
        stand(other, "deep", inside=inside, recess_mm=20.0, x=250.0),
    )
    panels = bare_shell(payload, interior=inside).panels
    case = Closed(payload, inside, place_all(payload, placements), panels, ())
    (found,) = item_in_drop(case.placed[0], case)
    assert found.mm is None
    assert "weigh it" in found.source


def test_a_wall_board_measured_by_the_builder_counts_as_measured() -> None:
    """A board that the builder calls wood counts as the setting for plywood, and says so."""
    wall = Wall(panel="our faced board", panel_mm=6.9, wood=True)
    payload = evolve(kit(block("screen", mount=rails())), wall=wall)
    (found,) = pressed("deep", closed(payload))
    assert found.mm is not None
    assert "assumption" in found.source


def test_gear_beside_the_middle_tilts_along() -> None:
    """Of an item beside the middle of its back the end near the middle moves most, and counts."""
    payload = kit(block("screen", size=(150.0, 100.0, 40.0), mount=rails()))
    inside = room()
    payload = evolve(payload, closing=evolve(payload.closing, drop_mm=0.0))
    panels = bare_shell(payload, interior=inside).panels
    place = stand(payload.items[0], "deep", inside=inside, recess_mm=20.0, x=10.0, y=110.0)
    case = Closed(payload, inside, place_all(payload, (place,)), panels, ())
    (found,) = item_in_drop(case.placed[0], case)
    back_panel, pulls = case.back("deep"), case.pulls("deep")
    assert back_panel is not None
    assert pulls is not None
    ways = [
        given_way_mm(back_panel, payload, pulls, at_mm=(x, 160.0), gravity=GRAVITY_M_S2)
        for x in (20.0, 85.0, 160.0)
    ]
    assert found.mm == pytest.approx(NO_FALL * max(way or 0.0 for way in ways))


def test_what_goes_to_the_walls_does_not_pull_at_a_door() -> None:
    """A door behind rails or a sub-panel holds neither: the door does not give way to them.

    The rails are beams from wall to wall then, as if the sheet had said so.
    """
    row = piece((0.0, 100.0, 10.0), (440.0, 130.0, 30.0))
    for mount, asked in (
        (rails(), Rails(on="walls")),
        (sub_panel(), SubPanel(batten_mm=None)),
    ):
        said = {}
        for doors in (False, True):
            payload = evolve(kit(block("screen", mount=mount)), workshop=Workshop(doors=doors))
            case = closed(payload, row)
            assert case.on_back(case.placed[0]) != doors
            assert (case.pulls("deep") == ()) == doors
            said[doors] = [one.what for one in item_in_drop(case.placed[0], case)]
        assert any("what it holds" in what for what in said[False])
        key = "rails" if mount.by == "rails" else "sub_panel"
        wished = closed(kit(block("screen", mount=evolve(mount, **{key: asked}))), row)
        assert said[True] == [one.what for one in item_in_drop(wished.placed[0], wished)]
