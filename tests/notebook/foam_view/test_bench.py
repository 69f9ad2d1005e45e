"""The foam bench without a browser: what its view tells is done, kept, and shown again."""

from __future__ import annotations

import gc
import itertools
import shutil
import threading
import weakref
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import ezdxf
import ezdxf.path
import pytest
import shapely

from fitkit.errors import BadInput
from fitkit.fit.layout import Fit, Half, Interior, Placement
from fitkit.foam.model import NotchAt, NotchesOf
from fitkit.notebook.foam_view import FoamBench
from fitkit.notebook.foam_view.cutter import Cutter
from fitkit.notebook.samples import samples_folder
from fitkit.notebook.work import Work
from fitkit.payload.model import Payload
from fitkit.plan import Plan, plan_of
from fitkit.plan_json import dumps, read_plan
from foam_kits import block

numbers = itertools.count(1)


def two_blocks(*, units: str = "mm") -> Plan:
    """A recorder and a lamp with room between them."""
    items = (block("recorder", 120, 60, 50), block("lamp", 80, 60, 50))
    payload = Payload("Tideline trial", items, units=units)  # type: ignore[arg-type]  # by test
    interior = Interior(380.0, 180.0, (Half("deep", 80.0), Half("shallow", 30.0)))
    places = (
        Placement("recorder", 1, "deep", 1, "top", 0.0, 60.0, 60.0, 30.0),
        Placement("lamp", 1, "deep", 1, "top", 0.0, 240.0, 60.0, 30.0),
    )
    fit = Fit("volume", 1.0, 1.0, "volume", 0.0, True, 0.1, 1, interior, places)
    return plan_of(payload, fit=fit)


def tell(bench: FoamBench, **entry: Any) -> None:
    """One thing that the builder does, as the browser tells it."""
    n = next(numbers)
    bench.view.told = {"view": "v", "list": [{**entry, "n": n, "view": "v"}]}
    assert bench.view.heard["v"] == n


def act(bench: FoamBench, kind: str, **more: Any) -> None:
    """An act of the builder, and its end."""
    tell(bench, act=True, kind=kind, **more)
    bench.wait()


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[FoamBench]:
    """A bench on the two blocks, with a folder of its own."""
    work = Work(tmp_path / "trial.toml", tmp_path / "trial")
    made = FoamBench.of(two_blocks(), work=work)
    yield made
    made.close()


def kept(bench: FoamBench) -> Plan:
    """The plan as it is saved."""
    assert bench.work is not None
    return read_plan(bench.work.plan_path)


def test_every_layer_is_told_as_it_is_cut(bench: FoamBench) -> None:
    """Outline and cut-outs of every layer agree with the plan's within 0.01 mm."""
    told = bench.view.layers["layers"]
    assert [one["id"] for one in told] == [layer.name for layer in bench.plan.foam.layers]
    for one, layer in zip(told, bench.plan.foam.layers, strict=True):
        assert len(one["cuts"]) == len(layer.cutouts)
        for cut, cutout in zip(one["cuts"], layer.cutouts, strict=True):
            shape = shapely.Polygon(cut["rings"][0], cut["rings"][1:])
            assert shape.hausdorff_distance(cutout.shape) < 0.01
            assert cutout.item in cut["text"]
            assert "deep" in cut["text"]
    assert {item["key"] for one in told for item in one["items"]} == {"recorder/1", "lamp/1"}


def test_a_drop_is_cut_and_kept(bench: FoamBench) -> None:
    """A dropped notch is in the plan, in its foam, and in the file; the change is told on."""
    heard: list[Plan] = []
    bench._on_change = heard.append
    tell(bench, id="recorder/1#0", x=100.0, y=60.0, drop=True)
    bench.wait()
    (choice,) = kept(bench).choices.notches
    assert choice.key == ("recorder", 1)
    assert choice.notches[0].at == pytest.approx((40.0, 0.0), abs=0.01)
    assert len(choice.notches) == 2
    assert kept(bench) == bench.plan == heard[-1]
    assert (
        bench.plan.foam
        == plan_of(bench.plan.payload, fit=bench.plan.fit, choices=bench.plan.choices).foam
    )
    assert bench.view.scene["undo"] == "move a notch of recorder"
    assert bench.view.scene["busy"] is None


def test_a_live_move_is_answered_and_changes_nothing(bench: FoamBench) -> None:
    """While the notch is under the hand only an answer comes: its place, its shape, its web."""
    before = dumps(bench.plan)
    tell(bench, id="recorder/1#0", x=200.0, y=90.0)
    answer = bench.view.answer
    assert answer["id"] == "recorder/1#0"
    assert answer["at"] == pytest.approx([180.0, 90.0], abs=0.6)
    assert "webs" in answer["status"]
    assert dumps(bench.plan) == before
    assert bench.view.scene["undo"] is None
    assert answer["web"] is None  # 38 mm are left to the lamp: too wide for a number
    act(bench, "size", id="recorder/1#0", width="24", depth="30")
    tell(bench, id="recorder/1#0", x=60.0, y=90.0)
    assert bench.view.answer["web"]["name"] == "web between recorder and edge"
    assert float(bench.view.answer["web"]["text"]) == pytest.approx(30.0, abs=0.1)
    assert bench.edits.done[-1][0] == "resize a notch of recorder"


def test_several_at_once_only_the_newest_is_cut_and_none_is_lost(bench: FoamBench) -> None:
    """Twenty drops told in one message are twenty steps; the foam is that of the last."""
    start = next(numbers)
    entries = [
        {
            "n": start + k,
            "view": "w",
            "id": "recorder/1#0",
            "x": 80.0 + 3 * k,
            "y": 60,
            "drop": True,
        }
        for k in range(20)
    ]
    bench.view.told = {"view": "w", "list": entries}
    bench.wait()
    assert len(bench.edits.done) == 20
    assert kept(bench).choices.notches[0].notches[0].at[0] == pytest.approx(77.0, abs=0.6)


def test_added_where_nothing_was_said(bench: FoamBench) -> None:
    """A notch added to a pocket without a place lies at a side's middle, clear of the others."""
    act(bench, "add", key="recorder/1")
    (choice,) = kept(bench).choices.notches
    assert len(choice.notches) == 3
    x, y = choice.notches[2].at
    assert (x, y) == pytest.approx((120.0, 30.0), abs=0.6) or (x, y) == pytest.approx(
        (0.0, 30.0), abs=0.6
    )
    assert bench.view.scene["chosen"] == "recorder/1#2"


def test_removed_to_the_last(bench: FoamBench) -> None:
    """A pocket whose notches were all removed has none, and stays so in the file."""
    act(bench, "remove", id="lamp/1#1")
    act(bench, "remove", id="lamp/1#0")
    assert kept(bench).choices.notches == (NotchesOf("lamp", 1),)
    cuts = [c for layer in kept(bench).foam.layers for c in layer.cutouts]
    assert not any(c.kind == "notch" and c.item == "lamp" for c in cuts)
    assert any(c.kind == "notch" and c.item == "recorder" for c in cuts)


def test_sizes_with_their_units() -> None:
    """In a sheet in inches a bare number is inches; texts carry their own unit."""
    bench = FoamBench.of(two_blocks(units="in"))
    act(bench, "size", id="recorder/1#0", width="1.5", depth="22 mm")
    notch = bench.plan.choices.notches[0].notches[0]
    assert notch.width_mm == pytest.approx(38.1)
    assert notch.depth_mm == 22.0
    row = next(one for one in bench.view.scene["notches"] if one["id"] == "recorder/1#0")
    assert row["width"] == "1 1/2 in"
    bench.close()


@pytest.mark.parametrize("width", ["wide", "-3", "0", "900", "nan", ""])
def test_a_size_that_is_none_is_explained(bench: FoamBench, width: str) -> None:
    """The fault says what was found; nothing changes."""
    act(bench, "size", id="recorder/1#0", width=width, depth="22")
    assert "width" in bench.view.scene["fault"]
    assert bench.plan.choices.notches == ()
    act(bench, "choose", id="recorder/1#0")
    assert bench.view.scene["fault"] is None


def test_what_is_not_there_any_more_is_said(bench: FoamBench) -> None:
    """A notch that another view removed meanwhile cannot be dragged: said, not raised."""
    tell(bench, id="recorder/1#7", x=0.0, y=0.0, drop=True)
    assert "not there any more" in bench.view.scene["fault"]


def test_back_to_the_plan_for_one_and_for_all(bench: FoamBench) -> None:
    """One pocket, then all, go back to the planned notches; undo brings them again."""
    first = bench.plan.foam
    tell(bench, id="recorder/1#0", x=100.0, y=60.0, drop=True)
    act(bench, "remove", id="lamp/1#0")
    act(bench, "planned", key="recorder/1")
    assert [one.item for one in bench.plan.choices.notches] == ["lamp"]
    act(bench, "planned", key=None)
    assert bench.plan.foam == first
    act(bench, "undo")
    act(bench, "undo")
    assert [one.item for one in bench.plan.choices.notches] == ["lamp", "recorder"]


def test_files_are_written_with_the_newest_choice(bench: FoamBench) -> None:
    """Written right after a drop, the files are those of the dropped notch."""
    tell(bench, id="recorder/1#0", x=100.0, y=60.0, drop=True)
    act(bench, "write")
    assert bench.work is not None
    many, _, where = bench.view.scene["saved"].partition(" files written in ")
    assert Path(where) == bench.work.folder.resolve()
    there = [path for path in bench.work.folder.rglob("*") if path.is_file()]
    assert len(there) == int(many)
    assert len(kept(bench).choices.notches) == 1
    # read back by another library: the tip of the notch, 22 mm below the pocket's edge at y = 60
    drawing = ezdxf.readfile(bench.work.folder / "foam" / "deep-02.dxf")
    tip = shapely.Point(100.0, 38.0)
    paths = [ezdxf.path.make_path(one) for one in drawing.modelspace().query("LWPOLYLINE")]
    lines = [shapely.LineString([(p.x, p.y) for p in path.flattening(0.005)]) for path in paths]
    assert min(line.distance(tip) for line in lines) < 0.02


def test_a_folder_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    """The fault of the disk stands in the view, and the next step is tried again."""
    (tmp_path / "trial").write_text("a file where the folder would be")
    bench = FoamBench.of(two_blocks(), work=Work(tmp_path / "trial.toml", tmp_path / "trial"))
    act(bench, "remove", id="lamp/1#0")
    assert "is a file" in bench.view.scene["fault"]
    assert not any(one["id"] == "lamp/1#1" for one in bench.view.scene["notches"])
    assert bench.view.scene["busy"] is None
    (tmp_path / "trial").unlink()
    act(bench, "remove", id="lamp/1#0")
    assert bench.view.scene["fault"] is None
    assert len(kept(bench).choices.notches) == 1
    bench.close()


def test_without_a_folder_nothing_is_written() -> None:
    """A bench on a plan alone says so, and its view shows no button for it."""
    bench = FoamBench.of(two_blocks())
    assert bench.view.scene["may_write"] is False
    act(bench, "write")
    assert "no folder" in bench.view.scene["fault"]
    bench.close()


def test_notches_that_the_plan_came_with_are_there(bench: FoamBench) -> None:
    """Opened again, the saved notches are shown, and going back to the plan is offered."""
    tell(bench, id="recorder/1#0", x=100.0, y=60.0, drop=True)
    bench.wait()
    again = FoamBench.of(kept(bench))
    assert again.view.scene["own"] == ["recorder/1"]
    ids = {"recorder/1#0", "recorder/1#1", "lamp/1#0", "lamp/1#1"}
    assert {one["id"] for one in again.view.scene["notches"]} == ids
    again.close()


def test_another_plan_is_taken_even_while_the_last_is_cut(bench: FoamBench) -> None:
    """A plan from elsewhere replaces what is shown; the cut under way does not come back."""
    tell(bench, id="recorder/1#0", x=100.0, y=60.0, drop=True)
    other = two_blocks()
    bench.open(other)
    bench.wait()
    assert bench.plan is other
    assert bench.edits.now == ()
    assert bench.view.layers == FoamBench.of(other).view.layers


def test_notches_off_their_edge_are_a_finding() -> None:
    """A notch that lies in the middle of its item is a tag with a sentence, and has no handle."""
    plan = two_blocks()
    lost = NotchesOf("lamp", 1, (NotchAt("lamp", 1, (40.0, 30.0), 24.0, 22.0),))
    cutter = Cutter(plan, work=None, heard=lambda outcome: None)
    cutter.cut((lost,))
    cutter.wait(30.0)
    bench = FoamBench.of(cutter.plan)
    assert any("put it on the edge again" in row["text"] for row in bench.view.scene["findings"])
    assert not any(one["key"] == "lamp/1" for one in bench.view.scene["notches"])
    bench.close()


def test_a_sheet_that_was_changed_since_is_said(tmp_path: Path) -> None:
    """Before anything is cut, a tag says that the plan is older than the sheet."""
    shutil.copy(samples_folder() / "one_probe.toml", tmp_path / "trial.toml")
    bench = FoamBench.of(two_blocks(), work=Work.at(tmp_path / "trial.toml"))
    assert "fit the gear again" in bench.view.scene["findings"][0]["text"]
    bench.close()
    (tmp_path / "trial.toml").write_text("item = 3")
    bench = FoamBench.of(two_blocks(), work=Work.at(tmp_path / "trial.toml"))
    assert "cannot be read" in bench.view.scene["findings"][0]["text"]
    bench.close()


def test_a_sheet_that_is_not_there_is_bad_input(tmp_path: Path, monkeypatch) -> None:
    """The refusal names the sheet."""
    monkeypatch.chdir(tmp_path)
    with pytest.raises(BadInput, match="nowhere"):
        FoamBench("nowhere.toml")


def test_closed_benches_leave_nothing(tmp_path: Path) -> None:
    """Twenty benches used and closed: no thread is left and no bench is held."""
    plan = two_blocks()
    before = threading.active_count()
    held = []
    for _ in range(20):
        bench = FoamBench.of(plan)
        tell(bench, id="recorder/1#0", x=100.0, y=60.0, drop=True)
        bench.close()
        held.append(weakref.ref(bench))
        del bench
    gc.collect()
    assert threading.active_count() <= before
    assert not any(ref() for ref in held)
