"""The lists of the shell: what to cut, screw on and drill, and what to buy, as CSV.

Pieces that are cut, drilled and opened alike share a line; their count adds up to all there are.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import TypeVar

import shapely

from fitkit.documents import cable_lists, gap_lists, mounting_lists
from fitkit.documents.bar_groups import bars_alike
from fitkit.documents.csv_text import Cell, Table, csv_bytes
from fitkit.documents.naming import size
from fitkit.documents.shell_faces import alike
from fitkit.documents.shell_words import PROFILES, part_words, piece_words, said_together
from fitkit.documents.spoken import saying
from fitkit.payload.hardware import type_named
from fitkit.payload.workshop import SIDES, HardwareType
from fitkit.plan import Plan
from fitkit.shell.frame import along, to_bar, to_face, to_panel
from fitkit.shell.model import Bar, Fitted, Hole, Panel, Shell
from fitkit.stock.model import CutBar

Piece = TypeVar("Piece", Panel, Bar)


def tables(plan: Plan) -> dict[str, bytes]:
    """Every list of the shell and its stock by its file name; none where the plan has neither."""
    lists: dict[str, bytes] = {}
    if plan.shell is not None:
        lists["cutting.csv"] = csv_bytes(*cutting_table(plan, plan.shell))
        lists["hardware.csv"] = csv_bytes(*hardware_table(plan, plan.shell))
        lists["fasteners.csv"] = csv_bytes(*fasteners_table(plan.shell))
        lists["holes.csv"] = csv_bytes(*holes_table(plan, plan.shell))
        lists["shell_mass.csv"] = csv_bytes(*pieces_table(plan))
        for more in (mounting_lists, cable_lists, gap_lists):
            lists |= more.tables(plan)
    if plan.stock is not None:
        lists["buying.csv"] = csv_bytes(*buying_table(plan))
    return lists


def cutting_table(plan: Plan, shell: Shell) -> Table:
    """Panels, then profiles, a part at a time in the order of building."""
    head = (
        "piece", "part", "kind", "material", "count", "length (mm)", "width (mm)",
        "thickness (mm)", "ends", "long point (mm)", "short point (mm)", "grain", "holes",
        "openings and cut-outs", "cut from", "mass of each (kg)",
    )  # fmt: skip
    said, parts, cut_from = piece_words(plan), part_words(plan), where_cut(plan)
    holes = Counter(piece for hole in shell.holes for piece in hole.pieces)
    openings = Counter(one.panel for one in shell.openings)
    cuts = Counter(one.bar for one in shell.bar_cuts)
    rows: list[tuple[Cell, ...]] = []

    def named(group: Sequence[Panel] | Sequence[Bar]) -> tuple[str, str]:
        text = said_together([said[one.name] for one in group])
        return text, "; ".join(dict.fromkeys(parts[one.part] for one in group))

    for panels in in_order(said, alike(shell)):
        one = panels[0]
        mass = None if one.areal_kg_m2 is None else one.areal_kg_m2 * left_m2(shell, one)
        rows.append(
            (*named(panels), "panel", one.board, len(panels), one.length_mm, one.width_mm,
             one.thickness_mm, None, None, None, grain_words(one), holes[one.name],
             openings[one.name], _places(cut_from, panels), mass)
        )  # fmt: skip
    profile = plan.payload.wall.profile
    for bars in in_order(said, bars_alike(shell)):
        bar = bars[0]
        mitred = bar.short_mm < bar.length_mm
        weight = profile.kg_per_m if bar.kind == "edge" else profile.closing_kg_per_m
        rows.append(
            (*named(bars), PROFILES[bar.kind], PROFILES[bar.kind], len(bars), bar.length_mm, None,
             None, bar.ends, bar.length_mm if mitred else None, bar.short_mm if mitred else None,
             None, holes[bar.name], cuts[bar.name], _places(cut_from, bars),
             None if weight is None else weight * (bar.length_mm + bar.short_mm) / 2000.0)
        )  # fmt: skip
    return head, rows


def left_m2(shell: Shell, panel: Panel) -> float:
    """What is left of a panel's face when its openings are cut [m2]; holes are not taken out."""
    cut = [one.shape for one in shell.openings if one.panel == panel.name]
    return panel.area_m2 - float(shapely.union_all(cut).area) * 1e-6


def grain_words(panel: Panel) -> str:
    """Which way the grain runs on a panel as it stands.

    Along u is level; along v is upright on a wall, front to back on floor and lid.
    """
    if panel.grain is None:
        return ""
    if panel.grain == "length":
        return "left to right"
    return "front to back" if panel.side in ("top", "bottom") else "upright"


def in_order(said: dict[str, str], groups: Iterable[Sequence[Piece]]) -> list[list[Piece]]:
    """Groups of pieces in the order of building, and so within each."""
    order = {name: k for k, name in enumerate(said)}
    sorted_groups = [sorted(group, key=lambda one: order[one.name]) for group in groups]
    return sorted(sorted_groups, key=lambda group: order[group[0].name])


def where_cut(plan: Plan) -> dict[str, str]:
    """For each piece that is cut from a bar or a sheet, which one: "bar 2", "sheet 1"."""
    stock = plan.stock
    if stock is None:
        return {}
    found: dict[str, str] = {}
    for bars in stock.bars:
        for bar, name in zip(bars.bars, bar_names(bars.bars), strict=True):
            found |= {stick.name: name for stick in bar.sticks}
    for sheets in stock.sheets:
        for k, sheet in enumerate(sheets.sheets, start=1):
            found |= {tile.name: f"sheet {k}" for tile in sheet.tiles}
    return found


def bar_names(bars: Sequence[CutBar]) -> list[str]:
    """How the bars of one profile are called: new ones and kept pieces are numbered apart.

    >>> bar_names([CutBar(3000, False, (), 0), CutBar(700, True, (), 0)])
    ['bar 1', 'kept piece 1']
    """
    counts: Counter[str] = Counter()
    names = []
    for bar in bars:
        kind = "kept piece" if bar.offcut else "bar"
        counts[kind] += 1
        names.append(f"{kind} {counts[kind]}")
    return names


def _places(cut_from: dict[str, str], group: Sequence[Panel] | Sequence[Bar]) -> str:
    counts = Counter(cut_from[one.name] for one in group if one.name in cut_from)
    return ", ".join(
        place if count == 1 or len(counts) == 1 else f"{place} ({count})"
        for place, count in counts.items()
    )


def hardware_table(plan: Plan, shell: Shell) -> Table:
    """What is fitted, by kind and type, and the corners; with where each figure comes from."""
    head = (
        "kind", "type", "count", "where", "flange width (mm)", "flange height (mm)",
        "opening width (mm)", "opening height (mm)", "depth behind the panel (mm)",
        "stands out (mm)", "fixing", "mass of each (kg)", "mass together (kg)",
        "load of each (kg)", "figures",
    )  # fmt: skip
    rows: list[tuple[Cell, ...]] = []
    for (kind, name), pieces in hardware_groups(shell).items():
        known = type_of(plan, pieces[0])
        count, where = len(pieces), where_fitted(pieces)
        if known is None:
            rows.append((kind, name, count, where, *pieces[0].size_mm, *(None,) * 9))
            continue
        dish = known.dish_mm or (None, None)
        mass = known.mass_kg
        rows.append(
            (kind, name, count, where, *known.flange_mm, *dish, known.depth_mm or None,
             known.stands_mm or None, known.fixing, mass, None if mass is None else mass * count,
             known.load_kg, known.known)
        )  # fmt: skip
    for kind, count in corner_counts(shell).items():
        rows.append((kind, "to the profile", count, "", *(None,) * 11))
    return head, rows


def hardware_groups(shell: Shell) -> dict[tuple[str, str], list[Fitted]]:
    """Hardware by kind and type, in the order of fitting."""
    groups: dict[tuple[str, str], list[Fitted]] = {}
    for one in shell.hardware:
        groups.setdefault((one.kind, one.type), []).append(one)
    return groups


def corner_counts(shell: Shell) -> dict[str, int]:
    """Corners that are no hardware of their own, by what they join."""
    fitted = any(one.kind == "corner" for one in shell.hardware)
    counts = Counter(corner.kind for corner in shell.corners)
    wanted = {} if fitted else {"outer corner": counts["outer"]}
    wanted["closing corner"] = counts["closing"]
    return {name: count for name, count in wanted.items() if count}


def where_fitted(pieces: Sequence[Fitted]) -> str:
    """Faces and how many on each, such as "front 2, left 1"."""
    counts = Counter(one.side for one in pieces)
    return ", ".join(f"{side} {counts[side]}" for side in SIDES if counts[side])


def type_of(plan: Plan, one: Fitted) -> HardwareType | None:
    """The type of a piece of hardware, measured or generic; None if it is not known by its name."""
    try:
        return type_named(plan.payload, one.kind, one.type)
    except KeyError:  # a plan that was saved with other hardware
        return None


def fasteners_table(shell: Shell) -> Table:
    """Rivets, screws and their like: how many are used, how many to buy."""
    head = (
        "name", "kind", "size", "used", "to buy", "grip (mm)", "where", "what to mind",
        "mass of each (g)",
    )  # fmt: skip
    return head, [
        (
            f.name,
            f.kind,
            f.size,
            f.used,
            f.buy,
            f.grip_mm,
            f.where,
            f.note,
            None if f.mass_kg is None else f.mass_kg * 1000.0,
        )
        for f in shell.fasteners
    ]


def holes_table(plan: Plan, shell: Shell) -> Table:
    """Every hole on every piece that it goes through, as seen from outside."""
    head = (
        "piece", "face", "u (mm)", "v (mm)", "measured from", "diameter (mm)", "pilot (mm)",
        "countersink (mm)", "use", "fastener", "for",
    )  # fmt: skip
    said, say = piece_words(plan), saying(plan)
    rows: list[tuple[Cell, ...]] = []
    panels = {one.name: one for one in shell.panels}
    bars = {one.name: one for one in shell.bars}
    for name, words in said.items():
        here: list[tuple[float, float, str, Hole]] = []
        for hole in shell.holes:
            if name not in hole.pieces:
                continue
            if name in panels:
                u, v = to_panel(panels[name], hole.at_mm)
                here.append((u, v, "lower left corner", hole))
            else:
                here.append((*_on_bar(bars[name], hole), hole))
        for u, v, start, hole in sorted(here, key=lambda h: (h[3].side, h[1], h[0])):
            rows.append(
                (words, hole.side, u, v, start, hole.diameter_mm, hole.pilot_mm, hole.sink_mm,
                 hole.use, hole.fastener, say(hole.owner))
            )  # fmt: skip
    return head, rows


def _on_bar(bar: Bar, hole: Hole) -> tuple[float, float, str]:
    """A hole on a leaf: along from its left or lower end as seen from outside, away from the edge.

    The edge is the outer one; the closing plane, for a closing profile.
    """
    far, away = to_bar(bar, hole.at_mm, hole.side)
    start, end = to_face(hole.side, bar.start_mm), to_face(hole.side, bar.end_mm)
    upright = abs(end[1] - start[1]) > abs(end[0] - start[0])
    turned = end[upright] < start[upright]
    axis, sense = along(bar)
    long = sense * (bar.end_mm[axis] - bar.start_mm[axis])
    rim = bar.kind != "edge" and hole.side == bar.sides[0]
    edge = "closing plane" if rim else "outer edge"
    return (long - far if turned else far), away, f"{'lower' if upright else 'left'} end, {edge}"


def pieces_table(plan: Plan) -> Table:
    """What each piece of the shell weighs, and where its centre is."""
    head = ("piece", "mass (kg)", "x (mm)", "y (mm)", "z (mm)")
    return head, [(one.name, one.mass_kg, *one.centre_mm) for one in plan.mass.pieces]


def buying_table(plan: Plan) -> Table:
    """What to buy, what it costs where a price is known, and the sum of that."""
    stock = plan.stock
    money = plan.payload.workshop.stock.currency
    tail = f" ({money})" if money else ""
    head = ("what", "unit", "amount", f"price{tail}", f"total{tail}", f"cost of waste{tail}")
    if stock is None:
        return head, []
    rows: list[tuple[Cell, ...]] = [
        (line.what, line.unit, line.amount, line.price, line.total, line.waste_cost)
        for line in stock.buying
    ]
    if stock.total is not None:
        rows.append((total_words(plan), None, None, None, stock.total, stock.waste_cost))
    return head, rows


def total_words(plan: Plan) -> str:
    """What the last line of the buying list adds up."""
    stock = plan.stock
    count = len(stock.unpriced) if stock else 0
    return f"total, {count} without a price" if count else "total"


def size_words(panel: Panel) -> str:
    """Length and width of a panel as cut.

    >>> size_words(Panel("deep", "front", 579.0, 185.0, (0.0, 0.0, 0.0), "board", 6.4, None))
    '579 × 185'
    """
    return f"{size(panel.length_mm)} × {size(panel.width_mm)}"
