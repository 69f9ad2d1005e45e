"""Layers as small pictures, and the drawing that shows them all."""

from __future__ import annotations

from fitkit.documents.cut_layer import pockets_of
from fitkit.documents.furniture import title_block
from fitkit.documents.lettering import cut_to
from fitkit.documents.naming import half_names, size
from fitkit.documents.sheet import Contour, Hatch, Mark, Path, Sheet, Style, Text, fast_contours
from fitkit.documents.stock_words import count_words
from fitkit.foam.model import Layer
from fitkit.plan import Plan


def layer_picture(
    plan: Plan, layer: Layer, x: float, y: float, width_mm: float, *, marked: bool = False
) -> list[Mark]:
    """A layer ``width_mm`` wide with its lower left corner at (x, y); seen as in its plan view."""
    interior = plan.fit.interior
    scale = width_mm / interior.length_mm
    over = layer.half == "shallow"

    def put(contours: tuple[Contour, ...]) -> tuple[Contour, ...]:
        return tuple(
            Contour(
                tuple(
                    (
                        x + vx * scale,
                        y + ((interior.width_mm - vy) if over else vy) * scale,
                        -b if over else b,
                    )
                    for vx, vy, b in contour.vertices
                )
            )
            for contour in contours
        )

    thin = 0.03 / scale
    foam = put(fast_contours(layer.shape, tolerance_mm=thin))
    edge = put(fast_contours(layer.outline, tolerance_mm=thin))
    marks: list[Mark] = [
        Path(foam, Style(None, fill="foam")),
        Hatch(foam, "foam"),
        Path(foam, Style("ink", 0.2)),
    ]
    marks.append(Path(edge, Style("ok", 0.8) if marked else Style("ink", 0.3)))
    return marks


def what_is_cut(layer: Layer) -> str:
    """What a layer has in it, in a word or two."""
    pockets = len(pockets_of(layer))
    if pockets:
        return "1 pocket" if pockets == 1 else f"{pockets} pockets"
    others = [kind for kind in ("relief", "channel") if any(c.kind == kind for c in layer.cutouts)]
    counts = [sum(cut.kind == kind for cut in layer.cutouts) for kind in others]
    return ", ".join(map(count_words, counts, others)) or "plain"


def layers_sheet(plan: Plan, *, number: int, total: int) -> Sheet:
    """Every layer of every half, from its floor to the closing plane."""
    width = 297.0
    interior = plan.fit.interior
    count = len(plan.foam.layers)
    columns = 4 if count <= 16 else 6
    gap = 7.0
    wide = (width - 24.0 - gap * (columns - 1)) / columns
    tall = wide * interior.width_mm / interior.length_mm
    marks: list[Mark] = []
    y = -8.0
    names = half_names(plan)
    for half in interior.halves:
        layers = [layer for layer in plan.foam.layers if layer.half == half.name]
        if not layers:
            continue
        marks.append(
            Text(12.0, y, f"{names[half.name][:1].upper()}{names[half.name][1:]}", 4.0, bold=True)
        )
        how = "from its floor to the closing plane"
        if half.name == "shallow":
            how += ", as the half lies open"
        marks.append(
            Text(
                12.0,
                y - 4.4,
                f"{len(layers)} layers, {size(half.depth_mm)} mm, {how}",
                2.7,
                role="quiet",
            )
        )
        y -= 9.0
        for k, layer in enumerate(layers):
            row, column = divmod(k, columns)
            x = 12.0 + column * (wide + gap)
            low = y - tall - row * (tall + 14.0)
            marks += layer_picture(plan, layer, x, low, wide)
            accent = " accent" if layer.material == "accent" else ""
            what = what_is_cut(layer)
            marks.append(
                Text(
                    x,
                    low - 4.0,
                    f"{layer.index} · {size(layer.thickness_mm)} mm{accent}",
                    2.9,
                    bold=True,
                )
            )
            marks.append(
                Text(
                    x,
                    low - 7.6,
                    f"{size(layer.z0_mm)}–{size(layer.z1_mm)} · {what}",
                    2.5,
                    role="quiet",
                )
            )
        y -= (-(-len(layers) // columns)) * (tall + 14.0) + 2.0
    # as tall as it has to be, and at least as a landscape page
    height = max(210.0, -y + 24.0 + 26.0)
    lifted = [_lifted(mark, height - 24.0) for mark in marks]
    title = cut_to(plan.payload.title, width_mm=width - 24.0, size_mm=6.2, bold=True)
    head: list[Mark] = [
        Text(12.0, height - 15.0, title, 6.2, bold=True),
        Text(
            12.0,
            height - 20.5,
            "foam, layer by layer, seen from above · sizes in mm",
            3.0,
            role="quiet",
        ),
    ]
    foot = title_block(plan, width_mm=width, number=number, total=total, scale=None)
    return Sheet(
        width, height, f"{plan.payload.title}: foam, layer by layer", (*head, *lifted, *foot)
    )


def _lifted(mark: Mark, by: float) -> Mark:
    if isinstance(mark, Path):
        return Path(_up(mark.contours, by), mark.style, mark.operation)
    if isinstance(mark, Hatch):
        return Hatch(_up(mark.contours, by), mark.kind)
    if isinstance(mark, Text):
        return Text(
            mark.x_mm, mark.y_mm + by, mark.text, mark.size_mm, mark.anchor, mark.bold, mark.role
        )
    return mark


def _up(contours: tuple[Contour, ...], by: float) -> tuple[Contour, ...]:
    return tuple(
        Contour(tuple((x, y + by, b) for x, y, b in c.vertices), c.closed) for c in contours
    )
