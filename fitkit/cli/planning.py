"""The commands ``plan`` and ``check``: search with a progress bar, write, print."""

from __future__ import annotations

import threading
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

from fitkit.cli.samples import folder_faults
from fitkit.cli.terminal import messages, output
from fitkit.errors import BadInput, Fault

if TYPE_CHECKING:
    from fitkit.documents.files import Written
    from fitkit.documents.pens.dxf import DxfVersion
    from fitkit.documents.tiles import Paper
    from fitkit.fit.state import Progress
    from fitkit.payload.model import Objective, Payload
    from fitkit.plan import Choices, Plan

_Made = TypeVar("_Made")

TICK_S = 0.1
"""How often the terminal is refreshed and Ctrl-C noticed [s]."""


LAST_S = 2.0
"""How long the search has to end its child processes when it is left in a hurry [s]."""


def plan_sheet(
    sheet: Path,
    folder: Path,
    *,
    objective: Objective | None,
    budget: float,
    seed: int,
    repeatable: bool,
    case: str | None,
    several: bool,
    paper: Paper,
    dxf: DxfVersion,
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

    if objective is not None and payload.case.ready_made:
        what = "is not asked for where the sheet names a list of ready-made cases"
        raise BadInput([Fault("--objective", what, "leave it out: the list is ranked by rank")])
    choices = Choices(
        objective=objective, budget_s=budget, seed=seed, repeatable=repeatable, case=case
    )
    if several or payload.case.several:
        from fitkit.cli.several import plan_several

        return plan_several(payload, folder, choices=choices, paper=paper, dxf=dxf)
    plan = searched(payload, choices)
    written = writing(lambda told: write_all(plan, folder, paper=paper, dxf=dxf, progress=told))
    show_plan(output(), plan, folder=folder, written=written)
    if plan.fit.interrupted:
        messages().print("Interrupted: the best case so far was saved.")
        return INTERRUPTED
    return exit_code(plan.findings, plan.fit.misses)


def check_plan(path: Path) -> int:
    """Load a saved plan, run every check on it again, print the findings; the exit code."""
    from fitkit.cli.show import exit_code, show_check
    from fitkit.plan import checked_again
    from fitkit.plan_json import read_plan, read_written

    plan = checked_again(read_plan(path))
    changed = [
        line
        for file in read_written(path)
        for line in _changed(path.parent / file.path, file.path, file.sha256)
    ]
    show_check(output(), plan, changed=changed)
    return max(exit_code(plan.findings, plan.fit.misses), 1 if changed else 0)


def searched(payload: Payload, choices: Choices) -> Plan:
    """The plan, made in a thread of its own; see :func:`in_a_thread`."""
    from fitkit.plan import make_plan

    return in_a_thread(partial(make_plan, payload, choices=choices), choices)


def in_a_thread(make: Callable[..., _Made], choices: Choices) -> _Made:
    """What ``make`` makes, in a thread of its own, so that Ctrl-C is noticed at once.

    ``make`` takes ``progress`` and ``cancelled``. The first Ctrl-C ends the search and keeps the
    best so far; a second one leaves at once with KeyboardInterrupt. Whatever the planning raises
    is raised here.
    """
    # an event of our own: a join that Ctrl-C interrupts takes the thread for ended (Python 3.11)
    done, stop = threading.Event(), threading.Event()
    latest: list[Progress] = []
    outcome: list[_Made] = []
    wrong: list[BaseException] = []

    def hear(progress: Progress) -> None:
        latest[:] = [progress]

    def work() -> None:
        try:
            outcome.append(make(progress=hear, cancelled=stop.is_set))
        except BaseException as error:  # noqa: BLE001 - raised again below, in the main thread
            wrong.append(error)
        finally:
            done.set()

    worker = threading.Thread(target=work, name="planning", daemon=True)
    _watch(worker.start, done, latest, stop, choices)
    if wrong:
        raise wrong[0]
    return outcome[0]


def _watch(
    start: Callable[[], None],
    done: threading.Event,
    latest: list[Progress],
    stop: threading.Event,
    choices: Choices,
) -> None:
    """Start the work and show its progress until it is done."""
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
        start()
        while not done.is_set():
            try:
                done.wait(TICK_S)
                if latest and not stop.is_set():
                    now = latest[0]
                    text = standing(now)
                    if now.seconds >= choices.budget_s:
                        text = "foam, mass and checks ..."
                    bar.update(task, completed=min(now.seconds, choices.budget_s), description=text)
            except KeyboardInterrupt:
                if stop.is_set():
                    done.wait(LAST_S)  # the search ends its children when it hears of the first one
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


def writing(
    write: Callable[[Callable[[str, int, int], None]], tuple[Written, ...]],
) -> tuple[Written, ...]:
    """Write, naming each document on the terminal as it is made."""
    err = messages()
    if not err.is_terminal:
        return write(lambda name, done, total: None)
    with err.status("Writing the files ...") as status:
        return write(lambda name, done, total: status.update(f"Writing {done}/{total}  {name}"))


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
