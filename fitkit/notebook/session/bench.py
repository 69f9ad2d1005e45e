"""The fit bench: the board, with the controls beside it and the findings under it."""

from __future__ import annotations

import html
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ipywidgets as widgets
from attrs import evolve

from fitkit.errors import FitkitError, in_words
from fitkit.notebook.board.widget import Board
from fitkit.notebook.closing import put_away, take_place
from fitkit.notebook.form import SheetForm
from fitkit.notebook.home import Home
from fitkit.notebook.session.bring import Bring
from fitkit.notebook.session.desk import Desk
from fitkit.notebook.session.figures import Figures
from fitkit.notebook.session.parts import group, label, number, reading, style, words_button
from fitkit.notebook.session.picture import (
    Frame,
    answer,
    key_from,
    level_from,
    place_of,
    scene,
)
from fitkit.notebook.session.place import Place
from fitkit.notebook.session.report import report_html, status_words
from fitkit.notebook.session.state import GRID_MM, State
from fitkit.notebook.session.take_along import write_page
from fitkit.notebook.session.words import progress_html, summary_html
from fitkit.notebook.work import Work
from fitkit.payload.model import Payload
from fitkit.plan_json.layouts import loads_layout


class FitBench:
    """The gear of a payload sheet on the board: drag it, lock it, let the rest be fitted.

    ``path`` is the sheet (or a saved plan.json). What is on the board is saved beside the plan
    after every drop, and is there again when the notebook is opened the next time.
    """

    def __init__(self, path: str | Path = "tideline.toml") -> None:
        """Set out the board. BadInput if the sheet or the saved plan cannot be used."""
        self.work = Work.at(path)
        self.figures = Figures()
        self._serial = 0
        self._quiet = False
        self._closed = False
        self._home = Home()
        payload = self.work.payload()  # a sheet that cannot be read is refused here
        self.form: SheetForm | None = None  # a plan whose sheet is gone has none
        if self.work.sheet.exists():
            self.form = SheetForm.at(
                self.work.sheet, on_change=self._sheet_changed, on_units=self._in_units
            )
            payload = self.form.payload or payload
        try:
            self.desk = Desk(self.work, self._told, payload=payload)
        except FitkitError:
            if self.form is not None:
                self.form.close()
            raise
        self._make()
        self._connect()
        take_place(self, self.work.sheet)
        with self.desk.lock:
            self._refresh()
            self.desk.begin()

    def _ipython_display_(self) -> None:
        """Show the board with its controls."""
        from IPython.display import display

        display(self.panel)

    def close(self) -> None:
        """Free the widgets, the threads and the child process."""
        if self._closed:
            return
        self._closed = True
        self.desk.close()
        if self.form is not None:
            self.form.close()
        put_away(self.panel)

    # ---- making

    def _make(self) -> None:
        self.board = Board()
        self.place = Place()
        self.up = widgets.Dropdown(layout=widgets.Layout(width="auto"))
        self.seconds = number(self.desk.choices.budget_s)
        self.fit = words_button("fit the rest", strong=True)
        self.stop = words_button("stop, keep the best")
        self.back = words_button("back to where it was")
        self.progress = reading()
        self.write = words_button("write all files", strong=True)
        self.written = reading()
        self.take = words_button("save the board as a page")
        self.taken = reading()
        self.bring = Bring(words="load a layout", accept=".json")
        self.summary, self.findings, self.message = (
            widgets.HTML(),
            widgets.HTML(),
            widgets.HTML(),
        )
        side = widgets.VBox(
            [
                group("Place", self.place, label("face up", self.up)),
                group(
                    "Search",
                    label("seconds", self.seconds),
                    self.fit,
                    self.stop,
                    self.back,
                    self.progress,
                ),
                group("Plan", self.summary),
                *([] if self.form is None else [self.form.panel]),
                group(
                    "Save",
                    self.write,
                    self.written,
                    self.take,
                    self.bring,
                    self.taken,
                ),
            ]
        )
        side.add_class("fk-side")
        left = widgets.VBox([self.message, self.board, self.findings])
        left.add_class("fk-left")
        both = widgets.HBox([left, side])
        both.add_class("fk-both")
        self.panel = widgets.VBox([widgets.HTML(style()), both])
        self.panel.add_class("fk-root")

    def _connect(self) -> None:
        self.board.observe(self._guarded(lambda change: self._on_move(change["new"])), "move")
        self.board.observe(self._guarded(lambda change: self._on_act(change["new"])), "act")
        self.place.observe(self._guarded(lambda change: self._on_place(change["new"])), "move")
        self.up.observe(self._by_user(self._stand), "value")
        desk = self.desk
        self.fit.on_click(self._guarded(lambda _: desk.fit_rest(float(self.seconds.value))))
        self.stop.on_click(self._guarded(lambda _: desk.stop()))
        self.back.on_click(self._guarded(lambda _: desk.give_up()))
        self.write.on_click(self._guarded(lambda _: desk.write(self.work.folder)))
        self.take.on_click(self._guarded(lambda _: self._take_along()))
        self.bring.observe(self._guarded(lambda _: self._bring_back()), "file")

    # ---- what the builder does

    def _on_move(self, move: dict[str, Any]) -> None:
        """Something was moved or turned on the board."""
        if not move:
            return
        if move.get("back"):
            self.desk.let_go()
            self._refresh()
            return
        lead = key_from(move["id"])
        drop = bool(move.get("drop"))
        try:
            land, turned = self._moved(move, drop=drop)
        except FitkitError:
            self._refresh()  # it goes back to where it was
            self._reply(move, {"id": move["id"]})
            raise
        state = self.desk.state
        if lead in state.chosen or not drop:
            changed = (lead,) if turned else ()
            self._reply(move, answer(state, self._frame(), lead=lead, land=land, turned=changed))
        if drop:
            self._refresh()
        else:  # the numbers beside the board come after the answer
            self._home.do(self._set_place)

    def _reply(self, move: dict[str, Any], values: dict[str, Any]) -> None:
        self.board.answer = {"n": move["n"], "view": move.get("view"), **values}

    def _moved(self, move: dict[str, Any], *, drop: bool) -> tuple[Any, bool]:
        lead = key_from(move["id"])
        if "turn" in move:
            self.desk.turn(lead, turn_deg=float(move["turn"]), drop=drop)
            return None, True
        keys = tuple(key_from(name) for name in move.get("ids") or [move["id"]])
        x_mm, y_mm = float(move["x"]), float(move["y"])
        snap = not move.get("exact", False)
        return self.desk.move(keys, lead, x_mm=x_mm, y_mm=y_mm, snap=snap, drop=drop), False

    def _on_place(self, move: dict[str, Any]) -> None:
        """The chosen item was moved by its numbers."""
        if not move:
            return
        drop = bool(move.get("drop"))
        self._moved(move, drop=drop)
        if drop:
            self._refresh()
            return
        self._serial += 1
        lead = key_from(move["id"])
        state = self.desk.state
        values = answer(state, self._frame(), lead=lead, land=None, turned=(lead,))
        self.board.answer = {"n": -self._serial, **values}

    def _on_act(self, act: dict[str, Any]) -> None:
        """Something else was done on the board."""
        if not act:
            return
        desk, kind = self.desk, act["kind"]
        keys = tuple(key_from(name) for name in act.get("ids") or [])
        if kind == "choose":
            desk.choose(keys)
        elif kind == "lock":
            desk.lock_items(keys, on=bool(act["on"]))
        elif kind == "show":
            desk.show(level_from(act["level"], desk.state.levels()))
        elif kind == "send":
            state = desk.state
            level = level_from(act["level"], (*state.levels(), *state.free_levels()))
            if level is not None:
                desk.send(keys, level)
        elif kind == "over":
            desk.turn_over(keys)
        elif kind == "follow":
            desk.follow(bool(act["on"]))
        elif kind == "snap":
            desk.snapping(_snapping(desk.state, act["what"], on=bool(act["on"])))
        else:
            self._command(kind)

    def _command(self, kind: str) -> None:
        desk = self.desk
        commands: dict[str, Callable[[], None]] = {
            "undo": desk.undo,
            "redo": desk.redo,
            "fit": lambda: desk.fit_rest(float(self.seconds.value)),
            "stop": desk.stop,
            "keep": desk.stop,
            "back": desk.give_up,
        }
        commands[kind]()

    def _stand(self) -> None:
        lead = self.desk.state.lead
        if lead is not None:
            self.desk.pose(lead, self.up.value)

    def _sheet_changed(self, payload: Payload, text: str) -> None:
        """The form gave other wishes or measures."""
        with self.desk.lock:
            self.desk.take_payload(payload)

    def _in_units(self, units: Any) -> None:
        with self.desk.lock:
            self.figures = Figures(units)
            self._refresh()

    def _take_along(self) -> None:
        """Write the board as one page that can be dragged without a kernel."""
        path = self.work.folder / "board.html"
        write_page(self.desk.history.now, path, figures=self.figures)
        self.taken.value = f"saved as {html.escape(str(path.resolve()))}: it opens in any browser"

    def _bring_back(self) -> None:
        file = self.bring.file
        name = str(file["name"])
        self.desk.load(loads_layout(str(file["text"]), place=name), place=name)

    # ---- what is shown

    def _told(self, what: str) -> None:
        """The desk has news; it may come from the thread of its child process."""
        if self._closed:
            return
        if what == "progress":
            self._set_progress()
        else:
            self._refresh()

    def _frame(self) -> Frame:
        desk = self.desk
        plan, history = desk.plan, desk.history
        return Frame(
            figures=self.figures,
            webs=None if plan is None else plan.foam.webs,
            mass=None if plan is None or desk.in_hand else plan.mass,
            undo=history.undo_words,
            redo=history.redo_words,
            status=status_words(desk, self.figures),
            busy=desk.busy,
        )

    def _refresh(self) -> None:
        """Draw everything as it stands."""
        self._serial += 1
        state = self.desk.state
        self.board.scene = scene(state, self._frame(), serial=self._serial)
        self._set_place()
        self._set_controls(state)
        self._set_texts()
        self._set_progress()

    def _set_place(self) -> None:
        if not self._closed:
            self.place.place = place_of(self.desk.state, self.figures)

    def _set_controls(self, state: State) -> None:
        desk = self.desk
        lead = state.lead
        faces = () if lead is None else state.payload.item(lead[0]).up
        value = None if lead is None else state.face_out(lead)
        self._set(self.up, options=faces, value=value if value in faces else None)
        self.up.disabled = len(faces) < 2
        if lead is not None and self.form is not None:
            self.form.show_item(lead[0])
        self.fit.disabled = desk.searching
        self.stop.disabled = self.back.disabled = not desk.searching
        self.write.disabled = desk.plan is None or desk.searching

    def _set_texts(self) -> None:
        desk = self.desk
        self.message.value = (
            f'<p class="fk-message">{html.escape(desk.message)}</p>' if desk.message else ""
        )
        self.written.value = html.escape(desk.written)
        self.summary.value = summary_html(desk.fit, desk.plan, figures=self.figures, busy=desk.busy)
        self.findings.value = report_html(desk, self.figures)

    def _set_progress(self) -> None:
        desk = self.desk
        if not desk.searching:
            self.progress.value = ""
        elif desk.progress is None:
            self.progress.value = "starting …"
        else:
            self.progress.value = progress_html(desk.progress, desk.fit.objective)

    # ---- plumbing

    def _set(self, control: Any, **values: Any) -> None:
        """Set a control without taking it for the builder's doing."""
        self._quiet = True
        try:
            if "options" in values and tuple(control.options) == tuple(values["options"]):
                del values["options"]
            for name, value in values.items():
                setattr(control, name, value)
        finally:
            self._quiet = False

    def _by_user(self, act: Callable[[], None]) -> Callable[[Any], None]:
        """An observer that acts when the builder changed a control, not when we set it."""

        def observer(_: Any) -> None:
            if not self._quiet:
                self._guarded(lambda _: act())(None)

        return observer

    def _guarded(self, act: Callable[[Any], None]) -> Callable[[Any], None]:
        """A callback whose errors are shown to the builder, with the desk's lock held."""

        def callback(what: Any) -> None:
            with self.desk.lock:
                try:
                    act(what)
                except FitkitError as error:
                    self.desk.message = in_words(error)
                    self._set_texts()
                except Exception as error:
                    kind = type(error).__name__
                    self.desk.message = f"This should not have happened ({kind}: {error})."
                    self._set_texts()
                    raise

        return callback


def _snapping(state: State, what: str, *, on: bool) -> Any:
    if what == "grid":
        return evolve(state.snap, grid_mm=GRID_MM if on else None)
    return evolve(state.snap, **{what: on})
