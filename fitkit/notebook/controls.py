"""The bench: the board with its controls beside it and the findings under it."""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import ipywidgets as widgets
from attrs import evolve

from fitkit.checks.finding import Verdict
from fitkit.errors import FitkitError
from fitkit.fit.gaps import way_out
from fitkit.fit.move import by_hand
from fitkit.fit.state import Progress
from fitkit.fit.words import above_least
from fitkit.notebook.board_before import Board, Place
from fitkit.notebook.layers import layer_svg, layer_title
from fitkit.notebook.parts import group, label, number, reading, style, words_button
from fitkit.notebook.picture import answer, key_from, place_of, scene
from fitkit.notebook.state import State
from fitkit.notebook.words import (
    finding_row,
    findings_html,
    gap_sentence,
    level_name,
    progress_html,
    summary_html,
)
from fitkit.plan import Choices, Plan, make_plan, plan_of

_SHOWN = 6
"""Most findings of one kind shown under the board."""


class Bench:
    """A plan to work on by hand: show ``bench``, then ``bench.layers``, ``bench.view``.

    ``budget_s`` is the time that "fit again" is given at first [s]; ``folder`` where "save"
    writes at first. The plan as it stands is ``bench.plan``; what is on the board, moved items
    included, is ``bench.state``.
    """

    def __init__(
        self, plan: Plan, *, budget_s: float | None = None, folder: Path = Path("build")
    ) -> None:
        """Set out the plan on the board."""
        self.plan = plan
        self.state = State.of(plan.payload, plan.fit)
        self._serial = 0
        self._quiet = False
        self._stop = threading.Event()
        self._worker: threading.Thread | None = None
        self._make(plan.choices.budget_s if budget_s is None else budget_s, folder)
        self._connect()
        self._refresh()
        self._show_fullest_layer()

    # ---- what the notebook shows

    def _ipython_display_(self) -> None:
        """Show the board with its controls."""
        from IPython.display import display

        display(self.panel)

    @property
    def layers(self) -> Any:
        """The foam, one layer at a time."""
        return self._layers

    @property
    def view(self) -> Any:
        """The open case in three dimensions; drawn when the button is pressed."""
        return self._view

    # ---- making

    def _make(self, budget_s: float, folder: Path) -> None:
        self.board = Board()
        self.level = widgets.Dropdown(layout=widgets.Layout(width="auto"))
        self.item = widgets.Dropdown(layout=widgets.Layout(width="auto"))
        self.place = Place()
        self.pin = widgets.Checkbox(description="pinned: the search leaves it here", indent=False)
        self.budget = number(budget_s)
        self.again = words_button("fit again", strong=True)
        self.stop = words_button("stop, keep the best")
        self.stop.disabled = True
        self.progress = reading()
        self.folder = widgets.Text(str(folder), layout=widgets.Layout(width="auto"))
        self.save = words_button("save the plan", strong=True)
        self.saved = reading()
        self.layer = widgets.IntSlider(
            min=1, max=1, readout=False, layout=widgets.Layout(width="auto")
        )
        self.layer_title = reading()
        self.layer_picture = widgets.HTML()
        self.draw = words_button("draw it as it stands")
        self.view_picture = widgets.HTML()
        self.heading, self.summary = widgets.HTML(), widgets.HTML()
        self.findings, self.message = widgets.HTML(), widgets.HTML()
        side = widgets.VBox(
            [
                group("Shown", label("level", self.level), label("item", self.item)),
                group("Place", self.place, self.pin),
                group(
                    "Search", label("seconds", self.budget), self.again, self.stop, self.progress
                ),
                group("Plan", self.summary),
                group("Save", label("folder", self.folder), self.save, self.saved),
            ]
        )
        side.add_class("fk-side")
        left = widgets.VBox([self.heading, self.board, self.message, self.findings])
        left.add_class("fk-left")
        both = widgets.HBox([left, side])
        both.add_class("fk-both")
        self.panel = _root(both)
        self._layers = _root(self.layer_title, label("layer", self.layer), self.layer_picture)
        self._view = _root(self.draw, self.view_picture)

    def _connect(self) -> None:
        self.board.observe(self._guarded(lambda change: self._on_move(change["new"])), "move")
        self.board.observe(self._guarded(lambda change: self._on_act(change["new"])), "act")
        self.place.observe(self._guarded(lambda change: self._on_place(change["new"])), "move")
        self.pin.observe(self._by_user(lambda: self._set_pin(self.pin.value)), "value")
        self.level.observe(
            self._by_user(lambda: self._show(self.state.dropped().showing(self.level.value))),
            "value",
        )
        self.item.observe(
            self._by_user(lambda: self._show(self.state.dropped().choosing(self.item.value))),
            "value",
        )
        self.layer.observe(self._by_user(lambda: self._show_layer()), "value")
        self.again.on_click(self._guarded(lambda _: self.fit_again()))
        self.stop.on_click(self._guarded(lambda _: self._stop.set()))
        self.save.on_click(self._guarded(lambda _: self.save_plan()))
        self.draw.on_click(self._guarded(lambda _: self.draw_view()))

    # ---- moving

    def _on_move(self, move: dict[str, Any]) -> None:
        """An item was dragged on the board."""
        if move:
            state, turned = self._moved(move)
            self._answer(state, turned=turned, serial=int(move["n"]), drop=bool(move.get("drop")))

    def _on_place(self, move: dict[str, Any]) -> None:
        """An item was moved by its sliders: the board is told its outline too."""
        if move:
            state, _ = self._moved(move)
            self._serial += 1
            self._answer(state, turned=True, serial=-self._serial, drop=bool(move.get("drop")))
            self.place.heard = int(move["n"])

    def _moved(self, move: dict[str, Any]) -> tuple[State, bool]:
        key = key_from(move["id"])
        if "turn" in move:
            return self.state.turning(key, turn_deg=float(move["turn"])), True
        return self.state.shifting(key, x_mm=float(move["x"]), y_mm=float(move["y"])), False

    def _answer(self, state: State, *, turned: bool, serial: int, drop: bool) -> None:
        self.board.answer = answer(state, state.chosen, turned=turned, serial=serial)
        if drop:
            self._show(state.dropped(), cause="move")
        else:
            self.state = state
            self.place.place = place_of(state)
            self._set_texts()

    def _on_act(self, act: dict[str, Any]) -> None:
        """An item was chosen or pinned on the board."""
        if not act:
            return
        key = key_from(act["id"])
        if act["kind"] == "pin":
            self._set_pin(bool(act["pinned"]), key)
        elif key != self.state.chosen:
            self.state = self.state.choosing(key)
            self._serial += 1
            self.board.answer = answer(self.state, key, turned=False, serial=-self._serial)
            self._set_controls()

    def _set_pin(self, pinned: bool, key: tuple[str, int] | None = None) -> None:
        state = self.state if key is None else self.state.choosing(key)
        self._show(state.pinning(state.chosen, pinned=pinned))

    # ---- showing

    def _show(self, state: State, *, cause: str = "all") -> None:
        self.state = state
        self._refresh(cause)

    def _refresh(self, cause: str = "all") -> None:
        self._serial += 1
        self.board.scene = scene(self.state, cause=cause, serial=self._serial)
        self._set_controls()
        self._set_texts()
        self._show_layer()

    def _set_controls(self) -> None:
        self.place.place = place_of(self.state)
        self._set(self.pin, value=self.state.chosen in self.state.pins)
        levels = self.state.levels()
        halves = [level.half for level in levels]
        self._set(
            self.level,
            options=[(level_name(one, alone=halves.count(one.half) == 1), one) for one in levels],
            value=self.state.level,
        )
        labels = [(one["name"], key_from(one["id"])) for one in self.board.scene["items"]]
        self._set(self.item, options=labels, value=self.state.chosen)

    def _set_texts(self) -> None:
        state = self.state
        kit = state.payload.title
        self.heading.value = (
            f'<h2 class="fk-title">{_text(kit)}</h2><p class="fk-sub">'
            f"{_text(self.board.scene['title'])}, seen from above, case closed · sizes in mm"
            " · drag, or use the arrow keys (Shift: 10 mm)</p>"
        )
        self.summary.value = summary_html(
            self.plan, interior=state.dropped().interior, by_hand=state.by_hand
        )
        rows: list[tuple[Verdict, str, str]] = []
        failing = state.failing()
        for gap in failing[:_SHOWN]:
            mover = state.chosen if state.chosen in (gap.left, gap.right) else gap.left
            way = way_out(state.payload, state.placements, mover)
            rows.append(("fails", *gap_sentence(gap, mover, way)))
        others = [one for one in state.violations() if one.kind not in ("item", "tier", "zone")]
        rows += [("fails", f"{one.left}", f"{one}") for one in others[:_SHOWN]]
        if not rows:
            text = "every clearance is kept and every zone is free"
            rows.append(("ok", "layout", text))
        if not state.by_hand:
            rows += [finding_row(one) for one in self.plan.findings if one.verdict != "ok"]
        self.findings.value = findings_html(rows)

    def _show_layer(self) -> None:
        layers = self.plan.foam.layers
        self._set(self.layer, min=1, max=max(1, len(layers)))
        if not layers:
            self.layer_title.value = "This plan has no foam."
            return
        layer = layers[self.layer.value - 1]
        self.layer_title.value = f"<b>{_text(layer_title(layer))}</b>"
        self.layer_picture.value = f'<div class="fk-layer">{layer_svg(self.plan, layer)}</div>'

    def _show_fullest_layer(self) -> None:
        """Start with the layer that has the most cut out of it."""
        layers = self.plan.foam.layers
        if layers:
            fullest = max(range(len(layers)), key=lambda k: len(layers[k].cutouts))
            self._set(self.layer, value=fullest + 1)
            self._show_layer()

    # ---- working

    def fit_again(self) -> None:
        """Search again in the background; pinned items stay where they are."""
        self._show(self.state.dropped())
        choices = evolve(
            self.plan.choices, budget_s=float(self.budget.value), pins=self.state.pinned()
        )
        self._work(lambda: self._search(choices))

    def _search(self, choices: Choices) -> None:
        plan = make_plan(
            self.plan.payload,
            choices=choices,
            progress=self._progressed,
            cancelled=self._stop.is_set,
        )
        self.plan = plan
        self._show(self.state.fitted(plan.fit))
        self.progress.value = f"done: {above_least(plan.fit)}"

    def _progressed(self, progress: Progress) -> None:
        self.progress.value = progress_html(progress, self.plan.fit.objective)

    def save_plan(self) -> None:
        """Write the plan and all its files, moved items included, in the background."""
        self._show(self.state.dropped())
        broken = self.state.violations()
        if broken:
            raise FitkitError(f"Not saved: {broken[0]}. Move the item, or fit again, then save.")
        self.saved.value = "writing …"
        self._work(lambda: self._write(Path(self.folder.value).expanduser()))

    def _write(self, folder: Path) -> None:
        from fitkit.documents.files import write_all

        self._bring_up_to_date()
        written = write_all(self.plan, folder)
        self.saved.value = f"saved {len(written)} files in {_text(str(folder.resolve()))}"

    def _bring_up_to_date(self) -> None:
        """Make the plan that of the board: foam, mass and findings for items moved by hand."""
        state = self.state
        if not state.by_hand:
            return
        fit = by_hand(self.plan.fit, interior=state.interior, placements=state.placements)
        self.plan = plan_of(self.plan.payload, fit=fit, choices=self.plan.choices)
        self._show(evolve(state.fitted(self.plan.fit), level=state.level))

    def draw_view(self) -> None:
        """Draw the open case in three dimensions, in the background."""
        self._show(self.state.dropped())
        self.view_picture.value = '<p class="fk-note">drawing …</p>'
        self._work(self._draw)

    def _draw(self) -> None:
        from fitkit.scene import notebook_html

        if not self.state.violations():
            self._bring_up_to_date()
        self.view_picture.value = notebook_html(self.plan)

    def _work(self, job: Callable[[], None]) -> None:
        """Run one job in a thread; the buttons wait, and what goes wrong is shown."""
        if self._worker is not None and self._worker.is_alive():
            raise FitkitError("Still at work: wait for it, or stop the search.")
        self._stop.clear()

        def run() -> None:
            self._busy(True)
            try:
                self._guarded(lambda _: job())(None)
            finally:
                self._busy(False)

        self._worker = threading.Thread(target=run, daemon=True, name="fitkit")
        self._worker.start()

    def _busy(self, busy: bool) -> None:
        for button in (self.again, self.save, self.draw):
            button.disabled = busy
        self.stop.disabled = not busy

    def wait(self, seconds: float = 120.0) -> None:
        """Wait until the job in the background is done; for scripts and tests."""
        if self._worker is not None:
            self._worker.join(seconds)

    # ---- errors and echoes

    def _guarded(self, action: Callable[[Any], None]) -> Callable[[Any], None]:
        """``action``, with whatever it raises shown under the board; surprises are raised on."""

        def run(event: Any) -> None:
            try:
                self.message.value = ""
                action(event)
            except FitkitError as error:
                self._say(str(error))
            except Exception as error:
                self._say(f"{type(error).__name__}: {error}")
                raise

        return run

    def _say(self, text: str) -> None:
        self.saved.value = ""
        self.message.value = findings_html([("fails", "not done", text)])

    def _by_user(self, action: Callable[[], None]) -> Callable[[Any], None]:
        """``action`` for changes that the builder made, not for those that we set ourselves."""
        guarded = self._guarded(lambda _: action())

        def run(event: Any) -> None:
            if not self._quiet:
                guarded(event)

        return run

    def _set(self, control: Any, **values: Any) -> None:
        before, self._quiet = self._quiet, True
        try:
            for name, value in values.items():
                setattr(control, name, value)
        finally:
            self._quiet = before


def _root(*children: Any) -> Any:
    box = widgets.VBox([widgets.HTML(style()), *children])
    box.add_class("fk-root")
    return box


def _text(text: str) -> str:
    import html

    return html.escape(text)
