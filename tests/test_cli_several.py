"""The command line with a kit in several cases: folders, index, lists and exit codes."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest

from fitkit.cli import run
from fitkit.documents import files
from fitkit.payload.sheet import read_sheet
from fitkit.plan import Choices, make_plan
from fitkit.plan_json import read_plan
from fitkit.plan_several import known_kg, least_empty_kg

SHEET = """
title = "Tideline bricks"
[case]
{more}
[[item]]
name = "brick"
count = 4
mass = "4 kg"
body = [ {{ rectangle = [60, 50], z = [0, 30] }} ]
[[item]]
name = "lamp"
mass = "300 g"
body = [ {{ circle = 20, z = [0, 30] }} ]
"""
HEAVY = 'limits = { mass = "12 kg" }'


def sheet(folder: Path, more: str) -> Path:
    """A sheet with these lines about the case."""
    path = folder / "kit.toml"
    path.write_text(SHEET.format(more=more), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[int, Path]:
    """A kit in two cases, made once: exit code and folder."""
    folder = tmp_path_factory.mktemp("several")
    path = sheet(folder, HEAVY)
    code = run(["plan", str(path), "-o", str(folder / "build"), "--budget", "3", "--several"])
    return code, folder / "build"


def test_each_case_has_a_folder_with_a_plan_of_its_own(made: tuple[int, Path]) -> None:
    """Two folders; together the plans hold every copy; each keeps the limit on the mass."""
    code, build = made
    assert code == 0
    plans = [read_plan(build / f"case-{n}" / "plan.json") for n in (1, 2)]
    assert not (build / "case-3").exists()
    assert not (build / "plan.json").exists()
    copies = [sum(p.item == "brick" for p in plan.fit.placements) for plan in plans]
    assert sorted(copies) == [2, 2]
    assert sum(p.item == "lamp" for plan in plans for p in plan.fit.placements) == 1
    assert all(plan.mass.total_kg <= 12.0 for plan in plans)
    assert [plan.payload.title for plan in plans] == [
        "Tideline bricks, case 1 of 2",
        "Tideline bricks, case 2 of 2",
    ]
    assert run(["check", str(build / "case-1" / "plan.json")]) == 0


def test_index_and_lists_say_which_copy_goes_where(made: tuple[int, Path]) -> None:
    """The CSV and cases.json, read back, give every copy of the sheet to one case."""
    build = made[1]
    data = (build / "lists" / "cases.csv").read_text(encoding="utf-8-sig")
    rows = {row["item"]: row for row in csv.DictReader(io.StringIO(data))}
    given = f"{rows['brick']['case 1']} {rows['brick']['case 2']}".split()
    assert given == ["1", "2", "3", "4"]
    told = json.loads((build / "cases.json").read_text(encoding="utf-8"))
    assert (told["format"], told["least"], told["proven"]) == ("fitkit-cases", 2, True)
    assert [case["folder"] for case in told["cases"]] == ["case-1", "case-2"]
    bricks = [row["copies"] for case in told["cases"] for row in case["items"]
              if row["item"] == "brick"]  # fmt: skip
    assert sorted(copy for copies in bricks for copy in copies) == [1, 2, 3, 4]
    page = (build / "index.html").read_text(encoding="utf-8")
    for name in ("case-1/index.html", "case-2/index.html"):
        assert f'href="{name}"' in page
        assert (build / name).is_file()
    assert "2 cases, proven: no fewer will do" in page


def test_made_again_as_one_case_nothing_of_the_several_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What a former run wrote and nobody changed goes; a file of the builder's own stays."""
    few = [("lists/items.csv", b"item"), ("index.html", b"page")]
    monkeypatch.setattr(files, "documents", lambda plan, **_: iter(few))  # quick: it is the moving
    build = tmp_path / "build"
    assert run(["plan", str(sheet(tmp_path, HEAVY + "\nseveral = true")), "-o", str(build),
                "--budget", "1"]) == 0  # fmt: skip
    (build / "case-2" / "notes.txt").write_text("mine", encoding="utf-8")
    assert run(["plan", str(sheet(tmp_path, "several = true")), "-o", str(build),
                "--budget", "1"]) == 0  # fmt: skip
    assert (build / "plan.json").is_file()
    assert not (build / "cases.json").exists()
    assert not (build / "case-1" / "plan.json").exists()
    left = [path for path in build.rglob("*") if path.is_file() and "case-" in str(path.parent)]
    assert [path.name for path in left] == ["notes.txt"]
    again = ["plan", str(sheet(tmp_path, HEAVY)), "-o", str(build), "--budget", "1", "--several"]
    assert run(again) == 0
    assert not (build / "plan.json").exists()
    assert list(build.rglob("*.kept-*")) == []


def test_several_with_a_list_of_ready_made_cases_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Exit 2 with one fault, and nothing written."""
    (tmp_path / "cases.csv").write_text(
        "name,length,width,base_depth,lid_depth\na,300,200,90,40\n", encoding="utf-8"
    )
    path = sheet(tmp_path, 'ready_made = "cases.csv"')
    assert run(["plan", str(path), "-o", str(tmp_path / "build"), "--several"]) == 2
    assert "cannot be shared out over ready-made cases" in capsys.readouterr().err
    assert not (tmp_path / "build").exists()


def test_a_miss_of_a_limit_says_how_several_would_help(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """One case misses its outside size: the message names the least number and the option."""
    monkeypatch.setattr(files, "documents", lambda plan, **_: iter([("index.html", b"page")]))
    path = sheet(tmp_path, "limits = { outside = [140, 140, 120] }")
    assert run(["plan", str(path), "-o", str(tmp_path / "build"), "--budget", "1"]) == 1
    said = " ".join(capsys.readouterr().out.split())
    assert "DOES NOT FIT its limits" in said
    assert "cases at least: run it again with --several to share it out." in said


def test_the_estimate_of_the_mass_is_near_the_mass_of_the_plan(tmp_path: Path) -> None:
    """Foam uncut weighs no less than cut; no case is lighter than the least empty one."""
    payload = read_sheet(sheet(tmp_path, ""))
    plan = make_plan(payload, choices=Choices(budget_s=0.5))
    estimate = known_kg(payload, plan.fit)
    assert plan.mass.total_kg <= estimate + 1e-6
    assert estimate == pytest.approx(plan.mass.total_kg, rel=0.05)
    items = sum(item.count * (item.mass_kg or 0.0) for item in payload.items)
    assert 0.0 < least_empty_kg(payload) < plan.mass.total_kg - items
