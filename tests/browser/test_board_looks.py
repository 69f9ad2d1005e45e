"""What the board shows and says: labels that are read out, names, themes, only what moved drawn."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from browser.board_fixture import drag, many, middle, opened, page, six
from lab_server import browsing

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """One Chromium for this file; every test has a context of its own."""
    with browsing() as one:
        yield one


def test_those_who_listen_hear_place_lock_verdict_and_status(browser: Any) -> None:
    """Labels name the item, its place, lock and verdict; the status is read out politely."""
    shown = six() | {"failing": {"float/5": "too close"}}
    with opened(browser, page(shown)) as tab:
        label = tab.locator('[data-item="float/5"]').get_attribute("aria-label")
        assert label == "float 5, 390.0 mm from the left, 120.0 mm from the front, too close"
        assert ", locked, " in tab.locator('[data-item="recorder/1"]').get_attribute("aria-label")
        assert (
            tab.locator('[data-item="float/5"] .fkb-body').evaluate(
                "(e) => getComputedStyle(e).strokeDasharray"
            )
            != "none"
        )
        live = tab.locator("[data-live]")
        assert live.get_attribute("aria-live") == "polite"
        drag(tab, middle(tab, "float/5"), (-20, 0))
        tab.wait_for_function(
            "document.querySelector('[data-live]').textContent === 'float 5 dropped'"
        )
        assert "too close" not in tab.locator('[data-item="float/5"]').get_attribute("aria-label")


def test_a_move_redraws_only_what_moved(browser: Any) -> None:
    """Of 120 items of 60 vertices, a drag rewrites the dragged one alone, once per frame."""
    with opened(browser, page(many(120, 15))) as tab:
        tab.evaluate(
            """window.changed = new Set(); window.count = 0;
            new MutationObserver((all) => { for (const one of all) {
              count += 1;
              const item = one.target.closest("[data-item]");
              if (item) changed.add(item.dataset.item);
            } }).observe(document.querySelector(".fkb-items"),
              { attributes: true, childList: true, subtree: true });"""
        )
        x, y = middle(tab, "float/5")
        tab.mouse.move(x, y)
        tab.mouse.down()
        tab.wait_for_timeout(40)
        tab.evaluate("changed.clear(); count = 0")
        tab.mouse.move(x + 8, y - 4)
        tab.wait_for_timeout(40)
        before = tab.evaluate("count")
        for by in range(10):
            tab.mouse.move(x + 8 + by, y - 4)
        tab.wait_for_timeout(60)
        assert set(tab.evaluate("[...changed]")) <= {"float/5", "recorder/1"}
        assert tab.evaluate("count") - before < 60
        tab.mouse.up()


def test_dark_and_closed(browser: Any) -> None:
    """The dark theme swaps ink and paper; a closed board leaves no listener behind."""
    with opened(browser, page(six(), theme="dark")) as tab:
        ground = tab.locator("#here").evaluate("(e) => getComputedStyle(e).backgroundColor")
        assert ground == "rgb(23, 32, 38)"
        tab.evaluate("close_board()")
        assert tab.evaluate("Object.values(model.listeners).flat().length") == 0


def test_names_neither_meet_nor_leave_their_item(browser: Any) -> None:
    """In a crowded case no two names overlap, and those within items stay within."""
    for shown in (many(40, 8), six()):
        with opened(browser, page(shown)) as tab:
            boxes = tab.evaluate(
                """[...document.querySelectorAll('.fkb-label g')].map((g) => {
                const r = g.getBoundingClientRect();
                return [r.left, r.top, r.right, r.bottom]; })"""
            )
            assert len(boxes) == len(shown["items"])
            for n, a in enumerate(boxes):
                for b in boxes[:n]:
                    apart = (
                        a[2] <= b[0] + 1 or b[2] <= a[0] + 1 or a[3] <= b[1] + 3 or b[3] <= a[1] + 3
                    )
                    assert apart, (a, b)
