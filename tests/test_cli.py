"""The command line: exit codes, what is printed where, and what is left on disk."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from attrs import evolve

from fitkit import __version__
from fitkit.checks.finding import Finding
from fitkit.cli import run
from fitkit.cli.show import exit_code
from fitkit.cli.words import distance_from_best
from fitkit.errors import MissingExtra
from fitkit.plan import Choices, Plan, make_plan
from fitkit.plan_json import read_plan

SHEET = """
title = "One probe"
[[item]]
name = "probe"
mass = "0.4 kg"
body = [{ rectangle = [60, 40], z = [0, 30] }]
"""
HEAVY = (
    "numpy", "shapely", "pyvista", "vtkmodules", "ezdxf", "ortools", "cv2", "reportlab",
    "pypdfium2", "rich", "jupyterlab", "IPython", "spyrrow", "jinja2", "attr",
)  # fmt: skip
ESCAPE = "\x1b"


@pytest.fixture
def sheet(tmp_path: Path) -> Path:
    """A sheet that is planned in no time."""
    path = tmp_path / "kit.toml"
    path.write_text(SHEET, encoding="utf-8")
    return path


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> tuple[int, Path, Path]:
    """A plan made by the command, once: exit code, folder, and the sheet."""
    folder = tmp_path_factory.mktemp("made")
    path = folder / "kit.toml"
    path.write_text(SHEET, encoding="utf-8")
    code = run(["plan", str(path), "-o", str(folder / "build"), "--budget", "2"])
    return code, folder / "build", path


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Write nothing, for tests that are about something else."""
    monkeypatch.setattr("fitkit.documents.files.write_all", lambda *_, **__: ())


def python(code: str, **env: str) -> subprocess.CompletedProcess[str]:
    """Run a line of Python in a process of its own."""
    return subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={**os.environ, **env},
    )


def test_version_is_light() -> None:
    """``--version`` prints the version and loads none of the heavy libraries."""
    seen = python(
        "import sys\nfrom fitkit.cli import run\n"
        f"run(['--version'])\nprint([name for name in {HEAVY} if name in sys.modules])"
    )
    assert seen.stdout.splitlines() == [f"fitkit {__version__}", "[]"]


def test_import_is_light() -> None:
    """``import fitkit`` loads none of the heavy libraries."""
    seen = python(f"import sys, fitkit\nprint([name for name in {HEAVY} if name in sys.modules])")
    assert seen.stdout.strip() == "[]"


def test_module_is_the_command() -> None:
    """``python -m fitkit`` is the same as ``fitkit``."""
    seen = subprocess.run(
        [sys.executable, "-m", "fitkit", "--version"], capture_output=True, text=True, check=True
    )
    assert seen.stdout == f"fitkit {__version__}\n"


def test_plan_writes_and_says_what_it_did(
    made: tuple[int, Path, Path], capsys: pytest.CaptureFixture[str], sheet: Path, quick: None
) -> None:
    """A plan that keeps everything exits with 0; the saved plan is the planned kit."""
    code, folder, _ = made
    assert code == 0
    assert read_plan(folder / "plan.json").payload.title == "One probe"
    assert (folder / "index.html").is_file()
    assert list((folder / "foam").glob("*.dxf"))
    assert run(["plan", str(sheet), "-o", str(folder), "--budget", "1"]) == 0
    said = capsys.readouterr()
    assert said.err == ""
    for word in ("Interior", "Outside", "Mass", "Shell", "To buy", "Foam layers", "deep-01",
                 "Findings", "Assumed", "Cautions", "Written", "index.html"):  # fmt: skip
        assert word in said.out
    assert ESCAPE not in said.out
    assert "nan" not in said.out


def test_bad_input_is_one_message_and_nothing_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Every fault of sheet and folder at once, on stderr, exit 2, nothing made or changed."""
    sheet = tmp_path / "bad.toml"
    sheet.write_text(SHEET.replace('"0.4 kg"', '"0.4 km"') + "count = 0\n", encoding="utf-8")
    blocked = tmp_path / "file"
    blocked.write_text("mine", encoding="utf-8")
    assert run(["plan", str(sheet), "-o", str(blocked)]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith("3 faults:\n")
    for word in ("0.4 km", "count", str(blocked), "line"):
        assert word in said.err
    assert "Traceback" not in said.err
    assert blocked.read_text(encoding="utf-8") == "mine"
    assert run(["plan", str(sheet), "-o", str(tmp_path / "new" / "deep")]) == 2
    assert not (tmp_path / "new").exists()
    assert run(["plan", str(tmp_path / "none.toml"), "-o", str(tmp_path / "new")]) == 2
    assert not (tmp_path / "new").exists()


def test_folder_is_tried_before_the_search(
    sheet: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A folder that cannot be written is refused without a search, and the trial leaves nothing."""
    searches: list[object] = []
    monkeypatch.setattr("fitkit.plan.make_plan", lambda *a, **k: searches.append(a))
    blocked = tmp_path / "file"
    blocked.touch()
    for folder in (blocked, blocked / "under", tmp_path / "nul\0"):
        assert run(["plan", str(sheet), "-o", str(folder)]) == 2
    assert searches == []
    assert sorted(path.name for path in tmp_path.iterdir()) == ["file", "kit.toml"]


@pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write anywhere"
)
def test_a_folder_without_permission_is_refused(sheet: Path, tmp_path: Path) -> None:
    """A folder that the user may not write to is bad input."""
    locked = tmp_path / "locked"
    locked.mkdir(mode=0o500)
    assert run(["plan", str(sheet), "-o", str(locked)]) == 2


@pytest.mark.parametrize("budget", ["0", "-1", "nan", "inf", "ten", "90000"])
def test_a_budget_is_a_time(
    sheet: Path, tmp_path: Path, budget: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """Anything but seconds above 0 and up to a day is a usage error with exit 2."""
    assert run(["plan", str(sheet), "-o", str(tmp_path / "b"), "--budget", budget]) == 2
    assert "--budget" in capsys.readouterr().err
    assert not (tmp_path / "b").exists()


def test_a_kit_that_misses_its_limits_exits_1(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], quick: None
) -> None:
    """It is no bad input: the nearest layout is shown, and by how many mm it misses."""
    sheet = tmp_path / "kit.toml"
    limits = "[case]\nlimits = { outside = [150, 125, 105] }\n"
    sheet.write_text(SHEET.replace("[[item]]", limits + "[[item]]\ncount = 4"), encoding="utf-8")
    assert run(["plan", str(sheet), "-o", str(tmp_path / "b"), "--budget", "1"]) == 1
    out = capsys.readouterr().out
    assert "DOES NOT FIT" in out
    assert re.search(r"\d+(\.\d+)? mm", out.split("DOES NOT FIT")[1].split("Foam layers")[0])
    assert "FAILS" in out


def test_exit_code_follows_findings_and_misses() -> None:
    """A finding that fails, or a missed limit, gives 1; unknown and tight ones do not."""

    def finding(verdict: str) -> Finding:
        return Finding("web", "a, b", 1.0, 2.0, "mm", -1.0, verdict, "n.", "s")  # type: ignore[arg-type]  # a verdict

    assert exit_code([finding("ok"), finding("tight"), finding("unknown")], ()) == 0
    assert exit_code([finding("ok"), finding("fails")], ()) == 1
    assert exit_code([], ("4 mm too long",)) == 1


def test_check_looks_again(
    made: tuple[int, Path, Path], capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    """A saved plan checks out; a file that was changed since is named and gives 1."""
    _, folder, _ = made
    assert run(["check", str(folder / "plan.json")]) == 0
    assert "Findings" in capsys.readouterr().out
    data = json.loads((folder / "plan.json").read_text(encoding="utf-8"))
    moved = tmp_path / "plan.json"
    for row in data["written"]:
        (tmp_path / row["file"]).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / row["file"]).write_bytes((folder / row["file"]).read_bytes())
    moved.write_text(json.dumps(data), encoding="utf-8")
    assert run(["check", str(moved)]) == 0
    name = data["written"][0]["file"]
    (tmp_path / name).write_bytes(b"other")
    capsys.readouterr()
    assert run(["check", str(moved)]) == 1
    assert f"{name} was changed" in capsys.readouterr().out


def test_check_finds_what_was_moved(made: tuple[int, Path, Path], tmp_path: Path) -> None:
    """A plan whose item was moved through a wall by hand fails; one cut short is bad input."""
    data = json.loads((made[1] / "plan.json").read_text(encoding="utf-8"))
    data["written"] = []
    data["placements"][0]["x_mm"] = -40.0
    path = tmp_path / "plan.json"
    path.write_text(json.dumps(data), encoding="utf-8")
    assert run(["check", str(path)]) == 1
    path.write_text(json.dumps(data)[:-40], encoding="utf-8")
    assert run(["check", str(path)]) == 2


def test_samples_are_copied_and_never_overwritten(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is there already stays byte for byte; the rest is copied beside it."""
    folder = tmp_path / "kit"
    folder.mkdir()
    (folder / "tideline.toml").write_text("mine", encoding="utf-8")
    assert run(["sample", str(folder)]) == 0
    assert (folder / "tideline.toml").read_text(encoding="utf-8") == "mine"
    assert "kept" in capsys.readouterr().out
    source = Path(__file__).parent.parent / "sample_payloads"
    for path in source.glob("*.toml"):
        copied = (folder / path.name).read_bytes()
        assert path.name == "tideline.toml" or copied == path.read_bytes()
    assert run(["sample", str(folder / "tideline.toml")]) == 2


def test_our_own_faults_are_one_line(
    sheet: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """An unexpected error shows no traceback, says whose fault it is, and exits with 70."""

    def broken(*_: object, **__: object) -> Plan:
        raise RuntimeError("the sea is rough")

    monkeypatch.setattr("fitkit.plan.make_plan", broken)
    monkeypatch.delenv("FITKIT_DEBUG", raising=False)
    args = ["plan", str(sheet), "-o", str(tmp_path / "b")]
    assert run(args) == 70
    said = capsys.readouterr()
    assert "fault in fitkit" in said.err
    assert "the sea is rough" in said.err
    assert "Traceback" not in said.err
    assert not (tmp_path / "b").exists()
    monkeypatch.setenv("FITKIT_DEBUG", "1")
    with pytest.raises(RuntimeError, match="the sea is rough"):
        run(args)


def interrupted(times: int) -> Callable[..., Plan]:
    """A planning that presses Ctrl-C so many times, and ends when it is cancelled once."""
    # a shell that runs tests in the background has them ignore Ctrl-C
    signal.signal(signal.SIGINT, signal.default_int_handler)

    def planning(payload: Any, *, choices: Choices, progress: Any, cancelled: Any) -> Plan:
        plan = make_plan(payload, choices=evolve(choices, budget_s=0.5))
        pause = threading.Event()
        for _ in range(times):
            os.kill(os.getpid(), signal.SIGINT)
            pause.wait(0.3)
        while not cancelled():
            pause.wait(0.05)
        if times > 1:
            pause.wait(1.0)
        return evolve(plan, fit=evolve(plan.fit, interrupted=True))

    return planning


def test_ctrl_c_saves_the_best_so_far(
    sheet: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """One Ctrl-C ends the search: exit 130, and the plan is on disk."""
    monkeypatch.setattr("fitkit.plan.make_plan", interrupted(1))
    assert run(["plan", str(sheet), "-o", str(tmp_path / "b")]) == 130
    assert read_plan(tmp_path / "b" / "plan.json").fit.interrupted
    assert "best case so far was saved" in capsys.readouterr().err


def test_a_second_ctrl_c_leaves(
    sheet: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """Two of them: exit 130, nothing saved, and the message says so."""
    monkeypatch.setattr("fitkit.plan.make_plan", interrupted(2))
    assert run(["plan", str(sheet), "-o", str(tmp_path / "b")]) == 130
    assert not (tmp_path / "b").exists()
    assert "nothing was saved" in capsys.readouterr().err


def test_lab_without_its_extra_says_what_to_install(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without JupyterLab the message names the command that installs it; exit 2."""

    def start(*_: object, **__: object) -> int:
        raise MissingExtra('pip install "fitkit[lab]"')

    monkeypatch.setattr("fitkit.notebook.lab.start", start)
    assert run(["lab"]) == 2
    assert "fitkit[lab]" in capsys.readouterr().err


def test_options_reach_the_search_and_the_documents(
    sheet: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Objective, budget, seed and work limits go to the search; paper and DXF to the documents."""
    seen: dict[str, Any] = {}

    def planning(payload: Any, *, choices: Choices, **_: object) -> Plan:
        seen["choices"] = choices
        return make_plan(payload, choices=evolve(choices, budget_s=0.5))

    def write(plan: Plan, folder: Path, **options: Any) -> tuple[()]:
        seen.update(options, folder=folder)
        return ()

    monkeypatch.setattr("fitkit.plan.make_plan", planning)
    monkeypatch.setattr("fitkit.documents.files.write_all", write)
    code = run(
        ["plan", str(sheet), "-o", str(tmp_path / "b"), "--objective", "longest", "--budget", "3",
         "--seed", "9", "--repeatable", "--paper", "letter", "--dxf", "r12"]
    )  # fmt: skip
    assert code == 0
    assert seen["choices"] == Choices("longest", 3.0, 9, True)
    assert (seen["paper"], seen["dxf"], seen["folder"]) == ("Letter", "R12", tmp_path / "b")


def test_the_gap_in_words(made: tuple[int, Path, Path]) -> None:
    """Proven, bounded and unbounded answers each say how far from the best they can be."""
    fit = read_plan(made[1] / "plan.json").fit
    proven = evolve(fit, proven=True)
    assert distance_from_best(proven).startswith("Proven: no case")
    open_ = evolve(fit, proven=False, value=20e6, bound=15e6, gap=0.25, bound_name="plan area")
    assert "20 L, at most 33.3 % above the least" in distance_from_best(open_)
    assert (
        "below 15 L (plan area, sides in whole millimetres), so 25.0 % is the most"
        in distance_from_best(open_)
    )
    assert "no lower bound" in distance_from_best(evolve(open_, bound=0.0, gap=1.0))


def test_plain_terminals(made: tuple[int, Path, Path]) -> None:
    """In plain ASCII nothing breaks and nothing is coloured."""
    seen = subprocess.run(
        [sys.executable, "-m", "fitkit", "check", str(made[1] / "plan.json")],
        capture_output=True,
        check=True,
        env={**os.environ, "PYTHONIOENCODING": "ascii", "TERM": "dumb", "NO_COLOR": "1"},
    )
    assert b"Findings" in seen.stdout
    assert seen.stdout.isascii()
    assert b"\x1b" not in seen.stdout
    assert seen.stderr == b""
