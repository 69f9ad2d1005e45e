"""Every result says value, bound, gap, the bound's name, whether proven and on what grid."""

from __future__ import annotations

from attrs import evolve

import hand_plan
from fitkit.fit.layout import Improvement
from fitkit.fit.state import Progress
from fitkit.fit.words import (
    above_least,
    bound_words,
    found_words,
    grid_words,
    key_figure,
    standing_words,
)
from fitkit.plan_json import dumps, loads

PLAN = hand_plan.plan()
OPEN = evolve(PLAN.fit, value=20e6, bound=15e6, gap=0.25, bound_name="plan area", grid_mm=1.0)


def test_an_open_answer_states_value_bound_name_and_grid() -> None:
    """Value in the objective's unit, the bound with its name and grid, and how far apart."""
    assert key_figure(OPEN) == "inside volume 20 L"
    assert bound_words(OPEN) == "bound 15 L: plan area, sides in whole millimetres"
    assert above_least(OPEN) == "at most 33.3 % above the least"


def test_a_proven_answer_states_what_proves_it_and_on_what_grid() -> None:
    """Proven answers name the proof and the grid on which it holds."""
    proven = evolve(OPEN, proven=True, bound=OPEN.value, gap=0.0, bound_name="boxes refuted")
    assert above_least(proven) == "proven: nothing smaller exists"
    assert bound_words(proven) == "bound: boxes refuted, sides in whole millimetres"
    assert "steps of 0.5 mm" in bound_words(evolve(proven, grid_mm=0.5))


def test_without_a_bound_none_is_claimed() -> None:
    """A search stopped before any bound says so, and names none."""
    none = evolve(OPEN, bound=0.0, gap=1.0)
    assert bound_words(none) == "no bound was worked out"
    assert above_least(none) == "how far from the least is not known"


def test_an_older_plan_without_grid_or_history_says_less() -> None:
    """Where grid and history are not known nothing is made up."""
    old = evolve(OPEN, grid_mm=None, history=())
    assert (grid_words(old), found_words(old)) == ("", "")
    assert bound_words(old) == "bound 15 L: plan area"


def test_history_is_told_with_its_finders() -> None:
    """First and last step with who found them; counted work has no seconds."""
    steps = (
        Improvement(0.1, 30e6, "boxes"),
        Improvement(1.0, 25e6, "places"),
        Improvement(7.5, 20e6, "outlines"),
    )
    fit = evolve(OPEN, history=steps)
    assert found_words(fit) == (
        "found by outlines at 7.5 s; the first of 3, by boxes at 0.1 s, came to 30 L"
    )
    counted = evolve(OPEN, history=tuple(evolve(step, seconds=0.0) for step in steps))
    assert found_words(counted) == "found by outlines; the first of 3, by boxes, came to 30 L"
    assert (
        found_words(evolve(OPEN, history=steps[:1])) == "found by boxes at 0.1 s, the first layout"
    )


def test_a_running_search_says_who_found_the_best_and_which_bound_holds() -> None:
    """Nothing before the first layout; no gap before the first bound."""
    now = Progress(3.0, 10.0, None, 0.0, None, "boxes", None)
    assert standing_words(now, "volume") == "no layout yet"
    now = evolve(now, value=20e6, gap=1.0, by="boxes")
    assert standing_words(now, "volume") == "20 L by boxes"
    now = evolve(now, bound=15e6, gap=0.25, bound_name="plan area", by="outlines")
    assert standing_words(now, "volume") == "20 L by outlines, gap 25.0 % to plan area"


def test_plan_json_keeps_all_of_it() -> None:
    """Grid, bound's name and history survive saving; a plan saved without a grid still loads."""
    fit = evolve(OPEN, history=(Improvement(0.1, 30e6, "boxes"), Improvement(7.5, 20e6, "proof")))
    saved = dumps(evolve(PLAN, fit=fit))
    assert loads(saved).fit == fit
    line = '\n  "grid_mm": 1.0'
    assert saved.count(line) == 1
    older = saved.replace("," + line, "").replace(line + ",", "")
    assert "grid_mm" not in older
    assert loads(older).fit == evolve(fit, grid_mm=None)
