"""The stand-alone page: dragged without a kernel, answered in the browser, saved as a layout."""

from __future__ import annotations

import json
import math
import random
from collections.abc import Iterator
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
import shapely
from shapely import affinity

from browser.board_fixture import angle, circle, drag, item, middle, opened, scene, six, slab, until
from fitkit.notebook.board.page import board_page
from lab_server import browsing

pytestmark = pytest.mark.browser
CLEAR, WALL = 15.0, 20.0


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """One Chromium for this file; every test has a context of its own."""
    with browsing() as one:
        yield one


def placement(one: dict[str, Any]) -> dict[str, Any]:
    """Where an item of a scene stands, as a plan says it."""
    name, _, copy = one["id"].rpartition("/")
    half, _, tier = one["level"].partition("/")
    return {
        "item": name, "copy": int(copy), "half": half, "tier": int(tier), "up": "top",
        "turn_deg": one["turn"], "x_mm": one["x"], "y_mm": one["y"], "z_mm": 25.0,
    }  # fmt: skip


def file_of(scenes: dict[str, dict[str, Any]], **more: Any) -> str:
    """The page of ``scenes``, every pair of a level CLEAR apart."""
    own = {one["id"]: one for shown in scenes.values() for one in shown["items"] if not one["dim"]}
    pairs = [
        (a["id"], b["id"], CLEAR)
        for a, b in combinations(own.values(), 2)
        if a["level"] == b["level"]
    ]
    options = {
        "title": "Tideline shore station", "plan": "4f2c9a", "follows": True,
        "clearance_mm": WALL, "heights_mm": (220.0, 240.0), "level": "deep/1",
    } | more  # fmt: skip
    return board_page(
        scenes, placements=[placement(one) for one in own.values()], pairs=pairs, **options
    )


def two_levels() -> dict[str, dict[str, Any]]:
    """Six items on one level and one on another, each seen through from the other."""
    above = item(6, slab(120, 80), 100, 90, level="deep/2")
    low, high = six(), six()
    low["items"].append(above | {"dim": True})
    high["items"] = [one | {"dim": True} for one in high["items"]] + [above]
    return {"deep/1": low, "deep/2": high | {"level": "deep/2"}}


def shape(one: dict[str, Any]) -> shapely.Polygon:
    """An item's outline where it stands."""
    rings = [[(x + one["x"], y + one["y"]) for x, y in ring] for ring in one["rings"]]
    return shapely.Polygon(rings[0], rings[1:])


def scattered(seed: int) -> dict[str, Any]:
    """Fourteen outlines thrown down at random: some overlap, one has a hole with one in it."""
    dice = random.Random(seed)
    made = []
    for n in range(13):
        kind = n % 3
        ring = (
            slab(dice.uniform(10, 80), dice.uniform(10, 80))
            if kind == 0
            else circle(dice.uniform(10, 70), 24)
            if kind == 1
            else angle(dice.uniform(60, 110), dice.uniform(60, 110))
        )
        made.append(item(n, ring, dice.uniform(20, 380), dice.uniform(20, 220), step=1))
    frame = item(13, slab(90, 90), 420, 20)
    frame["rings"].append([[x + 15, y + 15] for x, y in slab(60, 60)])
    made.append(frame)
    made[1] |= {"x": 440, "y": 40, "rings": [circle(30, 24)], "w": 30, "h": 30}
    return scene(made, long=560, wide=340)


def test_gaps_are_those_of_an_independent_library(browser: Any) -> None:
    """Every gap, its ends, who fails, and the box that follows agree with shapely (GEOS)."""
    for seed in (1, 2):
        shown = scattered(seed)
        with opened(browser, file_of({"deep/1": shown})) as tab:
            ids = [one["id"] for one in shown["items"]]
            shapes = {one["id"]: shape(one) for one in shown["items"]}
            asked = list(combinations(ids, 2))
            found = tab.evaluate("(pairs) => pairs.map(([a, b]) => fitkitBoard.gap(a, b))", asked)
            bad: dict[str, str] = {}
            overlaps = 0
            for (a, b), gap in zip(asked, found, strict=True):
                true = shapes[a].distance(shapes[b])
                assert gap["gap"] == pytest.approx(true, abs=1e-9), (a, b)
                if true > 0:
                    assert math.dist(gap["a"], gap["b"]) == pytest.approx(true, abs=1e-9)
                    assert shapes[a].distance(shapely.Point(gap["a"])) < 1e-9
                    assert shapes[b].distance(shapely.Point(gap["b"])) < 1e-9
                overlaps += true == 0
                if true < CLEAR:
                    for one in (a, b):
                        worse = "overlaps" if true == 0 else "too close"
                        bad[one] = "overlaps" if bad.get(one) == "overlaps" else worse
            assert overlaps > 3
            assert tab.evaluate("fitkitBoard.failing()") == bad
            x0, y0, x1, y1 = shapely.MultiPolygon(list(shapes.values())).bounds
            box = tab.evaluate("fitkitBoard.box")
            assert box == pytest.approx([x0 - WALL, y0 - WALL, x1 + WALL, y1 + WALL])


def test_turning_keeps_the_outline_and_the_middle_of_its_box(browser: Any) -> None:
    """A turn by keys gives the outline that shapely gives, and four quarters give it back."""
    shown = scattered(3)
    with opened(browser, file_of({"deep/1": shown})) as tab:
        name = shown["items"][2]["id"]
        tab.locator(f'[data-item="{name}"]').focus()
        before = shape(shown["items"][2])
        tab.keyboard.press("t")
        tab.keyboard.press("Alt+t")
        until(tab, "fitkitBoard.past.length === 2")
        now = tab.evaluate(f"fitkitBoard.pieces.get('{name}')")
        turned = affinity.rotate(before, 16, origin=(0, 0))
        box, to = turned.bounds, before.bounds
        turned = affinity.translate(
            turned,
            (to[0] + to[2] - box[0] - box[2]) / 2,
            (to[1] + to[3] - box[1] - box[3]) / 2,
        )
        # the middle of the box stays from turn to turn, as in a notebook
        assert shape(now).hausdorff_distance(turned) < 1e-6
        assert (now["turn"], now["w"]) == (16, pytest.approx(box[2] - box[0]))
        for _ in range(2):
            tab.keyboard.press("Control+z")
        until(tab, "fitkitBoard.past.length === 0")
        assert shape(tab.evaluate(f"fitkitBoard.pieces.get('{name}')")).equals_exact(before, 1e-9)


def test_it_is_dragged_locked_undone_and_saved(browser: Any, tmp_path: Path) -> None:
    """Drag, lock, undo, redo, levels; the saved layout has what moved and nothing else."""
    with opened(browser, file_of(two_levels())) as tab:
        drag(tab, middle(tab, "float/5"), (-60, 20))
        drag(tab, middle(tab, "battery/6"), (10, 40))
        until(tab, "fitkitBoard.past.length === 2")
        tab.click("text=undo: move battery 6")
        until(tab, "fitkitBoard.past.length === 1")
        tab.keyboard.press("Control+z")
        tab.keyboard.press("Control+y")
        until(tab, "fitkitBoard.past.length === 1 && fitkitBoard.future.length === 1")
        tab.mouse.click(*middle(tab, "float/5"))
        tab.keyboard.press("l")
        until(tab, "fitkitBoard.pieces.get('float/5').locked")
        tab.click('[data-level="deep/2"]')
        tab.wait_for_selector('[data-item="field screen/7"]')
        assert tab.locator("[data-item]").count() == 1
        tab.click('[data-level="all"]')
        tab.wait_for_selector('[data-item="float/5"]')
        assert tab.locator("[data-item]").count() == 7
        with tab.expect_download() as coming:
            tab.click("#fk-save")
        coming.value.save_as(tmp_path / "layout.json")
        assert "layout.json saved" in tab.inner_text("#fk-saved")
    layout = json.loads((tmp_path / "layout.json").read_text(encoding="utf-8"))
    assert list(layout) == ["format", "version", "plan", "placements", "locked", "follows"]
    assert (layout["format"], layout["version"], layout["plan"]) == ("fitkit-layout", 1, "4f2c9a")
    assert sorted(layout["locked"]) == ["float/5", "recorder/1"]
    old = [placement(one) for one in two_levels()["deep/2"]["items"]]
    moved = [now["item"] for now, was in zip(layout["placements"], old, strict=True) if now != was]
    assert moved == ["float"]
    (now,) = (one for one in layout["placements"] if one["item"] == "float")
    assert now["x_mm"] < 380
    assert now["y_mm"] < 118


def test_a_fixed_interior_marks_who_is_outside(browser: Any) -> None:
    """Following, the box grows with the item; fixed, the item is marked."""
    with opened(browser, file_of(two_levels())) as tab:
        tab.mouse.click(*middle(tab, "float/5"))
        for _ in range(4):
            tab.keyboard.press("Shift+ArrowRight")
        until(tab, "fitkitBoard.box[2] === 390 + 40 + 66 + 20")
        until(tab, "document.querySelector('.fkb-facts').innerText.includes('516')")
        tab.click("text=fixed")
        until(tab, "fitkitBoard.follows === false")
        tab.locator('[data-item="float/5"]').focus()
        tab.keyboard.press("Shift+ArrowRight")
        until(tab, "fitkitBoard.failing()['float/5'] === 'too close'")
        for _ in range(3):
            tab.keyboard.press("Shift+ArrowRight")
        until(tab, "fitkitBoard.failing()['float/5'] === 'outside'")
        label = '[data-item="float/5"]'
        until(
            tab, f"document.querySelector('{label}').getAttribute('aria-label').endsWith('outside')"
        )
        assert tab.evaluate("fitkitBoard.box[2]") == 516
