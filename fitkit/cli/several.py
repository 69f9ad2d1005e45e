"""The command ``plan`` with a kit in several cases: search, write, print."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from fitkit.cli.terminal import messages, output
from fitkit.cli.words import size
from fitkit.units import number_text

if TYPE_CHECKING:
    from rich.console import Console

    from fitkit.documents.pens.dxf import DxfVersion
    from fitkit.documents.tiles import Paper
    from fitkit.payload.model import Payload
    from fitkit.plan import Choices
    from fitkit.plan_several import Cases


def plan_several(
    payload: Payload, folder: Path, *, choices: Choices, paper: Paper, dxf: DxfVersion
) -> int:
    """Plan the kit in as few cases as keep its limits; the exit code.

    Where one case will do, it is planned and written as if nothing had been asked.
    """
    from fitkit.cli import INTERRUPTED
    from fitkit.cli.planning import in_a_thread, writing
    from fitkit.cli.show import exit_code, show_plan
    from fitkit.documents.files import write_all, write_several
    from fitkit.plan_several import make_several

    cases = in_a_thread(partial(make_several, payload, choices=choices), choices)
    several, out = cases.several, output()
    if len(cases.plans) == 1:
        plan = cases.plans[0]
        written = writing(lambda told: write_all(plan, folder, paper=paper, dxf=dxf, progress=told))
        show_plan(out, plan, folder=folder, written=written)
        if not several.misses:
            out.print("One case will do: it keeps every limit.")
    else:
        writing(
            lambda told: write_several(cases, payload, folder, paper=paper, dxf=dxf, progress=told)
        )
        show_several(out, cases, payload, folder=folder)
    if several.interrupted:
        messages().print("Interrupted: the best cases so far were saved.")
        return INTERRUPTED
    findings = [finding for plan in cases.plans for finding in plan.findings]
    return exit_code(findings, several.misses)


def show_several(out: Console, cases: Cases, payload: Payload, *, folder: Path) -> None:
    """Print how many cases there are, which copy goes where, and what each case comes to."""
    from fitkit.documents.several_page import where_table
    from fitkit.plan_json.cases import folder_of

    several, units = cases.several, payload.units
    out.print(payload.title, style="head")
    out.print()
    said = str(several)
    out.print(said[:1].upper() + said[1:] + ".", style="fails" if several.misses else None)
    for miss in several.misses:
        out.print(f"  {miss}", style="fails")
    out.print()
    wide = min(max(len(item.name) for item in payload.items), 32)
    heads = "".join(f"{f'case {k + 1}':>10}" for k in range(len(cases.plans)))
    out.print("Which copy goes where", style="head")
    out.print(f"  {'item':<{wide}} {'copies':>7}{heads}", style="quiet")
    for name, count, copies in where_table(cases, payload):
        cells = "".join(f"{text or '-':>10}" for text in copies)
        out.print(f"  {name[:wide]:<{wide}} {count:>7}{cells}", overflow="ignore", no_wrap=True)
    out.print()
    for number, plan in enumerate(cases.plans, start=1):
        verdicts = [finding.verdict for finding in plan.findings]
        counts = f"{verdicts.count('fails')} fail, {verdicts.count('tight')} tight"
        more = "at least " if plan.mass.unknown or plan.mass.left_out else ""
        out.print(f"Case {number}", style="head")
        out.print(f"  outside  {size(plan.outside_mm, units)}")
        out.print(f"  mass     {more}{number_text(plan.mass.total_kg, places=2)} kg")
        out.print(f"  checks   {counts} of {len(verdicts)}")
        out.print(f"  files    {folder / folder_of(number)}")
    left_out = list(dict.fromkeys(text for plan in cases.plans for text in plan.mass.left_out))
    if left_out:
        out.print()
        out.print(f"Not weighed yet, in each case: {', '.join(left_out)}.")
    out.print(f"Open {folder / 'index.html'} to see it all.")
