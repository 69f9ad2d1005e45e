"""A plan and its findings on the terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from fitkit.cli import DONE, FAILS
from fitkit.cli.show_cases import show_ready_made
from fitkit.cli.show_mounting import show_mounting
from fitkit.cli.show_shell import show_shell
from fitkit.cli.words import GOALS, distance_from_best, figure, size
from fitkit.fit.words import found_words

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

    from fitkit.checks.finding import Finding
    from fitkit.documents.files import Written
    from fitkit.plan import Plan

PRECEDENCE = ("fails", "tight", "unknown", "ok")


def exit_code(findings: Iterable[Finding], misses: Sequence[str]) -> int:
    """1 if a finding fails or the kit misses its limits, else 0."""
    return FAILS if misses or any(one.verdict == "fails" for one in findings) else DONE


def show_plan(out: Console, plan: Plan, *, folder: Path, written: Sequence[Written]) -> None:
    """Print sizes, mass, distance from the best, foam, findings, assumptions and files."""
    from fitkit.documents.spoken import spoken

    plan = spoken(plan)
    _head(out, plan)
    if plan.ready_made is not None:
        show_ready_made(out, plan)
    show_mounting(out, plan)
    show_shell(out, plan)
    _foam(out, plan)
    _findings(out, plan.findings)
    _assumptions(out, plan)
    _cautions(out, plan.findings)
    _files(out, folder, written)


def show_check(out: Console, plan: Plan, *, changed: Sequence[str]) -> None:
    """Print the findings of a saved plan that was checked again, and files that changed."""
    from fitkit.documents.spoken import spoken

    plan = spoken(plan)
    _head(out, plan)
    _findings(out, plan.findings)
    _cautions(out, plan.findings)
    for line in changed:
        out.print(f"CHANGED  {line}", style="fails")


def _head(out: Console, plan: Plan) -> None:
    from fitkit.documents.naming import half_names

    fit, units = plan.fit, plan.payload.units
    copies = sum(item.count for item in plan.payload.items)
    out.print(plan.payload.title, style="head")
    out.print()
    names = half_names(plan)
    halves = " + ".join(
        f"{names[half.name].removesuffix(' half')} {figure(half.depth_mm, 'mm')}"
        for half in fit.interior.halves
    )
    case = plan.fit.ready_made
    rows = [
        *([("Case", f"{case.name}, ready-made")] if case else []),
        ("Interior", f"{size(fit.interior.size_mm, units)}  ({halves})"),
        ("Outside", _outside(plan)),
        ("Mass", _mass(plan)),
        ("Items", f"{copies}: {_where(plan)}"),
        ("Aim", f"{_goal(plan)}; {_effort(plan)}, seed {fit.seed}"),
        ("Layout", found_words(fit)),
    ]
    for name, text in rows:
        if not text:
            continue
        lines = textwrap.wrap(text, max(out.width - 11, 20), break_on_hyphens=False)
        out.print(f"{name:<10}" + f"\n{'':10}".join(lines))
    out.print()
    if fit.misses:
        out.print("DOES NOT FIT its limits. This is the nearest layout:", style="fails")
        for miss in fit.misses:
            _said(out, miss, indent=2, style="fails")
        if fit.ready_made is None:
            _several_would(out, plan)
    else:
        _said(out, distance_from_best(fit), indent=0)
    out.print()


def _several_would(out: Console, plan: Plan) -> None:
    """How many cases a kit needs at least that does not keep its limits in one."""
    from fitkit.fit.several import least_cases

    least = least_cases(plan.payload).cases
    sure = f"It takes {least} cases at least: r" if least > 1 else "R"
    _said(out, f"{sure}un it again with --several to share it out.", indent=2)


def _goal(plan: Plan) -> str:
    """What was made small, or what the list was ranked by."""
    if plan.ready_made is None:
        return GOALS[plan.fit.objective]
    return f"the best of {len(plan.ready_made.tried)} ready-made cases by {plan.ready_made.rank}"


def _outside(plan: Plan) -> str:
    """The outside, and what it is measured over."""
    if not plan.outside_known:
        return "not measured; do so over latches and feet"
    over = "over profiles, without latches and feet"
    if plan.fit.ready_made is not None:
        over = "as your list gives it"
    return f"{size(plan.outside_mm, plan.payload.units)}  ({over})"


def _where(plan: Plan) -> str:
    """How many copies stand in which half, on how many tiers."""
    from fitkit.documents.naming import half_names

    parts = []
    names = half_names(plan)
    for half in plan.fit.interior.halves:
        tiers = [one.tier for one in plan.fit.placements if one.half == half.name]
        if tiers:
            on = f" on {len(set(tiers))} tiers" if len(set(tiers)) > 1 else ""
            parts.append(f"{len(tiers)} in the {names[half.name]}{on}")
    return ", ".join(parts)


def _effort(plan: Plan) -> str:
    """How long the search took, or that work was counted instead."""
    if plan.choices.repeatable:
        return "work counted, not time"
    return f"{plan.fit.seconds:.1f} s of search"


def _mass(plan: Plan) -> str:
    mass = plan.mass
    missing = [*mass.unknown, *mass.left_out]
    at_least = "at least " if missing else ""
    text = f"{at_least}{mass.total_kg:.2f} kg"
    if plan.payload.units == "in":
        text += f" ({mass.total_kg / 0.45359237:.1f} lb)"
    return f"{text}, without {', '.join(missing)}" if missing else text


def _foam(out: Console, plan: Plan) -> None:
    if not plan.foam.layers and not plan.foam.notes:
        return
    if not plan.foam.layers:
        out.print("Foam", style="head")
    table = _table("Foam layers", ("layer", "from", "to", "sheet", "colour", "cut-outs"))
    for layer in plan.foam.layers:
        kinds = [cutout.kind for cutout in layer.cutouts]
        counts = ", ".join(
            _count(kinds.count(kind), kind)
            for kind in ("pocket", "notch", "channel", "relief")
            if kind in kinds
        )
        table.add_row(
            layer.name,
            figure(layer.z0_mm, "mm"),
            figure(layer.z1_mm, "mm"),
            figure(layer.thickness_mm, "mm"),
            layer.material,
            counts or "whole",
        )
    if plan.foam.layers:
        out.print(table)
    for note in plan.foam.notes:
        _said(out, note, indent=2, style="quiet")
    out.print()


def _findings(out: Console, findings: Sequence[Finding]) -> None:
    """One row for each finding, what fails first, and under it what to do and the source."""
    sources = list(dict.fromkeys(one.source for one in findings if one.source))
    ranked = sorted(findings, key=lambda one: PRECEDENCE.index(one.verdict))
    room = min(max(out.width - 49, 16), 44)
    of = min(max((len(one.subject) for one in findings), default=2), room)
    out.print("Findings", style="head")
    out.print(f"{'':9}{'check':<16} {'of':<{of}} {'value':>10} {'limit':>10}", style="quiet")
    for one in ranked:
        subject = textwrap.shorten(one.subject, of, placeholder="...")
        out.print(
            f"{one.verdict.upper():<9}{one.check:<16} {subject:<{of}} "
            f"{figure(one.value, one.unit):>10} {figure(one.limit, one.unit):>10}",
            style=one.verdict if one.verdict != "ok" else None,
            overflow="ignore",
            no_wrap=True,
        )
        mark = f" [{sources.index(one.source) + 1}]" if one.source else ""
        _said(out, f"{one.note}{mark}", indent=9)
    out.print()
    for number, source in enumerate(sources, 1):
        _said(out, f"[{number}] {source}", indent=2, style="quiet")
    count = {verdict: sum(one.verdict == verdict for one in findings) for verdict in PRECEDENCE}
    out.print(
        f"{count['ok']} ok, {count['tight']} tight, {count['fails']} fail, "
        f"{count['unknown']} unknown."
    )
    out.print()


def _assumptions(out: Console, plan: Plan) -> None:
    if not plan.payload.assumptions:
        return
    out.print("Assumed, because the sheet does not say", style="head")
    for line in plan.payload.assumptions:
        _said(out, line, indent=2)
    out.print()


def _cautions(out: Console, findings: Sequence[Finding]) -> None:
    from fitkit.documents.caution_words import each_once

    lines = each_once(one.caution for one in findings if one.caution)
    if not lines:
        return
    out.print("Cautions", style="head")
    for line in lines:
        _said(out, line, indent=2)
    out.print()


def _files(out: Console, folder: Path, written: Sequence[Written]) -> None:
    out.print("Written", style="head")
    by_folder: dict[str, list[str]] = {}
    for file in written:
        path = Path(file.path)
        by_folder.setdefault(path.parent.as_posix(), []).append(path.name)
    for parent, names in by_folder.items():
        where = folder if parent == "." else folder / parent
        if len(names) <= 4:
            text = ", ".join(names)
        else:
            text = f"{', '.join(names[:3])} and {len(names) - 3} more"
        out.print(f"  {where}: {text}")
    out.print(f"Open {folder / 'index.html'} to see it all.")


def _said(out: Console, text: str, *, indent: int, style: str | None = None) -> None:
    """A sentence, wrapped within the width, all of it indented."""
    out.print(
        textwrap.fill(
            text,
            max(out.width - 1, 20),
            initial_indent=" " * indent,
            subsequent_indent=" " * indent,
            break_on_hyphens=False,
        ),
        style=style,
    )


def _table(title: str, heads: Sequence[str]) -> Table:
    from rich import box
    from rich.table import Table

    table = Table(
        title=title,
        title_justify="left",
        title_style="head",
        box=box.SIMPLE_HEAD,
        pad_edge=False,
        padding=(0, 1, 0, 0),
    )
    for head in heads:
        figures = head in ("from", "to", "sheet")
        table.add_column(head, justify="right" if figures else "left", no_wrap=figures)
    return table


def _count(number: int, noun: str) -> str:
    plural = f"{noun}es" if noun.endswith("tch") else f"{noun}s"
    return f"{number} {noun if number == 1 else plural}"
