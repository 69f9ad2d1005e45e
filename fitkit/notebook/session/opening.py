"""How a board is set out: from the saved plan, from what was on it before, or from nothing."""

from __future__ import annotations

from attrs import evolve, frozen

from fitkit.errors import BadInput
from fitkit.fit.layout import Fit
from fitkit.fit.move import key_of
from fitkit.fit.newcomers import joined
from fitkit.fit.search import smallest
from fitkit.notebook.session.autosave import Autosave
from fitkit.notebook.session.history import History
from fitkit.notebook.session.state import State, same
from fitkit.notebook.work import Work
from fitkit.payload.model import Payload
from fitkit.plan import Plan
from fitkit.plan_json.layouts import SavedLayout, digest_of

FIRST_S = 0.05
"""How long the first layout of a kit without a plan may take [s]: the search goes on beside it."""

CHANGED = (
    "The sheet has changed since this plan was made. Items stand where they stood, new ones to "
    "the right: fit the rest, or move them yourself."
)


@frozen
class Opened:
    """A board as it is set out; ``plan`` is the saved one if it is the sheet's."""

    fit: Fit
    plan: Plan | None
    history: History
    message: str


def open_board(work: Work, autosave: Autosave, payload: Payload) -> Opened:
    """The board of a sheet that says ``payload``. BadInput if the saved plan cannot be used."""
    plan, message = None, ""
    if not work.has_plan():
        fit = smallest(payload, budget_s=FIRST_S)
        state = State.of(payload, interior=fit.interior, placements=fit.placements)
    else:
        saved = work.plan()
        fit = saved.fit
        state = State.of(saved.payload, interior=fit.interior, placements=fit.placements)
        if digest_of(saved.payload) == digest_of(payload):
            plan = saved
        else:
            fit, message = evolve(fit, bound=0.0, proven=False), CHANGED
            state = with_payload(state, payload)
    return _restored(Opened(fit, plan, History(state), message), autosave)


def _restored(opened: Opened, autosave: Autosave) -> Opened:
    """With what was on the board when the kernel was lost."""
    state = opened.history.now
    try:
        found = autosave.found(state.payload)
    except BadInput as error:
        away = autosave.put_aside()
        message = f"What was on the board cannot be read; it is kept as {away}. {error}"
        return evolve(opened, message=message)
    if found is None:
        return opened
    restored = with_layout(state, found.layout)
    if same(restored, state):
        return opened
    return evolve(
        opened,
        history=opened.history.done(f"bring back the board of {found.when}", restored),
        message=f"This is what was on the board at {found.when}. Undo goes back to the plan.",
    )


def with_layout(state: State, layout: SavedLayout) -> State:
    """A saved layout on the board."""
    made = evolve(state, follows=True).laid(layout.room(state.interior), layout.placements)
    if layout.size_mm is None and layout.follows:
        made = made.following(True)
    return evolve(made.dropped(), locked=layout.locked, follows=layout.follows)


def with_payload(state: State, payload: Payload) -> State:
    """The board with another payload: who is gone is gone, who is new stands to the right."""
    interior, placements = joined(payload, state.interior, state.placements)
    made = State.of(payload, interior=interior, placements=placements)
    there = {key_of(one) for one in placements}
    made = evolve(made, locked=state.locked & there, snap=state.snap)
    chosen = tuple(key for key in state.chosen if key in there)
    made = evolve(made.following(True).dropped(), follows=state.follows)
    return made.choosing(chosen) if chosen else made
