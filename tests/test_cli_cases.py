"""The command line with a list of ready-made cases: what is printed, written, and the exit code."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest

from fitkit.cli import run
from fitkit.fit.ready_made import inside_of
from fitkit.fit.validate import violations
from fitkit.plan_json import dumps, loads, read_plan

SHEET = """
title = "Tideline shelf"
[case]
ready_made = "cases.csv"
{more}
clearance = {{ item = 10, wall = 12, floor = 20, lid = 10 }}
[[item]]
name = "recorder"
mass = "1 kg"
body = [ {{ rectangle = [120, 80], z = [0, 40] }} ]
[[item]]
name = "float"
count = 2
mass = "200 g"
body = [ {{ circle = 30, z = [0, 35] }} ]
"""
CASES = (
    "name,length,width,floor_length,base_depth,lid_depth,corner,mass (kg),price,"
    "outside_length,outside_width,outside_height\n"
    "case 1 flat,300,220,300,40,15,0,1.0,20,,,\n"
    "case 2 snug,260,180,250,80,30,20,1.9,41,290,210,132\n"
    "case 3 wide,400,300,390,80,40,20,,30,,,\n"
)


def sheet(folder: Path, more: str = "", cases: str = CASES) -> Path:
    """A sheet with its list beside it."""
    (folder / "cases.csv").write_text(cases, encoding="utf-8")
    path = folder / "kit.toml"
    path.write_text(SHEET.format(more=more), encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[int, Path]:
    """A plan for the best of the list, made once: exit code and folder."""
    folder = tmp_path_factory.mktemp("shelf")
    code = run(["plan", str(sheet(folder)), "-o", str(folder / "build"), "--budget", "2"])
    return code, folder / "build"


def test_the_best_case_is_planned_and_saved(made: tuple[int, Path]) -> None:
    """Exit 0; the plan has the choice, its layout holds in the case's own room, and it reloads."""
    code, build = made
    assert code == 0
    plan = read_plan(build / "plan.json")
    assert plan.ready_made is not None
    assert plan.ready_made.chosen == "case 2 snug"
    case = plan.payload.case.ready_case("case 2 snug")
    assert plan.fit.ready_made == case
    assert plan.fit.interior in (inside_of(case), inside_of(case, turned=True))
    assert sorted(plan.outside_mm) == [132.0, 210.0, 290.0]
    fit = plan.fit
    assert violations(plan.payload, interior=fit.interior, placements=fit.placements) == ()
    assert loads(dumps(plan)) == plan


def test_a_plan_saved_before_there_were_lists_is_still_read(made: tuple[int, Path]) -> None:
    """Without the keys that came with ready-made and several cases, a file reads as ever."""
    data = json.loads((made[1] / "plan.json").read_text(encoding="utf-8"))
    del data["ready_made"], data["choices"]["case"], data["fit"]["ready_made"]
    del data["fit"]["room"]["floors_mm"]
    for key in ("ready_made", "rank", "several"):
        del data["payload"]["case"][key]
    plan = loads(json.dumps(data))
    assert plan.ready_made is None
    assert plan.fit.ready_made is None
    assert plan.payload.case.ready_made == ()
    assert plan.fit.interior.floors_mm == ()


def test_the_mass_counts_the_empty_case_and_no_panels(made: tuple[int, Path]) -> None:
    """Gear, foam and the case as it was weighed; a ready-made case has no profiles to come."""
    plan = read_plan(made[1] / "plan.json")
    names = [part.name for part in plan.mass.parts]
    assert "empty case, case 2 snug" in names
    assert not any("panel" in name for name in names)
    assert plan.mass.left_out == ()
    assert plan.mass.total_kg > 1.4 + 1.9
    assert {f.check for f in plan.findings}.isdisjoint({"panel in slot", "depth"})


def test_the_list_and_the_page_tell_of_every_case(made: tuple[int, Path]) -> None:
    """The CSV, read back, has all three in rank order and what the flat one lacks; so the page."""
    build = made[1]
    data = (build / "lists" / "ready_made.csv").read_text(encoding="utf-8-sig")
    rows = list(csv.DictReader(io.StringIO(data)))
    assert [(row["rank"], row["name"]) for row in rows] == [
        ("1", "case 2 snug"),
        ("2", "case 3 wide"),
        ("", "case 1 flat"),
    ]
    assert rows[2]["answer"] == "too small, for certain"
    assert float(rows[2]["lacks in depth (mm)"]) >= 15.0
    assert float(rows[0]["volume (L)"]) == pytest.approx(5.1, abs=0.2)
    page = (build / "index.html").read_text(encoding="utf-8")
    assert "2 of 3 hold the kit, 1 cannot, for certain; ranked by volume." in page
    assert "A ready-made case fitted out for its gear" in page
    assert all(name in page for name in ("case 1 flat", "case 2 snug", "case 3 wide"))
    assert (build / "views" / "ready-made.png").read_bytes().startswith(b"\x89PNG")


def test_another_case_by_name(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--case plans for that one; its outside was not measured, and nothing pretends that it was."""
    path = sheet(tmp_path, 'limits = { outside = [500, 400, 200] }\nrank = "price"')
    build = tmp_path / "build"
    args = ["plan", str(path), "-o", str(build), "--budget", "1", "--case", "case 3 wide"]
    assert run(args) == 0
    said = capsys.readouterr().out
    assert "Case      case 3 wide, ready-made" in said
    assert "not measured; do so over latches and feet" in said
    plan = read_plan(build / "plan.json")
    assert not plan.outside_known
    assert [f.verdict for f in plan.findings if f.check == "outside size"] == ["unknown"] * 3
    assert "the empty case case 3 wide (mass not given)" in plan.mass.unknown
    assert 'outside</dt><dd class="big">not measured' in (build / "index.html").read_text(
        encoding="utf-8"
    )


def test_no_case_holds_the_kit(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Exit 1; the nearest is named with its millimetres, on the terminal and on the page."""
    path = sheet(tmp_path, cases="\n".join(CASES.splitlines()[:2]) + "\n")
    build = tmp_path / "build"
    assert run(["plan", str(path), "-o", str(build), "--budget", "1"]) == 1
    said = " ".join(capsys.readouterr().out.split())
    assert "the nearest, case 1 flat, lacks" in said
    assert "mm in depth" in said
    page = (build / "index.html").read_text(encoding="utf-8")
    assert "no case of the list holds the kit" in page
    plan = read_plan(build / "plan.json")
    assert plan.ready_made is not None
    assert plan.ready_made.holding == ()
    assert not plan.outside_known


@pytest.mark.parametrize(
    ("args", "more", "cases", "said"),
    [
        (["--case", "huge"], "", CASES, "the list has no such case"),
        (["--objective", "plan"], "", CASES, "leave it out: the list is ranked by rank"),
        ([], "", "name,length,width,base_depth,lid_depth\n", "the list has no case in it"),
        ([], "", CASES.replace(",", ";"), "set apart by semicolons"),
        ([], 'rank = "size"', CASES, 'write "volume", "mass" or "price"'),
    ],
)
def test_bad_input_is_one_message(
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
    args: list[str],
    more: str,
    cases: str,
    said: str,
) -> None:
    """Exit 2, one fault, nothing written, no traceback."""
    path = sheet(tmp_path, more, cases)
    assert run(["plan", str(path), "-o", str(tmp_path / "build"), *args]) == 2
    errors = capsys.readouterr().err
    assert errors.startswith("1 fault:")
    assert said in errors
    assert not (tmp_path / "build").exists()


def test_a_case_without_a_list(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--case needs a list in the sheet."""
    path = sheet(tmp_path)
    path.write_text(path.read_text().replace('ready_made = "cases.csv"', ""), encoding="utf-8")
    assert run(["plan", str(path), "-o", str(tmp_path / "build"), "--case", "a"]) == 2
    assert 'name one: [case] ready_made = "cases.csv"' in capsys.readouterr().err
