"""The command line's board: a page to take along, and the layout that comes back from it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from attrs import evolve

from fitkit.cli import run
from fitkit.fit.move import following_box, settled
from fitkit.fit.validate import violations
from fitkit.payload.sheet import parse_sheet
from fitkit.plan import Choices, make_plan
from fitkit.plan_json import dumps, read_plan
from fitkit.plan_json.layouts import SavedLayout, dumps_layout

KIT = parse_sheet(
    """
title = "Tideline page"
[[item]]
name = "recorder"
body = [ { rectangle = [120, 80], z = [0, 40] } ]
[[item]]
name = "float"
count = 2
body = [ { circle = 30, z = [0, 35] } ]
""",
    name="kit.toml",
)
PLAN = make_plan(KIT, choices=Choices(repeatable=True, budget_s=0.2))


@pytest.fixture
def plan_file(tmp_path: Path) -> Path:
    """The saved plan."""
    path = tmp_path / "plan.json"
    path.write_text(dumps(PLAN), encoding="utf-8")
    return path


def carried(folder: Path, *, by_mm: float) -> Path:
    """A layout as the page saves it: float 2 moved to the right, without a room of its own."""
    moved = tuple(
        evolve(p, x_mm=p.x_mm + by_mm) if (p.item, p.copy) == ("float", 2) else p
        for p in PLAN.fit.placements
    )
    whole = SavedLayout.of(KIT, interior=PLAN.fit.interior, placements=moved)
    path = folder / "layout.json"
    path.write_text(dumps_layout(evolve(whole, size_mm=None, halves=None)), encoding="utf-8")
    return path


def test_the_page_is_one_file_with_every_item(plan_file: Path, tmp_path: Path) -> None:
    """Exit 0; no address of another machine in it, and nothing beside it."""
    page = tmp_path / "out" / "board.html"
    assert run(["board", str(plan_file), "-o", str(page)]) == 0
    text = page.read_text(encoding="utf-8")
    assert all(name in text for name in ("recorder/1", "float/1", "float/2"))
    assert 'src="http' not in text
    assert "url(http" not in text
    assert [one.name for one in page.parent.iterdir()] == ["board.html"]


def test_a_layout_that_came_back_is_planned_and_written(plan_file: Path, tmp_path: Path) -> None:
    """The item stands where it was put, the interior follows, and every document is written."""
    out = tmp_path / "build"
    code = run(
        ["board", str(plan_file), "--layout", str(carried(tmp_path, by_mm=200.0)), "-o", str(out)]
    )
    assert code == 0
    plan = read_plan(out / "plan.json")
    placements = tuple(
        evolve(p, x_mm=p.x_mm + 200.0) if (p.item, p.copy) == ("float", 2) else p
        for p in PLAN.fit.placements
    )
    box = following_box(KIT, PLAN.fit.interior, placements)
    interior, expected = settled(PLAN.fit.interior, placements, box)
    for one, other in zip(plan.fit.placements, expected, strict=True):
        assert (one.item, one.copy, one.turn_deg) == (other.item, other.copy, other.turn_deg)
        assert (one.x_mm, one.y_mm) == pytest.approx((other.x_mm, other.y_mm))
    assert plan.fit.interior.length_mm == pytest.approx(interior.length_mm)
    found = violations(KIT, interior=plan.fit.interior, placements=plan.fit.placements)
    assert found == ()
    assert plan.fit.bound == PLAN.fit.bound
    assert (out / "index.html").is_file()


def test_a_layout_that_cannot_be_built_is_refused(
    plan_file: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Items on top of each other: exit 2, the pair and what to do, and nothing written."""
    recorder = next(p for p in PLAN.fit.placements if p.item == "recorder")
    other = next(p for p in PLAN.fit.placements if (p.item, p.copy) == ("float", 2))
    layout = carried(tmp_path, by_mm=recorder.x_mm - other.x_mm)
    data = json.loads(layout.read_text(encoding="utf-8"))
    for one in data["placements"]:
        one["x_mm"], one["y_mm"] = recorder.x_mm, recorder.y_mm
    layout.write_text(json.dumps(data), encoding="utf-8")
    out = tmp_path / "build"
    assert run(["board", str(plan_file), "--layout", str(layout), "-o", str(out)]) == 2
    said = capsys.readouterr().err
    assert "recorder" in said
    assert "move it on the page" in said
    assert not out.exists()


@pytest.mark.parametrize("name", ["nothing.json", "."])
def test_what_is_no_plan_or_no_layout_is_refused(
    plan_file: Path, tmp_path: Path, name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit 2 and the file's name, for the plan and for the layout."""
    missing, out = str(tmp_path / name), str(tmp_path / "x")
    assert run(["board", missing, "-o", out]) == 2
    assert run(["board", str(plan_file), "--layout", missing, "-o", out]) == 2
    assert capsys.readouterr().err.count("cannot be read") == 2
    assert not Path(out).exists()


def test_a_page_that_cannot_be_written_is_said(plan_file: Path, tmp_path: Path) -> None:
    """A file stands where the folder should be: exit 2, and the file is as it was."""
    (tmp_path / "taken").write_text("mine", encoding="utf-8")
    assert run(["board", str(plan_file), "-o", str(tmp_path / "taken" / "board.html")]) == 2
    assert (tmp_path / "taken").read_text(encoding="utf-8") == "mine"
