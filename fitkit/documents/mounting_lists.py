"""The lists of mounting: the pieces that hold gear, their holes, and the screws, as CSV.

A piece is seen from the side that looks at the item, u along its length and v up from its lower
left corner, as it lies on the bench.
"""

from __future__ import annotations

from collections.abc import Sequence

from fitkit.documents.csv_text import Cell, Table, csv_bytes
from fitkit.documents.naming import label_of, size
from fitkit.documents.shell_words import part_words
from fitkit.documents.support_drawing import groups_of
from fitkit.plan import Plan
from fitkit.shell.mounting.model import Screwing, Support


def tables(plan: Plan) -> dict[str, bytes]:
    """Lists of supports, their holes and screws by file name; none where nothing is mounted."""
    shell = plan.shell
    if shell is None:
        return {}
    lists: dict[str, bytes] = {}
    if shell.supports:
        lists["supports.csv"] = csv_bytes(*supports_table(plan, shell.supports))
        lists["support_holes.csv"] = csv_bytes(*support_holes_table(shell.supports))
    if shell.screwings:
        lists["screws.csv"] = csv_bytes(*screws_table(plan, shell.screwings))
    return lists


def supports_table(plan: Plan, supports: Sequence[Support]) -> Table:
    """Every piece as it is cut, and where it lies in the case: one row each."""
    head = (
        "piece", "kind", "holds", "half", "material", "length (mm)", "width (mm)",
        "thickness (mm)", "cut alike", "holes", "openings", "length along", "width along",
        "from x (mm)", "from y (mm)", "from z (mm)", "to x (mm)", "to y (mm)", "to z (mm)",
        "mass (kg)",
    )  # fmt: skip
    said = part_words(plan)
    groups = groups_of(tuple(supports))
    alike = {one.name: len(group.supports) for group in groups for one in group.supports}
    rows: list[tuple[Cell, ...]] = [
        (one.name, kind_of(one), label_of(plan, one.item, one.copy), said.get(one.half, one.half),
         one.material, one.length_mm, one.width_mm, one.thick_mm, alike[one.name], len(one.holes),
         len(one.openings), one.u_axis, one.v_axis, *one.low_mm, *one.high_mm, one.kg)
        for one in supports
    ]  # fmt: skip
    return head, rows


def support_holes_table(supports: Sequence[Support]) -> Table:
    """Every hole of every piece, and the corners of the box around each opening."""
    head = (
        "piece", "what", "u (mm)", "v (mm)", "diameter (mm)", "countersink (mm)", "to u (mm)",
        "to v (mm)", "use",
    )  # fmt: skip
    rows: list[tuple[Cell, ...]] = []
    for one in supports:
        for hole in sorted(one.holes, key=lambda h: (h.v_mm, h.u_mm)):
            rows.append((one.name, "hole", hole.u_mm, hole.v_mm, hole.diameter_mm, hole.sink_mm,
                         None, None, hole.use))  # fmt: skip
        for opening in one.openings:
            u0, v0, u1, v1 = opening.bounds
            rows.append((one.name, "opening", u0, v0, None, None, u1, v1, "plugs and cables"))
    return head, rows


def screws_table(plan: Plan, screwings: Sequence[Screwing]) -> Table:
    """Every kind of screw in its place: what it holds, its length, and how far it goes in."""
    head = (
        "for", "holds", "size", "length (mm)", "count", "stack (mm)", "hole depth (mm)",
        "goes in (mm)", "left in the hole (mm)", "what to mind",
    )  # fmt: skip
    rows: list[tuple[Cell, ...]] = [
        (label_of(plan, one.item, one.copy), one.holds, one.size, one.length_mm, one.count,
         one.stack_mm, one.hole_mm, one.engaged_mm, left_mm(one), one.note)
        for one in screwings
    ]  # fmt: skip
    return head, rows


def left_mm(one: Screwing) -> float | None:
    """How much deeper the hole is than the screw reaches [mm]; None for screws into wood."""
    return None if one.hole_mm is None else one.hole_mm - one.engaged_mm


def kind_of(one: Support) -> str:
    """What a piece is called: a batten that only fills room is a packing.

    >>> one = Support("screen packing 1", "batten", "screen", 1, "deep", (0, 0, 0), (9, 3, 2), "x",
    ...               "y", 9.0, 3.0, 2.0, "ash")
    >>> kind_of(one)
    'packing'
    """
    return "packing" if " packing " in f" {one.name} " else one.kind


def cut_words(one: Support) -> str:
    """Length, width and thickness of a piece as cut.

    >>> cut_words(Support("rail 1", "rail", "screen", 1, "deep", (0, 0, 0), (420, 30, 20), "x",
    ...                   "y", 420.0, 30.0, 20.0, "ash"))
    '420 × 30 × 20'
    """
    return " × ".join(size(value) for value in (one.length_mm, one.width_mm, one.thick_mm))


def screws_to_buy(screwings: Sequence[Screwing]) -> list[tuple[str, float, int]]:
    """Size, length [mm] and number of each screw, those of one size and length together.

    >>> one = Screwing("screen", 1, "M4", 25.0, 4, 20.0, 10.0, 5.0, "rails to screen")
    >>> screws_to_buy([one, one])
    [('M4', 25.0, 8)]
    """
    counts: dict[tuple[str, float], int] = {}
    for one in screwings:
        key = (one.size, round(one.length_mm, 2))
        counts[key] = counts.get(key, 0) + one.count
    return [(*key, count) for key, count in counts.items()]
