"""Plan views say what the plan says, and nothing overlaps."""

from __future__ import annotations

import io
from itertools import combinations

import pytest
import shapely
from attrs import evolve
from PIL import Image, ImageFont
from shapely import Polygon

from fitkit.documents.labels import Board, tag_spot
from fitkit.documents.layer_pictures import layers_sheet
from fitkit.documents.lettering import CAP_SHARE, width_of
from fitkit.documents.pens.png import png
from fitkit.documents.pens.svg import svg
from fitkit.documents.plan_view import View, fact_of, view_sheet, views_of
from fitkit.documents.sheet import Sheet, Text
from fitkit.fit.place import place_all
from fitkit.plan import Plan


def drawings(plan: Plan) -> list[tuple[View, Sheet]]:
    """Every view with its drawing."""
    views = views_of(plan)
    return [
        (v, view_sheet(plan, v, number=k, total=len(views))) for k, v in enumerate(views, start=1)
    ]


def area_of(mark: Text) -> Polygon:
    """The room that a text takes from its base line to the height of its capitals."""
    wide = width_of(mark.text, size_mm=mark.size_mm, bold=mark.bold)
    start = {"start": 0.0, "middle": -wide / 2, "end": -wide}[mark.anchor]
    box = shapely.box(start, 0.0, start + wide, mark.size_mm * CAP_SHARE)
    turned = shapely.affinity.rotate(box, mark.turn_deg, origin=(0, 0))
    return shapely.affinity.translate(turned, mark.x_mm, mark.y_mm)


def test_there_is_a_drawing_for_each_half_and_tier(plan: Plan) -> None:
    """One tier: named after its half; two: one drawing per tier, and every item on just one."""
    assert [view.name for view in views_of(plan)] == ["deep", "shallow"]
    raised = [evolve(p, tier=2) if p.item == "float" else p for p in plan.fit.placements]
    tall = evolve(plan, fit=evolve(plan.fit, placements=tuple(raised)))
    views = views_of(tall)
    assert [view.name for view in views] == ["deep-tier-1", "deep-tier-2", "shallow"]
    labels = [one.label for view in views for one in view.placed]
    assert sorted(labels) == sorted(
        one.label for one in place_all(plan.payload, plan.fit.placements)
    )


def test_every_item_is_named_on_its_drawing(plan: Plan) -> None:
    """All words of every item's label stand on the drawing of its tier."""
    for view, sheet in drawings(plan):
        texts = " ".join(mark.text for mark in sheet.marks if isinstance(mark, Text))
        for one in view.placed:
            assert all(word in texts for word in one.label.split())


def test_no_text_overlaps_another_and_none_is_cut_off(plan: Plan) -> None:
    """Texts keep off each other, stay on the paper, and are 2.5 mm or more."""
    sheets = [sheet for _, sheet in drawings(plan)] + [layers_sheet(plan, number=1, total=1)]
    for sheet in sheets:
        marks = [mark for mark in sheet.marks if isinstance(mark, Text)]
        page = shapely.box(5, 3, sheet.width_mm - 5, sheet.height_mm - 5)
        for one, other in combinations(marks, 2):
            assert area_of(one).intersection(area_of(other)).area < 0.01, (one.text, other.text)
        for mark in marks:
            assert page.covers(area_of(mark)), mark.text
            assert mark.size_mm >= 2.5


def test_gaps_on_the_drawing_are_those_of_the_outlines(plan: Plan) -> None:
    """The number between hydrophone box and probe is their distance, as is that of the floats."""
    placed = {
        one.label: one.solid.silhouette for one in place_all(plan.payload, plan.fit.placements)
    }
    texts = [mark.text for mark in drawings(plan)[0][1].marks if isinstance(mark, Text)]
    for a, b in (("hydrophone box", "probe"), ("float 1", "float 2")):
        assert f"{placed[a].distance(placed[b]):.1f}" in texts


def test_a_gap_that_fails_is_shown_with_its_limit(plan: Plan) -> None:
    """An item 8 mm from its neighbour where 15 is asked stands in a filled tag with both."""
    moved = [evolve(p, x_mm=p.x_mm - 7.6) if p.item == "probe" else p for p in plan.fit.placements]
    close = evolve(plan, fit=evolve(plan.fit, placements=tuple(moved)))
    tags = [m for m in drawings(close)[0][1].marks if isinstance(m, Text) and m.text == "8 < 15"]
    assert tags
    assert tags[0].role == "white"


def test_facts_give_size_and_depth(plan: Plan) -> None:
    """A round item by its diameter, others by length and width, as they stand."""
    facts = {one.label: fact_of(one) for one in place_all(plan.payload, plan.fit.placements)}
    assert facts["float 1"] == "⌀ 66, 50 deep"
    assert facts["hydrophone box"] == "128 × 83, 60 deep"


def test_a_tag_finds_no_place_where_everything_is_taken() -> None:
    """The board never puts a tag over one that is there."""
    inside = shapely.box(0, 0, 40, 20)
    board = Board([], inside)
    first = tag_spot(board, (10, 10), (18, 10), "15")
    assert first is not None
    board.take(inside)
    assert tag_spot(board, (10, 10), (18, 10), "15") is None


def test_a_crowd_of_small_items_is_numbered_and_listed(plan: Plan) -> None:
    """Where names have no room, each item has a number and the number its name in the key."""
    items = [evolve(plan.payload.item("battery"), name="button cell of the reserve", count=1)]
    small = shapely.affinity.scale(items[0].body.sections[0].outline, 0.3, 0.3, origin=(0, 0))
    body = evolve(items[0].body, sections=(evolve(items[0].body.sections[0], outline=small),))
    item = evolve(items[0], body=body, count=48)
    base = next(p for p in plan.fit.placements if p.item == "battery")
    grid = [(x, y) for x in range(20, 455, 27) for y in (20, 47, 74)]
    placements = tuple(
        evolve(
            base,
            item=item.name,
            copy=k,
            half="deep",
            up="top",
            x_mm=float(x),
            y_mm=float(y),
            z_mm=40.0,
        )
        for k, (x, y) in enumerate(grid[:48], start=1)
    )
    crowd = evolve(
        plan,
        payload=evolve(plan.payload, items=(item,)),
        fit=evolve(plan.fit, placements=placements),
    )
    ((view, sheet),) = drawings(crowd)
    texts = [mark for mark in sheet.marks if isinstance(mark, Text)]
    numbers = [
        mark.text for mark in texts if mark.text.isdigit() and mark.bold and mark.role == "ink"
    ]
    assert all(numbers.count(str(k)) == 1 for k in range(1, len(view.placed) + 1))
    assert [mark.text for mark in texts if mark.text.startswith("button")] == [
        "button cell of the reserve 1–48"
    ]
    assert [mark.text for mark in texts if mark.text == "1–48"] == ["1–48"]


@pytest.mark.parametrize("bold", [False, True])
def test_widths_of_texts_agree_with_an_independent_reader(bold: bool) -> None:
    """FreeType (through Pillow) measures the same texts as long, within half a per cent."""
    from importlib.resources import files

    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    font = ImageFont.truetype(
        str(files("fitkit.documents") / "fonts" / name), 1000, layout_engine=ImageFont.Layout.BASIC
    )
    for text in ("hydrophone box", "186 × 64, 52 deep", "Größe ½ ⌀ →"):
        assert width_of(text, size_mm=10.0, bold=bold) == pytest.approx(
            font.getlength(text) / 100, rel=0.02
        )


def test_pictures_and_drawings_come_out_the_same_twice(plan: Plan) -> None:
    """PNG and SVG of one drawing are equal byte for byte; the PNG has 160 dots per inch."""
    _, sheet = drawings(plan)[0]
    data = png(sheet)
    assert data == png(drawings(plan)[0][1])
    assert svg(sheet) == svg(drawings(plan)[0][1])
    image = Image.open(io.BytesIO(data))
    image.load()
    assert image.size == pytest.approx(
        (sheet.width_mm / 25.4 * 160, sheet.height_mm / 25.4 * 160), abs=1.01
    )
    assert image.getpixel((3, 3)) == (0xFB, 0xFA, 0xF5)
