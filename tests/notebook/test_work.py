"""The notebooks share a sheet and a plan beside it."""

from __future__ import annotations

from pathlib import Path

import pytest
from attrs import evolve

from fitkit.documents.files import keep_plan, write_all
from fitkit.errors import BadInput
from fitkit.notebook.work import Work
from fitkit.payload.sheet import read_sheet
from fitkit.plan import Choices, make_plan
from fitkit.plan_json import read_plan, read_written

SHEET = '[[item]]\nname = "probe"\nbody = [ { circle = 11, z = [0, 60] } ]\n'


@pytest.fixture
def kit(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A sheet in the working folder."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("FITKIT_BUDGET", "0.2")
    (tmp_path / "kit.toml").write_text(SHEET, encoding="utf-8")
    return tmp_path


def test_a_sample_is_copied_with_the_files_that_it_names(kit: Path) -> None:
    """A sample's name that is not there yet becomes a sheet of the builder's own, list included."""
    work = Work.at("boat_party.toml")
    assert work.payload().title == read_sheet(kit / "boat_party.toml").title
    assert (kit / "cases.csv").is_file()


def test_a_sheet_of_the_builder_is_never_overwritten(kit: Path) -> None:
    """A file of a sample's name stays as it is."""
    (kit / "tideline.toml").write_text(SHEET, encoding="utf-8")
    assert [item.name for item in Work.at("tideline.toml").payload().items] == ["probe"]


def test_the_plan_is_made_once_and_found_again_by_its_sheet_or_itself(kit: Path) -> None:
    """The first to ask makes the plan; the others, given sheet or plan, read the same."""
    plan = Work.at("kit.toml").plan()
    assert (kit / "kit" / "plan.json").is_file()
    assert Work.at("kit.toml").plan() == plan
    again = Work.at(kit / "kit" / "plan.json")
    assert again.plan() == plan
    assert again.payload() == plan.payload


def test_a_changed_sheet_is_noticed(kit: Path) -> None:
    """The plan is stale when the sheet says something else, and only then."""
    work = Work.at("kit.toml")
    plan = work.plan()
    assert not work.is_stale(plan)
    (kit / "kit.toml").write_text(SHEET.replace("60", "61"), encoding="utf-8")
    assert work.is_stale(plan)


def test_keeping_a_plan_leaves_the_other_files_and_their_list(kit: Path) -> None:
    """Only plan.json changes; what was written before stays, is listed, and can be replaced."""
    plan = make_plan(read_sheet(kit / "kit.toml"), choices=Choices(repeatable=True, budget_s=0.2))
    folder = kit / "kit"
    write_all(plan, folder)
    before = {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()}
    listed = read_written(folder / "plan.json")
    keep_plan(evolve(plan, choices=Choices(seed=7)), folder)
    after = {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()}
    assert {p for p in before if before[p] != after[p]} == {folder / "plan.json"}
    assert before.keys() == after.keys()
    assert read_written(folder / "plan.json") == listed
    assert read_plan(folder / "plan.json").choices.seed == 7
    write_all(plan, folder)
    assert {p: p.read_bytes() for p in folder.rglob("*") if p.is_file()} == before


def test_a_foreign_plan_file_is_kept(kit: Path) -> None:
    """A file called plan.json that is none of ours is moved aside, not lost."""
    (kit / "kit").mkdir()
    (kit / "kit" / "plan.json").write_text("my own notes", encoding="utf-8")
    with pytest.raises(BadInput, match=r"plan\.json"):
        Work.at("kit.toml").plan()
    plan = make_plan(read_sheet(kit / "kit.toml"), choices=Choices(repeatable=True, budget_s=0.2))
    Work.at("kit.toml").keep(plan)
    assert (kit / "kit" / "plan.json.kept-1").read_text(encoding="utf-8") == "my own notes"


def test_a_folder_that_cannot_be_written_is_said(kit: Path) -> None:
    """A file where the folder should be: one message, and the file is untouched."""
    (kit / "kit").write_text("a file", encoding="utf-8")
    with pytest.raises(BadInput, match="kit"):
        Work.at("kit.toml").plan()
    assert (kit / "kit").read_text(encoding="utf-8") == "a file"


@pytest.mark.parametrize("text", ["soon", "0", "-3", "nan", "inf"])
def test_a_budget_that_is_no_time_is_refused(
    kit: Path, monkeypatch: pytest.MonkeyPatch, text: str
) -> None:
    """FITKIT_BUDGET must be a number of seconds above 0."""
    monkeypatch.setenv("FITKIT_BUDGET", text)
    with pytest.raises(BadInput, match="number of seconds"):
        Work.at("kit.toml")


def test_what_is_not_there_is_said(kit: Path) -> None:
    """Neither a file nor a sample: the message names it."""
    with pytest.raises(BadInput, match=r"nothing\.toml"):
        Work.at("nothing.toml").payload()
