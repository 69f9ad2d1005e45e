"""What is too low or too narrow is named with its millimetres, and what would do does it."""

from __future__ import annotations

import pytest
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from assemblies import kits, profiles
from fitkit.fit.layout import Half, Interior
from fitkit.payload.model import CaseWishes, Payload, Profile, Wall
from fitkit.payload.walls import least_depth_mm
from fitkit.payload.workshop import Workshop
from fitkit.shell.bars import bars_of, bars_of_any_length
from fitkit.shell.graph import assembly_of
from fitkit.shell.model import Trouble
from fitkit.shell.panels import panels_of, panels_of_any_size
from fitkit.shell.shortfalls import notes_of, troubles_of


def found(interior: Interior, payload: Payload) -> tuple[Trouble, ...]:
    """The troubles of a case."""
    case = assembly_of(interior, payload=payload)
    panels, bars = panels_of(case, payload=payload), bars_of(case, wall=payload.wall)
    return troubles_of(case, panels=panels, bars=bars, payload=payload)


def box(deep: float, shallow: float, *, length: float = 580.0) -> Interior:
    """A room 380 wide."""
    return Interior(length, 380.0, (Half("deep", deep), Half("shallow", shallow)))


@settings(max_examples=40)
@given(kits())
def test_cases_large_enough_have_none(drawn: tuple[Interior, Payload]) -> None:
    """A form with room for all its pieces has no trouble."""
    assert found(*drawn) == ()


def test_uprights_without_length() -> None:
    """A half 33 deep is 43 high: corner 30 and closing profile 25 take 55, so 12 are missing."""
    (trouble,) = found(box(190.0, 33.0), Payload("kit", ()))
    assert trouble == Trouble(
        "shallow half: edge profile front left, front right, back left, back right",
        "the shallow half is 43.0 mm high outside; a closing profile of 25.0 mm and a corner of "
        "30.0 mm leave no length",
        12.0,
        "make the shallow half 12.0 mm higher, or use smaller corners or closing profiles",
    )


def test_a_half_of_the_least_depth() -> None:
    """At 45 mm the uprights are nothing long: none is listed and nothing is missing."""
    payload = Payload("kit", ())
    inside = box(190.0, least_depth_mm(Profile()))
    assert found(inside, payload) == ()
    assert len(bars_of(assembly_of(inside, payload=payload), wall=payload.wall)) == 20


def test_half_a_millimetre_is_told() -> None:
    """At 44.5 mm, half a millimetre less than the least depth, that half is what is missing."""
    (trouble,) = found(box(190.0, 44.5), Payload("kit", ()))
    assert trouble.short_mm == 0.5


def test_walls_of_no_height_are_told() -> None:
    """A pan of 17 outside leaves its walls 17 - 10.5 - 6.5: exactly nothing, and that is told."""
    payload = Payload(
        "kit", (), case=CaseWishes(form="pair"), workshop=Workshop(doors=True, door_mm=17.0)
    )
    walls = [t for t in found(box(190.0, 190.0), payload) if t.what.startswith("the slots")]
    assert [(trouble.short_mm, trouble.remedy) for trouble in walls] == [
        (0.0, "make the door deep more than 17.0 mm high outside"),
        (0.0, "make the door shallow more than 17.0 mm high outside"),
    ]


def test_walls_without_height() -> None:
    """A pan of 12 outside leaves its walls 12 - 10.5 - 6.5 high: nothing, by 5 mm."""
    shop = Workshop(doors=True, door_mm=12.0)
    troubles = found(
        box(190.0, 190.0), Payload("kit", (), case=CaseWishes(form="pair"), workshop=shop)
    )
    walls = [trouble for trouble in troubles if trouble.what.startswith("the slots")]
    assert [trouble.where for trouble in walls] == [
        "door deep: front, back, left, right",
        "door shallow: front, back, left, right",
    ]
    assert [trouble.short_mm for trouble in walls] == pytest.approx([5.0, 5.0])


def test_a_case_shorter_than_its_corners() -> None:
    """Inside 38 long is 58 outside: two corners of 30 leave no length, by 2 mm, in both halves."""
    troubles = found(box(190.0, 90.0, length=38.0), Payload("kit", ()))
    edges = [trouble for trouble in troubles if "edge profile" in trouble.where]
    assert [trouble.short_mm for trouble in edges] == [pytest.approx(2.0)] * 2
    assert "2.0 mm longer" in edges[0].remedy


def test_rings_that_leave_nothing() -> None:
    """Rings of 120 and 100 in a half of 190: 30 mm too much, said once, and none is cut."""
    payload = Payload("kit", (), workshop=Workshop(rings_mm=(120.0, 100.0)))
    (trouble,) = found(box(190.0, 90.0), payload)
    assert (trouble.where, trouble.short_mm) == ("rings", 30.0)
    assert trouble.what == "2 rings take 220.0 mm of the deep half, that has 190.0 mm"
    assert [part.name for part in assembly_of(box(190.0, 90.0), payload=payload).parts] == [
        "deep", "shallow",
    ]  # fmt: skip


@pytest.mark.parametrize(("door_mm", "short"), [(6.0, 4.0), (120.0, 20.0)])
def test_doors_that_leave_nothing(door_mm: float, short: float) -> None:
    """A pan no deeper than the wall of 10, or deeper than a half of 90 and wall, is made flat."""
    shop = Workshop(doors=True, door_mm=door_mm)
    payload = Payload("kit", (), case=CaseWishes(form="pair"), workshop=shop)
    (trouble,) = found(box(190.0, 90.0), payload)
    assert (trouble.where, trouble.short_mm) == ("doors", short)
    case = assembly_of(box(190.0, 90.0), payload=payload)
    assert [part.plate for part in case.parts] == [True, False, False, True]


def test_rings_of_a_tray_that_leave_nothing() -> None:
    """A tray that opens in front has 380 of room that way: a ring of 400 is 20 too much."""
    shop = Workshop(opening="front", rings_mm=(400.0,))
    payload = Payload("kit", (), case=CaseWishes(form="tray"), workshop=shop)
    (trouble,) = found(Interior(580.0, 380.0, (Half("tray", 190.0),)), payload)
    assert (trouble.where, trouble.short_mm) == ("rings", 20.0)


def test_legs_that_meet() -> None:
    """Square ends 24 short of the corners with legs 30 wide: 6 mm are missing."""
    payload = Payload("kit", (), wall=Wall(profile=Profile(corner_mm=24.0)))
    (trouble,) = found(box(190.0, 90.0), payload)
    assert (trouble.where, trouble.short_mm) == ("edge profiles", 6.0)
    mitred = evolve(payload, wall=Wall(profile=Profile(corner_mm=24.0, ends="mitred")))
    assert found(box(190.0, 90.0), mitred) == ()


@settings(max_examples=40)
@given(profiles(), *[st.floats(2.0, 150.0)] * 4)
def test_never_a_negative_length(
    profile: Profile, length: float, width: float, deep: float, shallow: float
) -> None:
    """However small: what is listed has a size, and what is not listed is told with what it lacks.

    With that many millimetres more in every direction there is nothing left to tell.
    """
    payload = Payload("kit", (), wall=Wall(profile=profile))
    inside = Interior(length, width, (Half("deep", deep), Half("shallow", shallow)))
    case = assembly_of(inside, payload=payload)
    panels, bars = panels_of(case, payload=payload), bars_of(case, wall=payload.wall)
    assert all(panel.length_mm > 0 and panel.width_mm > 0 for panel in panels)
    assert all(bar.length_mm > 0 and bar.short_mm > 0 for bar in bars)
    troubles = found(inside, payload)
    lacking = [
        -min(bar.length_mm, bar.short_mm) for bar in bars_of_any_length(case, wall=payload.wall)
    ]
    sizes = [
        -min(panel.length_mm, panel.width_mm) for panel in panels_of_any_size(case, payload=payload)
    ]
    worst = max(*lacking, *sizes)
    assert bool(troubles) == (max(lacking) > 1e-6 or max(sizes) >= -1e-6)
    if troubles:
        assert max(trouble.short_mm for trouble in troubles) == pytest.approx(
            max(0.0, worst), abs=1e-5
        )
        more = max(0.0, worst) + 0.01
        larger = Interior(
            length + more,
            width + more,
            (Half("deep", deep + more), Half("shallow", shallow + more)),
        )
        assert found(larger, payload) == ()


def test_notes_of_a_flat_lid() -> None:
    """A flat lid of 10 needs its frame's leg of 30 sawn down, and the rim's tongue away."""
    payload = Payload("kit", (), case=CaseWishes(form="tray"))
    case = assembly_of(Interior(580.0, 380.0, (Half("tray", 190.0),)), payload=payload)
    leg, tongue = notes_of(case, wall=payload.wall)
    assert leg.startswith("lid: ")
    assert leg.endswith("saw that leg from 30.0 down to 10.0 mm")
    assert tongue.startswith("tray: its rim under the lid")
    assert "3.5 mm" in tongue


def test_a_box_has_no_notes() -> None:
    """Two halves with tongue and groove need nothing minded."""
    payload = Payload("kit", ())
    assert notes_of(assembly_of(box(190.0, 90.0), payload=payload), wall=payload.wall) == ()


def test_notes_of_butted_edges() -> None:
    """Along the longest way, x, edges run through: squares of 30 are open on left and right."""
    wall = Wall(profile=Profile(ends="butt"))
    case = assembly_of(box(190.0, 90.0), payload=Payload("kit", (), wall=wall))
    assert notes_of(case, wall=wall) == (
        "butted edges leave a square of 30.0 mm open at the corners of left and right: "
        "choose brackets that cover it",
    )
