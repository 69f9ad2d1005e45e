"""The foam view in a real browser: the slider, notches under the hand, undo, and what is kept."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from attrs import frozen

from browser.foam_fixture import shown
from fitkit.fit.layout import Fit, Half, Interior, Placement
from fitkit.foam.notch_edge import planned
from fitkit.notebook.foam_view import FoamBench
from fitkit.notebook.work import Work
from fitkit.payload.model import FoamWishes, Notch, Payload
from fitkit.plan import Plan, plan_of
from fitkit.plan_json import read_plan
from foam_kits import block
from lab_server import browsing

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """One Chromium for this file; every test has a page of its own."""
    with browsing() as one:
        yield one


def two_blocks() -> Plan:
    """A recorder and a lamp 60 mm apart, 60 mm of foam all round."""
    items = (block("recorder", 120, 60, 50), block("lamp", 80, 60, 50))
    payload = Payload("Tideline trial", items, foam=FoamWishes(notch=Notch(24.0, 22.0)))
    interior = Interior(380.0, 180.0, (Half("deep", 80.0), Half("shallow", 30.0)))
    places = (
        Placement("recorder", 1, "deep", 1, "top", 0.0, 60.0, 60.0, 30.0),
        Placement("lamp", 1, "deep", 1, "top", 0.0, 240.0, 60.0, 30.0),
    )
    fit = Fit("volume", 1.0, 1.0, "volume", 0.0, True, 0.1, 1, interior, places)
    return plan_of(payload, fit=fit)


@frozen
class Open:
    """An open view: the page, the bench behind it, and where its plan is kept."""

    tab: Any
    bench: FoamBench
    work: Work

    def kept(self) -> Plan:
        """The plan as it is saved."""
        return read_plan(self.work.plan_path)

    def notches(self, item: str) -> list[tuple[float, float]]:
        """The places of an item's notches in the saved plan, in its own frame."""
        for choice in self.kept().choices.notches:
            if choice.item == item:
                return [notch.at for notch in choice.notches]
        raise AssertionError(f"{item} has no notches of its own in the plan that was saved")

    def cut(self) -> None:
        """Wait until the foam is cut and the picture shows it."""
        self.tab.wait_for_function("document.querySelector('.fkl-busy').textContent === ''")
        self.tab.wait_for_timeout(120)
        self.tab.wait_for_function("document.querySelector('.fkl-busy').textContent === ''")

    def middle(self, selector: str) -> tuple[float, float]:
        """The middle of an element on the screen."""
        box = self.tab.locator(selector).first.bounding_box()
        return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2

    def drag(self, selector: str, by: tuple[float, float], *, drop: bool = True) -> None:
        """Drag an element with the mouse."""
        x, y = self.middle(selector)
        self.tab.mouse.move(x, y)
        self.tab.mouse.down()
        for k in range(1, 6):
            self.tab.mouse.move(x + by[0] * k / 5, y + by[1] * k / 5)
        if drop:
            self.tab.mouse.up()
            self.tab.wait_for_timeout(80)
            self.cut()


@pytest.fixture
def view(browser: Any, tmp_path: Path) -> Iterator[Open]:
    """The two blocks on the page."""
    work = Work(tmp_path / "trial.toml", tmp_path / "trial")
    bench = FoamBench.of(two_blocks(), work=work)
    with shown(browser, bench) as tab:
        yield Open(tab, bench, work)
    bench.close()


NOTCH = '[data-notch="recorder/1#0"] .fkl-hand'


def scale(view: Open) -> float:
    """Pixels per millimetre: the layer is 380 mm long."""
    return float(view.tab.locator(".fkl-outline").bounding_box()["width"]) / 380.0


def test_the_slider_goes_through_all_layers(view: Open) -> None:
    """Each layer is named with its thickness and heights; the stack marks the one that is shown."""
    names = [f"{la.half} half, layer {la.index} of" for la in view.bench.plan.foam.layers]
    for k, name in enumerate(names):
        view.tab.locator(".fkl-slide input").fill(str(k))
        assert view.tab.inner_text(".fkl-title").startswith(name)
        layer = view.bench.plan.foam.layers[k]
        facts = view.tab.inner_text(".fkl-facts")
        assert f"{layer.thickness_mm:g} mm foam" in facts
        assert f"{layer.z0_mm:g} mm to {layer.z1_mm:g} mm" in facts
        assert "from above" in facts
        assert view.tab.locator(".fkl-here").get_attribute("data-layer") == layer.name
    view.tab.locator(f'[data-layer="{view.bench.plan.foam.layers[0].name}"]').click()
    assert view.tab.inner_text(".fkl-title").startswith(names[0])
    view.tab.locator(".fkl-slide input").focus()
    view.tab.keyboard.press("ArrowRight")
    assert view.tab.inner_text(".fkl-title").startswith(names[1])


def test_a_cut_says_what_it_is_for(view: Open) -> None:
    """With the pointer on it, or the focus: the item, the use, how deep, the foam left under it."""
    view.tab.locator('[data-cut="lamp/1 pocket"]').hover()
    text = view.tab.inner_text(".fkl-info")
    assert text.startswith("lamp: pocket")
    assert "50 mm deep" in text
    assert "30 mm of foam under it" in text
    view.tab.locator('[data-cut="recorder/1 pocket"]').focus()
    assert view.tab.inner_text(".fkl-info").startswith("recorder: pocket")


def test_a_dragged_notch_is_kept_in_the_plan(view: Open) -> None:
    """It follows the pointer at once, its web is said, and the saved plan has it and its cut."""
    before = planned(
        view.bench.plan.payload,
        interior=view.bench.plan.fit.interior,
        placements=view.bench.plan.fit.placements,
    )
    start = next(one for one in before if one.item == "recorder").notches[0].at
    by = 30.0 * scale(view)
    view.drag(NOTCH, (by, 0.0), drop=False)
    assert view.tab.locator(".fkl-ghost").count() == 1
    view.tab.wait_for_function("document.querySelector('.fkl-status').textContent.includes('web')")
    view.tab.mouse.up()
    view.tab.wait_for_timeout(80)
    view.cut()
    at = view.notches("recorder")[0]
    assert at[0] == pytest.approx(start[0] + 30.0, abs=1.2)
    assert at[1] == pytest.approx(start[1], abs=0.01)
    x = view.kept().fit.placements[0].x_mm
    cuts = [c for la in view.kept().foam.layers for c in la.cutouts]
    middles = [c.shape.centroid.x for c in cuts if c.item == "recorder" and c.kind == "notch"]
    assert min(abs(m - x - at[0]) for m in middles) < 0.05


def test_round_a_corner(view: Open) -> None:
    """Pulled past the pocket's corner, the notch goes on along the next side."""
    view.drag(NOTCH, (95.0 * scale(view), 10.0 * scale(view)))
    at = view.notches("recorder")[0]
    assert at[0] == pytest.approx(120.0, abs=0.6)
    assert 0.0 < at[1] < 60.0


def crowd() -> Plan:
    """Twelve small items with long names, close to each other, and a large one."""
    small = block("hydrophone bracket", 24, 24, 20, count=12)
    items = (small, block("case", 150, 60, 50))
    interior = Interior(380.0, 260.0, (Half("deep", 80.0), Half("shallow", 30.0)))
    places = [
        Placement(
            "hydrophone bracket",
            k + 1,
            "deep",
            1,
            "top",
            0.0,
            20 + 40 * (k % 6),
            20 + 40 * (k // 6),
            60,
        )
        for k in range(12)
    ]
    places.append(Placement("case", 1, "deep", 1, "top", 0.0, 120.0, 150.0, 30.0))
    fit = Fit("volume", 1.0, 1.0, "volume", 0.0, True, 0.1, 1, interior, tuple(places))
    return plan_of(Payload("Tideline trial", items), fit=fit)


@pytest.mark.parametrize("width", [560, 1180])
def test_every_pocket_is_named_and_no_names_overlap(browser: Any, width: int) -> None:
    """However small the pockets: a name, or a number that is listed; none over another."""
    bench = FoamBench.of(crowd())
    with shown(browser, bench, viewport={"width": width, "height": 900}) as tab:
        boxes = [one.bounding_box() for one in tab.locator(".fkl-names text").all()]
        numbered = tab.locator(".fkl-numbered").count()
        assert tab.locator(".fkl-names .fkb-label").count() + numbered == 13
        listed = tab.inner_text(".fkl-numbers")
        assert all(f"{k} hydrophone bracket " in listed for k in range(1, numbered + 1))
        sheet = tab.locator(".fkl-sheet").bounding_box()
        for k, one in enumerate(boxes):
            assert one["x"] >= sheet["x"]
            assert one["x"] + one["width"] <= sheet["x"] + sheet["width"]
            for other in boxes[:k]:
                apart_x = one["x"] >= other["x"] + other["width"] - 1 or (
                    other["x"] >= one["x"] + one["width"] - 1
                )
                apart_y = one["y"] >= other["y"] + other["height"] - 4 or (
                    other["y"] >= one["y"] + one["height"] - 4
                )
                assert apart_x or apart_y
        wide = tab.evaluate("document.documentElement.scrollWidth")
        assert wide <= width
    bench.close()


def test_undo_and_redo_without_limit(view: Open) -> None:
    """Five drags are taken back one by one, to the plan without notches of its own, and redone."""
    for _ in range(5):
        view.drag(NOTCH, (6.0 * scale(view), 0.0))
    last = view.notches("recorder")
    undo = view.tab.locator("button", has_text="undo")
    for _ in range(5):
        assert undo.inner_text() == "undo: move a notch of recorder"
        undo.click()
        view.tab.wait_for_timeout(60)
    view.cut()
    assert undo.is_disabled()
    assert view.kept().choices.notches == ()
    assert view.kept().foam == two_blocks().foam
    for _ in range(5):
        view.tab.locator("button", has_text="redo").click()
        view.tab.wait_for_timeout(60)
    view.cut()
    assert view.notches("recorder") == last


def test_added_with_the_mouse_and_removed_by_key(view: Open) -> None:
    """A click on an edge adds a notch there and chooses it; Delete takes it away again."""
    view.tab.locator("button", has_text="add a notch").click()
    box = view.tab.locator('[data-cut="lamp/1 pocket"]').bounding_box()
    view.tab.mouse.move(box["x"] + box["width"] + 3, box["y"] + box["height"] / 2)
    view.tab.wait_for_selector(".fkl-ghost")
    view.tab.mouse.click(box["x"] + box["width"] + 3, box["y"] + box["height"] / 2)
    view.tab.wait_for_selector('[data-notch="lamp/1#2"]')
    view.cut()
    assert view.notches("lamp")[2] == pytest.approx((80.0, 30.0), abs=0.6)
    assert view.tab.evaluate("document.activeElement.dataset.notch") == "lamp/1#2"
    view.tab.keyboard.press("Delete")
    view.cut()
    assert len(view.notches("lamp")) == 2


def test_added_and_moved_by_keys_alone(view: Open) -> None:
    """Enter on a pocket adds a notch, the arrow keys move it along, a screen reader hears it."""
    view.tab.locator('[data-cut="lamp/1 pocket"]').focus()
    view.tab.keyboard.press("Enter")
    view.tab.wait_for_selector('[data-notch="lamp/1#2"]')
    view.cut()
    first = view.notches("lamp")[2]
    for key in ("ArrowUp", "ArrowUp", "Shift+ArrowUp"):
        view.tab.keyboard.press(key)
    view.tab.wait_for_timeout(80)
    view.cut()
    at = view.notches("lamp")[2]
    assert at[0] == pytest.approx(first[0], abs=0.01)
    assert at[1] == pytest.approx(first[1] + 12.0, abs=1.2)
    assert "webs" in view.tab.inner_text(".fkl-status")
    assert view.tab.evaluate("document.activeElement.dataset.notch") == "lamp/1#2"


def test_made_wider_and_deeper_by_numbers(view: Open) -> None:
    """A typed size is taken with its unit; what is no size is explained and not taken."""
    view.tab.locator(NOTCH).click()
    for name, text in (("width", "1 1/2 in"), ("depth", "30")):
        view.tab.locator(f'[data-field="{name}"]').fill(text)
        view.tab.keyboard.press("Enter")
        view.tab.wait_for_timeout(120)
    view.cut()
    choice = next(one for one in view.kept().choices.notches if one.item == "recorder")
    assert choice.notches[0].width_mm == pytest.approx(38.1)
    assert choice.notches[0].depth_mm == 30.0
    view.tab.locator('[data-field="depth"]').fill("a lot")
    view.tab.keyboard.press("Enter")
    view.tab.wait_for_selector(".fkl-fault:not([hidden])")
    assert "a lot" in view.tab.inner_text(".fkl-fault")
    assert next(iter(view.kept().choices.notches)) == choice


def test_a_thin_web_has_its_number_and_its_sentence(view: Open) -> None:
    """A notch 50 mm deep towards the neighbour leaves 10: on its witness line and under it."""
    view.drag(NOTCH, (95.0 * scale(view), 20.0 * scale(view)))
    view.tab.locator('[data-field="depth"]').fill("50")
    view.tab.keyboard.press("Enter")
    view.tab.wait_for_timeout(150)
    view.cut()
    assert view.tab.text_content(".fkl-webs .fkl-tag-text").startswith("10 < 15")
    row = view.tab.inner_text(".fkl-findings")
    assert "FAILS" in row
    assert "recorder" in row
    assert "lamp" in row
    assert view.tab.locator(".fkl-stack .fkl-mark").count() >= 1


def test_back_to_as_planned(view: Open) -> None:
    """One pocket goes back to the planned notches, and it is a step that undo takes back."""
    view.drag(NOTCH, (20.0 * scale(view), 0.0))
    view.tab.locator("button", has_text="recorder as planned").click()
    view.tab.wait_for_timeout(80)
    view.cut()
    assert view.kept().choices.notches == ()
    view.tab.locator("button", has_text="undo").click()
    view.tab.wait_for_timeout(80)
    view.cut()
    assert len(view.notches("recorder")) == 2


def test_quick_drops_are_never_lost(view: Open) -> None:
    """Eight arrow keys at once, while the foam is being cut, move the notch by eight steps."""
    view.tab.locator('[data-notch="recorder/1#0"]').focus()
    start = view.bench.view.scene["notches"]
    at = next(one["at"] for one in start if one["id"] == "recorder/1#0")
    for _ in range(8):
        view.tab.keyboard.press("ArrowRight")
    view.tab.wait_for_timeout(400)
    view.cut()
    rows = view.bench.view.scene["notches"]
    after = next(one["at"] for one in rows if one["id"] == "recorder/1#0")
    assert after[0] == pytest.approx(at[0] + 8.0, abs=1.1)
    assert len(view.bench.edits.done) == 8


def test_a_finger_drags_it_too(browser: Any, tmp_path: Path) -> None:
    """Touch on a notch drags it; the page does not scroll."""
    bench = FoamBench.of(two_blocks(), work=Work(tmp_path / "t.toml", tmp_path / "t"))
    with shown(browser, bench, has_touch=True) as tab:
        view = Open(tab, bench, bench.work or Work(tmp_path, tmp_path))
        x, y = view.middle(NOTCH)
        session = tab.context.new_cdp_session(tab)
        far = 25.0 * scale(view)
        points = [("touchStart", x), *(("touchMove", x + far * k / 4) for k in range(1, 5))]
        for kind, px in points:
            session.send(
                "Input.dispatchTouchEvent", {"type": kind, "touchPoints": [{"x": px, "y": y}]}
            )
        session.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
        tab.wait_for_timeout(120)
        view.cut()
        assert view.notches("recorder")[0][0] == pytest.approx(60.0 + 25.0, abs=1.5)
    bench.close()


def test_the_files_are_written_on_request(view: Open) -> None:
    """The button writes all files, says how many and where, and the caution stands beside it."""
    view.drag(NOTCH, (20.0 * scale(view), 0.0))
    view.tab.locator("button", has_text="write the cutting files").click()
    view.tab.wait_for_function(
        "document.querySelector('.fkl-saved').textContent.includes('files written in')",
        timeout=60_000,
    )
    said = view.tab.inner_text(".fkl-saved")
    data = json.loads(view.work.plan_path.read_text(encoding="utf-8"))
    assert said.startswith(f"{len(data['written']) + 1} files")
    assert str(view.work.folder.resolve()) in said
    assert "cut away from your hands" in view.tab.inner_text(".fkl-caution")
    assert len(view.notches("recorder")) == 2
