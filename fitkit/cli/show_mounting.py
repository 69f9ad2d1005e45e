"""Mounted gear, the closing gap and the cables of a plan, on the terminal."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator
from typing import TYPE_CHECKING

from fitkit.cli.columns import row

if TYPE_CHECKING:
    from rich.console import Console

    from fitkit.plan import Plan
    from fitkit.shell.cables.model import CableExit, Route
    from fitkit.shell.gap.model import Gap

COLUMN = 22
MOST_GAPS = 8
"""So many gaps are printed, the tightest first; all are in the list."""


def show_mounting(out: Console, plan: Plan) -> None:
    """Print what holds mounted gear, each closing gap, and each cable; nothing without them."""
    _mounted(out, plan)
    _gaps(out, plan)
    _cables(out, plan)


def _mounted(out: Console, plan: Plan) -> None:
    from fitkit.documents.mount_words import (
        held_by,
        screws_of,
        screws_to_buy_words,
        stands_words,
        supports_of,
    )
    from fitkit.fit.place import place_all

    rows = []
    for one in place_all(plan.payload, plan.fit.placements):
        mount = one.item.mount
        if mount is None:
            continue
        by = ", ".join(held_by(mount, supports_of(plan, one)))
        said = [stands_words(one, plan.fit.interior), by]
        screws = screws_to_buy_words(screws_of(plan, one))
        rows.append((one.label, "; ".join([*said, f"screws {screws}"] if screws else said)))
    if rows:
        out.print("Mounted", style="head")
        for name, text in rows:
            row(out, name, text, column=COLUMN)
        out.print()


def _gaps(out: Console, plan: Plan) -> None:
    from fitkit.documents.gap_lists import gaps_alike
    from fitkit.documents.gap_words import by_margin, sides_text, verdict_of

    gaps = by_margin(() if plan.shell is None else plan.shell.gaps)
    if not gaps:
        return
    out.print("Closing gap, mm", style="head")
    room = max(out.width - 9 - 4 * 9 - 2, 16)
    wide = min(max(len(sides_text(one)) for one in gaps), room)
    heads = " ".join(f"{head:>8}" for head in ("planned", "at worst", "RSS", "keep"))
    out.print(f"  {'':9}{'from what to what':<{wide}} {heads}", style="quiet")
    firsts = {id(group[0]) for group in gaps_alike(gaps)}
    for one in gaps[:MOST_GAPS]:
        verdict = verdict_of(one)
        sides = textwrap.shorten(sides_text(one), wide, placeholder="...")
        figures = (one.nominal_mm, one.worst_mm, one.rss_mm, one.keep_mm)
        out.print(
            f"  {verdict.upper():<9}{sides:<{wide}} " + " ".join(f"{mm:>8.1f}" for mm in figures),
            style=verdict if verdict != "ok" else None,
            overflow="ignore",
            no_wrap=True,
        )
        takes = _takes(one, out.width - 12) if id(one) in firsts else ["the same takes from it"]
        for line in takes:
            out.print(f"  {'':9}{line}", style="quiet")
    if len(gaps) > MOST_GAPS:
        out.print(f"  and {len(gaps) - MOST_GAPS} more, in lists/closing_gap.csv", style="quiet")
    out.print()


def _takes(gap: Gap, width: int) -> list[str]:
    """What takes from a gap, the most first; tolerances as plus or minus."""
    from fitkit.documents.gap_words import amount_text

    ranked = sorted(gap.contributions, key=lambda one: math.inf if one.mm is None else one.mm)
    said = "; ".join(
        f"{one.what} {amount_text(one).replace('± ', '±')}"
        for one in reversed(ranked)
        if one.mm != 0
    )
    return textwrap.wrap(said, max(width, 24), break_on_hyphens=False)


def _cables(out: Console, plan: Plan) -> None:
    from fitkit.documents.naming import size
    from fitkit.documents.route_words import route_troubles
    from fitkit.documents.stock_words import count_words

    shell = plan.shell
    if shell is None or not (shell.routes or shell.exits):
        return
    out.print("Cables", style="head")
    for one in shell.routes:
        row(out, one.label, "; ".join(_route(one)), column=COLUMN)
        for sentence in route_troubles(one):
            row(out, "", f"{sentence}.", column=COLUMN, style="fails")
    exits = {one.name: one for one in shell.exits}
    for bundle in shell.bundles:
        count = count_words(len(bundle.labels), "cable")
        thick = f"{count}, {size(bundle.diameter_mm)} mm thick: {', '.join(bundle.labels)}"
        cut = exits.pop(bundle.where, None)
        text = thick if cut is None else f"{thick}; {_exit(cut)}"
        row(out, bundle.where, text, column=COLUMN)
    for name, one_exit in exits.items():
        row(out, name, _exit(one_exit), column=COLUMN)
    out.print()


def _exit(one: CableExit) -> str:
    """What passes through a cable exit."""
    from fitkit.documents.naming import size

    return (
        f"corner cut {size(one.leg_mm)} mm: a bundle of {size(one.bundle_mm)} mm passes, "
        f"{size(one.needs_mm)} mm have to; {one.edge}"
    )


def _route(one: Route) -> Iterator[str]:
    """A route in a few phrases."""
    from fitkit.documents.cable_lists import has_way
    from fitkit.documents.naming import size
    from fitkit.documents.route_words import coil_words

    yield f"{one.start} to {one.to}" + (f" through {one.through}" if one.through else "")
    if has_way(one):
        had = "" if one.given_mm is None else f" of {size(one.given_mm, 0)}"
        yield f"{size(one.needed_mm, 0)} mm needed{had}"
        yield f"bent to {size(one.tightest_mm)} mm, {size(one.bend_mm)} allowed"
    if one.coil is not None:
        yield f"spare wound up: {coil_words(one.coil)}"
