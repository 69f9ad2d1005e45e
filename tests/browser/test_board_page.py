"""The board on a static page, with a model that plays Python: mouse, fingers, keys."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from browser.board_fixture import (
    drag,
    drops,
    middle,
    opened,
    page,
    painted,
    settled,
    six,
    told,
)
from lab_server import browsing

pytestmark = pytest.mark.browser
SCALE = "document.querySelector('[data-foam]').width.baseVal.value / 480"


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """One Chromium for this file; every test has a context of its own."""
    with browsing() as one:
        yield one


def test_a_drag_moves_the_item_at_once_and_ends_in_one_drop(browser: Any) -> None:
    """The outline follows the pointer before Python answers, and the last word is the drop."""
    with opened(browser, page(six(), delay=300)) as tab:
        scale = tab.evaluate(SCALE)
        start = middle(tab, "hydrophone box/3")
        drag(tab, start, (120, -60), drop=False)
        painted(tab)
        there = middle(tab, "hydrophone box/3")
        assert there == pytest.approx((start[0] + 120, start[1] - 60), abs=1)
        tab.mouse.up()
        tab.wait_for_function("model.log.some((one) => one.drop)")
        (drop,) = drops(tab)
        assert (drop["id"], drop["ids"]) == ("hydrophone box/3", ["hydrophone box/3"])
        assert drop["x"] == pytest.approx(20 + 120 / scale, abs=0.6)
        assert drop["y"] == pytest.approx(20 + 60 / scale, abs=0.6)
        assert told(tab)[-1] == drop
        numbers = [one["n"] for one in tab.evaluate("model.log")]
        assert numbers == sorted(set(numbers))


def test_no_drop_is_lost_when_answers_are_late_and_messages_go_astray(browser: Any) -> None:
    """Five quick drags on answers 200 ms late, the first two messages lost: all drops, in order."""
    with opened(browser, page(six(), delay=200, lose=2)) as tab:
        names = ["calibrator/2", "hydrophone box/3", "probe/4", "float/5", "battery/6"]
        ends = {}
        for name in names:
            start = middle(tab, name)
            if name == "probe/4":
                start = (start[0], start[1] + 70)
            drag(tab, start, (12, 9))
        tab.wait_for_function("model.log.filter((one) => one.drop).length >= 5", timeout=9000)
        tab.wait_for_timeout(500)
        assert [one["id"] for one in drops(tab)] == names
        for one in tab.evaluate("model.get('scene').items"):
            ends[one["id"]] = (one["x"], one["y"])
        for one in drops(tab):
            assert ends[one["id"]] == pytest.approx((one["x"], one["y"]))


def test_a_scene_during_a_drag_does_not_disturb_it(browser: Any) -> None:
    """A picture that Python sends in mid drag leaves the item under the pointer."""
    with opened(browser, page(six())) as tab:
        start = middle(tab, "float/5")
        drag(tab, start, (-80, 40), drop=False)
        painted(tab)
        tab.evaluate("model.put(model.scene({ title: 'another title', busy: 'fitting' }))")
        assert tab.inner_text(".fkb-title") == "another title"
        assert middle(tab, "float/5") == pytest.approx((start[0] - 80, start[1] + 40), abs=1)
        tab.mouse.move(start[0] - 100, start[1] + 20)
        tab.mouse.up()
        tab.wait_for_function("model.log.some((one) => one.drop)")
        assert middle(tab, "float/5") == pytest.approx((start[0] - 100, start[1] + 20), abs=1)


def test_several_are_chosen_by_frame_and_shift_and_move_together(browser: Any) -> None:
    """A frame over empty foam chooses what it meets; Shift adds; locked ones stay put."""
    with opened(browser, page(six())) as tab:
        foam = tab.locator("[data-foam]").bounding_box()
        drag(tab, (foam["x"] + 4, foam["y"] + foam["height"] - 3), (260, -140))
        assert told(tab, "choose")[-1]["ids"] == ["hydrophone box/3"]
        tab.keyboard.down("Shift")
        tab.mouse.click(*middle(tab, "float/5"))
        tab.mouse.click(*middle(tab, "recorder/1"))
        tab.keyboard.up("Shift")
        assert told(tab, "choose")[-1]["ids"] == ["hydrophone box/3", "float/5", "recorder/1"]
        locked = middle(tab, "recorder/1")
        other = middle(tab, "hydrophone box/3")
        start = middle(tab, "float/5")
        drag(tab, start, (10, 14))
        (drop,) = drops(tab)
        assert drop["ids"] == ["float/5", "hydrophone box/3"]
        settled(tab)
        assert middle(tab, "hydrophone box/3") == pytest.approx(
            (other[0] + 10, other[1] + 14), abs=1
        )
        assert middle(tab, "recorder/1") == pytest.approx(locked, abs=0.5)
        tab.mouse.click(*middle(tab, "float/5"))
        assert told(tab, "choose")[-1]["ids"] == ["float/5"]
        tab.mouse.click(foam["x"] + foam["width"] / 2 + 20, foam["y"] + foam["height"] - 4)
        assert told(tab, "choose")[-1]["ids"] == []


def test_a_locked_item_stays_and_says_why(browser: Any) -> None:
    """Dragging a locked item moves nothing and tells how to free it."""
    with opened(browser, page(six())) as tab:
        start = middle(tab, "recorder/1")
        drag(tab, start, (50, 50))
        assert middle(tab, "recorder/1") == pytest.approx(start, abs=0.5)
        assert told(tab) == []
        tab.wait_for_function(
            "document.querySelector('[data-live]').textContent.includes('unlock it')"
        )
        tab.keyboard.press("l")
        assert told(tab, "lock")[-1]["on"] is False
        assert (
            tab.locator('[data-item="recorder/1"]').get_attribute("aria-label").count("locked") == 0
        )
        tab.click("text=lock >> nth=0")
        assert told(tab, "lock")[-1] | {"n": 0, "view": ""} == {
            "act": True, "kind": "lock", "ids": ["recorder/1"], "on": True, "n": 0, "view": "",
        }  # fmt: skip


def test_keys_move_turn_send_and_choose(browser: Any) -> None:
    """Everything on the board by keys alone; a run of arrows is one exact drop."""
    with opened(browser, page(six())) as tab:
        tab.locator(".fkb-sheet").focus()
        tab.keyboard.press("Tab")
        assert told(tab, "choose")[-1]["ids"] == ["recorder/1"]
        for _ in range(3):
            tab.keyboard.press("Tab")
        assert told(tab, "choose")[-1]["ids"] == ["probe/4"]
        for key in ("ArrowRight", "ArrowRight", "Shift+ArrowUp", "ArrowLeft"):
            tab.keyboard.press(key)
        tab.wait_for_function("model.log.some((one) => one.drop)")
        (drop,) = drops(tab)
        assert (drop["x"], drop["y"], drop["exact"]) == (181, 30, True)
        tab.keyboard.press("t")
        tab.keyboard.press("Shift+T")
        tab.keyboard.press("Alt+t")
        tab.wait_for_function("model.log.filter((one) => one.turn !== undefined).length === 3")
        assert [one["turn"] for one in drops(tab)[1:]] == [15, 0, 1]
        tab.keyboard.press("PageUp")
        assert (told(tab, "send")[-1]["ids"], told(tab, "send")[-1]["level"]) == (
            ["probe/4"],
            "deep/2",
        )
        tab.keyboard.press("m")  # the probe may not be turned over
        assert told(tab, "over") == []
        tab.keyboard.press("Control+a")
        assert len(told(tab, "choose")[-1]["ids"]) == 6
        tab.keyboard.press("m")
        assert told(tab, "over")[-1]["ids"] == ["hydrophone box/3"]
        tab.keyboard.press("Control+z")
        tab.keyboard.press("Control+Shift+Z")
        tab.keyboard.press("Control+y")
        assert (len(told(tab, "undo")), len(told(tab, "redo"))) == (1, 2)
        tab.keyboard.press("Escape")
        assert told(tab, "choose")[-1]["ids"] == []


def test_the_notebook_does_not_see_the_boards_keys(browser: Any) -> None:
    """Keys pressed on the board do not reach the page around it."""
    with opened(browser, page(six())) as tab:
        tab.evaluate(
            "window.seen = []; document.addEventListener('keydown', (e) => seen.push(e.key))"
        )
        tab.mouse.click(*middle(tab, "float/5"))
        for key in ("l", "ArrowDown", "x", "Control+z"):
            tab.keyboard.press(key)
        assert tab.evaluate("seen") == []


def test_escape_lets_go_of_a_drag(browser: Any) -> None:
    """Escape in mid drag puts the item back, tells it, and no drop follows."""
    with opened(browser, page(six())) as tab:
        start = middle(tab, "float/5")
        drag(tab, start, (-90, 30), drop=False)
        settled(tab)
        tab.keyboard.press("Escape")
        tab.mouse.move(start[0], start[1] + 90)
        tab.mouse.up()
        settled(tab)
        assert middle(tab, "float/5") == pytest.approx(start, abs=0.5)
        assert drops(tab) == []
        last = told(tab)[-1]
        assert (last["back"], last["x"], last["y"]) == (True, 390, 120)


def test_a_drag_ends_cleanly_outside_the_window_and_on_blur(browser: Any) -> None:
    """Released outside: dropped there. The window loses the focus: dropped where it was."""
    with opened(browser, page(six())) as tab:
        start = middle(tab, "float/5")
        drag(tab, start, (900, 20))
        assert len(drops(tab)) == 1
        tab.evaluate("model.put(model.scene({ items: model.get('scene').items }))")
        drag(tab, middle(tab, "hydrophone box/3"), (30, 0), drop=False)
        settled(tab)
        tab.evaluate("window.dispatchEvent(new Event('blur'))")
        tab.mouse.move(500, 500)
        tab.mouse.up()
        settled(tab)
        assert [one["id"] for one in drops(tab)] == ["float/5", "hydrophone box/3"]


def test_the_handle_turns_in_steps(browser: Any) -> None:
    """The round handle turns a quarter item by quarters, and the drop says the turn."""
    with opened(browser, page(six())) as tab:
        tab.mouse.click(*middle(tab, "hydrophone box/3"))
        settled(tab)
        knob = tab.locator(".fkb-ball").bounding_box()
        at = (knob["x"] + 7, knob["y"] + 7)
        centre = middle(tab, "hydrophone box/3")
        far = abs(at[1] - centre[1]) + abs(at[0] - centre[0])
        drag(tab, at, (centre[0] - far - at[0], centre[1] + 4 - at[1]), drop=False)
        settled(tab)
        assert tab.locator('[data-item="hydrophone box/3"]').get_attribute("transform")
        tab.mouse.up()
        (drop,) = drops(tab)
        assert drop["turn"] % 90 == 0
        assert drop["turn"] != 0
        tab.mouse.click(*middle(tab, "battery/6"))
        settled(tab)
        assert tab.locator(".fkb-ball").count() == 0  # fixed: no handle


def test_fingers_drag_and_pinch(browser: Any) -> None:
    """One finger drags an item or draws a frame; two scale the sheet and move nothing."""
    with opened(browser, page(six()), has_touch=True) as tab:
        client = tab.context.new_cdp_session(tab)

        def touch(kind: str, *points: tuple[float, float]) -> None:
            spots = [{"x": x, "y": y, "id": n} for n, (x, y) in enumerate(points)]
            client.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": spots})

        x, y = middle(tab, "float/5")
        touch("touchStart", (x, y))
        for by in (10, 30, 60):
            touch("touchMove", (x - by, y + by / 2))
            tab.wait_for_timeout(30)
        touch("touchEnd")
        tab.wait_for_function("model.log.some((one) => one.drop)")
        assert [one["id"] for one in drops(tab)] == ["float/5"]
        assert middle(tab, "float/5") == pytest.approx((x - 60, y + 30), abs=1.5)
        foam = tab.locator("[data-foam]").bounding_box()
        wide, x, y = foam["width"], foam["x"] + 3, foam["y"] + foam["height"] - 3
        touch("touchStart", (x, y))
        for by in (20, 120, 200):
            touch("touchMove", (x + by, y - by / 2))
            tab.wait_for_timeout(30)
        touch("touchEnd")
        assert told(tab, "choose")[-1]["ids"] == ["hydrophone box/3"]  # a frame over empty foam
        x, y = middle(tab, "hydrophone box/3")
        touch("touchStart", (x - 20, y))
        touch("touchStart", (x - 20, y), (x + 20, y))
        for by in (25, 30, 40):
            touch("touchMove", (x - by, y), (x + by, y))
            tab.wait_for_timeout(30)
        touch("touchEnd")
        settled(tab)
        assert tab.locator("[data-foam]").bounding_box()["width"] == pytest.approx(
            2 * wide, rel=0.03
        )
        assert len(drops(tab)) == 1


def test_the_wheel_scrolls_the_notebook_and_scales_with_ctrl(browser: Any) -> None:
    """Without Ctrl the page scrolls; with it the sheet is scaled about the pointer."""
    with opened(browser, page(six())) as tab:
        at = middle(tab, "float/5")
        tab.mouse.move(*at)
        wide = tab.locator("[data-foam]").bounding_box()["width"]
        tab.keyboard.down("Control")
        tab.mouse.wheel(0, -60)
        tab.keyboard.up("Control")
        settled(tab)
        assert tab.locator("[data-foam]").bounding_box()["width"] > 1.2 * wide
        assert middle(tab, "float/5") == pytest.approx(at, abs=2)
        assert tab.evaluate("scrollY") == 0
        tab.mouse.wheel(0, 120)
        tab.wait_for_function("scrollY > 50")
        tab.click("text=whole case")
        assert tab.locator("[data-foam]").bounding_box()["width"] == pytest.approx(wide, abs=1)
        for word, grows in (("closer", True), ("farther", False)):
            before = tab.locator("[data-foam]").bounding_box()["width"]
            tab.click(f"text={word}")
            settled(tab)
            assert (tab.locator("[data-foam]").bounding_box()["width"] > before) == grows


def test_the_sheet_is_moved_by_space_and_by_the_middle_button(browser: Any) -> None:
    """Space held, or the middle button: the sheet moves, the items do not."""
    with opened(browser, page(six())) as tab:
        tab.mouse.click(*middle(tab, "float/5"))
        start = middle(tab, "float/5")
        tab.keyboard.down(" ")
        drag(tab, start, (40, 30))
        tab.keyboard.up(" ")
        assert middle(tab, "float/5") == pytest.approx((start[0] + 40, start[1] + 30), abs=1)
        tab.mouse.down(button="middle")
        tab.mouse.move(start[0], start[1], steps=3)
        tab.mouse.up(button="middle")
        settled(tab)
        assert middle(tab, "float/5") == pytest.approx(start, abs=1)
        assert told(tab) == []


def test_where_it_lands_is_drawn_and_kept_on_the_drop(browser: Any) -> None:
    """A dashed outline shows where the item snaps; the drop puts it there."""
    with opened(browser, page(six(), grid=40)) as tab:
        start = middle(tab, "battery/6")
        drag(tab, start, (13, 6), drop=False)
        tab.wait_for_selector(".fkb-land-line")
        assert tab.locator(".fkb-land-text").text_content() == "lands here, by grid"
        tab.mouse.up()
        tab.wait_for_function("model.log.some((one) => one.drop)")
        settled(tab)
        assert tab.locator(".fkb-land-line").count() == 0
        scale = tab.evaluate(SCALE)
        x, y = middle(tab, "battery/6")
        assert (x - start[0], y - start[1]) == pytest.approx((20 * scale, 20 * scale), abs=1)


def test_words_on_the_board_act(browser: Any) -> None:
    """Levels, snapping, the interior and sending by words; pressed states are told."""
    with opened(browser, page(six())) as tab:
        tab.click('[data-level="deep/2"]')
        assert told(tab, "show")[-1]["level"] == "deep/2"
        assert tab.locator('[data-level="deep/2"]').get_attribute("aria-selected") == "true"
        tab.click('[data-level="all"]')
        assert told(tab, "show")[-1]["level"] == "all"
        grid = tab.locator("text=grid 5 mm")
        assert grid.get_attribute("aria-pressed") == "false"
        grid.click()
        assert (told(tab, "snap")[-1]["what"], told(tab, "snap")[-1]["on"]) == ("grid", True)
        assert grid.get_attribute("aria-pressed") == "true"
        tab.click("text=fixed")
        assert told(tab, "follow")[-1]["on"] is False
        tab.mouse.click(*middle(tab, "float/5"))
        tab.select_option("select", "shallow/1")
        assert told(tab, "send")[-1]["level"] == "shallow/1"
        tab.click("text=choose several")
        tab.mouse.click(*middle(tab, "battery/6"))
        assert told(tab, "choose")[-1]["ids"] == ["float/5", "battery/6"]


def test_two_views_of_one_board(browser: Any) -> None:
    """What is dropped on one view stands on the other; both are heard, each by its own numbers."""
    with opened(browser, page(six(), delay=60)) as tab:
        tab.evaluate(
            """const other = document.createElement("div");
            document.body.insertBefore(other, document.getElementById("here").nextSibling);
            window.another(other);
            true;"""
        )
        bodies = tab.locator('[data-item="float/5"] .fkb-body')
        for view, by in ((0, -40), (1, -30)):
            bodies.nth(view).scroll_into_view_if_needed()
            box = bodies.nth(view).bounding_box()
            drag(tab, (box["x"] + box["width"] / 2, box["y"] + box["height"] / 2), (by, 0))
            tab.wait_for_function(f"model.log.filter((one) => one.drop).length === {view + 1}")
        tab.wait_for_timeout(150)
        first, second = drops(tab)
        assert first["view"] != second["view"]
        assert second["x"] < first["x"] < 390
        places = {
            bodies.nth(n).evaluate("(e) => e.parentNode.getAttribute('transform')") for n in (0, 1)
        }
        assert len(places) == 1
