"""The bench for the foam: its layers, and notches put where the builder wants them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

from attrs import evolve

from fitkit.errors import FitkitError, in_words
from fitkit.foam.cutting import method_for
from fitkit.foam.model import NotchAt, NotchesOf
from fitkit.foam.notch_edge import EdgePlace, Edges, edge_place, edges_of, first_place, shape_of
from fitkit.foam.notch_places import as_planned, checked, notched_with
from fitkit.notebook.closing import put_away
from fitkit.notebook.foam_view.cutter import Cutter, Outcome
from fitkit.notebook.foam_view.edits import Edits
from fitkit.notebook.foam_view.picture import (
    Key,
    answer_of,
    finding_rows,
    id_of,
    key_from,
    layers_of,
    notch_rows,
)
from fitkit.notebook.foam_view.widget import FoamView
from fitkit.notebook.guarding import guarded
from fitkit.notebook.work import Work
from fitkit.payload.model import Notch
from fitkit.plan import Plan
from fitkit.units import length_mm


class FoamBench:
    """The foam of a plan, layer by layer; its notches can be moved, added and removed.

    ``FoamBench("tideline.toml")`` opens the plan saved beside the sheet, or makes one first.
    ``plan`` is the plan as it stands; after each step the foam is cut anew and the plan is kept.
    """

    def __init__(self, path: str | Path = "tideline.toml") -> None:
        """Open the work on a sheet. BadInput if there is none."""
        work = Work.at(path)
        self._start(work.plan(), work=work, on_change=None)

    @classmethod
    def of(
        cls,
        plan: Plan,
        *,
        on_change: Callable[[Plan], None] | None = None,
        work: Work | None = None,
    ) -> FoamBench:
        """A bench on a plan; ``on_change`` hears of each plan that was cut anew.

        The plan is kept in ``work`` where that is given.
        """
        bench = cls.__new__(cls)
        bench._start(plan, work=work, on_change=on_change)
        return bench

    def _start(
        self, plan: Plan, *, work: Work | None, on_change: Callable[[Plan], None] | None
    ) -> None:
        self.plan = plan
        self.work = work
        self.view = FoamView()
        self.edits = Edits(plan.choices.notches)
        self._on_change = on_change
        self._cutter = Cutter(plan, work=work, heard=self._on_outcome)
        self._chosen: str | None = None
        self._said: dict[str, str | None] = {"fault": None, "saved": None, "status": None}
        self._number = 0
        self._take(plan)
        self.view.observe(lambda change: self._guarded(self._on_move, change["new"]), "move")
        self.view.observe(lambda change: self._guarded(self._on_act, change["new"]), "act")
        self._show(layers=True)

    # ---- what a notebook or another bench asks for

    @property
    def panel(self) -> FoamView:
        """The widget to show."""
        return self.view

    def _ipython_display_(self) -> None:
        """Show the view."""
        from IPython.display import display

        display(self.view)

    def open(self, plan: Plan) -> None:
        """Show another plan, made elsewhere; undo starts afresh if its notches differ."""
        self._cutter.take(plan)
        self.plan = plan
        if plan.choices.notches != self.edits.now:
            self.edits = Edits(plan.choices.notches)
        self._take(plan)
        self._show(layers=True)

    def wait(self, seconds: float = 120.0) -> None:
        """Wait until the foam is cut and the files are written; for scripts and tests."""
        self._cutter.wait(seconds)

    def close(self) -> None:
        """Let the widget and its thread go."""
        self._on_change = None
        self._cutter.close()
        self.view.unobserve_all()
        put_away(self.view)

    # ---- the state

    def _take(self, plan: Plan) -> None:
        """Look up the pockets' edges and where the notches lie, and whether the sheet is newer."""
        self._stale = _stale(self.work, plan)
        self._edges: Edges = edges_of(
            plan.payload,
            interior=plan.fit.interior,
            placements=plan.fit.placements,
            rooms=plan.rooms,
            ways=plan.ways,
        )
        self._shapes: dict[NotchAt, EdgePlace] = {}

    def _now(self) -> dict[Key, tuple[NotchAt, ...]]:
        now = {key: self._edges.now(key, self.edits.now) for key in self._edges.where}
        for notches in now.values():
            for notch in notches:
                if notch not in self._shapes:
                    place = shape_of(self._edges, notch)
                    if place is not None:
                        self._shapes[notch] = place
        return now

    def _notch(self, name: str) -> tuple[Key, int, tuple[NotchAt, ...]]:
        """The copy, the number and all notches of the copy of a notch's name in the view."""
        pocket, _, number = name.rpartition("#")
        key = key_from(pocket)
        notches = self._edges.now(key, self.edits.now)
        k = int(number)
        if key not in self._edges.where or k >= len(notches):
            raise FitkitError("That notch is not there any more: choose another.")
        return key, k, notches

    def _show(self, *, layers: bool = False) -> None:
        plan, now = self.plan, self._now()
        rows = notch_rows(plan, self._edges, self._shapes, now)
        if self._chosen not in [row["id"] for row in rows]:
            self._chosen = None
        self._number += 1
        caution = method_for(plan.payload.foam).caution
        scene = {
            "n": self._number,
            "notches": rows,
            "chosen": self._chosen,
            "findings": [*self._stale, *finding_rows(plan)],
            "notes": [note for note in plan.foam.notes if note != caution],
            "undo": self.edits.undo_text,
            "redo": self.edits.redo_text,
            "own": [id_of(one.key) for one in self.edits.now],
            "busy": self._cutter.busy,
            "may_write": self.work is not None,
            "caution": caution,
            **self._said,
        }
        if layers:
            self.view.retell(layers=layers_of(plan, self._edges), scene=scene)
        else:
            self.view.scene = scene

    # ---- what the builder does

    def _on_move(self, move: dict[str, Any]) -> None:
        """A notch is dragged along its edge, or a place for a new one is looked for."""
        if not move or move.get("back"):
            return
        key, others, width, depth = self._what_moves(move)
        at = self._target(move)
        place = edge_place(
            self._edges,
            self.plan.foam,
            key=key,
            at_mm=at,
            width_mm=width,
            depth_mm=depth,
            others=others,
        )
        if place is None:
            raise FitkitError("This pocket has no edge for a notch at the top of its tier.")
        told: dict[str, Any] = {
            name: move[name] for name in ("n", "view", "id", "key") if name in move
        }
        self.view.answer = {**told, **answer_of(place, self.plan.payload.units)}
        if move.get("drop"):
            self._said = dict.fromkeys(self._said)
            _, k, notches = self._notch(move["id"])
            self._chosen = move["id"]
            if place.notch.at == notches[k].at:
                self._said["status"] = "It stays: the edge ends here, or runs the other way."
                self._show()
                return
            self._said["status"] = self.view.answer["status"]
            self._change("move", key, (*notches[:k], place.notch, *notches[k + 1 :]))

    def _target(self, move: dict[str, Any]) -> tuple[float, float]:
        """Where the hand is, or how far from where it lies the keys send a notch."""
        if "x" in move:
            return (float(move["x"]), float(move["y"]))
        _, k, notches = self._notch(move["id"])
        place = shape_of(self._edges, notches[k])
        x, y = (0.0, 0.0) if place is None else place.at_mm
        return (x + float(move["dx"]), y + float(move["dy"]))

    def _what_moves(self, move: dict[str, Any]) -> tuple[Key, tuple[NotchAt, ...], float, float]:
        """The copy, its other notches, and the width and depth of the notch under the hand."""
        if "id" in move:
            key, k, notches = self._notch(move["id"])
            return key, (*notches[:k], *notches[k + 1 :]), notches[k].width_mm, notches[k].depth_mm
        key = key_from(move["key"])
        wish = self.plan.payload.foam.notch or Notch()
        return key, self._edges.now(key, self.edits.now), wish.width_mm, wish.depth_mm

    def _on_act(self, act: dict[str, Any]) -> None:
        """Something else was done on the view: see :class:`FoamView`."""
        if not act:
            return
        self._said = dict.fromkeys(self._said)
        kind = act["kind"]
        if kind == "choose":
            self._chosen = act.get("id")
            self._show()
        elif kind == "add":
            self._add(act)
        elif kind == "remove":
            key, k, notches = self._notch(act["id"])
            self._change("remove", key, (*notches[:k], *notches[k + 1 :]))
        elif kind == "size":
            self._size(act)
        elif kind == "planned":
            named = act.get("key")
            back = () if named is None else as_planned(self.edits.now, key_from(named))
            self._apply(self.edits.doing("back to the notches as planned", back))
        elif kind == "undo":
            self._apply(self.edits.undo())
        elif kind == "redo":
            self._apply(self.edits.redo())
        elif kind == "write":
            self._cutter.write()
            self._show()

    def _add(self, act: dict[str, Any]) -> None:
        key, others, width, depth = self._what_moves({"key": act["key"]})
        edges, foam = self._edges, self.plan.foam
        if "x" in act:
            at = (float(act["x"]), float(act["y"]))
            place = edge_place(
                edges, foam, key=key, at_mm=at, width_mm=width, depth_mm=depth, others=others
            )
        else:
            place = first_place(edges, foam, key=key, width_mm=width, depth_mm=depth, others=others)
        if place is None:
            raise FitkitError("This pocket has no edge for a notch at the top of its tier.")
        self._chosen = f"{id_of(key)}#{len(others)}"
        self._said["status"] = answer_of(place, self.plan.payload.units)["status"]
        self._change("add", key, (*others, place.notch))

    def _size(self, act: dict[str, Any]) -> None:
        key, k, notches = self._notch(act["id"])
        width = self._typed(act["width"], "width")
        depth = self._typed(act["depth"], "depth")
        resized = evolve(notches[k], width_mm=width, depth_mm=depth)
        checked((NotchesOf(*key, (resized,)),))
        self._change("resize", key, (*notches[:k], resized, *notches[k + 1 :]))

    def _typed(self, text: str, name: str) -> float:
        """A typed length; a bare number is in the sheet's units."""
        try:
            number = float(text.replace(",", "."))
        except ValueError:
            return length_mm(text, place=name)
        return length_mm(number, units=self.plan.payload.units, place=name)

    def _change(self, verb: str, key: Key, notches: tuple[NotchAt, ...]) -> None:
        label = self._edges.stands[key].label
        choice = notched_with(self.edits.now, NotchesOf(*key, notches))
        self._apply(self.edits.doing(f"{verb} a notch of {label}", choice))

    def _apply(self, edits: Edits) -> None:
        if edits.now != self.edits.now:
            self._cutter.cut(edits.now)
        self.edits = edits
        self._show()

    # ---- what was cut and written

    def _on_outcome(self, outcome: Outcome) -> None:
        """The thread has cut a plan, written files, or failed."""
        if outcome.fault is not None:
            self._said["fault"] = outcome.fault
        if outcome.written is not None:
            count, folder = outcome.written
            self._said["saved"] = f"{count} files written in {folder}"
        if outcome.plan is not None:
            self.plan = outcome.plan
        self._show(layers=outcome.plan is not None)
        if outcome.plan is not None and self._on_change is not None:
            self._guarded(self._on_change, outcome.plan)

    # ---- errors

    def _guarded(self, action: Callable[[Any], None], event: Any) -> None:
        """``action``, with whatever it raises shown in the view; surprises are raised on."""
        guarded(action, event, failed=self._failed)

    def _failed(self, text: str) -> None:
        self._said["fault"] = text
        self._show()


def _stale(work: Work | None, plan: Plan) -> list[dict[str, str]]:
    """A finding where the sheet was changed since the plan was made, or cannot be read."""
    try:
        if work is None or not work.is_stale(plan):
            return []
        text = "The sheet was changed since this plan was made: fit the gear again before you cut."
    except FitkitError as error:
        text = f"The sheet cannot be read: {in_words(error)}"
    return [{"verdict": "tight", "head": "sheet and plan", "text": text}]
