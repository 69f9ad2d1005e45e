"""Parts, faces, edges and corners: counting identities and Euler's relation on random cases.

Source of the identities: Euler's polyhedron formula V - E + F = 2 (any textbook of topology), and
counting by hand on a box cut into n parts; both hold whatever the sizes.
"""

from __future__ import annotations

import itertools
from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assemblies import kits, nested, outline, shared_mm3, stacks, touching, volume_mm3
from fitkit.fit.layout import Half, Interior
from fitkit.payload.model import CaseWishes, Payload, Wall
from fitkit.payload.walls import build_up_mm
from fitkit.payload.workshop import SIDES, Side, Workshop
from fitkit.shell.bars import bars_of
from fitkit.shell.frame import opposite
from fitkit.shell.graph import (
    Cut,
    assembly_of,
    closed_sides,
    corners_of,
    edge_kinds,
    euler,
    order_of,
    rim_of,
    split_box,
)
from fitkit.shell.model import Assembly
from fitkit.shell.panels import panels_of

KIT = Payload("kit", ())
ENDS: tuple[tuple[Side, Side], ...] = (("left", "right"), ("front", "back"), ("bottom", "top"))
cases = st.one_of(stacks(), nested())


@given(stacks())
def test_counts_of_stacked_parts(case: Assembly) -> None:
    """C1 to C7: panels 4n+2, edges 12+4(n-1), tongue = groove = 4(n-1), corners 8 and 8(n-1)."""
    n = len(case.parts)
    panels, bars = panels_of(case, payload=KIT), bars_of(case, wall=Wall())
    kinds = Counter(bar.kind for bar in bars)
    corners = Counter(corner.kind for corner in corners_of(case))
    assert len(panels) == 4 * n + 2
    assert kinds["edge"] == 12 + 4 * (n - 1)
    assert kinds["tongue"] == kinds["groove"] == 4 * (n - 1)
    assert len(bars) == 12 * n
    assert corners["outer"] == 8
    assert corners["closing"] == 8 * (n - 1)
    # vertices less edges plus faces, the open ones too: 2 for each part
    opened = sum(len(part.open) for part in case.parts)
    assert opened == 2 * (n - 1)
    assert sum(corners.values()) - len(bars) + len(panels) + opened == 2 * n


@given(stacks())
def test_lengths_of_stacked_parts(case: Assembly) -> None:
    """C8, C9: raw edge lengths add up to 4 (L + W + H), each closing kind to 2 (L + W) (n - 1)."""
    n = len(case.parts)
    total = {"edge": 0.0, "tongue": 0.0, "groove": 0.0, None: 0.0}
    for edge in edge_kinds(case):
        total[edge.kind] += edge.high_mm[edge.axis] - edge.low_mm[edge.axis]
    size = [high - low for low, high in zip(case.low_mm, case.high_mm, strict=True)]
    # where stacked along x, it is L that is shared out; frames then go round W and H
    along = "xyz".index(case.splits[0].axis) if case.splits else 2
    frame = sum(size) - size[along]
    assert total["edge"] == pytest.approx(4 * sum(size))
    assert total["tongue"] == pytest.approx(2 * frame * (n - 1))
    assert total["groove"] == pytest.approx(2 * frame * (n - 1))


@given(cases)
def test_faces_closed_or_open(case: Assembly) -> None:
    """However a box is cut: panels are six to a part, less one for each open face."""
    opened = sum(len(part.open) for part in case.parts)
    assert len(panels_of(case, payload=KIT)) == 6 * len(case.parts) - opened


@settings(max_examples=40)
@given(cases)
def test_every_edge_carries_one_profile_between_two_faces(case: Assembly) -> None:
    """Twelve edges to a part, each with one profile of the right kind, each between two faces."""
    edges = edge_kinds(case)
    assert len(edges) == 12 * len(case.parts)
    assert len({(edge.part, frozenset(edge.sides)) for edge in edges}) == len(edges)
    names = Counter(bar.name for bar in bars_of(case, wall=Wall()))
    assert len(names) == len(edges)
    assert set(names.values()) == {1}
    for edge in edges:
        part = case.part(edge.part)
        first, second = edge.sides
        assert second not in (first, opposite(first))
        opened = [side for side in edge.sides if side in part.open]
        if not opened:
            assert edge.kind == "edge"
        else:
            assert edge.sides[1] in opened
            assert edge.kind == rim_of(case, part, edge.sides[1])


@settings(max_examples=40)
@given(cases)
def test_every_corner_joins_three_edges(case: Assembly) -> None:
    """Eight corners to a part; at each, three edges end, one between each two of its faces."""
    edges = edge_kinds(case)
    corners = corners_of(case)
    assert len(corners) == 8 * len(case.parts)
    for corner in corners:
        here = [
            edge
            for edge in edges
            if edge.part == corner.part and corner.at_mm in (edge.low_mm, edge.high_mm)
        ]
        met = {frozenset(edge.sides) for edge in here}
        assert met == {frozenset(two) for two in itertools.combinations(corner.sides, 2)}
        assert len(here) == 3
        closing = any(side in case.part(corner.part).open for side in corner.sides)
        assert corner.kind == ("closing" if closing else "outer")


@given(st.one_of(stacks(plates=True), nested()))
def test_euler(case: Assembly) -> None:
    """V - E + F = 2 for each part, flat ones too."""
    for part in case.parts:
        corners, edges, faces = euler(case, part.name)
        assert (corners, edges, faces) == (8, 12, 6)
        assert corners - edges + faces == 2


@given(st.one_of(stacks(plates=True), nested()))
def test_parts_fill_the_outside(case: Assembly) -> None:
    """No two parts share room, together they have all of the outside box and nothing beside it."""
    boxes = [(part.low_mm, part.high_mm) for part in case.parts]
    for one, two in itertools.combinations(boxes, 2):
        assert shared_mm3(one, two) == 0
    whole = (case.low_mm, case.high_mm)
    for box in boxes:
        assert shared_mm3(box, whole) == pytest.approx(volume_mm3(box), rel=1e-12)
    assert sum(volume_mm3(box) for box in boxes) == pytest.approx(volume_mm3(whole), rel=1e-12)


@given(st.one_of(stacks(plates=True), nested()))
def test_splits_are_where_parts_touch(case: Assembly) -> None:
    """Each pair of parts that share some of a plane has one split there, and no others have."""
    met = {(below.name, above.name, axis, at) for below, above, axis, at in touching(case)}
    said = [(split.below, split.above, split.axis, split.at_mm) for split in case.splits]
    assert met == set(said)
    assert len(said) == len(set(said))
    for split in case.splits:
        assert split.tongue in (split.below, split.above, None)


@given(st.one_of(stacks(plates=True), nested()))
def test_closed_faces_are_those_outside(case: Assembly) -> None:
    """A face has its panel where it lies on the outside box, and is open where a cut made it."""
    for part in case.parts:
        if part.plate:
            continue
        for index, (down, up) in enumerate(
            (("left", "right"), ("front", "back"), ("bottom", "top"))
        ):
            assert (down in part.open) == (part.low_mm[index] != case.low_mm[index])
            assert (up in part.open) == (part.high_mm[index] != case.high_mm[index])


@given(stacks())
def test_tongue_meets_groove(case: Assembly) -> None:
    """Along every split one rim has the tongue, the other the groove."""
    for split in case.splits:
        axis = "xyz".index(split.axis)
        low, high = ENDS[axis]
        rims = {
            split.below: rim_of(case, case.part(split.below), high),
            split.above: rim_of(case, case.part(split.above), low),
        }
        assert split.tongue is not None
        assert rims.pop(split.tongue) == "tongue"
        assert [*rims.values()] == ["groove"]


@given(kits())
def test_outside_is_interior_and_walls(drawn: tuple[Interior, Payload]) -> None:
    """The outside of every form is the interior and 2 T, with the interior's corner at 0, 0, 0."""
    interior, payload = drawn
    case = assembly_of(interior, payload=payload)
    thick = build_up_mm(payload.wall.profile)
    assert case.low_mm == (-thick, -thick, -thick)
    assert case.high_mm == tuple(size + thick for size in interior.size_mm)


@settings(max_examples=40)
@given(kits())
def test_plates_close_what_is_open(drawn: tuple[Interior, Payload]) -> None:
    """In every form each open face lies against another, and plates are T thick with one panel."""
    interior, payload = drawn
    case = assembly_of(interior, payload=payload)
    thick = build_up_mm(payload.wall.profile)
    for part in case.parts:
        for side in part.open:
            assert order_of(case, part, side) < len(case.splits)
        if part.plate:
            (panel_side,) = closed_sides(part)
            assert part.open == (opposite(panel_side),)
            axis = min(range(3), key=lambda a: part.high_mm[a] - part.low_mm[a])
            assert part.high_mm[axis] - part.low_mm[axis] == pytest.approx(thick)
            edges = [edge for edge in edge_kinds(case) if edge.part == part.name and edge.kind]
            assert len(edges) == 4
            assert all(panel_side in edge.sides and edge.kind == "edge" for edge in edges)
    # every form has a panel on each of the six faces of the outside, end to end
    for side in SIDES:
        faces = [outline(p, side) for p in case.parts if side in closed_sides(p)]
        assert faces, side


def part_names(**wishes: object) -> list[str]:
    """The parts of a case 400 x 300 x (200 + 200), or a tray of 200."""
    form = wishes.pop("form")
    depths = (
        (Half("tray", 200.0),) if form == "tray" else (Half("deep", 200.0), Half("shallow", 200.0))
    )
    payload = Payload(
        "kit",
        (),
        case=CaseWishes(form=form),  # type: ignore[arg-type]  # by test
        workshop=Workshop(**wishes),  # type: ignore[arg-type]  # by test
    )
    case = assembly_of(Interior(400.0, 300.0, depths), payload=payload)
    return [part.name + (" (flat)" if part.plate else "") for part in case.parts]


def test_forms_by_name() -> None:
    """Each form's parts, from the low end of the axis along which it opens."""
    assert part_names(form="box") == ["deep", "shallow"]
    assert part_names(form="box", rings_mm=(60.0, 70.0)) == ["deep", "ring 1", "ring 2", "shallow"]
    assert part_names(form="pair", doors=True) == [
        "door deep (flat)", "deep", "shallow", "door shallow (flat)",
    ]  # fmt: skip
    assert part_names(form="pair", doors=True, door_mm=70.0) == [
        "door deep", "deep", "shallow", "door shallow",
    ]  # fmt: skip
    assert part_names(form="tray") == ["tray", "lid (flat)"]
    assert part_names(form="tray", rings_mm=(60.0,)) == ["tray", "ring 1", "lid (flat)"]
    assert part_names(form="tray", opening="front") == ["drawer front (flat)", "tray"]
    assert part_names(form="tray", opening="left") == ["door left (flat)", "tray"]
    assert part_names(form="tray", opening="right") == ["tray", "door right (flat)"]
    assert part_names(form="tray", opening="ends") == [
        "door left (flat)", "tray", "door right (flat)",
    ]  # fmt: skip


def test_tray_corners() -> None:
    """A tray and its flat lid have four outer corners each, and the tray four at its rim."""
    payload = Payload("kit", (), case=CaseWishes(form="tray"))
    case = assembly_of(Interior(400.0, 300.0, (Half("tray", 200.0),)), payload=payload)
    assert Counter((corner.part, corner.kind) for corner in corners_of(case)) == {
        ("tray", "outer"): 4,
        ("tray", "closing"): 4,
        ("lid", "outer"): 4,
    }


def test_rings_lie_under_the_closing_plane() -> None:
    """Rings of 60 and 70 are cut from the deep half, the first one lowest."""
    inside = Interior(400.0, 300.0, (Half("deep", 200.0), Half("shallow", 90.0)))
    payload = Payload("kit", (), workshop=Workshop(rings_mm=(60.0, 70.0)))
    case = assembly_of(inside, payload=payload)
    planes = {part.name: (part.low_mm[2], part.high_mm[2]) for part in case.parts}
    assert planes == {
        "deep": (-10.0, 70.0),
        "ring 1": (70.0, 130.0),
        "ring 2": (130.0, 200.0),
        "shallow": (200.0, 300.0),
    }


def test_the_switch_moves_the_tongue() -> None:
    """The tongue is on the deep side of each plane, or on the other; a door is its half's other."""
    inside = Interior(400.0, 300.0, (Half("deep", 200.0), Half("shallow", 200.0)))
    for tongue, wanted in (
        ("deep", ["deep", "deep", "ring 1", "shallow"]),
        ("shallow", ["door deep", "ring 1", "shallow", "door shallow"]),
    ):
        shop = Workshop(tongue=tongue, rings_mm=(60.0,), doors=True, door_mm=70.0)  # type: ignore[arg-type]  # by test
        payload = Payload("kit", (), case=CaseWishes(form="pair"), workshop=shop)
        case = assembly_of(inside, payload=payload)
        planes = sorted(case.splits, key=lambda split: split.at_mm)
        assert [split.tongue for split in planes] == wanted


@pytest.mark.parametrize(
    ("cut", "what"),
    [
        (Cut("box", "z", 300.0, "a", "b"), "misses"),
        (Cut("box", "z", 0.0, "a", "b"), "misses"),
        (Cut("box", "z", 100.0, "a", "a"), "name of two"),
    ],
)
def test_cuts_that_make_no_parts_are_refused(cut: Cut, what: str) -> None:
    """A cut beside its part or along its face, or a name taken twice, is refused."""
    with pytest.raises(ValueError, match=what):
        split_box((0.0, 0.0, 0.0), (400.0, 300.0, 300.0), name="box", cuts=(cut,))


def test_flat_parts_are_not_cut() -> None:
    """A plate is one panel: it cannot be cut, nor close two openings."""
    lid = Cut("box", "z", 290.0, "tray", "lid", None, "above")
    corner = (0.0, 0.0, 0.0), (400.0, 300.0, 300.0)
    with pytest.raises(ValueError, match="flat"):
        split_box(*corner, name="box", cuts=(lid, Cut("lid", "x", 100.0, "a", "b")))
    with pytest.raises(ValueError, match="one opening"):
        split_box(*corner, name="box", cuts=(lid, Cut("tray", "x", 10.0, "a", "b", None, "below")))


def test_a_nested_cut_by_hand() -> None:
    """A box cut at x, its left half cut at z: four panels, then four and four; frames by hand."""
    case = split_box(
        (0.0, 0.0, 0.0),
        (600.0, 400.0, 300.0),
        name="box",
        cuts=(Cut("box", "x", 250.0, "left", "right"), Cut("left", "z", 120.0, "low", "upper")),
    )
    assert {part.name: len(closed_sides(part)) for part in case.parts} == {
        "low": 4, "upper": 4, "right": 5,
    }  # fmt: skip
    kinds = {
        part.name: Counter(e.kind for e in edge_kinds(case) if e.part == part.name)
        for part in case.parts
    }
    # low: its frame at z has four tongues, that at x the three left over; both are below
    assert kinds["low"] == {"edge": 5, "tongue": 7}
    assert kinds["upper"] == {"edge": 5, "groove": 4, "tongue": 3}
    assert kinds["right"] == {"edge": 8, "groove": 4}
    assert {(split.below, split.above) for split in case.splits} == {
        ("low", "right"), ("upper", "right"), ("low", "upper"),
    }  # fmt: skip
