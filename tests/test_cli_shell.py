"""The shell from the sheet to the folder: what is written, said, and refused by name."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path

import pytest

from fitkit.cli import FAILS, run
from fitkit.plan_json import read_plan

SAMPLES = Path(__file__).parents[1] / "sample_payloads"
SCREENS = (SAMPLES / "twin_screens.toml").read_text(encoding="utf-8")


def planned(text: str, folder: Path, capsys: pytest.CaptureFixture[str]) -> tuple[int, str]:
    """Exit code and all that was printed for a sheet, planned quickly; wrapped lines joined."""
    (folder / "prices.csv").write_bytes((SAMPLES / "prices.csv").read_bytes())
    sheet = folder / "kit.toml"
    sheet.write_text(text, encoding="utf-8")
    code = run(["plan", str(sheet), "-o", str(folder / "build"), "--budget", "0.5"])
    told = capsys.readouterr()
    return code, re.sub(r"\s+", " ", told.out + told.err)


def rows(path: Path) -> list[dict[str, str]]:
    """A list as written, read by the standard library."""
    return list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8-sig"))))


def test_a_pair_is_written_with_all_its_lists_and_drawings(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Counts on the terminal, in the lists and in the plan agree; every drawing is there."""
    code, told = planned(SCREENS, tmp_path, capsys)
    assert code == 0
    build = tmp_path / "build"
    plan = read_plan(build / "plan.json")
    shell, stock = plan.shell, plan.stock
    assert shell is not None
    assert stock is not None
    assert (len(shell.panels), len(shell.bars)) == (10, 32)
    assert "10, 0.61 m2" in told
    assert "32 lengths" in told
    cutting = rows(build / "lists" / "cutting.csv")
    assert sum(int(row["count"]) for row in cutting) == 42
    assert all(row["cut from"] for row in cutting)
    hardware = rows(build / "lists" / "hardware.csv")
    assert sum(int(row["count"]) for row in hardware if row["kind"] != "closing corner") == len(
        shell.hardware
    )
    fasteners = rows(build / "lists" / "fasteners.csv")
    assert {row["name"]: int(row["used"]) for row in fasteners} == {
        one.name: one.used for one in shell.fasteners
    }
    bought = rows(build / "lists" / "buying.csv")
    total = sum(float(row["total (crowns)"] or 0) for row in bought[:-1])
    assert total == pytest.approx(float(bought[-1]["total (crowns)"]), abs=0.01)
    assert f"{total:.2f} crowns" in told
    drawings = {path.name for path in (build / "shell").iterdir()}
    assert {"panels.pdf", "profiles.pdf", "templates.pdf", "stock.pdf"} <= drawings
    for panel in shell.panels:
        name = f"{panel.part}-{panel.side}".replace(" ", "-")
        assert {f"{name}.dxf", f"{name}.svg"} <= drawings
    page = (build / "index.html").read_text(encoding="utf-8")
    assert "What to buy and how to cut it" in page


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (
            'panel = "birch plywood 6.5"\n',
            'panel = "birch plywood 6.5"\nthickness = 7.4\n',
            ("panel in slot", "front of the lower half", "7.4 mm", "Take a panel of at most 7 mm"),
        ),
        (
            'panel = "birch plywood 6.5"\n',
            'panel = "birch plywood 6.5"\nsheet = [450, 300]\n',
            (
                "panel on its sheet",
                "front of the lower half",
                "514 mm",
                "Buy sheets of 534 mm or more",
            ),
        ),
        (
            "rivet = 4\n",
            "rivet = 4\n[hardware.latch]\nflange = [600, 68]\ndish = [570, 44]\ndepth = 10\n",
            ("latch on the left", "334.1 mm are missing", "A latch at most 265.9 mm wide"),
        ),
        (
            "rivet = 4\n",
            "rivet = 4\n[hardware.latch]\nflange = [84, 144]\ndish = [60, 120]\ndepth = 75\n",
            ("Its dish meets field screen 1 by 44.5 mm", "A latch 44.5 mm shallower"),
        ),
    ],
    ids=["panel too thick", "panel too large", "latch too wide", "dish meets an item"],
)
def test_what_cannot_be_built_is_named(
    old: str,
    new: str,
    said: tuple[str, ...],
    tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """With its part, its place, the millimetres and what would do; the rest is written."""
    assert old in SCREENS
    code, told = planned(SCREENS.replace(old, new, 1), tmp_path, capsys)
    assert code == FAILS
    for words in said:
        assert words in told
    assert (tmp_path / "build" / "index.html").is_file()


def test_a_part_longer_than_the_longest_bar_is_refused_before_the_search(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Bars of 400 mm cannot give the 490 mm that a screen's case needs: 506 mm would do."""
    text = SCREENS.replace("bars = [2500, 3000]", "bars = [400]")
    code, told = planned(text, tmp_path, capsys)
    assert code == 2
    for words in ('"field screen" alone needs a profile of 490 mm', "buy bars of 506 mm or more"):
        assert words in told
    assert not (tmp_path / "build").exists()
