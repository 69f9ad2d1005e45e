"""What the browser tells is handled once, in order, whatever becomes of a message."""

from __future__ import annotations

from typing import Any

import pytest

from fitkit.notebook.board.widget import Board


def watched() -> tuple[Board, list[dict[str, Any]]]:
    """A board, and what its observers were given."""
    board, log = Board(), []
    board.observe(lambda change: log.append(change["new"]), "move")
    board.observe(lambda change: log.append(change["new"]), "act")
    return board, log


def move(n: int, view: str = "a", **more: Any) -> dict[str, Any]:
    """A move as the browser tells it."""
    return {"n": n, "view": view, "id": "float/1", "ids": ["float/1"], "x": 1.0, "y": 2.0, **more}


def test_entries_are_handled_once_and_in_order() -> None:
    """Told twice, an entry is handled once; acts and moves keep their order."""
    board, log = watched()
    undo = {"n": 2, "view": "a", "kind": "undo", "act": True}
    board.told = {"view": "a", "list": [move(1, drop=True), undo]}
    board.told = {"view": "a", "list": [undo, move(3), move(4, drop=True)]}
    assert [one["n"] for one in log] == [1, 2, 3, 4]
    assert log[1] == {"n": 2, "view": "a", "kind": "undo"}
    assert board.heard == {"a": 4}


def test_views_count_for_themselves() -> None:
    """Two views of one board number their entries each for itself."""
    board, log = watched()
    board.told = {"view": "a", "list": [move(7)]}
    board.told = {"view": "b", "list": [move(1, "b")]}
    assert [(one["view"], one["n"]) for one in log] == [("a", 7), ("b", 1)]
    assert board.heard == {"a": 7, "b": 1}


def test_an_observer_that_fails_stops_nothing_else() -> None:
    """Where handling one entry fails, the next is handled, and neither is told again."""
    board, log = watched()

    def fails(change: dict[str, Any]) -> None:
        if change["new"]["n"] == 1:
            raise ValueError("the first")

    board.observe(fails, "move")
    with pytest.raises(ValueError, match="the first"):
        board.told = {"view": "a", "list": [move(1), move(2, drop=True)]}
    assert [one["n"] for one in log] == [1, 2]
    assert board.heard == {"a": 2}


def test_an_answer_travels_with_the_number_that_it_answers(monkeypatch: Any) -> None:
    """What an observer sets, and the number heard, leave in one message."""
    board = Board()
    sent: list[set[str]] = []
    monkeypatch.setattr(board, "send_state", lambda key=None: sent.append(set(key)))

    def answers(change: dict[str, Any]) -> None:
        board.answer = {"n": change["new"]["n"]}
        board.scene = {"n": change["new"]["n"]}

    board.observe(answers, "move")
    board.told = {"view": "a", "list": [move(1, drop=True)]}
    assert {"answer", "scene", "heard"} in sent
    assert sum("heard" in keys for keys in sent) == 1
