"""The layout on the board, saved beside the plan after each drop, and found again after a crash."""

from __future__ import annotations

import time
from pathlib import Path

from attrs import frozen

from fitkit.errors import BadInput, Fault
from fitkit.notebook.session.state import State
from fitkit.payload.model import Payload
from fitkit.plan_json.layouts import (
    SavedLayout,
    check_layout,
    digest_of,
    dumps_layout,
    read_layout,
)

FILE = "board.json"


@frozen
class Found:
    """A layout that was on the board before, and when it was saved there ("14:32")."""

    layout: SavedLayout
    when: str


@frozen
class Autosave:
    """The file beside the plan that holds what is on the board."""

    folder: Path

    @property
    def path(self) -> Path:
        """Where the layout is saved."""
        return self.folder / FILE

    def keep(self, state: State) -> None:
        """Save a state that was dropped, by a file beside it that is renamed.

        BadInput if the folder cannot be written.
        """
        layout = SavedLayout.of(
            state.payload,
            interior=state.interior,
            placements=state.placements,
            locked=state.locked,
            follows=state.follows,
        )
        beside = self.path.with_name(f".{FILE}.part")
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            beside.write_text(dumps_layout(layout), encoding="utf-8", newline="\n")
            beside.replace(self.path)
        except OSError as error:
            what = f"the board cannot be saved ({error.strerror or error})"
            fault = Fault(str(self.path), what, "choose a folder that you may write to")
            raise BadInput([fault]) from error

    def found(self, payload: Payload) -> Found | None:
        """What was on the board, if it was this payload's. BadInput if the file is spoilt."""
        if not self.path.is_file():
            return None
        layout = read_layout(self.path)
        if layout.plan != digest_of(payload):
            return None
        check_layout(layout, payload, place=str(self.path))
        when = time.strftime("%H:%M", time.localtime(self.path.stat().st_mtime))
        return Found(layout, when)

    def put_aside(self) -> Path:
        """Give a spoilt file a name of its own, so that it is not written over; the new path."""
        number = 1
        while (away := self.path.with_name(f"{FILE}.kept-{number}")).exists():
            number += 1
        self.path.rename(away)
        return away
