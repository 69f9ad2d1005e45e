"""The recess bench without a browser: what its view tells is tried, shown, and kept on demand."""

from __future__ import annotations

import itertools
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from attrs import evolve
from ipywidgets.widgets.widget import _instances

import closing_kits
import hand_plan
from closing_kits import SHEET
from fitkit.errors import BadInput
from fitkit.fit.layout import Fit, Half, Interior, Placement
from fitkit.notebook.recess import RecessBench
from fitkit.notebook.work import Work
from fitkit.payload.sheet import read_sheet
from fitkit.plan import Plan, plan_of

numbers = itertools.count(1)


def tell(bench: RecessBench, **entry: Any) -> dict[str, Any]:
    """One thing that the builder does, as the browser tells it; what is shown then."""
    n = next(numbers)
    bench.view.told = {"view": "v", "list": [{**entry, "n": n, "view": "v"}]}
    assert bench.view.heard["v"] == n
    shown: dict[str, Any] = bench.view.shown
    assert (shown["n"], shown["view"]) == (n, "v")
    return shown


def act(bench: RecessBench, kind: str, **more: Any) -> dict[str, Any]:
    """An act of the builder."""
    return tell(bench, act=True, kind=kind, **more)


def control(shown: dict[str, Any], key: str) -> dict[str, Any]:
    """One slider as it is shown."""
    (found,) = [one for one in shown["controls"] if one["key"] == key]
    return dict(found)


@pytest.fixture
def bench() -> Iterator[RecessBench]:
    """A bench on two screens face to face, without a sheet."""
    made = RecessBench.of(closing_kits.twins())
    yield made
    made.close()


@pytest.fixture(scope="module")
def planned(tmp_path_factory) -> Plan:
    """The sheet's plan, with its screens stood by hand."""
    path = tmp_path_factory.mktemp("sheet") / "trial.toml"
    path.write_text(SHEET, encoding="utf-8")
    payload = read_sheet(path)
    interior = Interior(350.0, 250.0, (Half("deep", 67.0), Half("shallow", 67.0)))
    places = (
        Placement("screen", 1, "deep", 1, "top", 0.0, 25.0, 25.0, 23.0),
        Placement("screen", 2, "shallow", 1, "bottom", 0.0, 25.0, 25.0, 81.0),
    )
    fit = Fit("volume", 1.0, 1.0, "volume", 0.0, True, 0.1, 1, interior, places)
    return plan_of(payload, fit=fit)


@pytest.fixture
def kept(tmp_path: Path, planned: Plan) -> Iterator[RecessBench]:
    """A bench on a sheet of its own."""
    (tmp_path / "trial.toml").write_text(SHEET, encoding="utf-8")
    work = Work(tmp_path / "trial.toml", tmp_path / "trial")
    work.keep(planned)
    made = RecessBench(tmp_path / "trial.toml")
    yield made
    made.close()


def test_it_opens_on_the_plan_as_it_is(bench: RecessBench) -> None:
    """Sliders stand where the plan does, nothing is changed, and the gap is the plan's 24 mm."""
    shown = bench.view.shown
    assert control(shown, "depth/0")["text"] == "75 mm"
    assert control(shown, "recess/field screen")["text"] == "12 mm"
    assert not any(one["changed"] for one in shown["controls"])
    assert shown["changes"] == []
    assert shown["gap"]["figures"][0] == ("as planned", "24")
    assert [one["key"] for one in shown["controls"]].count("depth/1") == 0  # a pair: both alike


def test_a_dragged_slider_is_answered_with_a_new_drawing(bench: RecessBench) -> None:
    """The recess of 15 mm stands twice in the section, its gap of 30 in the figures."""
    before = bench.view.shown["section"]
    shown = tell(bench, id="recess/field screen", value=15.0)
    assert shown["section"] != before
    words = re.findall(r">([^<]+)</text>", shown["section"])
    assert words.count("15") == 2
    assert shown["gap"]["figures"][0] == ("as planned", "30")
    assert control(shown, "recess/field screen")["changed"]
    assert shown["changes"] == ["recess field screen = 15"]
    assert bench.plan == closing_kits.twins()  # the plan itself stays


def test_in_a_pair_both_halves_get_deeper_together(bench: RecessBench) -> None:
    """A depth of 90 mm is that of both halves, and stands twice in the drawing."""
    shown = tell(bench, id="depth/0", value=90.0, drop=True)
    assert [half.depth_mm for half in bench.trial.interior.halves] == [90.0, 90.0]
    words = re.findall(r">([^<]+)</text>", shown["section"])
    assert [one.split()[0] for one in words if one.startswith("90")] == ["90", "90"]
    assert any("packed up" in note for note in shown["notes"])


def test_a_box_has_a_depth_for_each_half_and_a_gap_to_choose() -> None:
    """Deep and shallow half are moved apart from each other."""
    bench = RecessBench.of(closing_kits.desk())
    shown = tell(bench, id="depth/1", value=80.0)
    assert [half.depth_mm for half in bench.trial.interior.halves] == [75.4, 80.0]
    assert {"recess/screen", "recess/keyboard"} <= {one["key"] for one in shown["controls"]}
    chosen = shown["gap"]["names"][0]
    assert act(bench, "gap", name=chosen)["gap"]["chosen"] == chosen
    bench.close()


def test_every_contribution_is_a_row_with_its_source(bench: RecessBench) -> None:
    """The rows add up to what the worst case takes from the gap as planned."""
    gap = bench.view.shown["gap"]
    taken = sum(one["mm"] for one in gap["rows"])
    assert gap["mm"]["nominal"] - taken == pytest.approx(gap["mm"]["worst"])
    assert all(one["source"] for one in gap["rows"])
    assert len(gap["rows"]) == len(bench.trial.gaps[0].contributions)


def test_the_least_recess_keeps_all_gaps_and_the_least_depth_holds_it(bench: RecessBench) -> None:
    """After both presses the verdict is ok and nothing is missing."""
    shown = act(bench, "least")
    assert shown["gap"]["verdict"] == "ok"
    shown = act(bench, "shallow")
    assert [one["verdict"] for one in shown["findings"]] == ["ok"]
    depth = bench.trial.interior.halves[0].depth_mm
    recess = bench.now.value("recess/field screen")
    assert 0 <= depth - (40 + 23 + recess) < 1.0
    assert [one.partition(" ")[0] for one in shown["changes"]] == ["recess", "#"]
    assert act(bench, "planned")["changes"] == []


def test_what_is_missing_is_said_first(bench: RecessBench) -> None:
    """Too deep a recess: room behind is 8 mm short, as a finding that fails."""
    shown = tell(bench, id="recess/field screen", value=20.0)
    first = shown["findings"][0]
    assert first["verdict"] == "fails"
    assert "8.0 mm deeper" in first["text"]


def test_typed_figures_are_read_as_the_sheet_reads_them(bench: RecessBench) -> None:
    """Millimetres, inches, and a comma; newtons with or without their unit."""
    act(bench, "type", key="recess/field screen", text="1/2 in")
    assert bench.now.value("recess/field screen") == pytest.approx(12.7)
    act(bench, "type", key="recess/field screen", text="13,5")
    assert bench.now.value("recess/field screen") == 13.5
    act(bench, "type", key="load", text="250 N")
    assert bench.now.wishes.closing.load_n == 250.0
    act(bench, "type", key="drop", text="30 cm")
    assert bench.now.wishes.closing.drop_mm == 300.0
    assert "300" in control(bench.view.shown, "drop")["text"]
    act(bench, "type", key="drop", text="0")
    assert bench.now.wishes.closing.drop_mm is None
    assert control(bench.view.shown, "drop")["text"] == "by the mass"


@pytest.mark.parametrize(
    ("key", "text", "said"),
    [
        ("recess/field screen", "deep", "deep"),
        ("load", "much", "give a number of N"),
        ("tolerance/saw", "-1", "0 or more"),
        ("depth/0", "-5", "0 or more"),
    ],
)
def test_what_cannot_be_read_is_said_and_changes_nothing(
    bench: RecessBench, key: str, text: str, said: str
) -> None:
    """The fault is shown, and what is tried stays."""
    before = bench.now
    shown = act(bench, "type", key=key, text=text)
    assert said in shown["fault"]
    assert bench.now == before
    assert tell(bench, id="backs", value=6.0)["fault"] == ""


def test_the_cut_goes_where_it_is_asked_for(bench: RecessBench) -> None:
    """At 30 mm the plugs' zones are missed; then through the gap again."""
    cut = tell(bench, id="cut", value=30.0)
    assert "fk-recess-connector" not in cut["section"]
    assert control(cut, "cut")["text"] == "30 mm"
    assert control(act(bench, "follow"), "cut")["text"] == "through the gap"


def test_the_histogram_follows_its_spread(bench: RecessBench) -> None:
    """Spread normally it is another one, and says how it was drawn."""
    even = bench.view.shown["histogram"]
    normal = act(bench, "spread", value="normal")
    assert normal["histogram"] != even
    assert "spread normally" in normal["histogram"]
    assert normal["spread"] == "normal"


def test_a_plan_without_two_halves_is_refused() -> None:
    """A plan without a shell of its own is no case to try: said with what to do."""
    with pytest.raises(BadInput, match="two halves"):
        RecessBench.of(hand_plan.plan())


def test_without_a_kernel_the_page_still_shows_all(bench: RecessBench) -> None:
    """The bundle holds the section, the verdict, every contribution and the histogram."""
    page = bench._repr_mimebundle_()[0]["text/html"]
    assert page.count("<svg") == 2
    assert "closing gap" in page
    for one in bench.trial.gaps[0].contributions:
        assert one.what in page.replace("&#x27;", "'")


def test_what_was_tried_is_written_into_the_sheet(kept: RecessBench) -> None:
    """Recess, depths, a tolerance and a load go in; comments and all else stay."""
    tell(kept, id="recess/screen", value=16.0)
    tell(kept, id="depth/0", value=70.0)
    tell(kept, id="tolerance/saw", value=0.8)
    tell(kept, id="load", value=150.0)
    assert kept.work is not None
    shown = act(kept, "keep")
    assert "Wrote 4 figures into trial.toml" in shown["saved"]
    text = kept.work.sheet.read_text(encoding="utf-8")
    assert "# a guess to begin with" in text
    assert "# glass to glass" in text
    payload = read_sheet(kept.work.sheet)
    assert payload.item("screen").mount == kept.trial.payload.item("screen").mount
    assert payload.closing == kept.trial.payload.closing
    assert payload.case.depths_mm == (70.0, 70.0)
    assert sorted(path.name for path in kept.work.sheet.parent.iterdir()) == [
        "trial", "trial.toml",
    ]  # fmt: skip


def test_a_sheet_that_would_be_refused_is_not_spoilt(kept: RecessBench) -> None:
    """A recess deeper than the half: the reader's fault is shown, and the file stays as it was."""
    assert kept.work is not None
    tell(kept, id="depth/0", value=60.0)
    tell(kept, id="recess/screen", value=45.0)
    shown = act(kept, "keep")
    assert shown["fault"]
    assert kept.work.sheet.read_text(encoding="utf-8") == SHEET


def test_a_sheet_that_has_moved_on_is_told(kept: RecessBench) -> None:
    """Opened after the sheet was changed, the bench says so."""
    assert kept.work is not None
    kept.work.sheet.write_text(SHEET.replace("recess = 14", "recess = 15"), encoding="utf-8")
    again = RecessBench(kept.work.sheet)
    assert "fit the gear again" in again.view.shown["saved"]
    again.close()


def test_a_free_drop_is_taken_out_of_the_sheet(kept: RecessBench) -> None:
    """A height of fall that was given can be set free again: the key goes, nothing else."""
    assert kept.work is not None
    given = SHEET + "\n[closing]\ndrop = 300\n"
    kept.work.sheet.write_text(given, encoding="utf-8")
    payload = read_sheet(kept.work.sheet)
    kept.work.keep(evolve(kept.plan, payload=payload))
    again = RecessBench(kept.work.sheet)
    assert again.now.value("drop") == 300.0
    tell(again, id="drop", value=0.0)
    act(again, "keep")
    assert read_sheet(kept.work.sheet).closing.drop_mm is None
    again.close()


def test_a_bench_that_is_closed_leaves_no_widget() -> None:
    """Twenty benches made, worked and closed: no more widgets are alive than before."""
    RecessBench.of(closing_kits.twins()).close()
    before = len(_instances)
    for _ in range(20):
        made = RecessBench.of(closing_kits.twins())
        tell(made, id="recess/field screen", value=9.0)
        made.close()
    assert len(_instances) == before


def test_a_cell_that_is_run_again_closes_the_bench_before(kept: RecessBench) -> None:
    """Two benches on one sheet: the first one's widget is put away."""
    assert kept.work is not None
    before = len(_instances)
    again = RecessBench(kept.work.sheet)
    assert len(_instances) == before
    again.close()


def test_a_plan_in_which_nothing_faces_anything_is_shown_too() -> None:
    """Foam alone: the section is there, no gap is looked at, and the presses do no harm."""
    plan = closing_kits.twins()
    kit = evolve(plan.payload, items=tuple(evolve(one, count=1) for one in plan.payload.items))
    low = plan.fit.placements[:1]
    alone = evolve(plan, payload=kit, fit=evolve(plan.fit, placements=low))
    bench = RecessBench.of(alone)
    assert [one.shallow.split()[0] for one in bench.trial.gaps] == ["foam"]
    foam = evolve(kit.items[0], mount=None, hold="pocket")
    lined = evolve(alone, payload=evolve(kit, items=(foam,)))
    bare = RecessBench.of(lined)
    assert bare.trial.gaps == ()
    shown = act(bare, "least")
    assert shown["gap"]["rows"] == []
    assert shown["histogram"] == ""
    assert "nothing faces anything" in shown["said"]
    assert act(bare, "shallow")["fault"] == ""
    bench.close()
    bare.close()
