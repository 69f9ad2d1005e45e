"""The worked example's shell with all that a drawing must show: latches, handles, feet, rows.

Sizes of hardware and places of holes are our own, for tests only; panels and profiles are those of
:mod:`shell_kits`.
"""

from __future__ import annotations

import shapely
from attrs import evolve
from shapely import Polygon
from shapely.affinity import translate

import shell_kits
from fitkit.geometry.shapes import rectangle
from fitkit.payload.workshop import Side
from fitkit.plan import Plan
from fitkit.shell.model import Bar, BarCut, Fitted, Hole, Opening, Panel, Point, Shell

LATCH_X = (130.0, 430.0)
CLOSING = shell_kits.CLOSING
LOW, HIGH = shell_kits.LOW, shell_kits.HIGH


def placed(width: float, height: float, corner: float, x: float, y: float) -> Polygon:
    """A rounded rectangle about a middle."""
    shape = rectangle(width, height, corner_mm=corner)
    left, low, right, high = shape.bounds
    return translate(shape, x - (left + right) / 2, y - (low + high) / 2)


def corner_on_face(panel: Panel) -> tuple[float, float]:
    """Lower left corner of a panel on its face, by hand for each side."""
    x, y, z = panel.centre_mm
    u, v = {
        "front": (x, z), "back": (-x, z), "left": (-y, z), "right": (y, z),
        "top": (x, y), "bottom": (-x, y),
    }[panel.side]  # fmt: skip
    return u - panel.length_mm / 2, v - panel.width_mm / 2


def opened(panels: tuple[Panel, ...], side: Side, owner: str, shape: Polygon) -> list[Opening]:
    """The share of an opening, given on the face, in each panel of that side."""
    made = []
    for panel in panels:
        if panel.side == side:
            left, low = corner_on_face(panel)
            room = shapely.box(0, 0, panel.length_mm, panel.width_mm)
            cut = translate(shape, -left, -low).intersection(room)
            if cut.area > 1:
                made.append(Opening(panel.name, owner, cut))
    return made


def shell() -> Shell:
    """Two latches over the closing plane, two handles, four feet, rivets along every edge."""
    base = shell_kits.shell()
    fitted: list[Fitted] = [one for one in base.hardware if one.kind != "latch"]
    openings: list[Opening] = []
    cuts: list[BarCut] = []
    holes: list[Hole] = []
    for k, x in enumerate(LATCH_X, start=1):
        name = f"latch front {k}"
        at = (x, LOW[1], CLOSING)
        fitted.append(
            Fitted(name, "latch", "sunk latch", "front", ("deep", "shallow"), at, 0.0, (106, 112))
        )
        openings += opened(base.panels, "front", name, placed(90, 96, 4, x, CLOSING))
        for bar in ("deep tongue front top", "shallow groove front bottom"):
            cuts.append(BarCut(bar, name, "front", x + 10 - 45, x + 10 + 45, 25.0))
        for dx in (-48.5, 48.5):
            for dz in (-50.0, -30.0, 30.0, 50.0):
                part = "deep" if dz < 0 else "shallow"
                holes.append(
                    Hole("front", (x + dx, LOW[1], CLOSING + dz), 4.1, "rivet", name,
                         (f"{part} front",), "blind rivet 4.0 x 10", 2.0)
                )  # fmt: skip
    for side, x in (("left", LOW[0]), ("right", HIGH[0])):
        name = f"handle {side} 1"
        openings += opened(base.panels, side, name,
                           placed(140, 100, 6, -190.0 if side == "left" else 190.0, 90.0))  # type: ignore[arg-type]  # fmt: skip
        for dy in (-74.0, 74.0):
            for dz in (-48.0, 0.0, 48.0):
                holes.append(
                    Hole(side, (x, 190.0 + dy, 90.0 + dz), 4.1, "rivet", name,  # type: ignore[arg-type]  # by test
                         (f"deep {side}",), "blind rivet 4.0 x 12", 2.0)
                )  # fmt: skip
    for foot in (one for one in base.hardware if one.kind == "foot"):
        holes.append(
            Hole("bottom", foot.centre_mm, 6.6, "tee nut", foot.name, ("deep bottom",), "", None)
        )
    for bar in base.bars:
        holes += rivets_along(bar, base.panels, fitted)
    return evolve(base, hardware=tuple(fitted), openings=tuple(openings), bar_cuts=tuple(cuts),
                  holes=tuple(holes))  # fmt: skip


INWARD: dict[Side, tuple[int, float]] = {
    "left": (0, 1.0), "right": (0, -1.0), "front": (1, 1.0), "back": (1, -1.0),
    "bottom": (2, 1.0), "top": (2, -1.0),
}  # fmt: skip


def rivets_along(bar: Bar, panels: tuple[Panel, ...], fitted: list[Fitted]) -> list[Hole]:
    """Equal steps of at most 100 mm on each riveted leg, clear of hardware."""
    legs = bar.sides if bar.kind == "edge" else bar.sides[:1]
    made: list[Hole] = []
    a, b = bar.start_mm, bar.end_mm
    ends = 30.0 if bar.kind == "edge" else 45.0
    free = bar.length_mm - 2 * ends
    steps = max(1, int(-(-free // 100)))
    for leg, other in zip(legs, reversed(bar.sides), strict=False):
        panel = next(p for p in panels if p.part == bar.part and p.side == leg)
        axis, way = INWARD[other]
        for k in range(steps + 1):
            t = (ends + free * k / steps) / bar.length_mm
            at = [p + (q - p) * t for p, q in zip(a, b, strict=True)]
            at[axis] += way * 18.0
            point: Point = (at[0], at[1], at[2])
            clear = all(
                one.side != leg or abs(at[0] - one.centre_mm[0]) > 60 for one in fitted
                if one.kind == "latch"
            )  # fmt: skip
            if clear:
                made.append(Hole(leg, point, 4.1, "rivet", bar.name, (bar.name, panel.name),
                                 "blind rivet 4.0 x 14", 2.0))  # fmt: skip
    return made


def with_shell(plan: Plan) -> Plan:
    """``plan`` with this shell, and the worked example's outside."""
    kit = shell_kits.with_shell(plan)
    return evolve(kit, shell=shell(), outside_mm=(600.0, 400.0, 300.0))
