"""Undo and redo of notches: every step back and forth again, whatever was done in between."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from fitkit.foam.model import NotchesOf
from fitkit.notebook.foam_view.edits import Edits

choices = st.lists(st.builds(NotchesOf, st.sampled_from("abc"), st.integers(1, 3)), max_size=3)


@given(st.lists(choices.map(tuple), max_size=12))
def test_all_the_way_back_and_forth(steps) -> None:
    """Undone as often as something was done, all is as at first; redone, as at last."""
    edits = Edits(())
    for k, step in enumerate(steps):
        edits = edits.doing(f"step {k}", step)
    last, many = edits.now, len(edits.done)
    for _ in range(many):
        assert edits.undo_text == edits.done[-1][0]
        edits = edits.undo()
    assert edits.now == ()
    assert edits.undo() == edits
    assert edits.undo_text is None
    for _ in range(many):
        edits = edits.redo()
    assert edits.now == last
    assert edits.redo() == edits


def test_a_new_step_forgets_what_was_taken_back() -> None:
    """After undo, another step is the end of the way forward; the same choice again is no step."""
    one, other = (NotchesOf("a", 1),), (NotchesOf("b", 1),)
    edits = Edits(()).doing("first", one).undo().doing("second", other)
    assert edits.redo_text is None
    assert edits.doing("again", other) == edits
    assert edits.undo().now == ()
