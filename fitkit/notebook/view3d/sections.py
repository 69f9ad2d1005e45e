"""The parts of the workshop page as HTML: figures, findings, lists, cautions."""

from __future__ import annotations

import html
from collections.abc import Iterable, Sequence

from fitkit.checks.finding import Finding
from fitkit.documents.csv_text import Cell, Table
from fitkit.documents.naming import half_names, size, sizes
from fitkit.documents.shell_lists import (
    buying_table,
    cutting_table,
    fasteners_table,
    hardware_table,
)
from fitkit.documents.spoken import spoken
from fitkit.documents.tables import mass_table, sheets_table
from fitkit.errors import BadInput
from fitkit.fit.words import above_least, bound_words
from fitkit.notebook.findings import TAGS, Row, rows_html
from fitkit.plan import Plan
from fitkit.reference.cautions import cautions
from fitkit.units import mass_text, number_text

_BOTH = (False, True)

CUT = (
    "piece", "material", "count", "length (mm)", "width (mm)", "ends", "holes",
    "openings and cut-outs", "cut from",
)  # fmt: skip
FITTED = ("kind", "type", "count", "where", "fixing", "figures")
FASTENED = ("name", "used", "to buy", "grip (mm)", "where", "what to mind")
FIT_DRY = (
    "Sizes hold for the profile of the sheet: fit one panel dry before you cut the rest. Openings "
    "and holes are in the drawings of the folder."
)

ALWAYS = ("lifting", "wood dust", "aluminium", "riveting", "sharp edges", "spray adhesive")
"""Cautions for every case of panels and profiles lined with foam."""


def figures_html(plan: Plan) -> str:
    """The plan in its key figures, with how far the case can be from the smallest."""
    outside = f"{sizes(plan.outside_mm)} mm" if plan.outside_known else "not measured"
    rows = [
        ("inside", f"{sizes(plan.fit.interior.size_mm)} mm"),
        ("outside, over the profiles", outside),
        *(
            (f"{half_names(plan)[half.name]}, depth inside", f"{size(half.depth_mm)} mm")
            for half in plan.fit.interior.halves
        ),
        ("mass, as far as known", mass_text(plan.mass.total_kg, units=plan.payload.units)),
        ("how small", above_least(plan.fit)),
        ("bound", bound_words(plan.fit).removeprefix("bound").lstrip(": ")),
    ]
    cells = "".join(
        f"<div><dt>{html.escape(name)}</dt><dd>{html.escape(text)}</dd></div>"
        for name, text in rows
        if text
    )
    return f"<dl class='fk-figures'>{cells}</dl>"


def findings_html(findings: Iterable[Finding]) -> str:
    """Findings as tags with a sentence, what fails first; what is in order is folded away."""
    order = list(TAGS)
    ranked = sorted(findings, key=lambda one: order.index(one.verdict))
    open_, fine = ([Row.of(one) for one in ranked if (one.verdict == "ok") == ok] for ok in _BOTH)
    said = rows_html(open_) if open_ else "<p class='fk-line'>Nothing fails, nothing is tight.</p>"
    if fine:
        word = "one check" if len(fine) == 1 else f"{len(fine)} checks"
        said += f"<details><summary>{word} in order</summary>{rows_html(fine)}</details>"
    return f"<div class='fk-told'>{said}</div>"


def lists_html(plan: Plan) -> str:
    """What to buy and cut: panels, profiles, hardware, fasteners, stock, foam, mass."""
    plan = spoken(plan)
    shell, said = plan.shell, ""
    if shell is None:
        said = "<p class='fk-line'>None: the case is bought ready made.</p>"
        if plan.fit.ready_made is None:
            said = "<p class='fk-line'>Plan the kit again: this plan is older than its shell.</p>"
        said = f"<h4>Panels and profiles to cut</h4>{said}"
    else:
        said = (
            f"<h4>Panels and profiles to cut</h4>{_table(*_short(cutting_table(plan, shell), CUT))}"
            f"<p class='fk-line'>{html.escape(FIT_DRY)}</p>"
            f"<h4>Hardware</h4>{_table(*_short(hardware_table(plan, shell), FITTED))}"
            f"<h4>Rivets, screws and nuts</h4>{_table(*_short(fasteners_table(shell), FASTENED))}"
        )
    if plan.stock is not None:
        said += f"<h4>To buy</h4>{_table(*buying_table(plan))}"
    return (
        f"{said}<h4>Foam to buy</h4>{_table(*sheets_table(plan))}"
        f"<h4>Mass</h4>{_table(*mass_table(plan))}"
    )


def _short(table: Table, columns: Sequence[str]) -> Table:
    """A list's columns that a page has room for; all of them stand in its file."""
    head, rows = table
    kept = [head.index(name) for name in columns]
    return tuple(columns), [tuple(row[k] for k in kept) for row in rows]


def _table(head: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    top = "".join(f"<th scope='col'>{html.escape(one)}</th>" for one in head)
    body = "".join(f"<tr>{''.join(_cell(one) for one in row)}</tr>" for row in rows)
    return f"<table class='fk-list'><thead><tr>{top}</tr></thead><tbody>{body}</tbody></table>"


def _cell(value: Cell) -> str:
    if isinstance(value, float):
        return (
            f"<td class='fk-number'>{number_text(value, places=2 if abs(value) < 20 else 1)}</td>"
        )
    if isinstance(value, int):
        return f"<td class='fk-number'>{value}</td>"
    return f"<td>{html.escape(value or '')}</td>"


def cautions_html(plan: Plan) -> str:
    """What to mind before cutting and lifting, by how this foam is cut and what is packed."""
    known = cautions()
    names = [name for name in (plan.payload.foam.cutting, *ALWAYS) if name in known]
    if any("batter" in item.name.lower() for item in plan.payload.items):
        names.append("lithium batteries")
    if any(item.power_w for item in plan.payload.items):
        names += ["mains", "ventilation"]
    names.append("not certified")
    lines = "".join(f"<li>{html.escape(known[name].text)}</li>" for name in names)
    return (
        f"<ul class='fk-cautions'>{lines}</ul><p class='fk-line'>Local codes come first; leave "
        "electrical work and lifting gear to those who are licensed for it.</p>"
    )


def faults_html(error: BadInput) -> str:
    """What cannot be used, one line for each fault."""
    lines = "".join(f"<li>{html.escape(str(fault))}</li>" for fault in error.faults)
    return f"<div class='fk-warn' role='alert'><b>This cannot be used:</b><ul>{lines}</ul></div>"
