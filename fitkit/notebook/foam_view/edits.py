"""What the builder chose about notches, and the way back: undo and redo without limit."""

from __future__ import annotations

from attrs import evolve, frozen

from fitkit.foam.model import NotchesOf

Choice = tuple[NotchesOf, ...]


@frozen
class Edits:
    """The choices as they are now, those before, and those that were taken back.

    ``done`` and ``undone`` hold (what was done in words, the choices on the other side of it), the
    latest last.
    """

    now: Choice
    done: tuple[tuple[str, Choice], ...] = ()
    undone: tuple[tuple[str, Choice], ...] = ()

    def doing(self, what: str, choice: Choice) -> Edits:
        """With another choice; what was taken back before is gone. The same again is nothing."""
        if choice == self.now:
            return self
        return Edits(choice, (*self.done, (what, self.now)))

    def undo(self) -> Edits:
        """One step back; the same where there is none."""
        if not self.done:
            return self
        what, before = self.done[-1]
        return Edits(before, self.done[:-1], (*self.undone, (what, self.now)))

    def redo(self) -> Edits:
        """One step forward again; the same where there is none."""
        if not self.undone:
            return self
        what, after = self.undone[-1]
        return evolve(self, now=after, done=(*self.done, (what, self.now)), undone=self.undone[:-1])

    @property
    def undo_text(self) -> str | None:
        """What undo takes back."""
        return self.done[-1][0] if self.done else None

    @property
    def redo_text(self) -> str | None:
        """What redo does again."""
        return self.undone[-1][0] if self.undone else None
