"""The recess bench: depths, recesses, panels and tolerances tried, the section drawn anew live."""

from __future__ import annotations

import html
from collections.abc import Callable
from pathlib import Path
from typing import Any

from attrs import evolve

from fitkit.errors import BadInput, Fault, FitkitError, in_words
from fitkit.notebook.closing import put_away, take_place
from fitkit.notebook.findings import rows_html
from fitkit.notebook.guarding import guarded
from fitkit.notebook.recess.controls import controls_of, rows_of
from fitkit.notebook.recess.keeping import keep_in_sheet, words_of
from fitkit.notebook.recess.picture import (
    drawn_of,
    finding_rows,
    gap_values,
    said_of,
    section_svg,
)
from fitkit.notebook.recess.trying import (
    Try,
    first_try,
    gap_looked_at,
    least_try,
    shallowest_try,
    spoken_trial,
    trial_of,
)
from fitkit.notebook.recess.widget import RecessView, style
from fitkit.notebook.view3d.bench import bundle
from fitkit.notebook.work import Work
from fitkit.plan import Plan
from fitkit.shell.gap.trial import Trial
from fitkit.units import length_mm


class RecessBench:
    """How far gear lies behind the closing plane, tried on a plan by sliders.

    ``RecessBench("twin_screens.toml")`` opens the plan saved beside the sheet, or makes one first.
    ``now`` is what is tried, ``trial`` what follows from it. Nothing is kept until it is written
    into the sheet.
    """

    def __init__(self, path: str | Path = "twin_screens.toml") -> None:
        """Open the work on a sheet. BadInput if there is none, or its case has no two halves."""
        work = Work.at(path)
        self._start(work.plan(), work)
        take_place(self, work.sheet)

    @classmethod
    def of(cls, plan: Plan, *, work: Work | None = None) -> RecessBench:
        """A bench on a plan; what is tried can be kept where ``work`` is given."""
        bench = cls.__new__(cls)
        bench._start(plan, work)
        return bench

    def _start(self, plan: Plan, work: Work | None) -> None:
        self.plan, self.work = plan, work
        self.planned: Try = first_try(plan)
        self.now: Try = self.planned
        self.trial: Trial = spoken_trial(plan, trial_of(plan, self.now))
        self._keys = {one.key: one for one in controls_of(plan)}
        self._pair = plan.payload.case.form == "pair"
        self._said = {"fault": "", "saved": self._stale()}
        self._answers: dict[str, Any] = {"n": 0, "view": ""}
        self.view = RecessView()
        self.view.observe(lambda change: self._guarded(self._on_move, change["new"]), "move")
        self.view.observe(lambda change: self._guarded(self._on_act, change["new"]), "act")
        self._show()

    @property
    def panel(self) -> RecessView:
        """The widget to show."""
        return self.view

    def close(self) -> None:
        """Let the widget go."""
        self.view.unobserve_all()
        put_away(self.view)

    def _repr_mimebundle_(self, **options: Any) -> Any:
        data, metadata = bundle(self.view, options)
        data["text/html"] = self.frame_html()
        return data, metadata

    # ---- what the builder does

    def _on_move(self, move: dict[str, Any]) -> None:
        """A slider is dragged, or let go."""
        if move:
            self._answers = {"n": move["n"], "view": move.get("view", "")}
            self._set(str(move["id"]), float(move["value"]))

    def _on_act(self, act: dict[str, Any]) -> None:
        """Something else was done: see :class:`RecessView`."""
        if not act:
            return
        self._answers = {"n": act["n"], "view": act.get("view", "")}
        kind = act["kind"]
        if kind == "type":
            self._type(str(act["key"]), str(act["text"]))
        elif kind == "planned":
            self._take(evolve(self.planned, spread=self.now.spread))
        elif kind == "least":
            self._take(least_try(self.plan, self.now))
        elif kind == "shallow":
            self._take(shallowest_try(self.plan, self.now))
        elif kind == "follow":
            self._take(evolve(self.now, cut_mm=None))
        elif kind == "spread":
            self._take(evolve(self.now, spread=act["value"]))
        elif kind == "gap":
            self._choose(str(act["name"]))
        elif kind == "keep":
            self._keep()

    def _set(self, key: str, value: float) -> None:
        if key not in self._keys:
            raise FitkitError("That slider is not there any more: run the cell again.")
        self._take(self.now.with_value(key, value, pair=self._pair))

    def _type(self, key: str, text: str) -> None:
        """A typed figure; a bare number is in the sheet's units, or the control's own."""
        control = self._keys[key]
        if control.unit == "mm":
            try:
                number: float | str = float(text.replace(",", "."))
            except ValueError:
                number = text
            units = self.plan.payload.units
            self._set(key, length_mm(number, units=units, place=control.words))
            return
        bare = text.removesuffix(control.unit).strip().replace(",", ".")
        try:
            value = float(bare)
        except ValueError:
            remedy = f"give a number of {control.unit}"
            raise BadInput([Fault(control.words, f'"{text}"', remedy)]) from None
        self._set(key, value)

    def _choose(self, name: str) -> None:
        for gap in self.trial.gaps:
            if f"{gap.deep} to {gap.shallow}" == name:
                self._take(evolve(self.now, sides=(gap.deep, gap.shallow), cut_mm=None))

    def _keep(self) -> None:
        if self.work is None:
            raise FitkitError("This bench has no sheet: write the lines into your own.")
        said = keep_in_sheet(self.work, self.plan, self.now, self.planned)
        self._said = {"fault": "", "saved": said}
        self._show()

    def _take(self, now: Try) -> None:
        self.trial = spoken_trial(self.plan, trial_of(self.plan, now))
        self.now = now
        self._said = {"fault": "", "saved": ""}
        self._show()

    # ---- what is shown

    def _show(self) -> None:
        gap = gap_looked_at(self.trial, self.now)
        changes = words_of(self.plan, self.now, self.planned)
        histogram, draws = drawn_of(gap, self.now)
        backs = self.now.value("backs") != self.planned.value("backs")
        self.view.shown = {
            **self._answers,
            "title": self.plan.payload.title,
            "controls": rows_of(self.plan, self.now, self.planned),
            "section": section_svg(self.plan, self.trial, self.now),
            "said": said_of(self.trial, gap),
            "findings": [
                {"verdict": row.verdict, "head": row.head, "text": row.text}
                for row in finding_rows(self.trial)
            ],
            "gap": gap_values(self.trial, gap),
            "histogram": histogram,
            "draws": draws,
            "notes": [
                one for one in self.trial.shell.notes if " packed up " in one or " cut " in one
            ],
            "changes": changes,
            "backs": "Another thickness of the backs is chosen in the sheet, under [wall] panels."
            if backs
            else "",
            "spread": self.now.spread,
            "sheet": "" if self.work is None else self.work.sheet.name,
            **self._said,
        }

    def _stale(self) -> str:
        """Whether the sheet has moved on since the plan was made."""
        try:
            if self.work is None or not self.work.is_stale(self.plan):
                return ""
        except FitkitError as error:
            return f"The sheet cannot be read: {in_words(error)}"
        return "The sheet was changed since this plan was made: fit the gear again first."

    def frame_html(self) -> str:
        """The section, the gaps and the histogram as a page that needs no kernel."""
        shown = self.view.shown
        lines = "".join(
            f"<tr><td>{html.escape(row['what'])}</td><td>{html.escape(row['text'])}</td>"
            f"<td>{html.escape(row['source'])}</td></tr>"
            for row in shown["gap"]["rows"]
        )
        return (
            f"<style>{style()}</style><div class='fk-look fkr'><h3>{html.escape(shown['title'])}"
            f"</h3><figure class='fkr-section'>{shown['section']}</figure>"
            f"{rows_html(finding_rows(self.trial))}<table class='fkr-parts'>{lines}</table>"
            f"<figure class='fkr-drawn'>{shown['histogram']}</figure></div>"
        )

    def _guarded(self, action: Callable[[Any], None], event: Any) -> None:
        """``action``, with whatever it raises shown in the view; surprises are raised on."""
        guarded(action, event, failed=self._failed, surprise=_surprise)

    def _failed(self, text: str) -> None:
        self._said = {"fault": text, "saved": ""}
        self._show()


def _surprise(text: str) -> str:
    return f"This should not have happened ({text})."
