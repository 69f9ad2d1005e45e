"""The kit on paper: every item's outline at one scale, with what was measured."""

from __future__ import annotations

import html
from typing import Any

import ipywidgets as widgets
import shapely

from fitkit.documents.naming import sizes
from fitkit.documents.pens.svg import svg
from fitkit.documents.sheet import Path as Line
from fitkit.documents.sheet import Sheet, Style, fast_contours
from fitkit.errors import BadInput, Fault
from fitkit.geometry.shapes import moved
from fitkit.notebook.parts import style
from fitkit.notebook.samples import samples_folder
from fitkit.payload.model import Item, Payload
from fitkit.payload.pose import body_size, posed
from fitkit.payload.sheet import read_sheet
from fitkit.units import mass_text

_WIDEST_PX = 130
_EDGE_MM = 1.0


def sample(name: str) -> Payload:
    """A sample payload by its file's name, from the package or from the folder of a checkout.

    BadInput, with the names that there are, when there is no such sample.
    """
    folder = samples_folder()
    path = folder / name
    if not path.is_file():
        there = ", ".join(sorted(one.name for one in folder.glob("*.toml")))
        raise BadInput([Fault(f"sample {name}", "there is no such file", f"one of: {there}")])
    return read_sheet(path)


def kit(payload: Payload) -> Any:
    """The payload as a table to look at: outline from above, count, size, mass, poses, zones."""
    widest = max(max(body_size(item.body)[:2]) for item in payload.items)
    rows = "".join(_row(payload, item, widest) for item in payload.items)
    notes = "".join(f"<li>{html.escape(text)}</li>" for text in payload.assumptions)
    count = len(payload.assumptions)
    assumed = (
        f'<details class="fk-note"><summary>{count} assumptions</summary><ul>{notes}</ul></details>'
    )
    table = (
        f'<h2 class="fk-title">{html.escape(payload.title)}</h2>'
        '<p class="fk-sub">outlines seen from above, all at one scale · sizes in mm</p>'
        '<table class="fk-kit"><tr><th></th><th>item</th><th class="fk-figure">count</th>'
        "<th>size</th>"
        '<th class="fk-figure">mass</th><th>may look up</th><th>turns</th><th>keeps free</th></tr>'
        f"{rows}</table>{assumed if payload.assumptions else ''}"
    )
    box = widgets.VBox([widgets.HTML(style()), widgets.HTML(table)])
    box.add_class("fk-root")
    return box


def _row(payload: Payload, item: Item, widest_mm: float) -> str:
    zones = ", ".join(f"{zone.kind} ({zone.face})" for zone in item.zones) or "nothing"
    mass = "not given" if item.mass_kg is None else mass_text(item.mass_kg, units=payload.units)
    cells = [
        (_outline(item, widest_mm), ""),
        (f"<b>{html.escape(item.name)}</b>", ""),
        (str(item.count), "fk-figure"),
        (sizes(body_size(item.body)), ""),
        (html.escape(mass), "fk-figure"),
        (", ".join(item.up), ""),
        (item.turn, ""),
        (html.escape(zones), ""),
    ]
    return "<tr>" + "".join(f'<td class="{kind}">{cell}</td>' for cell, kind in cells) + "</tr>"


def _outline(item: Item, widest_mm: float) -> str:
    shape = moved(posed(item, "top").silhouette, by=(_EDGE_MM, _EDGE_MM))
    _, _, width, depth = shapely.bounds(shape)
    line = Line(fast_contours(shape, tolerance_mm=0.1), Style("ink", widest_mm / 110, fill="white"))
    sheet = Sheet(float(width) + _EDGE_MM, float(depth) + _EDGE_MM, item.name, (line,))
    share = (float(width) + _EDGE_MM) / widest_mm
    text = svg(sheet, inline=True, ground=False, ids=f"kit-{item.name.replace(' ', '-')}")
    return f'<div style="width:{share * _WIDEST_PX:.0f}px">{text}</div>'
