"""The desk behind the board: what was done and can be undone, what is saved, what is searched.

Nothing here is a widget: it is told what the builder does and says what is to be shown.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from pathlib import Path

from attrs import evolve

from fitkit.errors import BadInput, FitkitError, in_words
from fitkit.fit.elevation import Level
from fitkit.fit.fixed import fits_into, within
from fitkit.fit.layout import Fit
from fitkit.fit.move import Key, by_hand
from fitkit.fit.snap import Snap, Snapped
from fitkit.fit.state import Progress
from fitkit.notebook.session.autosave import Autosave
from fitkit.notebook.session.errands import Errand, Errands
from fitkit.notebook.session.history import History
from fitkit.notebook.session.jobs import Answer
from fitkit.notebook.session.locked import locked
from fitkit.notebook.session.opening import open_board, with_layout, with_payload
from fitkit.notebook.session.state import State, is_better, same, same_layout
from fitkit.notebook.work import Work
from fitkit.payload.model import Face, Payload
from fitkit.plan import Choices, Plan
from fitkit.plan_json.layouts import SavedLayout, check_layout

WAIT = "A search is running: stop it, or wait for its end, then move things."


class Desk:
    """One kit on the board.

    ``told`` hears "scene" when everything is to be drawn anew and "progress" while a search runs;
    it may be called from another thread, with ``lock`` held. ``plan`` is the plan of what is on
    the board, or None while it is not worked out. ``message`` is what the builder should read.
    """

    def __init__(
        self, work: Work, told: Callable[[str], None], *, payload: Payload | None = None
    ) -> None:
        """Set out the saved plan, what was on the board, or a first quick layout.

        ``payload`` is what the sheet says with edits that were not saved; by default as it is
        saved. BadInput if the sheet or the saved plan cannot be used.
        """
        self.work = work
        self.lock = threading.RLock()
        self.plan: Plan | None = None
        self.choices = Choices(budget_s=work.budget_s)
        self.progress: Progress | None = None
        self.written = ""
        self._told = told
        self._autosave = Autosave(work.folder)
        self._held: State | None = None
        self._shown: State | None = None
        self._before: State | None = None
        self._handed: State | None = None
        self._fresh = not work.has_plan()
        opened = open_board(work, self._autosave, payload or work.payload())
        self._fit, self.plan, self.history = opened.fit, opened.plan, opened.history
        if self.plan is not None:
            self.choices = evolve(self.plan.choices, pins=())
            if self.history.back is not None:  # the plan is not that of the board brought back
                self.plan = None
        self.message = opened.message
        self.errands = Errands(self.lock, self._heard)

    @locked
    def begin(self) -> None:
        """Start what goes on in the background: the first search, or what is not worked out."""
        if self._fresh and self.history.back is None:
            self.fit_rest(self.choices.budget_s)
        elif self.plan is None:
            self._work_out()
        else:
            self.errands.worker.start()

    def close(self) -> None:
        """End the child process; the desk is not used any more."""
        self.errands.worker.close()

    # ---- how things stand

    @property
    def state(self) -> State:
        """What is on the board now: an item in hand, a layout just found, or the last state."""
        return self._held or self._shown or self.history.now

    @property
    def in_hand(self) -> bool:
        """Whether an item is being moved right now."""
        return self._held is not None

    @property
    def searching(self) -> bool:
        """Whether a search runs."""
        return self.errands.runs("search")

    @property
    def fit(self) -> Fit:
        """The layout on the board, with the bound of the last search."""
        state = self.state.dropped()
        return by_hand(self._fit, interior=state.interior, placements=state.placements)

    @property
    def busy(self) -> str | None:
        """What goes on in the background, in a few words."""
        return self.errands.busy

    def label(self, key: Key) -> str:
        """An item's name, with the copy's number where there are several."""
        return self.state.placed(key).label

    # ---- in hand

    @locked
    def move(
        self, keys: tuple[Key, ...], lead: Key, *, x_mm: float, y_mm: float, snap: bool, drop: bool
    ) -> Snapped | None:
        """Items in hand at (x, y), or put down there: where they land if they snap to something."""
        start = self._in_hand(keys)
        moved = start.shifting(keys, lead=lead, x_mm=x_mm, y_mm=y_mm)
        land = moved.landing(keys, lead=lead, x_mm=x_mm, y_mm=y_mm) if snap else None
        if not drop:
            self._held = moved
            return land
        if land is not None and land.to:
            moved = moved.shifting(keys, lead=lead, x_mm=land.x_mm, y_mm=land.y_mm)
        self._do(f"move {self._words(keys)}", moved, go_on=not snap)
        return land

    @locked
    def turn(self, key: Key, *, turn_deg: float, drop: bool) -> None:
        """An item turned in hand, or for good."""
        turned = self._in_hand((key,)).turning(key, turn_deg=turn_deg)
        if drop:
            self._do(f"turn {self._words((key,))}", turned)
        else:
            self._held = turned

    @locked
    def let_go(self) -> None:
        """What is in hand goes back to where it was."""
        self._held = None

    # ---- looking

    @locked
    def choose(self, keys: tuple[Key, ...]) -> None:
        """Other items are chosen."""
        self._look(lambda state: state.choosing(keys))

    @locked
    def show(self, level: Level | None) -> None:
        """Another level is shown, or all."""
        self._look(lambda state: state.showing(level))

    @locked
    def snapping(self, snap: Snap) -> None:
        """Items snap to other things from now on."""
        self._look(lambda state: state.snapping(snap))

    # ---- doing

    @locked
    def lock_items(self, keys: tuple[Key, ...], *, on: bool) -> None:
        """Items are locked, or let go again."""
        words = f"{'lock' if on else 'unlock'} {self._words(keys)}"
        self._do(words, self._free().locking(keys, on=on))

    @locked
    def send(self, keys: tuple[Key, ...], level: Level) -> None:
        """Items go to another level. BadInput where their sheet or the case forbids it."""
        self._not_locked(keys)
        words = f"send {self._words(keys)} to the {level.half} half, tier {level.tier}"
        self._do(words, self._free().sending(keys, level))

    @locked
    def turn_over(self, keys: tuple[Key, ...]) -> None:
        """Items are turned over. BadInput where their sheet forbids it."""
        self._not_locked(keys)
        self._do(f"turn over {self._words(keys)}", self._free().over(keys))

    @locked
    def pose(self, key: Key, up: Face) -> None:
        """An item stands on another face. BadInput where its sheet forbids it."""
        self._not_locked((key,))
        self._do(f"stand {self._words((key,))} with its {up} up", self._free().posing(key, up))

    @locked
    def follow(self, on: bool) -> None:
        """The interior follows the items, or stays as it is."""
        words = "let the interior follow" if on else "keep the interior as it is"
        self._do(words, self._free().following(on))

    @locked
    def undo(self) -> None:
        """The last step is taken back."""
        self._free()
        self._turn_to(self.history.undone())

    @locked
    def redo(self) -> None:
        """The last undone step is done again."""
        self._free()
        self._turn_to(self.history.redone())

    @locked
    def take_payload(self, payload: Payload) -> None:
        """The sheet says something else: the layout is kept as far as it can be."""
        self.give_up()  # whatever is searched is not asked for any more
        state = self._free()
        self._fit = evolve(self._fit, bound=0.0, proven=False)
        self._do("change the sheet", with_payload(state, payload))

    @locked
    def load(self, layout: SavedLayout, *, place: str) -> None:
        """A layout that was saved elsewhere. BadInput if it is not this payload's."""
        state = self._free()
        check_layout(layout, state.payload, place=place)
        self._do("load a layout", with_layout(state, layout))

    # ---- in the background

    @locked
    def fit_rest(self, budget_s: float) -> None:
        """Search in the background; what is locked stays where it is.

        In an interior that stays as it is, the search looks for a layout within it.
        """
        state = self._free()
        self.choices = evolve(self.choices, budget_s=budget_s, pins=state.pins())
        payload = state.payload
        if not state.follows:
            payload = within(payload, state.interior)
        self._before, self._shown, self.progress, self.message = state, None, None, ""
        self.errands.search(payload, self.choices)
        self._told("scene")

    @locked
    def stop(self) -> None:
        """End the search; the best layout so far comes onto the board."""
        self.errands.stop("search")

    @locked
    def give_up(self) -> None:
        """End the search; everything is as it was before it."""
        if not self.searching:
            return
        self.errands.stop("search", forget=True)
        self._shown = None
        self.message = "The search was given up: everything is where it was."
        self._work_out()
        self._told("scene")

    @locked
    def write(self, folder: Path) -> None:
        """Write the plan and all its files in the background. FitkitError while that cannot be."""
        broken = self._free().violations()
        if broken:
            raise FitkitError(f"Not written: {broken[0]}. Move it, or fit the rest, then write.")
        if self.plan is None:
            raise FitkitError("The foam is still being worked out: write again in a moment.")
        self.message, self.written = "", ""
        self.errands.write(self.plan, folder)
        self._told("scene")

    # ---- inside

    def _words(self, keys: tuple[Key, ...]) -> str:
        return self.label(keys[0]) if len(keys) == 1 else f"{len(keys)} items"

    def _free(self) -> State:
        """The state to change. FitkitError while a search runs."""
        if self.searching:
            raise FitkitError(WAIT)
        self._held = None
        return self.history.now

    def _not_locked(self, keys: tuple[Key, ...]) -> None:
        locked = [self.label(key) for key in keys if key in self.history.now.locked]
        if locked:
            raise FitkitError(f"Locked: {', '.join(locked)}. Unlock it first, then move it.")

    def _in_hand(self, keys: tuple[Key, ...]) -> State:
        if self.searching:
            raise FitkitError(WAIT)
        self._not_locked(keys)
        now = self.history.now
        return self._held or (now if now.chosen == keys else now.choosing(keys))

    def _look(self, at: Callable[[State], State]) -> None:
        self.history = self.history.looking(at(self.history.now))
        if self._shown is not None:
            self._shown = at(self._shown)
        if self._held is not None:
            self._held = at(self._held)
        self._told("scene")

    def _do(self, words: str, state: State, *, go_on: bool = False) -> None:
        """A step was made: it can be undone, it is saved, and what follows is worked out."""
        self._held = None
        state, now = state.dropped(), self.history.now
        if same(state, now):
            self._look(lambda _: evolve(state, table=now.table))
            return
        self._turn_to(self.history.done(words, state, go_on=go_on))

    def _turn_to(self, history: History) -> None:
        before, self.history, self.message = self.history.now, history, ""
        now = history.now
        moved = (before.payload, before.interior, before.placements) != (
            now.payload,
            now.interior,
            now.placements,
        )
        if moved:
            self.plan = None
        self._save()
        if moved:
            self._work_out()
        self._told("scene")

    def _save(self) -> None:
        try:
            self._autosave.keep(self.history.now)
        except BadInput as error:
            self.message = in_words(error)

    def _work_out(self) -> None:
        """Foam, mass and findings for what is on the board, unless something stands wrong."""
        now = self.history.now
        if self.plan is not None or self.errands.runs("out") or self.searching:
            return
        if now.violations():
            return
        fit = by_hand(self._fit, interior=now.interior, placements=now.placements)
        self._handed = now
        choices = evolve(self.choices, pins=now.pins())
        self.errands.work_out(now.payload, fit, choices)

    def _heard(self, kind: Errand, answer: Answer) -> None:
        """The child says something of an errand."""
        if answer.kind in ("progress", "better"):
            self._progressed(answer.value, better=answer.kind == "better")
            return
        if kind == "search" and self.message == WAIT:
            self.message = ""
        if answer.kind == "wrong":
            self._shown = None
            self.message = str(answer.value)
        elif kind == "search":
            self._searched(answer.value)
        elif kind == "out":
            self._worked_out(answer.value)
        else:
            count, folder = len(answer.value), self.work.folder.resolve()
            self.written = f"{count} files written in {folder}"
        self._told("scene")

    def _progressed(self, progress: Progress, *, better: bool) -> None:
        self.progress = progress
        if better and progress.interior is not None and self._before is not None:
            self._shown = self._before.laid(progress.interior, progress.placements)
        self._told("scene" if better else "progress")

    def _searched(self, plan: Plan) -> None:
        before, self._shown = self.history.now, None
        if not before.follows:
            self._searched_within(before, plan)
        elif self._fresh or is_better(before, self._fit, plan.fit):
            self._fit, self.plan = plan.fit, plan
            after = before.fitted(plan.fit)
            self.history = (
                History(after)
                if self._fresh and self.history.back is None
                else self.history.done("fit the rest", after)
            )
            self._fresh = False
            self._save()
            self._keep(plan)
        else:
            self.message = "Nothing smaller was found: the layout stays as it was."
            self._fit = evolve(self._fit, bound=max(self._fit.bound, plan.fit.bound))
            self._work_out()

    def _searched_within(self, before: State, plan: Plan) -> None:
        """Take a layout into an interior that stays as it is, if it fits there."""
        if not fits_into(plan.fit, before.interior):
            why = "; ".join(plan.fit.misses) or "it is too long or too wide"
            self.message = f"No layout was found that fits into this interior: {why}."
            self._work_out()
            return
        self._do("fit the rest", before.laid(before.interior, plan.fit.placements))

    def _worked_out(self, plan: Plan) -> None:
        now = self.history.now
        if self._handed is None or not same_layout(self._handed, now):
            self._work_out()  # it was moved meanwhile
            return
        self.plan = plan
        settled = now.laid(plan.fit.interior, plan.fit.placements)
        self.history = self.history.looking(settled)
        if self._held is None:
            self._save()
        self._keep(plan)

    def _keep(self, plan: Plan) -> None:
        try:
            self.work.keep(plan)
        except BadInput as error:
            self.message = in_words(error)
