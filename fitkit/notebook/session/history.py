"""What was on the board before, and what was undone: as far back as the builder likes."""

from __future__ import annotations

from attrs import evolve, frozen

from fitkit.notebook.session.state import State


@frozen
class _Step:
    """What was done, and the state before it (undone) or after it (to do again)."""

    words: str
    state: State
    older: _Step | None


@frozen
class History:
    """The state now, and linked steps back and forth; every operation gives a new history."""

    now: State
    back: _Step | None = None
    forth: _Step | None = None

    @property
    def undo_words(self) -> str | None:
        """What an undo would take back; None where there is nothing."""
        return self.back.words if self.back else None

    @property
    def redo_words(self) -> str | None:
        """What a redo would do again; None where there is nothing."""
        return self.forth.words if self.forth else None

    def done(self, words: str, state: State, *, go_on: bool = False) -> History:
        """After something was done. With ``go_on`` it is one with a last step of the same words.

        What had been undone is given up.
        """
        if go_on and self.back is not None and self.back.words == words and self.forth is None:
            return evolve(self, now=state)
        return History(state, _Step(words, self.now, self.back))

    def looking(self, state: State) -> History:
        """Another item chosen or another level shown: nothing that an undo would take back."""
        return evolve(self, now=state)

    def undone(self) -> History:
        """With the last step taken back; itself where there is none."""
        if self.back is None:
            return self
        return History(
            self.back.state, self.back.older, _Step(self.back.words, self.now, self.forth)
        )

    def redone(self) -> History:
        """With the last undone step done again; itself where there is none."""
        if self.forth is None:
            return self
        return History(
            self.forth.state, _Step(self.forth.words, self.now, self.back), self.forth.older
        )
