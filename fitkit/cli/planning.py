"""The commands ``plan`` and ``check``: search with a progress bar, write, print."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from fitkit.cli.samples import folder_faults
from fitkit.cli.terminal import messages, output
from fitkit.errors import BadInput, Fault

if TYPE_CHECKING:
    from fitkit.documents.files import Written
    from fitkit.fit.search import Progress
    from fitkit.payload.model import Objective, Payload
    from fitkit.plan import Choices, Plan

TICK_S = 0.1
"""How often the terminal is refreshed and Ctrl-C noticed [s]."""


def plan_sheet(
    sheet: Path,
    folder: Path,
    *,
    objective: Objective | None,
    budget: float,
    seed: int,
    repeatable: bool,
    paper: str,
    dxf: str,
) -> int:
    """Plan ``sheet``, write all documents to ``folder``, print the answer; the exit code.

    The sheet and the folder are looked at before the search, and all that is wrong with either
    is said at once.
    """
    from fitkit.cli import INTERRUPTED
    from fitkit.cli.show import exit_code, show_plan

    payload = _read(sheet, folder)
    from fitkit.documents.files import write_all
    from fitkit.plan import Choices

    choices = Choices(objective=objective, budget_s=budget, seed=seed, repeatable=repeatable)
    plan = searched(payload, choices)
    written = _writing(lambda: write_all(plan, folder, paper=_proper(paper), dxf=dxf.upper()))
    show_plan(output(), plan, folder=folder, written=written)
    if plan.fit.interrupted:
        messages().print("Interrupted: the best case so far was saved.")
        return INTERRUPTED
    return exit_code(plan.findings, plan.fit.misses)


def check_plan(path: Path) -> int:
    """Load a saved plan, run every check on it again, print the findings; the exit code."""
    from fitkit.checks.registry import all_checks
    from fitkit.checks.stages import Stages
    from fitkit.cli.show import exit_code, show_check
    from fitkit.plan_json import read_plan, read_written

    plan = read_plan(path)
    findings = all_checks(
        Stages(
            payload=plan.payload,
            fit=plan.fit,
            outside_mm=plan.outside_mm,
            foam=plan.foam,
            mass=plan.mass,
        )
    )
    changed = [
        line
        for file in read_written(path)
        for line in _changed(path.parent / file.path, file.path, file.sha256)
    ]
    show_check(output(), plan, findings, changed=changed)
    return max(exit_code(findings, plan.fit.misses), 1 if changed else 0)


def searched(payload: Payload, choices: Choices) -> Plan:
    """The plan, made in a thread of its own, so that Ctrl-C is noticed at once.

    The first Ctrl-C ends the search and keeps the best so far; a second one leaves at once with
    KeyboardInterrupt. Whatever the planning raises is raised here.
    """
    from fitkit.plan import make_plan

    stop = threading.Event()
    latest: list[Progress] = []
    outcome: list[Plan] = []
    wrong: list[BaseException] = []

    def hear(progress: Progress) -> None:
        latest[:] = [progress]

    def work() -> None:
        try:
            outcome.append(
                make_plan(payload, choices=choices, progress=hear, cancelled=stop.is_set)
            )
        except BaseException as error:  # noqa: BLE001 - raised again below, in the main thread
            wrong.append(error)

    worker = threading.Thread(target=work, name="planning", daemon=True)
    _watch(worker, latest, stop, choices)
    if wrong:
        raise wrong[0]
    return outcome[0]


def _watch(
    worker: threading.Thread, latest: list[Progress], stop: threading.Event, choices: Choices
) -> None:
    """Start the worker and show its progress until it ends."""
    from rich.progress import BarColumn, TextColumn
    from rich.progress import Progress as Bar

    from fitkit.cli.words import standing

    err = messages()
    bar = Bar(
        TextColumn("Searching"),
        BarColumn(bar_width=24),
        TextColumn("{task.description}", markup=False),
        console=err,
        transient=True,
        disable=not err.is_terminal,
    )
    with bar:
        task = bar.add_task("first layout ...", total=choices.budget_s)
        worker.start()
        while worker.is_alive():
            try:
                worker.join(TICK_S)
                if latest and not stop.is_set():
                    now = latest[0]
                    text = standing(now)
                    if now.seconds >= choices.budget_s:
                        text = "foam, mass and checks ..."
                    bar.update(task, completed=min(now.seconds, choices.budget_s), description=text)
            except KeyboardInterrupt:
                if stop.is_set():
                    raise
                stop.set()
                bar.update(task, description="stopping with the best so far (Ctrl-C: leave now)")


def _read(sheet: Path, folder: Path) -> Payload:
    """The payload; BadInput with the faults of the sheet and of the folder together."""
    from fitkit.payload.sheet import read_sheet

    faults: list[Fault] = []
    payload = None
    try:
        payload = read_sheet(sheet)
    except BadInput as error:
        faults += error.faults
    # a folder is not made for a sheet that cannot be planned
    if payload is None and not folder.exists():
        raise BadInput(faults)
    faults += folder_faults(folder)
    if faults or payload is None:
        raise BadInput(faults)
    return payload


def _writing(write: Callable[[], tuple[Written, ...]]) -> tuple[Written, ...]:
    """Write with a word on the terminal that it goes on."""
    err = messages()
    if not err.is_terminal:
        return write()
    with err.status("Writing the files ..."):
        return write()


def _changed(path: Path, name: str, sha256: str) -> list[str]:
    """A sentence if a file that the plan lists is gone or differs from what was written."""
    import hashlib

    try:
        now = hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError:
        return [f"{name} is not there any more: make the documents again."]
    if now != sha256:
        return [f"{name} was changed since it was written: make the documents again."]
    return []


def _proper(paper: str) -> str:
    return {"a4": "A4", "letter": "Letter"}[paper.lower()]
