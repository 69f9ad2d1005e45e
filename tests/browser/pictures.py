"""The pictures that are compared with looked-at references, and how far two pictures are apart.

Every picture is of a static page with fixed data, set in the type that comes with the package, so
that it hardly depends on the machine. ``python tests/browser/make_golden.py`` draws the
references anew; look at each of them before you keep it.
"""

from __future__ import annotations

import base64
import io
import json
import os
import tempfile
from collections.abc import Callable
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

import hand_plan
from browser.board_fixture import opened, page, six
from browser.widget_page import widget_html, widget_shown
from fitkit.fit.layout import Fit, Half, Interior, Placement
from fitkit.notebook import FoamBench, Measure
from fitkit.notebook.view3d.bench import CaseView
from fitkit.payload.model import FoamWishes, Notch, Payload
from fitkit.plan import Plan, plan_of
from fitkit.scene.solids import scene_of
from foam_kits import block

GOLDEN = Path(__file__).parents[1] / "golden"
BLOCK = 8
"""Pictures are compared by the means of squares of so many pixels."""
WIDE = 880


@cache
def type_style(family: str = "") -> str:
    """The package's own type in place of the first of the palette's; or an installed family."""
    if family:
        return f"<style>* {{ font-family: '{family}' !important }}</style>"
    rules = ""
    for name, weight in (("DejaVuSans.ttf", "400"), ("DejaVuSans-Bold.ttf", "700")):
        data = (files("fitkit.documents") / "fonts" / name).read_bytes()
        text = base64.b64encode(data).decode("ascii")
        rules += (
            f"@font-face {{ font-family: 'IBM Plex Sans'; font-weight: {weight};"
            f" src: url(data:font/ttf;base64,{text}) }}"
        )
    return f"<style>{rules}</style>"


# ---- what is shown


def at_work() -> dict[str, Any]:
    """A board in the middle of work: a float is chosen, its gaps and the centre of mass told."""
    return six() | {
        "chosen": ["float/5"],
        "gaps": [
            {"to": "calibrator/2", "kind": "item", "verdict": "tight", "text": "28.0",
             "a": [423, 186], "b": [423, 214]},
            {"to": "right", "kind": "wall", "verdict": "ok", "text": "24.0",
             "a": [456, 153], "b": [480, 153]},
        ],
        "balance": {"x": 236, "y": 148, "text": "centre of mass"},
        "undo": "move float 5",
    }  # fmt: skip


def failing() -> dict[str, Any]:
    """A board with faults: two items overlap, one is too close, one is locked, a web is thin."""
    shown = six()
    shown["items"][3] |= {"x": 120, "y": 24}
    return shown | {
        "failing": {
            "hydrophone box/3": "overlaps",
            "probe/4": "overlaps",
            "float/5": "too close",
        },
        "chosen": ["probe/4"],
        "webs": [{"a": [456, 140], "b": [480, 140], "text": "web 9.4"}],
        "gaps": [
            {"to": "recorder/1", "kind": "item", "verdict": "fails", "text": "18.0",
             "a": [134, 114], "b": [134, 132]},
        ],
    }  # fmt: skip


def two_blocks() -> Plan:
    """A recorder and a lamp 60 mm apart, each with finger notches."""
    items = (block("recorder", 120, 60, 50), block("lamp", 80, 60, 50))
    payload = Payload("Tideline trial", items, foam=FoamWishes(notch=Notch(24.0, 22.0)))
    interior = Interior(380.0, 180.0, (Half("deep", 80.0), Half("shallow", 30.0)))
    places = (
        Placement("recorder", 1, "deep", 1, "top", 0.0, 60.0, 60.0, 30.0),
        Placement("lamp", 1, "deep", 1, "top", 0.0, 240.0, 60.0, 30.0),
    )
    fit = Fit("volume", 1.0, 1.0, "volume", 0.0, True, 0.1, 1, interior, places)
    return plan_of(payload, fit=fit)


Spoilt = Callable[[Any], None]
"""Breaks something on the page before its picture is taken: so the limits were found."""


def _left(_: Any) -> None:
    """Nothing is broken."""


def board(
    browser: Any,
    shown: dict[str, Any],
    *,
    theme: str | None = None,
    wide: int = WIDE,
    family: str = "",
    spoilt: Spoilt = _left,
) -> bytes:
    """The picture of a board."""
    html = page({}, theme=theme, width=f"{wide}px")
    html = html.replace("<meta charset", f"{type_style(family)}<meta charset", 1)
    html = html.replace("window.close_board =", f"{_FONTS}\nwindow.close_board =")
    html = html.replace("new FakeModel({}", f"new FakeModel({json.dumps(shown)}")
    with opened(browser, html, viewport={"width": wide, "height": 1000}) as tab:
        return _taken(tab, spoilt)


_FONTS = (
    "for (const how of ['400', '700']) await document.fonts.load(`${how} 12px 'IBM Plex Sans'`);"
)


def widget(
    browser: Any,
    made: Any,
    *,
    ready: str,
    theme: str | None = None,
    high: int = 900,
    family: str = "",
    spoilt: Spoilt = _left,
) -> bytes:
    """The picture of a widget, taken when ``ready`` is there."""
    html = widget_html(made, theme=theme, head=type_style(family))
    html = html.replace("window.close_view =", f"{_FONTS}\nwindow.close_view =")
    with widget_shown(browser, html, viewport={"width": WIDE, "height": high}) as tab:
        tab.wait_for_selector(ready)
        return _taken(tab, spoilt)


def _taken(tab: Any, spoilt: Spoilt) -> bytes:
    tab.wait_for_timeout(150)
    spoilt(tab)
    tab.wait_for_timeout(50)
    high = min(
        tab.viewport_size["height"],
        tab.evaluate("Math.ceil(document.getElementById('here').getBoundingClientRect().bottom)"),
    )
    clip = {"x": 0, "y": 0, "width": tab.viewport_size["width"], "height": high}
    picture: bytes = tab.screenshot(clip=clip, animations="disabled", caret="hide")
    return picture


def foam(browser: Any, **how: Any) -> bytes:
    """The picture of the foam view: the layer with the notches."""
    bench = FoamBench.of(two_blocks())
    try:
        return widget(browser, bench.view, ready="[data-layer]", high=760, **how)
    finally:
        bench.close()


def form(browser: Any, **how: Any) -> bytes:
    """The picture of the sheet as a form, on the sample."""
    before = Path.cwd()
    with tempfile.TemporaryDirectory() as folder:
        os.chdir(folder)
        try:
            bench = Measure("tideline.toml")
            try:
                return widget(browser, bench.panel, ready=".fkf-picture svg", **how)
            finally:
                bench.close()
        finally:
            os.chdir(before)


def case(browser: Any, *, state: str, cut: str | None = None, **how: Any) -> bytes:
    """The picture of the 3D view: closed, open or cut across."""
    made = CaseView(scene=scene_of(hand_plan.plan()), state=state)
    spoilt: Spoilt = how.pop("spoilt", _left)

    def chosen(tab: Any) -> None:
        if cut is not None:
            tab.click(f'.fk-case-view button:text-is("{cut}")')
            tab.wait_for_timeout(900)
            tab.wait_for_selector('canvas[data-drawn="fine"]')
            tab.mouse.move(1, 1)
            tab.evaluate("document.activeElement.blur()")
        spoilt(tab)

    return widget(browser, made, ready='canvas[data-drawn="fine"]', high=700, spoilt=chosen, **how)


PICTURES: dict[str, Callable[..., bytes]] = {
    "board-light": lambda browser, **how: board(browser, at_work(), **how),
    "board-dark": lambda browser, **how: board(browser, at_work(), theme="dark", **how),
    "board-narrow": lambda browser, **how: board(browser, at_work(), wide=420, **how),
    "board-failing": lambda browser, **how: board(browser, failing(), **how),
    "board-failing-dark": lambda browser, **how: board(browser, failing(), theme="dark", **how),
    "foam": foam,
    "foam-dark": lambda browser, **how: foam(browser, theme="dark", **how),
    "form": form,
    "form-dark": lambda browser, **how: form(browser, theme="dark", **how),
    "case-closed": lambda browser, **how: case(browser, state="closed", **how),
    "case-open": lambda browser, **how: case(browser, state="open", **how),
    "case-cut": lambda browser, **how: case(browser, state="closed", cut="width", **how),
}
"""Every picture by its name; a function of a browser, and of what is to be spoilt in it."""


# ---- how far two are apart


def blocks(picture: bytes) -> np.ndarray:
    """The mean of each square of :data:`BLOCK` pixels, by channel; shape (rows, columns, 3)."""
    image = np.asarray(Image.open(io.BytesIO(picture)).convert("RGB"), dtype=float)
    rows, columns = image.shape[0] // BLOCK, image.shape[1] // BLOCK
    whole = image[: rows * BLOCK, : columns * BLOCK]
    means: np.ndarray = whole.reshape(rows, BLOCK, columns, BLOCK, 3).mean(axis=(1, 3))
    return means


def apart(one: bytes, other: bytes) -> tuple[float, float]:
    """How far two pictures are apart: the mean and the largest difference of their blocks, 0-255.

    Pictures that differ in size by more than a block are infinitely far apart.
    """
    a, b = blocks(one), blocks(other)
    if any(abs(m - n) > 1 for m, n in zip(a.shape, b.shape, strict=True)):
        return float("inf"), float("inf")
    rows, columns = min(a.shape[0], b.shape[0]), min(a.shape[1], b.shape[1])
    off = np.abs(a[:rows, :columns] - b[:rows, :columns])
    return float(off.mean()), float(off.max())
