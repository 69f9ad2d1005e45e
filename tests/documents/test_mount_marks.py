"""Plan views of mounted gear: no foam where there is none, supports where they lie, all said."""

from __future__ import annotations

from collections.abc import Callable

import pytest
import shapely
from attrs import evolve
from shapely.geometry.base import BaseGeometry

from fitkit.documents.layer_pictures import layers_sheet
from fitkit.documents.mount_marks import support_marks
from fitkit.documents.mount_words import behind_mm, recess_words
from fitkit.documents.plan_frame import Frame
from fitkit.documents.plan_view import View, view_sheet, views_of
from fitkit.documents.sheet import Hatch, Path, Sheet, Text
from fitkit.fit.place import place_all
from fitkit.payload.mounts import Mount
from fitkit.plan import Plan
from fitkit.shell.gap.facing import recess_mm
from mounted_plans import BEHIND_MM, RECESS_MM, lid, pair, shell_of
from sheet_texts import assert_texts_apart

ONE_TO_ONE = Frame(1.0, 0.0, 0.0, 312.0, False)
"""A sheet at full size on which the interior's corner is the origin."""


def drawings(plan: Plan) -> dict[str, Sheet]:
    """Every plan view by its half."""
    views = views_of(plan)
    return {v.half: view_sheet(plan, v, number=1, total=len(views)) for v in views}


def said(sheet: Sheet) -> list[str]:
    """Every text of a drawing."""
    return [mark.text for mark in sheet.marks if isinstance(mark, Text)]


def hatched(sheet: Sheet) -> set[str]:
    """The kinds of hatch on a drawing."""
    return {mark.kind for mark in sheet.marks if isinstance(mark, Hatch)}


def drawn(marks: list[Path]) -> BaseGeometry:
    """All that some paths draw."""
    lines = [
        shapely.linestrings([v[:2] for v in (*c.vertices, *c.vertices[: int(c.closed)])])
        for mark in marks
        for c in mark.contours
    ]
    return shapely.union_all(lines)


@pytest.mark.parametrize("make", [pair, lid])
def test_texts_keep_off_each_other(make: Callable[[], Plan]) -> None:
    """On every plan view of mounted gear, and on the sheet of the layers that there are."""
    plan = make()
    sheets = list(drawings(plan).values())
    for sheet in [*sheets, *([layers_sheet(plan, number=1, total=1)] if plan.foam.layers else [])]:
        assert_texts_apart(sheet)


def test_foam_is_drawn_only_where_there_is_foam() -> None:
    """No dots in a half of mounted gear alone, nor in its legend; dots in the half with sheets."""
    for sheet in drawings(pair()).values():
        assert "foam" not in hatched(sheet)
        assert "foam" not in said(sheet)
        assert not [text for text in said(sheet) if text.startswith("Layers")]
    box = drawings(lid())
    assert "foam" in hatched(box["deep"])
    assert "foam" not in hatched(box["shallow"])
    assert "pocket, with the item as measured" in said(box["deep"])
    assert "pocket, with the item as measured" not in said(box["shallow"])


def test_each_mounted_copy_is_listed_with_what_holds_it() -> None:
    """Rails by number and size, recess and room behind, screws; the recess beside its name too."""
    for half, copy in (("deep", 1), ("shallow", 2)):
        text = said(drawings(pair())[half])
        for line in (
            f"field screen {copy}", "2 rails 420 × 30 × 20", "recess 14, 23 mm behind it",
            "4 × M4 × 25: rails to field screen", "4 × 4.0 × 20: rails to the back panel",
            "420 × 262, 40 deep; recess 14",
        ):  # fmt: skip
            assert line in text
    assert "sub-panel 440 × 282 × 6.4" in said(drawings(lid())["shallow"])


def test_a_recess_is_the_distance_to_the_closing_plane_from_either_side() -> None:
    """14 in both halves of the pair by their placements; 23 behind each; words for all cases."""
    interior = pair().fit.interior
    for one in place_all(pair().payload, pair().fit.placements):
        assert recess_mm(one, interior) == pytest.approx(RECESS_MM)
        assert behind_mm(one, interior) == pytest.approx(BEHIND_MM)
    assert recess_words(0.001) == "flush with the closing plane"


@pytest.mark.parametrize("make", [pair, lid])
def test_supports_are_dashed_under_the_gear_and_solid_beside_it(make: Callable[[], Plan]) -> None:
    """What is dashed lies within the bodies, what is solid outside them; together all outlines."""
    plan = make()
    for view in views_of(plan):
        under, over = support_marks(plan, view.placed, ONE_TO_ONE)
        bodies = shapely.union_all([one.solid.silhouette for one in view.placed])
        lines = drawn([mark for mark in under if isinstance(mark, Path) and mark.style.stroke])
        dashed = drawn([mark for mark in over if isinstance(mark, Path)])
        assert dashed.difference(bodies.buffer(1e-6)).length < 1e-3
        assert lines.intersection(bodies.buffer(-2.5)).length < 1e-3  # arcs are read as chords
        rims = [
            shapely.box(*s.low_mm[:2], *s.high_mm[:2]).exterior
            for s in shell_of(plan).supports
            if s.half == view.half
        ]
        for rim in rims:
            assert rim.difference(lines.union(dashed).buffer(0.01)).length < 0.01


def test_rooms_of_a_mount_are_drawn_only_until_its_supports_are_known() -> None:
    """Without supports the sub-panel's room is hatched and said; the recess never is."""
    bare = evolve(lid(), shell=evolve(shell_of(lid()), supports=()))
    sheet = drawings(bare)["shallow"]
    assert "mount" in hatched(sheet)
    assert "mount: room for rails or a sub-panel" in said(sheet)
    assert "held by a sub-panel" in said(sheet)
    assert "mount" not in hatched(drawings(lid())["shallow"])
    rails = evolve(pair(), shell=evolve(shell_of(pair()), supports=(), screwings=()))
    assert "mount" not in hatched(drawings(rails)["deep"])


def test_gear_that_looks_at_a_wall_says_at_which() -> None:
    """An upright mount has no recess behind the closing plane: its wall is told instead."""
    (screen,) = pair().payload.items
    mount = Mount(front="front", faces="left wall")
    payload = evolve(pair().payload, items=(evolve(screen, mount=mount),))
    text = said(drawings(evolve(pair(), payload=payload))["deep"])
    assert "looks at the left wall" in text
    assert not [line for line in text if "recess" in line]


def test_many_mounted_items_are_counted_where_the_column_ends() -> None:
    """Nine copies in one half: as many as there is room for, then how many more; nothing cut."""
    (screen,) = pair().payload.items
    payload = evolve(pair().payload, items=(evolve(screen, count=9),))
    first = pair().fit.placements[0]
    many = tuple(evolve(first, copy=k) for k in range(1, 10))
    plan = evolve(pair(), payload=payload, fit=evolve(pair().fit, placements=many))
    (view,) = views_of(plan)
    assert isinstance(view, View)
    sheet = view_sheet(plan, view, number=1, total=1)
    (more,) = [text for text in said(sheet) if text.startswith("and ")]
    listed = [m for m in sheet.marks if isinstance(m, Text) and m.bold and m.size_mm == 2.7]
    column = [m.text for m in listed if m.text.startswith("field screen")]
    assert len(column) + int(more.split()[1]) == 9
    low = min(m.y_mm for m in sheet.marks if isinstance(m, Text) and m.text in (*column, more))
    assert low > 26.0
