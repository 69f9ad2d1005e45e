"""Boards on static pages for the tests: scenes made up of shapes, and a model that plays Python."""

from __future__ import annotations

import json
import math
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from fitkit.notebook.board.module import script, style

HERE = Path(__file__).parent
NAMES = ("recorder", "calibrator", "hydrophone box", "probe", "float", "battery", "field screen")
Ring = list[list[float]]


def circle(across: float, points: int = 60) -> Ring:
    """A round outline with its box's corner at the origin."""
    half = across / 2
    turns = [2 * math.pi * i / points for i in range(points)]
    return [[half + half * math.cos(t), half + half * math.sin(t)] for t in turns]


def slab(wide: float, high: float) -> Ring:
    """A rectangle."""
    return [[0, 0], [wide, 0], [wide, high], [0, high]]


def angle(wide: float, high: float) -> Ring:
    """An L: its box's middle is outside."""
    return [[0, 0], [wide, 0], [wide, 26], [26, 26], [26, high], [0, high]]


def item(number: int, ring: Ring, x: float, y: float, **more: Any) -> dict[str, Any]:
    """One item of a scene."""
    name = NAMES[number % len(NAMES)]
    wide = max(p[0] for p in ring)
    high = max(p[1] for p in ring)
    return {
        "id": f"{name}/{number + 1}",
        "name": f"{name} {number + 1}",
        "sub": f"{wide:.0f} × {high:.0f}, 44 high",
        "rings": [ring],
        "zones": [],
        "x": x,
        "y": y,
        "w": wide,
        "h": high,
        "turn": 0,
        "step": 90,
        "locked": False,
        "level": "deep/1",
        "over": False,
        "dim": False,
        **more,
    }


def scene(items: list[dict[str, Any]], *, long: float, wide: float, **more: Any) -> dict[str, Any]:
    """A whole picture."""
    return {
        "n": 1,
        "title": "Tideline shore station",
        "units": "mm",
        "wall": 10,
        "corner": 4,
        "follows": True,
        "box": [0, 0, long, wide],
        "texts": {
            "interior": [f"{long:.0f} interior", f"{wide:.0f} interior"],
            "outside": [f"{long + 20:.0f} outside", f"{wide + 20:.0f} outside"],
        },
        "levels": [
            {"id": "deep/1", "name": "deep half, tier 1"},
            {"id": "deep/2", "name": "deep half, tier 2"},
            {"id": "shallow/1", "name": "shallow half"},
        ],
        "level": "deep/1",
        "items": items,
        "chosen": [],
        "gaps": [],
        "failing": {},
        "webs": [],
        "balance": None,
        "facts": [
            ["interior", f"{long:.0f} × {wide:.0f} × 220 mm"],
            ["outside", f"{long + 20:.0f} × {wide + 20:.0f} × 240 mm"],
            ["mass", "11.8 kg"],
        ],
        "grid": 5,
        "snap": {"grid": False, "gear": True, "walls": True},
        "undo": None,
        "redo": None,
        "status": "",
        "busy": None,
        **more,
    }


def six() -> dict[str, Any]:
    """Six items as on a bench: rectangles, a round one, an angle; zones, a lock."""
    zone = [{"kind": "connector", "rings": [[[80, -28], [118, -28], [118, 0], [80, 0]]]}]
    vent = [{"kind": "vent", "rings": [[[10, -26], [90, -26], [90, 0], [10, 0]]]}]
    hand = [{"kind": "hand", "rings": [[[128, 20], [152, 20], [152, 60], [128, 60]]]}]
    return scene(
        [
            item(0, slab(212, 148), 20, 132, zones=zone, locked=True),
            item(1, slab(186, 64), 262, 214, zones=vent),
            item(2, slab(128, 83), 20, 20, zones=hand, over=True),
            item(3, angle(150, 90), 180, 20, step=1),
            item(4, circle(66), 390, 120),
            item(5, circle(30), 300, 140, step=360),
        ],
        long=480,
        wide=300,
    )


def many(count: int, across: int, points: int = 60) -> dict[str, Any]:
    """``count`` round and square items in rows."""
    made = []
    for n in range(count):
        ring = slab(44, 38) if n % 3 == 1 else circle(30 + 4 * (n % 4), points)
        made.append(item(n, ring, 20 + 62 * (n % across), 20 + 58 * (n // across)))
    rows = -(-count // across)
    return scene(made, long=62 * across + 30, wide=58 * rows + 30)


def page(
    shown: dict[str, Any], *, theme: str | None = None, width: str = "100%", **model: Any
) -> str:
    """A page with a board and ``model`` (a FakeModel with those options) behind it."""
    fake = (HERE / "fake_model.js").read_text(encoding="utf-8")
    body = script().replace("export default", "const module =")
    dark = f' data-theme="{theme}"' if theme else ""
    paper = "#172026" if theme == "dark" else "#FBFAF5"
    return f"""<!doctype html><html lang="en"><meta charset="utf-8"><style>{style()}</style>
<body{dark} style="margin:0;background:{paper}">
<div style="height:1px"></div><div id="here" style="width:{width}"></div>
<div style="height:1500px"></div>
<script type="module">{fake}
{body}
window.model = new FakeModel({json.dumps(shown)}, {json.dumps(model)});
window.another = (el) => module.render({{ model: window.model, el }});
window.close_board = module.render({{ model: window.model, el: document.getElementById("here") }});
</script></body></html>"""


@contextmanager
def opened(browser: Any, html: str, **context: Any) -> Iterator[Any]:
    """The page in a fresh context of ``browser``; an error or a request in it fails the test."""
    room = browser.new_context(**{"viewport": {"width": 1100, "height": 900}, **context})
    tab = room.new_page()
    faults: list[str] = []
    tab.on("pageerror", lambda error: faults.append(str(error)))
    tab.on("console", lambda line: faults.append(line.text) if line.type == "error" else None)
    tab.on("request", lambda request: faults.append(request.url))
    tab.set_content(html)
    tab.wait_for_selector(".fkb-sheet .fkb-item")
    yield tab
    room.close()
    assert not faults, faults


def middle(tab: Any, name: str) -> tuple[float, float]:
    """Where the item ``name`` is on the screen."""
    box = tab.locator(f'[data-item="{name}"] .fkb-body').bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def painted(tab: Any) -> None:
    """Let the page draw what it has: two frames, however long they take."""
    tab.evaluate(
        "new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(() => done())))"
    )


def settled(tab: Any) -> None:
    """Wait until the model has heard all that it was told, and the page has drawn its answers."""
    painted(tab)
    until(
        tab,
        "(({ view, list }) => !model.flying && !(list || []).some((one) => "
        "one.n > (model.values.heard[view] || 0)))(model.values.told)",
        most_s=9.0,
    )
    painted(tab)


def told(tab: Any, kind: str | None = None) -> list[dict[str, Any]]:
    """What the model was told: acts of a kind, or (None) moves."""
    settled(tab)
    log: list[dict[str, Any]] = tab.evaluate("model.log")
    return [one for one in log if (one["kind"] == kind if one.get("act") else kind is None)]


def drops(tab: Any) -> list[dict[str, Any]]:
    """The drops that the model was told."""
    return [one for one in told(tab) if one.get("drop")]


def drag(
    tab: Any, start: tuple[float, float], by: tuple[float, float], *, drop: bool = True
) -> None:
    """The mouse presses at ``start``, moves in steps, and is released."""
    tab.mouse.move(*start)
    tab.mouse.down()
    for part in (0.3, 0.7, 1.0):
        tab.mouse.move(start[0] + by[0] * part, start[1] + by[1] * part)
    if drop:
        tab.mouse.up()


def until(tab: Any, question: str, *, most_s: float = 5.0) -> None:
    """Wait until the script ``question`` says yes; the page itself may not evaluate texts."""
    end = time.monotonic() + most_s
    while not tab.evaluate(question):
        assert time.monotonic() < end, question
        tab.wait_for_timeout(25)
