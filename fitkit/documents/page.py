"""One page that shows the whole plan: self-contained, light and dark, fit to print."""

from __future__ import annotations

import base64
from collections.abc import Mapping, Sequence
from functools import lru_cache
from importlib.resources import files
from typing import Any

from fitkit.checks.finding import Verdict
from fitkit.documents.caution_words import each_once
from fitkit.documents.cut_layer import pockets_of
from fitkit.documents.layer_pictures import what_is_cut
from fitkit.documents.naming import half_names, label_of, plan_id, size, sizes
from fitkit.documents.page_mounting import cable_parts, gap_parts, mounting_parts
from fitkit.documents.page_shell import hazards as of_shell
from fitkit.documents.page_shell import shell_parts, stock_parts
from fitkit.documents.pens.svg import svg
from fitkit.documents.ready_made_table import SAID, heading, rows_of
from fitkit.documents.sheet import Role, Sheet
from fitkit.fit.words import above_least, bound_words, found_words, key_figure
from fitkit.plan import Plan
from fitkit.reference.cautions import cautions

ROLES: Mapping[Role, str] = {
    "ink": "var(--ink)",
    "quiet": "var(--quiet)",
    "paper": "var(--paper)",
    "white": "var(--gear)",
    "foam": "var(--foam)",
    "ok": "var(--ok)",
    "tight": "var(--tight)",
    "fails": "var(--fails)",
    "unknown": "var(--quiet)",
    "connector": "var(--connector)",
    "zone": "var(--zone)",
    "cut": "var(--ink)",
    "mark": "var(--ink)",
    "note": "var(--quiet)",
}
ORDER: tuple[Verdict, ...] = ("fails", "tight", "unknown", "ok")
FOLDERS = {
    "foam": "cutting files, 1:1, and templates to print",
    "lists": "tables for a spreadsheet",
    "shell": "panels and profiles: cutting files, drawings and templates",
    "views": "drawings",
}


def page(
    plan: Plan,
    *,
    views: Sequence[tuple[str, Sheet]],
    layers: Sheet | None,
    exploded: bytes | None,
    why: str,
    names: Sequence[str],
    cases: Sheet | None = None,
    outside: Sequence[tuple[str, Sheet]] = (),
    cuts: Sequence[tuple[str, Sheet]] = (),
    mounting: Sequence[tuple[str, Sheet]] = (),
    gap: Sequence[tuple[str, Sheet]] = (),
    cables: Sequence[tuple[str, Sheet]] = (),
    use: Sequence[tuple[str, Sheet]] = (),
) -> str:
    """The page as HTML. ``views`` are (name, drawing), ``exploded`` a PNG or None with ``why``.

    ``names`` are the files that are written beside it, ``cases`` a drawing of the ready-made cases
    that hold the kit. ``outside`` shows the case from outside, ``cuts`` how bars, boards and foam
    are cut. ``mounting``, ``gap``, ``cables`` and ``use`` are the drawings of these sections;
    ``layers`` is None where there is no foam.
    """
    values = _values(plan, views, layers, exploded, why, names, cases)
    shell = {
        "shell": shell_parts(plan, names=names),
        "stock": stock_parts(plan, names=names),
        "outside": _drawn(outside),
        "cuts": _drawn(cuts),
        "mounting": mounting_parts(plan),
        "gap": gap_parts(plan),
        "cables": cable_parts(plan),
        "pictures": {
            "mounting": _drawn(mounting),
            "gap": _drawn(gap),
            "cables": _drawn(cables),
            "use": _drawn(use),
        },
    }
    return str(_template().render(**values, **shell))


def _drawn(sheets: Sequence[tuple[str, Sheet]]) -> list[tuple[str, str, Any]]:
    """Name, caption and picture of each; the pictures are our own, so they stay markup."""
    from markupsafe import Markup

    return [
        (name, sheet.title.split(": ", 1)[-1],
         Markup(svg(sheet, colours=ROLES, ids=name, inline=True, ground=False)))
        for name, sheet in sheets
    ]  # fmt: skip


@lru_cache(maxsize=1)
def _template() -> Any:
    from jinja2 import Environment, FunctionLoader, StrictUndefined

    def load(name: str) -> str:
        return (files("fitkit.documents") / name).read_text(encoding="utf-8")

    return Environment(
        autoescape=True,
        loader=FunctionLoader(load),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    ).get_template("page.html.j2")


def _values(
    plan: Plan,
    views: Sequence[tuple[str, Sheet]],
    layers: Sheet | None,
    exploded: bytes | None,
    why: str,
    names: Sequence[str],
    cases: Sheet | None,
) -> dict[str, Any]:
    def drawn(name: str, sheet: Sheet) -> Any:
        return _drawn([(name, sheet)])[0][2]

    findings = sorted(plan.findings, key=lambda f: ORDER.index(f.verdict))
    halves = half_names(plan)
    return {
        "title": plan.payload.title,
        "id": plan_id(plan),
        "figures": _figures(plan),
        "misses": plan.fit.misses,
        "interrupted": plan.fit.interrupted,
        "views": _drawn(views),
        "layers_drawing": drawn("layers", layers) if layers else "",
        "layers": [
            (la.name, halves[la.half], la.index, size(la.thickness_mm), la.material,
             f"{size(la.z0_mm)}–{size(la.z1_mm)}",
             ", ".join(label_of(plan, *key) for key in pockets_of(la)) or what_is_cut(la))
            for la in plan.foam.layers
        ],
        "foam_notes": [_note(plan, note) for note in plan.foam.notes],
        "findings": [(f, _numbers(f.value, f.limit, f.unit)) for f in findings],
        "counts": [(v, sum(f.verdict == v for f in findings)) for v in ORDER],
        "mass": [(p.name, f"{p.mass_kg:.2f}") for p in plan.mass.parts],
        "total": f"{plan.mass.total_kg:.2f}",
        "centre": sizes(plan.mass.centre_mm).replace(" × ", ", "),
        "unweighed": [*plan.mass.unknown, *plan.mass.left_out],
        "sheets": [
            (u.material, size(u.thickness_mm), u.pieces, f"{u.area_mm2 / 1e6:.3f}")
            for u in plan.foam.sheets
        ],
        "piece": sizes(plan.fit.interior.size_mm[:2]),
        "assumptions": plan.payload.assumptions,
        "cautions": _cautions(plan),
        "exploded": base64.b64encode(exploded).decode() if exploded else "",
        "why": why,
        "apart_said": _apart_words(plan),
        "folders": _folders(names),
        "kind": "A ready-made case fitted out for its gear"
        if plan.fit.ready_made else "A case made to fit its gear",
        "cases_said": heading(plan) if plan.ready_made else "",
        "cases": [
            (row.place or "", row.case.name, row.inside, size(row.litres, 1),
             "" if row.case.mass_kg is None else size(row.case.mass_kg, 2),
             "" if row.case.price is None else size(row.case.price, 2),
             SAID[row.tried.verdict], row.lacks, row.chosen)
            for row in rows_of(plan)
        ],
        "cases_drawing": drawn("ready-made", cases) if cases else "",
    }  # fmt: skip


def _apart_words(plan: Plan) -> str:
    """What the picture of the case taken apart shows."""
    held = any(item.mount is not None for item in plan.payload.items)
    foam = "each sheet of foam lifted off the one below, the gear above its pockets"
    if not plan.foam.layers:
        return "the gear lifted off what holds it"
    return f"{foam}, mounted gear above what holds it" if held else foam


def _figures(plan: Plan) -> list[tuple[str, str, str]]:
    """Key figures: what, how much, and what to know about it."""
    interior = plan.fit.interior
    depths = " + ".join(size(half.depth_mm) for half in interior.halves)
    outside = (
        "outside",
        f"{sizes(plan.outside_mm)} mm",
        f"sum of the sides {size(sum(plan.outside_mm))} mm",
    )
    if not plan.outside_known:
        outside = ("outside", "not measured", "measure it over latches and feet")
    known = "of what is known" if plan.mass.unknown or plan.mass.left_out else "all parts counted"
    return [
        *_case_figure(plan),
        ("interior", f"{sizes(interior.size_mm)} mm", f"depths of the halves {depths}"),
        outside,
        ("mass", f"{size(plan.mass.total_kg, 1)} kg", known),
        ("fit", _gap_words(plan), _fit_note(plan)),
    ]


def _case_figure(plan: Plan) -> list[tuple[str, str, str]]:
    case, answer = plan.fit.ready_made, plan.ready_made
    if case is None or answer is None:
        return []
    held = [one.name for one in answer.holding]
    if case.name not in held:
        return [("ready-made case", case.name, "the nearest; it does not hold the kit")]
    place = f"number {held.index(case.name) + 1} of {len(held)} by {answer.rank}"
    return [("ready-made case", case.name, place)]


def _fit_note(plan: Plan) -> str:
    """Value, bound, who found it, and the seed with which it can be found again."""
    fit = plan.fit
    parts = [key_figure(fit), bound_words(fit), found_words(fit), f"seed {fit.seed}"]
    return "; ".join(part for part in parts if part)


def _gap_words(plan: Plan) -> str:
    text = above_least(plan.fit)
    return text[:1].upper() + text[1:]


def _numbers(value: float | None, limit: float | None, unit: str) -> str:
    """Value and limit in a few words; empty where neither is known, or nothing is nothing."""
    if value == 0 and limit == 0:
        return ""
    unit = unit.replace("mm2", "mm²").replace("m2", "m²")
    if value == 1 and unit == "items":
        unit = "item"
    shown = "" if value is None else f"{size(value, 2)} {unit}".strip()
    bound = "" if limit is None else f"limit {size(limit, 2)} {unit}".strip()
    return ", ".join(part for part in (shown, bound) if part)


def _cautions(plan: Plan) -> list[str]:
    """The usual cautions for the work that this plan asks for, and those of its findings."""
    known = cautions()
    hazards = ["hot wire" if plan.payload.foam.cutting == "hot wire" else "knife", "spray adhesive",
               *of_shell(plan), "wood dust", "sharp edges", "lifting", "not certified"]  # fmt: skip
    texts = [known[hazard].text for hazard in hazards if hazard in known]
    texts += [f.caution for f in plan.findings if f.caution]
    return each_once(texts)


def _folders(names: Sequence[str]) -> list[tuple[str, str, list[str]]]:
    """Written files by folder."""
    groups: dict[str, list[str]] = {}
    for name in names:
        folder, _, _ = name.rpartition("/")
        groups.setdefault(folder, []).append(name)
    return [(folder, FOLDERS.get(folder, "the plan"), listed) for folder, listed in groups.items()]


def _note(plan: Plan, note: str) -> str:
    """A note on the foam as a sentence; one on a layer starts with its name, as its file has it."""
    text = f"{note.rstrip('.')}."
    named = any(note.startswith(layer.name) for layer in plan.foam.layers)
    return text if named else text[:1].upper() + text[1:]
