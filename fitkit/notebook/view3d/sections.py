"""The parts of the workshop page as HTML: figures, findings, lists, cautions."""

from __future__ import annotations

import html
from collections.abc import Iterable, Sequence

from fitkit.checks.finding import Finding
from fitkit.documents.csv_text import Cell
from fitkit.documents.naming import half_names, size, sizes
from fitkit.documents.tables import mass_table, sheets_table
from fitkit.errors import BadInput
from fitkit.fit.words import above_least, bound_words
from fitkit.notebook.findings import TAGS, Row, rows_html
from fitkit.plan import Plan
from fitkit.reference.cautions import cautions
from fitkit.shell.outside import panels_of
from fitkit.units import mass_text, number_text

_BOTH = (False, True)

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
    """What to buy and cut as far as the plan knows: foam, panels, mass."""
    return (
        f"<h4>Foam to buy</h4>{_table(*sheets_table(plan))}"
        f"<h4>Panels to cut</h4>{panels_html(plan)}"
        f"<h4>Mass</h4>{_table(*mass_table(plan))}"
    )


def panels_html(plan: Plan) -> str:
    """The panels as cut; a ready-made case has none."""
    if plan.fit.ready_made is not None:
        return "<p class='fk-line'>None: the case is bought ready made.</p>"
    wall = plan.payload.wall
    names = half_names(plan)
    rows: dict[tuple[str, str, float, float], list[str]] = {}
    for panel in panels_of(plan.fit.interior, wall=wall):
        key = (names[panel.half], "", panel.length_mm, panel.width_mm)
        rows.setdefault(key, []).append(panel.side)
    head = ("half", "for", "pieces", "length (mm)", "width (mm)")
    body: list[Sequence[Cell]] = [
        (half, " and ".join(sides), len(sides), length, width)
        for (half, _, length, width), sides in rows.items()
    ]
    thick = number_text(wall.panel_mm, places=1)
    note = (
        f"{wall.panel}, taken as {thick} mm thick. Sizes hold for the profile of the sheet: fit "
        "one panel dry before you cut the rest."
    )
    return f"{_table(head, body)}<p class='fk-line'>{html.escape(note)}</p>"


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
