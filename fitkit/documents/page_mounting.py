"""What the page says of mounted gear, the closing gap and cables: rows of text, or nothing.

Every function takes the plan and gives parts for the page's template, None where it has none.
"""

from __future__ import annotations

from typing import Any

from fitkit.documents.cable_lists import has_way
from fitkit.documents.gap_lists import gaps_alike
from fitkit.documents.gap_words import amount_text, by_margin, sides_text, verdict_of, what_to_do
from fitkit.documents.mount_words import (
    held_by,
    recess_words,
    screw_words,
    screws_to_buy_words,
    stands_words,
    supports_of,
)
from fitkit.documents.mounting_lists import cut_words, kind_of, left_mm
from fitkit.documents.naming import label_of, size
from fitkit.documents.route_words import coil_words, route_troubles
from fitkit.documents.shell_words import part_words, piece_words
from fitkit.documents.support_drawing import Group, groups_of
from fitkit.fit.place import place_all
from fitkit.plan import Plan
from fitkit.shell.cables.model import CableExit, Route
from fitkit.shell.gap.model import Gap
from fitkit.shell.mounting.model import Screwing

MOST_TABLES = 6
"""So many gaps are told contribution by contribution; the rest are in the list."""


def mounting_parts(plan: Plan) -> dict[str, Any] | None:
    """What is mounted and by what: the pieces to cut and the screws."""
    placed = [one for one in place_all(plan.payload, plan.fit.placements) if one.item.mount]
    if not placed:
        return None
    interior, halves = plan.fit.interior, part_words(plan)
    shell = plan.shell
    supports = () if shell is None else shell.supports
    screws = () if shell is None else shell.screwings
    held = []
    for one in placed:
        mount = one.item.mount
        if mount is None:
            continue
        by = ", ".join(held_by(mount, supports_of(plan, one)))
        half = halves.get(one.placement.half, one.placement.half)
        held.append((one.label, half, by, stands_words(one, interior)))
    return {
        "held": held,
        "pieces": [_piece(group) for group in groups_of(supports)],
        "screws": [_screw(plan, one) for one in screws],
        "to_buy": screws_to_buy_words(screws),
    }


def _piece(group: Group) -> tuple[Any, ...]:
    one = group.first
    mass = "" if one.kg is None else size(one.kg, 2)
    return (kind_of(one), len(group.supports), cut_words(one), one.material, len(one.holes) or "",
            len(one.openings) or "", mass, group.names)  # fmt: skip


def _screw(plan: Plan, one: Screwing) -> tuple[Any, ...]:
    left, note = left_mm(one), one.note.rstrip(".")
    hole = "" if one.hole_mm is None else size(one.hole_mm)
    spare = "" if left is None else size(left)
    return (label_of(plan, one.item, one.copy), one.holds, screw_words(one), size(one.stack_mm),
            hole, size(one.engaged_mm), spare, note)  # fmt: skip


def gap_parts(plan: Plan) -> dict[str, Any] | None:
    """Every closing gap with its verdict, then the tightest contribution by contribution."""
    gaps = by_margin(() if plan.shell is None else plan.shell.gaps)
    if not gaps:
        return None
    told = gaps_alike(gaps)
    return {
        "rows": [_gap_row(plan, one) for one in gaps],
        "told": [_told(alike) for alike in told[:MOST_TABLES]],
        "more": sum(len(alike) for alike in told[MOST_TABLES:]),
    }


def _gap_row(plan: Plan, gap: Gap) -> tuple[Any, ...]:
    recesses = " / ".join(recess_words(one).removeprefix("recess ") for one in gap.recess_mm)
    todo = what_to_do(gap, payload=plan.payload)
    return (verdict_of(gap), sides_text(gap), size(gap.nominal_mm), size(gap.worst_mm),
            size(gap.rss_mm), size(gap.keep_mm), recesses, todo)  # fmt: skip


def _told(alike: list[Gap]) -> dict[str, Any]:
    gap, *others = alike
    known = "" if gap.known else "of what is known"
    return {
        "title": sides_text(gap),
        "alike": "; ".join(sides_text(one) for one in others),
        "planned": size(gap.nominal_mm, 2),
        "contributions": [
            (one.what, _taken(amount_text(one), one.kind), one.source) for one in gap.contributions
        ],
        "left": [
            ("left at worst: all tolerances and shifts added up", size(gap.worst_mm, 2), known),
            ("left by RSS: tolerances as root of the sum of squares", size(gap.rss_mm, 2), known),
        ],
        "keep": size(gap.keep_mm, 2),
    }


def _taken(text: str, kind: str) -> str:
    """A shift only ever takes: it is led by a minus sign, nothing and the unknown by none."""
    return f"− {text}" if kind == "shift" and text not in ("?", "0") else text


def cable_parts(plan: Plan) -> dict[str, Any] | None:
    """Every cable's route, the bundles, and the exits through which they leave."""
    shell = plan.shell
    if shell is None or not (shell.routes or shell.exits):
        return None
    return {
        "routes": [_route(one) for one in shell.routes],
        "wrong": [sentence for one in shell.routes for sentence in route_troubles(one)],
        "bundles": [
            (one.where, ", ".join(one.labels), size(one.diameter_mm), one.rule)
            for one in shell.bundles
        ],
        "exits": [_exit(plan, one) for one in shell.exits],
    }


def _route(one: Route) -> tuple[Any, ...]:
    given = "" if one.given_mm is None else size(one.given_mm, 0)
    if not has_way(one):
        return (one.label, one.start, one.to, size(one.diameter_mm), one.through, "", "", "", given,
                "", coil_words(one.coil))  # fmt: skip
    bend = f"{size(one.tightest_mm)} (least {size(one.bend_mm)})"
    return (one.label, one.start, one.to, size(one.diameter_mm), one.through,
            size(one.closed_mm, 0), size(one.open_mm, 0), size(one.needed_mm, 0), given,
            bend, coil_words(one.coil))  # fmt: skip


def _exit(plan: Plan, one: CableExit) -> tuple[Any, ...]:
    panel = piece_words(plan).get(one.panel, one.panel)
    plug = ""
    if one.plug_needs_mm > 0:
        plug = f"{size(one.plug_mm)} (has to: {size(one.plug_needs_mm)})"
    bundle = f"⌀ {size(one.bundle_mm)} (has to: {size(one.needs_mm)})"
    edge = f"{one.edge} {size(one.trim_mm)}" if one.trim_mm > 0 else one.edge
    return (one.name, panel, " ".join(one.corner), size(one.leg_mm), bundle, plug, edge,
            one.note.rstrip("."))  # fmt: skip
