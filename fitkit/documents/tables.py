"""The lists: placement, layers, sheets to buy, findings, mass and assumptions, as CSV."""

from __future__ import annotations

from collections.abc import Sequence

from fitkit.documents.csv_text import Cell, Table, csv_bytes
from fitkit.documents.cut_layer import pockets_of
from fitkit.documents.naming import half_names, label_of
from fitkit.documents.ready_made_table import SAID, Row, rows_of
from fitkit.fit.place import place_all
from fitkit.fit.several import copies_in
from fitkit.payload.model import Payload
from fitkit.plan import Plan
from fitkit.plan_several import Cases


def tables(plan: Plan) -> dict[str, bytes]:
    """Every list by its file name."""
    rows = rows_of(plan)
    chosen = {"ready_made.csv": csv_bytes(*ready_made_table(rows))} if rows else {}
    return {
        "items.csv": csv_bytes(*items_table(plan)),
        "layers.csv": csv_bytes(*layers_table(plan)),
        "sheets.csv": csv_bytes(*sheets_table(plan)),
        "mass.csv": csv_bytes(*mass_table(plan)),
        "findings.csv": csv_bytes(*findings_table(plan)),
        "assumptions.csv": csv_bytes(
            ("assumption",), [(text,) for text in plan.payload.assumptions]
        ),
        **chosen,
    }


def items_table(plan: Plan) -> Table:
    """Where each copy stands, in the order of the placements."""
    head = (
        "item", "copy", "half", "tier", "face up", "turn (deg)", "x (mm)", "y (mm)", "z (mm)",
        "length as it stands (mm)", "width as it stands (mm)", "height (mm)", "mass (kg)",
    )  # fmt: skip
    rows: list[tuple[Cell, ...]] = []
    names = half_names(plan)
    for one in place_all(plan.payload, plan.fit.placements):
        p = one.placement
        left, low, right, high = one.solid.silhouette.bounds
        rows.append(
            (p.item, p.copy, names[p.half], p.tier, p.up, p.turn_deg, p.x_mm, p.y_mm, p.z_mm,
             right - left, high - low, one.solid.height_mm, one.item.mass_kg)
        )  # fmt: skip
    return head, rows


def layers_table(plan: Plan) -> Table:
    """The cut list: one row per layer."""
    head = (
        "layer", "half", "number from its floor", "material", "thickness (mm)", "from height (mm)",
        "to height (mm)", "length (mm)", "width (mm)", "pockets", "items", "foam left (cm2)",
        "drawing",
    )  # fmt: skip
    rows: list[tuple[Cell, ...]] = []
    names = half_names(plan)
    for layer in plan.foam.layers:
        left, low, right, high = layer.outline.bounds
        pockets = list(pockets_of(layer))
        rows.append(
            (layer.name, names[layer.half], layer.index, layer.material, layer.thickness_mm,
             layer.z0_mm, layer.z1_mm, right - left, high - low, len(pockets),
             "; ".join(label_of(plan, item, copy) for item, copy in pockets),
             layer.shape.area / 100.0, f"foam/{layer.name}.dxf")
        )  # fmt: skip
    return head, rows


def sheets_table(plan: Plan) -> Table:
    """Foam to buy, by thickness."""
    head = (
        "material",
        "thickness (mm)",
        "pieces",
        "piece length (mm)",
        "piece width (mm)",
        "area (m2)",
    )
    interior = plan.fit.interior
    return head, [
        (
            use.material,
            use.thickness_mm,
            use.pieces,
            interior.length_mm,
            interior.width_mm,
            use.area_mm2 / 1e6,
        )
        for use in plan.foam.sheets
    ]


def mass_table(plan: Plan) -> Table:
    """Mass by part, what is not known, and the total."""
    head = ("part", "mass (kg)", "centre x (mm)", "centre y (mm)", "centre z (mm)")
    rows: list[tuple[Cell, ...]] = [
        (part.name, part.mass_kg, *part.centre_mm) for part in plan.mass.parts
    ]
    rows += [(f"{name}: mass not given", None, None, None, None) for name in plan.mass.unknown]
    rows += [(f"{name}: not weighed yet", None, None, None, None) for name in plan.mass.left_out]
    rows.append(("total of what is known", plan.mass.total_kg, *plan.mass.centre_mm))
    return head, rows


def findings_table(plan: Plan) -> Table:
    """Every finding with its limit and where the limit comes from."""
    head = (
        "verdict",
        "check",
        "subject",
        "value",
        "limit",
        "unit",
        "margin",
        "what to do",
        "source",
        "caution",
    )
    return head, [
        (
            f.verdict,
            f.check,
            f.subject,
            f.value,
            f.limit,
            f.unit,
            f.margin,
            f.note,
            f.source,
            f.caution,
        )
        for f in plan.findings
    ]


def ready_made_table(rows: Sequence[Row]) -> Table:
    """Every ready-made case: its rank, its sizes, and what it lacks."""
    head = (
        "rank", "name", "answer", "length (mm)", "width (mm)", "floor length (mm)",
        "floor width (mm)", "base depth (mm)", "lid depth (mm)", "volume (L)", "mass (kg)", "price",
        "lacks in length (mm)", "lacks in width (mm)", "lacks in depth (mm)", "why",
    )  # fmt: skip
    return head, [
        (
            row.place, row.case.name, SAID[row.tried.verdict], row.case.length_mm,
            row.case.width_mm, *row.case.floor_mm, row.case.deep_mm, row.case.shallow_mm,
            row.litres, row.case.mass_kg, row.case.price,
            *(
                (None, None, None)
                if row.tried.verdict in ("holds", "not searched", "over a limit")
                else (
                    row.tried.missing.length_mm,
                    row.tried.missing.width_mm,
                    row.tried.missing.depth_mm,
                )
            ),
            row.tried.note,
        )
        for row in rows
    ]  # fmt: skip


def cases_csv(cases: Cases, payload: Payload) -> bytes:
    """Which copies go into which case, in the sheet's numbers; the last row is the mass."""
    shares = cases.several.shares
    head = ("item", "copies", *(f"case {number + 1}" for number in range(len(shares))))
    rows: list[tuple[Cell, ...]] = [
        (
            item.name,
            item.count,
            *(
                " ".join(str(copy) for copy in copies_in(shares, case, k))
                for case in range(len(shares))
            ),
        )
        for k, item in enumerate(payload.items)
    ]
    rows.append(("known mass (kg)", None, *(plan.mass.total_kg for plan in cases.plans)))
    return csv_bytes(head, rows)
