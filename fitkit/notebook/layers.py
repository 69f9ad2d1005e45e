"""Pictures of foam layers for the notebook, drawn on the neutral sheet."""

from __future__ import annotations

from fitkit.documents.naming import label_of, size
from fitkit.documents.pens.svg import svg
from fitkit.documents.sheet import Hatch, Mark, Path, Sheet, Style, Text, fast_contours
from fitkit.documents.spots import roomiest
from fitkit.foam.model import Layer
from fitkit.geometry.shapes import union
from fitkit.plan import Plan


def layer_title(layer: Layer) -> str:
    """A layer's name, thickness and height band in one line."""
    what = "accent" if layer.material == "accent" else "foam"
    return (
        f"{layer.half} half, layer {layer.index}: {size(layer.thickness_mm)} mm {what}, "
        f"{size(layer.z0_mm)} to {size(layer.z1_mm)} mm above the deep half's floor"
    )


def layer_svg(plan: Plan, layer: Layer) -> str:
    """One layer seen from above: foam dotted, cut-outs white with the items' names."""
    x0, y0, x1, y1 = layer.outline.bounds
    shape = fast_contours(layer.shape, tolerance_mm=0.05)
    marks: list[Mark] = [
        Path(fast_contours(layer.outline), Style("ink", 0.9, fill="white")),
        Path(shape, Style("ink", 0.7, fill="foam")),
        Hatch(shape, "foam"),
    ]
    copies = sorted({(cut.item, cut.copy) for cut in layer.cutouts})
    for item, copy in copies:
        hole = union(
            cut.shape
            for cut in layer.cutouts
            if (cut.item, cut.copy) == (item, copy) and cut.kind == "pocket"
        )
        if hole.is_empty:
            continue
        name = label_of(plan, item, copy)
        spot = roomiest(hole, name, largest_mm=9.0, smallest_mm=5.0)
        turn = spot.turn_deg
        marks.append(Text(spot.x_mm, spot.y_mm, name, spot.size_mm, "middle", True, "ink", turn))
    return svg(
        Sheet(x1 - x0, y1 - y0, layer_title(layer), tuple(marks)), inline=True, ids=layer.name
    )
