"""A shell and its stock made by hand: the worked example, 600 x 400 x 300 outside, 200 + 100.

Sizes are those of the worked example of the house's description: panels 579 x 379, walls 185 and
83 high, edge profiles 540, 340, 145 and 45, tongue and groove 600 and 400 mitred. Hardware, holes
and the way of cutting are plain, so that documents can be tested without the shell's own rules.
"""

from __future__ import annotations

from attrs import evolve
from shapely import box

from fitkit.payload.workshop import HardwareType, Side
from fitkit.plan import Plan
from fitkit.shell.model import (
    Assembly,
    Bar,
    BarCut,
    BarKind,
    Corner,
    Fastener,
    Fitted,
    Hole,
    Opening,
    Panel,
    Part,
    Point,
    Shell,
    Split,
    Trouble,
)
from fitkit.stock.model import (
    BarPlan,
    Cost,
    CutBar,
    CutSheet,
    FoamPlan,
    FoamSheet,
    Laid,
    LaidLayer,
    SawCut,
    SheetPlan,
    Stick,
    Stock,
)

LOW, CLOSING, HIGH = (-10.0, -10.0, -10.0), 190.0, (590.0, 390.0, 290.0)
BOARD, AREAL = "birch plywood 6.5", 4.37
OUT_MM = 5.0  # from the outer face in to the middle of the panel


def assembly() -> Assembly:
    """Deep and shallow half, closing at 190."""
    deep = Part("deep", LOW, (HIGH[0], HIGH[1], CLOSING), ("top",))
    shallow = Part("shallow", (LOW[0], LOW[1], CLOSING), HIGH, ("bottom",))
    return Assembly(LOW, HIGH, (deep, shallow), (Split("z", CLOSING, "deep", "shallow", "deep"),))


def panels() -> tuple[Panel, ...]:
    """Ten panels: floor, lid and eight walls."""
    x, y = 290.0, 190.0

    def one(part: str, side: Side, long: float, tall: float, centre: Point) -> Panel:
        grain = "length" if long >= tall else "width"
        return Panel(part, side, long, tall, centre, BOARD, 6.4, AREAL, grain)  # type: ignore[arg-type]  # by test

    made = [one("deep", "bottom", 579, 379, (x, y, LOW[2] + OUT_MM))]
    for part, tall, z in (("deep", 185.0, 93.0), ("shallow", 83.0, 238.0)):
        made += [
            one(part, "front", 579, tall, (x, LOW[1] + OUT_MM, z)),
            one(part, "back", 579, tall, (x, HIGH[1] - OUT_MM, z)),
            one(part, "left", 379, tall, (LOW[0] + OUT_MM, y, z)),
            one(part, "right", 379, tall, (HIGH[0] - OUT_MM, y, z)),
        ]
    return (*made, one("shallow", "top", 579, 379, (x, y, HIGH[2] - OUT_MM)))


def bars() -> tuple[Bar, ...]:
    """Sixteen edge profiles, square and short of the corners; two mitred closing frames."""
    made: list[Bar] = []
    for part, face, z in (("deep", "bottom", LOW[2]), ("shallow", "top", HIGH[2])):
        for wall, y in (("front", LOW[1]), ("back", HIGH[1])):
            ends = ((LOW[0] + 30, y, z), (HIGH[0] - 30, y, z))
            made.append(Bar(part, "edge", (face, wall), *ends, 540, 540, "square"))  # type: ignore[arg-type]  # by test
        for wall, x in (("left", LOW[0]), ("right", HIGH[0])):
            ends = ((x, LOW[1] + 30, z), (x, HIGH[1] - 30, z))
            made.append(Bar(part, "edge", (face, wall), *ends, 340, 340, "square"))  # type: ignore[arg-type]  # by test
    for part, low, high in (("deep", 20.0, 165.0), ("shallow", 215.0, 260.0)):
        for wall, y in (("front", LOW[1]), ("back", HIGH[1])):
            for other, x in (("left", LOW[0]), ("right", HIGH[0])):
                ends = ((x, y, low), (x, y, high))
                sides = (wall, other)
                long = high - low
                made.append(Bar(part, "edge", sides, *ends, long, long, "square"))  # type: ignore[arg-type]  # by test
    for part, kind, face in (("deep", "tongue", "top"), ("shallow", "groove", "bottom")):
        made += _frame(part, kind, face)  # type: ignore[arg-type]  # by test
    return tuple(made)


def _frame(part: str, kind: BarKind, face: Side) -> list[Bar]:
    (x0, y0, _), (x1, y1, _), z = LOW, HIGH, CLOSING
    lines: dict[Side, tuple[Point, Point]] = {
        "front": ((x0, y0, z), (x1, y0, z)),
        "back": ((x0, y1, z), (x1, y1, z)),
        "left": ((x0, y0, z), (x0, y1, z)),
        "right": ((x1, y0, z), (x1, y1, z)),
    }
    longs = {"front": 600.0, "back": 600.0, "left": 400.0, "right": 400.0}
    return [
        Bar(part, kind, (wall, face), *ends, longs[wall], longs[wall] - 20.0, "mitred")
        for wall, ends in lines.items()
    ]


def hardware_types() -> tuple[HardwareType, ...]:
    """A sunk latch, a sunk handle and a foot; figures of our own, for tests only."""
    return (
        HardwareType("latch", "sunk latch", (106.0, 112.0), (90.0, 96.0), 4.0, 14.0,
                     mass_kg=0.24, known="measured"),
        HardwareType("handle", "sunk handle", (160.0, 120.0), (140.0, 100.0), 6.0, 12.0,
                     mass_kg=0.41, load_kg=35.0),
        HardwareType("foot", "rubber foot", (38.0, 38.0), stands_mm=20.0, fixing="screw"),
    )  # fmt: skip


def _fitted() -> tuple[Fitted, ...]:
    both, closing = ("deep", "shallow"), CLOSING
    latches = [
        Fitted(f"latch front {k}", "latch", "sunk latch", "front", both,
               (x, LOW[1], closing), 0.0, (106.0, 112.0))
        for k, x in enumerate((110.0, 470.0), start=1)
    ]  # fmt: skip
    ends: tuple[tuple[Side, float], ...] = (("left", LOW[0]), ("right", HIGH[0]))
    handles = [
        Fitted(f"handle {side} 1", "handle", "sunk handle", side, ("deep",), (x, 190.0, 90.0), 0.0,
               (160.0, 120.0))
        for side, x in ends
    ]  # fmt: skip
    feet = [
        Fitted(f"foot bottom {k}", "foot", "rubber foot", "bottom", ("deep",), (x, y, LOW[2]), 0.0,
               (38.0, 38.0))
        for k, (x, y) in enumerate(((45.0, 45.0), (535.0, 45.0), (45.0, 335.0), (535.0, 335.0)), 1)
    ]  # fmt: skip
    return (*latches, *handles, *feet)


def _holes() -> tuple[Hole, ...]:
    front, foot, made = LOW[1], LOW[2], []
    for x in (30.0, 250.0, 550.0):
        made.append(
            Hole("front", (x, front, 3.0), 4.1, "rivet", "deep edge bottom front",
                 ("deep edge bottom front", "deep front"), "blind rivet 4 x 12", 2.5)
        )  # fmt: skip
    for k, x in enumerate((110.0, 470.0), start=1):
        for z in (CLOSING - 50.0, CLOSING + 50.0):
            part = "deep" if z < CLOSING else "shallow"
            made.append(
                Hole("front", (x, front, z), 4.1, "rivet", f"latch front {k}", (f"{part} front",),
                     "blind rivet 4 x 10", 2.5)
            )  # fmt: skip
    made.append(
        Hole("bottom", (45.0, 45.0, foot), 4.0, "screw", "foot bottom 1", ("deep bottom",),
             "wood screw 4 x 16", 2.5, 8.0)
    )  # fmt: skip
    return tuple(made)


def _corners() -> tuple[Corner, ...]:
    made: list[Corner] = []
    for part, end, z, face in (("deep", "bottom", LOW[2], "top"), ("shallow", "top", HIGH[2],
                                                                    "bottom")):  # fmt: skip
        for wall, y in (("front", LOW[1]), ("back", HIGH[1])):
            for other, x in (("left", LOW[0]), ("right", HIGH[0])):
                made.append(Corner(part, "outer", (end, wall, other), (x, y, z)))  # type: ignore[arg-type]  # by test
                made.append(Corner(part, "closing", (wall, other, face), (x, y, CLOSING)))  # type: ignore[arg-type]  # by test
    return tuple(made)


def shell() -> Shell:
    """The whole shell: ten panels, twenty-four profiles, eight pieces of hardware."""
    return Shell(
        assembly=assembly(),
        panels=panels(),
        bars=bars(),
        corners=_corners(),
        hardware=_fitted(),
        openings=(
            Opening("deep front", "latch front 1", box(65.0, 140.0, 155.0, 185.0)),
            Opening("shallow front", "latch front 1", box(65.0, 0.0, 155.0, 40.0)),
            Opening("deep left", "handle left 1", box(120.0, 40.0, 260.0, 140.0)),
            Opening("deep right", "handle right 1", box(120.0, 40.0, 260.0, 140.0)),
        ),
        bar_cuts=(
            BarCut("deep tongue front top", "latch front 1", "front", 75.0, 165.0, 25.0),
            BarCut("shallow groove front bottom", "latch front 1", "front", 75.0, 165.0, 25.0),
        ),
        holes=_holes(),
        fasteners=(
            Fastener("blind rivet 4 x 12", "rivet", "4.0 x 12", 3, 4, 8.0, "edge profiles"),
            Fastener("blind rivet 4 x 10", "rivet", "4.0 x 10", 4, 5, 6.5, "latches",
                     "a washer under each tail", 0.0012),
            Fastener("wood screw 4 x 16", "screw", "4.0 x 16", 1, 2, None, "feet"),
        ),
        troubles=(
            Trouble("handle left 1", "its dish meets recorder", 3.0,
                    "move the recorder 3 mm to the right, or take a flatter handle"),
        ),
        notes=("the tongue is on the deep half",),
    )  # fmt: skip


KERF_MM, TRIM_MM, BAR_MM = 3.0, 10.0, 3000.0


def _first_fit(what: str, pieces: list[Bar]) -> BarPlan:
    """Longest piece first, each from the first bar that has room; no claim to be the least."""
    room, laid = BAR_MM - 2 * TRIM_MM, list[list[Stick]]()
    left: list[float] = []
    for bar in sorted(pieces, key=lambda one: -one.length_mm):
        stick = Stick(bar.name, bar.length_mm, bar.ends == "mitred")
        for k, spare in enumerate(left):
            if spare >= bar.length_mm:
                laid[k].append(stick)
                left[k] -= bar.length_mm + KERF_MM
                break
        else:
            laid.append([stick])
            left.append(room - bar.length_mm - KERF_MM)
    cut = tuple(CutBar(BAR_MM, False, tuple(sticks), max(spare, 0.0))
                for sticks, spare in zip(laid, left, strict=True))  # fmt: skip
    used = sum(bar.length_mm for bar in pieces)
    bought = len(cut) * BAR_MM
    return BarPlan(what, cut, len(cut), bought, bought, "whole bars", True, len(cut) + 1,
                   bought + BAR_MM, used, KERF_MM, TRIM_MM)  # fmt: skip


def _sheets(cut: tuple[Panel, ...]) -> SheetPlan:
    """All panels on one sheet in strips, as far as they go; the rest on a second."""
    long, wide = 2440.0, 1220.0
    sheets: list[CutSheet] = []
    tiles: list[Laid] = []
    cuts: list[SawCut] = []
    y, rest = TRIM_MM, sorted(cut, key=lambda one: (-one.width_mm, -one.length_mm))
    while rest:
        tall = rest[0].width_mm
        if y + tall > wide - TRIM_MM:
            sheets.append(CutSheet(long, wide, tuple(tiles), tuple(cuts), ()))
            tiles, cuts, y = [], [], TRIM_MM
        cuts.append(SawCut(1, "x", y + tall + KERF_MM / 2, 0.0, long))
        x = TRIM_MM
        for panel in list(rest):
            if panel.width_mm == tall and x + panel.length_mm <= long - TRIM_MM:
                tiles.append(Laid(panel.name, x, y, panel.length_mm, panel.width_mm, False))
                x += panel.length_mm + KERF_MM
                cuts.append(SawCut(2, "y", x - KERF_MM / 2, y, y + tall))
                rest.remove(panel)
        y += tall + KERF_MM
    over = Laid("offcut 1", TRIM_MM, y, long - 2 * TRIM_MM, wide - TRIM_MM - y, False)
    sheets.append(CutSheet(long, wide, tuple(tiles), tuple(cuts), (over,)))
    return SheetPlan(BOARD, tuple(sheets), 1, "area", len(sheets) == 1, len(sheets) + 1, 2)


def stock_of(made: Shell, plan: Plan) -> Stock:
    """What ``made`` and the foam of ``plan`` are cut from, in a plain way; some lines unpriced."""
    kinds = (("edge", "edge profile"), ("tongue", "tongue profile"), ("groove", "groove profile"))
    bar_plans = tuple(
        _first_fit(what, [bar for bar in made.bars if bar.kind == kind]) for kind, what in kinds
    )
    thick = sorted({layer.thickness_mm for layer in plan.foam.layers})
    foam: list[FoamPlan] = []
    for one in thick:
        layers = [layer for layer in plan.foam.layers if layer.thickness_mm == one]
        laid, x = [], 0.0
        for layer in layers:
            laid.append(LaidLayer(layer.name, x, 0.0, 0.0))
            x += layer.outline.bounds[2] - layer.outline.bounds[0] + 3.0
        sheet = FoamSheet(one, layers[0].material, 2000.0, 1000.0, tuple(laid))
        what = f"{layers[0].material} {one:g}"
        foam.append(FoamPlan(what, one, (sheet,), 1, True, 1, 0.4))
    sheets = _sheets(made.panels)
    buying = (
        *(Cost(p.what, "bar", p.bought, 21.5, 21.5 * p.bought, round(21.5 * p.bought * p.waste, 2))
          for p in bar_plans),
        Cost(sheets.what, "sheet", len(sheets.sheets), 62.0, 62.0 * len(sheets.sheets),
             round(62.0 * len(sheets.sheets) * sheets.waste, 2)),
        *(Cost(f.what, "sheet", len(f.sheets), None, None) for f in foam),
        Cost("sunk latch", "each", 2, 6.4, 12.8),
        Cost("blind rivet 4 x 12", "each", 4, None, None),
    )  # fmt: skip
    total = sum(line.total for line in buying if line.total is not None)
    waste = sum(line.waste_cost for line in buying if line.waste_cost is not None)
    unpriced = tuple(line.what for line in buying if line.total is None)
    return Stock(bar_plans, (sheets,), tuple(foam), buying, total, waste, unpriced)


def with_shell(plan: Plan) -> Plan:
    """``plan`` with this shell, its hardware as the builder's own, and its stock."""
    workshop = plan.payload.workshop
    hardware = evolve(workshop.hardware, types=hardware_types())
    payload = evolve(plan.payload, workshop=evolve(workshop, hardware=hardware))
    made = shell()
    fitted = evolve(plan, payload=payload, shell=made)
    return evolve(fitted, stock=stock_of(made, fitted))
