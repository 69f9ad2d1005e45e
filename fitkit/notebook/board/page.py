"""The board as one HTML file that can be dragged without a kernel, and loaded back."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from functools import cache
from importlib.resources import files
from typing import Any

from fitkit.notebook.board.module import script, style

LAYOUT_FORMAT = "fitkit-layout"
LAYOUT_VERSION = 1


def board_page(
    scenes: Mapping[str, Mapping[str, Any]],
    *,
    title: str,
    plan: str,
    placements: Sequence[Mapping[str, Any]],
    pairs: Sequence[tuple[str, str, float]],
    clearance_mm: float,
    follows: bool,
    level: str | None = None,
    heights_mm: tuple[float, float] | None = None,
    file: str = "layout.json",
) -> str:
    """The page as HTML: no network, no other file.

    ``scenes`` are the board's pictures by level (``all`` may be among them; every item carries
    its ``level``), ``level`` the one shown first. ``plan`` is the digest by which a saved layout
    is known again, ``placements`` [{item, copy, half, tier, up, turn_deg, x_mm, y_mm, z_mm}] are
    those of the plan; the board's id of one is ``item/copy``. ``pairs`` are [id, id, least
    distance mm] of those that keep apart, ``clearance_mm`` is that to the walls, ``heights_mm`` the
    interior's and the outside height. ``file`` is the name under which the layout is saved:
    {"format": "fitkit-layout", "version": 1, "plan", "placements", "locked": [ids], "follows"}.
    ValueError if there is no scene, or a placement or a pair has no item on the board.
    """
    from markupsafe import Markup

    if not scenes:
        raise ValueError("a page needs the picture of at least one level")
    drawn = {item["id"] for scene in scenes.values() for item in scene["items"]}
    asked = {f"{one['item']}/{one['copy']}" for one in placements}
    asked |= {name for left, right, _ in pairs for name in (left, right)}
    if asked - drawn:
        raise ValueError(f"not on the board: {', '.join(sorted(asked - drawn))}")
    data = {
        "plan": plan,
        "scenes": scenes,
        "level": next(iter(scenes)) if level is None else level,
        "follows": follows,
        "clearance": clearance_mm,
        "heights_mm": heights_mm,
        "pairs": [list(pair) for pair in pairs],
        "placements": list(placements),
        "file": file,
    }
    return str(
        _template().render(
            title=title,
            plan=plan,
            style=Markup(style()),  # our own
            script=Markup(script("distance.js", "offline.js")),  # our own
            data=Markup(_quoted(data)),
        )
    )


def _quoted(data: Mapping[str, Any]) -> str:
    """Data as JSON that no text in it can end the element it stands in."""
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"), allow_nan=False)
    return text.replace("&", "\\u0026").replace("<", "\\u003c").replace(">", "\\u003e")


@cache
def _template() -> Any:
    from jinja2 import Environment, StrictUndefined

    text = (files("fitkit.notebook.board") / "page.html.j2").read_text(encoding="utf-8")
    return Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    ).from_string(text)
