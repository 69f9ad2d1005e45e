"""An item as far as it can be read: for a drawing made while its sheet is still being typed."""

from __future__ import annotations

from typing import Any

import numpy as np
import shapely
from attrs import frozen
from shapely import Polygon

from fitkit.geometry.shapes import moved
from fitkit.payload.items_in import read_zone
from fitkit.payload.model import Body, Item, Section
from fitkit.payload.reading import Notes, Table
from fitkit.payload.shapes_in import pieces_of, read_piece


@frozen
class Sketch:
    """What can be drawn of an item.

    ``shapes`` gives for each section of the body which shape of the sheet it is (from 0),
    ``left_out`` the shapes that cannot be drawn yet, ``parts`` into how many pieces the body falls.
    """

    item: Item
    shapes: tuple[int, ...]
    left_out: tuple[int, ...]
    parts: int


def sketched(entry: dict[str, Any], *, units: str) -> Sketch | None:
    """The item of a sheet's ``entry`` with every shape and zone that can be read.

    ``units`` are the sheet's. None where there is nothing to draw at all.

    >>> typed = {"body": [{"circle": 9, "z": [0, 4]}, {"circle": "?", "z": [4, 6]}]}
    >>> sketch = sketched(typed, units="mm")
    >>> sketch.shapes, sketch.left_out
    ((0,), (1,))
    """
    notes = Notes("sketch", {})
    notes.units = "in" if units == "in" else "mm"
    table = Table(entry, ("item", 0), notes)
    pieces = []
    left_out = []
    for shape in table.tables("body") or ():
        index = shape.path[-1]
        before = len(notes)
        piece = read_piece(shape)
        if piece is None or len(notes) > before:
            left_out.append(int(index))
        else:
            pieces.append((int(index), piece))
    if not pieces:
        return None
    outlines = np.array([piece.drawn.outline for _, piece in pieces], dtype=object)
    left, low, _, _ = shapely.total_bounds(outlines)
    down = min(piece.z0_mm for _, piece in pieces)
    sections = []
    for _, piece in pieces:
        outline = moved(piece.drawn.outline, by=(-float(left), -float(low)))
        assert isinstance(outline, Polygon)  # moved only
        sections.append(Section(outline, piece.z0_mm - down, piece.z1_mm - down))
    body = Body(tuple(sections))
    zones = [read_zone(zone, body) for zone in table.tables("zone") or ()]
    name = entry.get("name")
    item = Item(
        name=name if isinstance(name, str) and name.strip() else "item",
        body=body,
        zones=tuple(zone for zone in zones if zone is not None),
    )
    shapes = tuple(index for index, _ in pieces)
    return Sketch(item, shapes, tuple(left_out), pieces_of([piece for _, piece in pieces]))
