"""The drawing of one item: true to its measures, nothing beside the paper."""

from __future__ import annotations

from pathlib import Path

import pytest
import shapely
from attrs import evolve
from hypothesis import given, settings
from hypothesis import strategies as st

from fitkit.documents.item_view import WIDE_MM, item_sheet
from fitkit.documents.lettering import width_of
from fitkit.documents.sheet import Hatch, Sheet, Text
from fitkit.documents.sheet import Path as Line
from fitkit.payload.faces import FACES, opposite
from fitkit.payload.mounts import Mount
from fitkit.payload.sheet_edit import SheetText
from fitkit.payload.sketch import Sketch, sketched
from strategies import items

TIDELINE = SheetText(
    (Path(__file__).parents[2] / "sample_payloads" / "tideline.toml").read_text("utf-8")
)


def drawn(index: int, **changed: object) -> Sheet:
    """An item of the sample, with keys of it changed."""
    sketch = sketched({**TIDELINE.get(("item", index)), **changed}, units="mm")
    assert sketch is not None
    return item_sheet(sketch, units="mm")


def texts(sheet: Sheet) -> list[str]:
    """Every text of a drawing."""
    return [mark.text for mark in sheet.marks if isinstance(mark, Text)]


def test_sizes_and_heights_stand_in_the_drawing() -> None:
    """The recorder: its width, depth, the heights of its sections, and both zones in words."""
    said = texts(drawn(0))
    for figure in ("212", "148", "0", "44", "58"):
        assert figure in said
    assert "1  connector zone, back: 22 × 14, 50 deep" in said
    assert "2  vent zone, right: 60 × 20, 15 deep" in said


def test_inches_are_written_as_inches() -> None:
    """In inches a size of 254 mm reads 10."""
    sketch = sketched({"body": [{"rectangle": [254, 127], "z": [0, 25.4]}]}, units="mm")
    assert sketch is not None
    said = texts(item_sheet(sketch, units="in"))
    assert {"10", "5", "1"} <= set(said)


def test_what_is_missing_is_said() -> None:
    """A shape that cannot be drawn and a body in pieces are named under the picture."""
    body = [*TIDELINE.get(("item", 5, "body")), {"circle": 0, "z": [0, 1]}]
    body[1] = {"circle": 2, "at": [500, 500], "z": [0, 4]}
    said = " ".join(texts(drawn(5, body=body)))
    assert "shape 4 cannot be drawn yet" in said
    assert "the body is in 3 pieces" in said


@settings(max_examples=60, deadline=None)
@given(items(), st.sampled_from(("mm", "in")))
def test_nothing_lies_beside_the_paper(item, units) -> None:
    """Whatever the item, every line, hatch and text is on the paper."""
    many = tuple(range(len(item.body.sections)))
    sheet = item_sheet(Sketch(item, many, (), 1), units=units, chosen=0)
    assert sheet.width_mm == WIDE_MM
    for mark in sheet.marks:
        if isinstance(mark, Text):
            long = width_of(mark.text, size_mm=mark.size_mm, bold=mark.bold)
            shift = {"start": 0.0, "middle": long / 2, "end": long}[mark.anchor]
            ends = [(mark.x_mm - shift, mark.y_mm), (mark.x_mm - shift + long, mark.y_mm)]
            if mark.turn_deg:
                ends = [(mark.x_mm, mark.y_mm - shift), (mark.x_mm, mark.y_mm - shift + long)]
        else:
            assert isinstance(mark, Line | Hatch)
            ends = [v[:2] for contour in mark.contours for v in contour.vertices]
        left, low, right, high = shapely.MultiPoint(ends).bounds
        assert left >= -0.01
        assert low >= -0.01
        assert right <= sheet.width_mm + 0.01
        assert high <= sheet.height_mm + 0.01


@pytest.mark.parametrize("index", range(8))
def test_views_are_to_one_scale(index: int) -> None:
    """Width over depth on paper is width over depth of the item."""
    sketch = sketched(TIDELINE.get(("item", index)), units="mm")
    assert sketch is not None
    sheet = item_sheet(sketch, units="mm")
    rims = [m for m in sheet.marks if isinstance(m, Line) and m.style.width_mm == 0.4]
    boxes = [
        shapely.MultiPoint([v[:2] for c in m.contours for v in c.vertices]).bounds for m in rims
    ]
    above, front = ((b[2] - b[0], b[3] - b[1]) for b in boxes)
    outlines = shapely.total_bounds([s.outline for s in sketch.item.body.sections])
    high = max(s.z1_mm for s in sketch.item.body.sections)
    assert above[0] / above[1] == pytest.approx(outlines[2] / outlines[3], rel=0.01)
    assert front[0] / front[1] == pytest.approx(outlines[2] / high, rel=0.01)


@settings(max_examples=15, deadline=None)
@given(
    items(),
    st.sampled_from(FACES),
    st.sampled_from(("rails", "sub-panel", "walls")),
    st.sampled_from((None, 14.0, -6.0)),
    st.sampled_from((0.0, 35.0)),
)
def test_a_mounted_item_is_drawn_with_what_holds_it(item, front, by, recess, behind) -> None:
    """Whatever its front, and however it is held: drawn on the paper, and its mount said."""
    mount = Mount(by=by, front=front, recess_mm=recess, least_mm=5.0, behind_mm=behind)
    many = tuple(range(len(item.body.sections)))
    sheet = item_sheet(Sketch(evolve(item, mount=mount), many, (), 1), units="mm")
    said = texts(sheet)
    back = opposite(front)
    held = {"rails": f"{back}: 2 rails", "sub-panel": f"{back}: sub-panel", "walls": "held by"}
    assert any(line.startswith(held[by]) for line in said)
    recesses = {None: "recess at least 5", 14.0: "recess 14", -6.0: "proud by 6"}
    assert f"{front}: {recesses[recess]}" in said
    assert (f"{back}: 35 of room asked for" in said) is (behind > 0)
    numbers = [m.text for m in sheet.marks if isinstance(m, Text) and m.bold and m.text != "0"]
    own = [str(k + 1) for k in range(len(item.zones))]
    assert sorted(numbers) == sorted([*own, *own])  # on both views, and none for the mount
    for mark in sheet.marks:
        if isinstance(mark, Line | Hatch):
            left, low, right, high = shapely.MultiPoint(
                [v[:2] for contour in mark.contours for v in contour.vertices]
            ).bounds
            assert left >= -1e-6
            assert low >= -1e-6
            assert right <= sheet.width_mm + 1e-6
            assert high <= sheet.height_mm + 1e-6
