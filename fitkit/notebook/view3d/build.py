"""The page that a builder takes to the workshop: the plan, the case in 3D, lists, all files."""

from __future__ import annotations

import html
import threading
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path
from typing import TYPE_CHECKING, Any

import anywidget
import ipywidgets as widgets
import traitlets
from attrs import evolve

from fitkit.documents.spoken import spoken
from fitkit.errors import BadInput
from fitkit.notebook.closing import put_away
from fitkit.notebook.view3d.bench import View3D, bundle, look
from fitkit.notebook.view3d.sections import (
    cautions_html,
    faults_html,
    figures_html,
    findings_html,
    lists_html,
)
from fitkit.notebook.work import Work
from fitkit.plan import Plan, make_plan, with_stock
from fitkit.plan_json import read_written

if TYPE_CHECKING:
    from fitkit.fit.state import Progress

GROUPS = {"": "start here", "foam": "foam", "lists": "lists", "views": "pictures"}
"""Files by the folder that they stand in, and what they are called."""

LATE_S = 2.0
"""A plan saved this much later than its page [s]: the files show an earlier one."""


def _style() -> str:
    return look() + (files("fitkit.notebook.view3d") / "build.css").read_text(encoding="utf-8")


class Files(anywidget.AnyWidget):
    """The buttons, what is being done, and the files that were written, group by group."""

    _esm = (files("fitkit.notebook.view3d") / "files.js").read_text(encoding="utf-8")
    _css = _style()
    asked = traitlets.Dict().tag(sync=True)
    busy = traitlets.Unicode("").tag(sync=True)
    said = traitlets.Unicode("").tag(sync=True)
    offer = traitlets.Unicode("").tag(sync=True)
    ready = traitlets.Bool(True).tag(sync=True)
    files: Any = traitlets.List().tag(sync=True)


class BuildBench:
    """The workshop page of a payload sheet, or of a saved plan.

    Without a plan one is made first, which takes the time of a search. What cannot be used is
    explained on the page, fault by fault.
    """

    def __init__(self, path: str | Path = "tideline.toml") -> None:
        """Open the work on the sheet or plan at ``path``."""
        self.plan: Plan | None = None
        self.work: Work | None = None
        self.view = View3D()
        self.controls = Files(ready=False)
        self._top, self._foot = widgets.HTML(), widgets.HTML()
        self._worker: threading.Thread | None = None
        self._stop = threading.Event()
        self.box = widgets.VBox([self._top, self.controls, self.view.widget, self._foot])
        self.box.add_class("fk-look")
        self.controls.observe(self._asked, "asked")
        try:
            self.work = Work.at(path)
            self._show(with_stock(self.work.plan()))  # a drop on the board leaves it open
            self.controls.said = self._list_files()
        except BadInput as error:
            self._top.value = _page(faults_html(error))

    def _show(self, plan: Plan) -> None:
        self.plan = plan
        self._top.value = _page(self._head(plan))
        self._foot.value = _page(_foot(plan))
        self.view.show(plan)
        self.controls.ready = True

    def _head(self, plan: Plan) -> str:
        return (
            f"<h2>{html.escape(plan.payload.title)}</h2>{self._stale(plan)}{figures_html(plan)}"
            f"<h3>Findings</h3>{findings_html(spoken(plan).findings)}"
            "<h3>Files for the workshop</h3>"
        )

    def _stale(self, plan: Plan) -> str:
        """Whether the sheet has moved on since, and what to do then."""
        assert self.work is not None  # there is a plan only where there is work
        self.controls.offer = ""
        try:
            stale = self.work.is_stale(plan)
        except BadInput as error:
            return faults_html(error)
        if not stale:
            return ""
        sheet = html.escape(self.work.sheet.name)
        self.controls.offer = f"plan again from {self.work.sheet.name}"
        return (
            f"<div class='fk-warn' role='alert'><b>{sheet} was changed after this plan was made."
            "</b> What you see and write here is the earlier kit. To keep your own layout, open "
            "<a href='fit.ipynb'>fit</a> and let it take the changes in; or plan again here, "
            "which looks for a new layout.</div>"
        )

    def _asked(self, change: dict[str, Any]) -> None:
        name = change["new"].get("name")
        if name == "stop":
            self._stop.set()
        elif name == "write":
            self._start("write", self._write)
        elif name == "plan":
            self._start("plan", self._plan_again)

    def _start(self, name: str, job: Callable[[], None]) -> None:
        """Do ``job`` beside, one at a time; what it refuses or breaks on is said on the page."""
        if self._worker is not None and self._worker.is_alive():
            return

        def run() -> None:
            try:
                job()
            except BadInput as error:
                self.controls.said = str(error)
            except Exception as error:  # noqa: BLE001  # said where the builder looks
                self.controls.said = f"That did not work: {type(error).__name__}: {error}"
            finally:
                self.controls.busy = ""

        self._stop.clear()
        self.controls.busy = name
        self._worker = threading.Thread(target=run, name=f"fitkit-{name}", daemon=True)
        self._worker.start()

    def _write(self) -> None:
        from fitkit.documents.files import write_all

        assert self.plan is not None  # the button is hidden before
        assert self.work is not None

        def told(name: str, done: int, total: int) -> None:
            self.controls.said = f"writing {done} of {total}: {name}"

        self.controls.said = "writing ..."
        written = write_all(self.plan, self.work.folder, progress=told)
        self._list_files()
        self.controls.said = f"{len(written)} files written into {self.work.folder}."

    def _plan_again(self) -> None:
        assert self.plan is not None  # the button is hidden before
        assert self.work is not None
        budget_s = self.work.budget_s

        def told(now: Progress) -> None:
            self.controls.said = f"planning, {now.seconds:.0f} of {budget_s:.0f} s ..."

        self.controls.said = "planning ..."
        plan = make_plan(
            self.work.payload(),
            choices=evolve(self.plan.choices, budget_s=budget_s),
            progress=told,
            cancelled=self._stop.is_set,
        )
        if self._stop.is_set():
            self.controls.said = "Stopped: the plan is as it was."
            return
        self.work.keep(plan)
        self._show(plan)
        self.controls.said = "Planned again and saved. Write the files to have them follow."

    def _list_files(self) -> str:
        """Show the written files that are there; a sentence about them."""
        assert self.work is not None  # called where there is a plan
        names = [one.path for one in read_written(self.work.plan_path)]
        there = [name for name in names if (self.work.folder / name).is_file()]
        if not there:
            self.controls.files = []
            return f"Nothing is written yet; the files will go into {self.work.folder}."
        place = self.work.folder.as_posix()
        groups: dict[str, list[str]] = {}
        for name in [*there, self.work.plan_path.name]:
            groups.setdefault(name.rpartition("/")[0], []).append(f"{place}/{name}")
        first = [key for key in GROUPS if key in groups]
        self.controls.files = [
            {"name": GROUPS.get(key, key), "paths": groups[key]}
            for key in [*first, *(key for key in groups if key not in GROUPS)]
        ]
        page = self.work.folder / "index.html"
        if page.is_file() and self._is_late(page):
            return "These files show an earlier plan: write them again before you cut."
        return f"Written into {self.work.folder}."

    def _is_late(self, page: Path) -> bool:
        assert self.work is not None  # called where there is a plan
        return self.work.plan_path.stat().st_mtime > page.stat().st_mtime + LATE_S

    def close(self) -> None:
        """End what is being done, and take the widgets away."""
        self._stop.set()
        worker = self._worker
        if worker is not None:
            worker.join(60.0)
        self.controls.unobserve(self._asked, "asked")
        self.view.close()
        put_away(self.box)

    def _repr_mimebundle_(self, **options: Any) -> Any:
        data, metadata = bundle(self.box, options)
        data["text/html"] = (
            f"<style>{_style()}</style>{self._top.value}{self._files_html()}"
            f"{self.view.frame_html()}{self._foot.value}"
        )
        return data, metadata

    def _files_html(self) -> str:
        links = "".join(
            f"<li><a href='{html.escape(path, quote=True)}'>{html.escape(path)}</a></li>"
            for group in self.controls.files
            for path in group["paths"]
        )
        said = f"<p class='fk-files-said'>{html.escape(self.controls.said)}</p>"
        return f"<div class='fk-look fk-files'>{said}<ul>{links}</ul></div>"


def _page(body: str) -> str:
    return f"<div class='fk-look fk-build'>{body}</div>"


def _foot(plan: Plan) -> str:
    return (
        f"<h3>What to buy and cut</h3>{lists_html(plan)}"
        f"<h3>Before you start</h3>{cautions_html(plan)}"
    )
