"""The lists of cables: every route with its lengths, bends and coil, bundles and exits, as CSV."""

from __future__ import annotations

from collections.abc import Sequence

from fitkit.documents.csv_text import Cell, Table, csv_bytes
from fitkit.documents.shell_words import part_words, piece_words
from fitkit.plan import Plan
from fitkit.shell.cables.model import Bundle, CableExit, Route


def tables(plan: Plan) -> dict[str, bytes]:
    """Lists of cables, bundles and cable exits by file name; none where there are none."""
    shell = plan.shell
    if shell is None:
        return {}
    lists: dict[str, bytes] = {}
    if shell.routes:
        lists["cables.csv"] = csv_bytes(*cables_table(plan, shell.routes))
        lists["cable_paths.csv"] = csv_bytes(*paths_table(shell.routes))
    if shell.bundles:
        lists["bundles.csv"] = csv_bytes(*bundles_table(shell.bundles))
    if shell.exits:
        lists["cable_exits.csv"] = csv_bytes(*exits_table(plan, shell.exits))
    return lists


def cables_table(plan: Plan, routes: Sequence[Route]) -> Table:
    """Every cable as it runs; lengths are those between the plugs."""
    head = (
        "cable", "from", "to", "type", "diameter (mm)", "through", "length when shut (mm)",
        "length when open (mm)", "length needed with slack (mm)", "length that you have (mm)",
        "spare (mm)", "least bend radius (mm)", "tightest bend (mm)", "coil turns",
        "coil inside (mm)", "coil outside (mm)", "coil straight sides (mm)", "coil height (mm)",
        "coil from x (mm)",
        "coil from y (mm)", "coil from z (mm)", "coil to x (mm)", "coil to y (mm)",
        "coil to z (mm)", "place lacks (mm)", "what stands in its way",
    )  # fmt: skip
    kinds = {cable.name: cable.kind for cable in plan.payload.cables}
    rows: list[tuple[Cell, ...]] = [
        (one.label, one.start, one.to, kinds.get(one.cable), one.diameter_mm, one.through,
         *_lengths(one), one.bend_mm, one.tightest_mm if has_way(one) else None, *_coil(one),
         one.blocked)
        for one in routes
    ]  # fmt: skip
    return head, rows


def spare_mm(one: Route) -> float | None:
    """What a cable is longer than it has to be [mm], negative where it is too short; None unknown.

    >>> from attrs import evolve
    >>> power = Route("power", "power", "a.left.1", "outside", 7.0, (), 200.0, 900.0, 990.0,
    ...               1200.0, 28.0, 30.0)
    >>> spare_mm(power), spare_mm(evolve(power, given_mm=None))
    (210.0, None)
    """
    return one.given_mm - one.needed_mm if one.given_mm is not None and has_way(one) else None


def has_way(one: Route) -> bool:
    """Whether a way was found, so that lengths and bends are known.

    None is looked for where a lead to the outside is wound up while the case is shut.
    """
    return one.needed_mm > 0


def _lengths(one: Route) -> tuple[Cell, ...]:
    """Shut, open, needed, given and spare; where there is no way only the given one is known."""
    if not has_way(one):
        return (None, None, None, one.given_mm, None)
    return (one.closed_mm, one.open_mm, one.needed_mm, one.given_mm, spare_mm(one))


def _coil(one: Route) -> tuple[Cell, ...]:
    coil = one.coil
    if coil is None:
        return (None,) * 12
    inside = 2 * coil.mean_mm - coil.outer_mm
    sizes = (coil.turns, inside, coil.outer_mm, coil.straight_mm, coil.height_mm)
    if coil.room is None:
        return (*sizes, *(None,) * 6, coil.short_mm)
    return (*sizes, *coil.room.low_mm, *coil.room.high_mm, None)


def paths_table(routes: Sequence[Route]) -> Table:
    """The middle line of every cable in the closed case, point by point."""
    head = ("cable", "point", "x (mm)", "y (mm)", "z (mm)")
    return head, [
        (one.label, number, *point)
        for one in routes
        for number, point in enumerate(one.path_mm, start=1)
    ]


def bundles_table(bundles: Sequence[Bundle]) -> Table:
    """Cables that run through one place together, and the bundle's diameter."""
    head = ("where", "cables", "number", "diameter (mm)", "how it is counted")
    return head, [
        (one.where, "; ".join(one.labels), len(one.labels), one.diameter_mm, one.rule)
        for one in bundles
    ]


def exits_table(plan: Plan, exits: Sequence[CableExit]) -> Table:
    """Every corner that is cut for cables: what passes and what has to."""
    head = (
        "exit", "part", "panel", "corner", "leg (mm)", "bundle that passes (mm)",
        "bundle that has to (mm)", "plug that passes, width + height (mm)",
        "plug that has to (mm)", "edge", "edge size (mm)", "what to mind",
    )  # fmt: skip
    parts, pieces = part_words(plan), piece_words(plan)
    return head, [
        (one.name, parts.get(one.part, one.part), pieces.get(one.panel, one.panel),
         " ".join(one.corner), one.leg_mm, one.bundle_mm, one.needs_mm, one.plug_mm,
         one.plug_needs_mm, one.edge, one.trim_mm, one.note)
        for one in exits
    ]  # fmt: skip
