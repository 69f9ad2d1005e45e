"""Starting the server: what it is told, and which folder a builder works in."""

from __future__ import annotations

import importlib
import json
import os
import stat
from pathlib import Path

import pytest

import fitkit.notebook.lab.folder as folder_module
from fitkit.errors import BadInput, MissingExtra
from fitkit.notebook.lab import command, notebooks_folder, start
from fitkit.notebook.lab.folder import in_order, prepare

start_module = importlib.import_module("fitkit.notebook.lab.start")  # its function has its name


def names(folder: Path) -> list[str]:
    """What lies in a folder, hidden files too."""
    return sorted(path.name for path in folder.iterdir())


def test_without_jupyterlab_the_user_is_told_what_to_install(monkeypatch, tmp_path) -> None:
    """The refusal names the missing library and the line that adds it."""
    monkeypatch.setattr(start_module.importlib.util, "find_spec", lambda name: None)
    with pytest.raises(MissingExtra, match=r'jupyterlab.*pip install "fitkit\[lab\]"'):
        start(tmp_path)
    assert names(tmp_path) == []


def test_the_pages_without_code_need_one_library_more(monkeypatch, tmp_path) -> None:
    """Without Voila the notebooks open, and the pages are refused with the line that adds it."""
    find = start_module.importlib.util.find_spec
    monkeypatch.setattr(
        start_module.importlib.util,
        "find_spec",
        lambda name: None if name == "voila" else find(name),
    )
    with pytest.raises(MissingExtra, match="need voila"):
        start(tmp_path, app=True)


def test_the_server_listens_on_this_computer_only(tmp_path) -> None:
    """The address is the loopback one, the folder is the user's own, nothing is copied."""
    line = command(tmp_path, port=0, browser=False)
    assert "--ServerApp.ip=127.0.0.1" in line
    assert f"--ServerApp.root_dir={tmp_path.resolve()}" in line
    assert "--no-browser" in line
    assert names(tmp_path) == []


def test_answers_are_sent_at_once_whatever_is_installed(tmp_path) -> None:
    """The extension is switched on by name, in the lab and for the pages; Voila's own is off."""
    for app in (False, True):
        line = command(tmp_path, port=0, browser=False, app=app)
        told = {part.partition("=")[2] for part in line if "jpserver_extensions" in part}
        assert "fitkit.notebook.lab.nodelay=True" in told
        assert ("voila.server_extension=False" in told) == app
        assert ("fitkit.notebook.lab.app=True" in told) == app


def test_the_first_notebook_of_the_work_is_opened(tmp_path) -> None:
    """Measuring comes first, whatever the alphabet says; without it what there is."""
    for name in ("build.ipynb", "fit.ipynb", "a note.ipynb"):
        (tmp_path / name).write_text("{}")
    assert command(tmp_path, port=0, browser=False)[-1].endswith("=/lab/tree/fit.ipynb")
    (tmp_path / "measure.ipynb").write_text("{}")
    line = command(tmp_path, port=0, browser=False, app=True)
    assert line[-1] == "--LabApp.default_url=/voila/render/measure.ipynb"
    assert [path.name for path in in_order(tmp_path)][-1] == "a note.ipynb"


def test_a_new_builder_gets_a_folder_of_their_own(monkeypatch, tmp_path) -> None:
    """Without a name the notebooks go to fitkit-notebooks; a second start leaves them alone."""
    monkeypatch.chdir(tmp_path)
    ready = prepare()
    assert ready.folder == (tmp_path / "fitkit-notebooks").resolve()
    assert set(ready.copied) == {path.name for path in notebooks_folder().glob("*.ipynb")}
    assert names(ready.folder) == sorted(ready.copied)
    again = prepare()
    assert again.folder == ready.folder
    assert again.copied == ()


def test_a_folder_with_notebooks_in_it_is_worked_in(monkeypatch, tmp_path) -> None:
    """Started beside one of the notebooks, no second set is made elsewhere."""
    (tmp_path / "fit.ipynb").write_text("mine")
    monkeypatch.chdir(tmp_path)
    assert prepare().folder == tmp_path.resolve()


def test_nothing_of_the_builders_is_overwritten(tmp_path) -> None:
    """A notebook that is there keeps every byte, even a broken one; only the others are copied."""
    name = next(iter(notebooks_folder().glob("*.ipynb"))).name
    (tmp_path / name).write_text("mine")
    ready = prepare(tmp_path)
    assert (tmp_path / name).read_text() == "mine"
    assert name not in ready.copied
    assert not any(part.endswith(".part") for part in names(tmp_path))


def test_a_notebook_that_appears_while_copying_is_kept(monkeypatch, tmp_path) -> None:
    """Two starts at once: whoever comes second leaves the first one's file alone."""
    copy = folder_module.shutil.copyfile

    def slow(source, beside):
        copy(source, beside)
        (tmp_path / Path(source).name).write_text("the other's")

    monkeypatch.setattr(folder_module.shutil, "copyfile", slow)
    for name in prepare(tmp_path).copied:
        assert (tmp_path / name).read_text() == "the other's"


def test_the_package_is_never_written_to(monkeypatch, tmp_path) -> None:
    """The package's own folder is used as it is, and a missing folder is made elsewhere."""
    before = names(notebooks_folder())
    assert prepare(notebooks_folder()).copied == ()
    assert prepare(tmp_path / "new" / "job").folder == (tmp_path / "new" / "job").resolve()
    assert names(notebooks_folder()) == before


def test_a_file_is_no_folder(tmp_path) -> None:
    """The refusal names the path and says what to do."""
    (tmp_path / "sheet.toml").write_text("")
    with pytest.raises(BadInput, match=r"sheet\.toml.*name a folder"):
        prepare(tmp_path / "sheet.toml")


@pytest.mark.skipif(os.name != "posix", reason="the mode of a folder is POSIX's")
def test_a_folder_that_cannot_be_written_is_refused_with_the_way_out(monkeypatch, tmp_path) -> None:
    """No traceback: the reason, and how to name another folder. One with work in it is opened."""

    def refuse(*_):
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(folder_module.shutil, "copyfile", refuse)
    with pytest.raises(BadInput, match=r"Permission denied.*fitkit lab FOLDER"):
        prepare(tmp_path)
    (tmp_path / "fit.ipynb").write_text("mine")
    assert prepare(tmp_path).copied == ()


def test_copies_can_be_written_even_from_a_read_only_package(monkeypatch, tmp_path) -> None:
    """What is copied belongs to the builder: its mode is that of a new file."""
    source = tmp_path / "package"
    source.mkdir()
    (source / "fit.ipynb").write_text("{}")
    (source / "fit.ipynb").chmod(stat.S_IRUSR)
    monkeypatch.setattr(folder_module, "notebooks_folder", lambda: source)
    ready = prepare(tmp_path / "job")
    assert (ready.folder / "fit.ipynb").stat().st_mode & stat.S_IWUSR


def test_the_builder_hears_what_was_done(monkeypatch, tmp_path) -> None:
    """The message names the folder and the notebooks put there; later, the folder alone."""
    monkeypatch.setattr(
        start_module.subprocess, "run", lambda line, check: type("Done", (), {"returncode": 0})
    )
    said: list[str] = []
    assert start(tmp_path / "job", browser=False, say=said.append) == 0
    assert start(tmp_path / "job", browser=False, say=said.append) == 0
    assert said[0].startswith("Put ")
    assert str((tmp_path / "job").resolve()) in said[0]
    assert said[1] == f"Your notebooks are in {(tmp_path / 'job').resolve()}."


def test_notebooks_are_stored_without_outputs() -> None:
    """Stored notebooks hold words and code only."""
    paths = in_order(notebooks_folder())
    assert paths
    for path in paths:
        for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]:
            assert cell.get("outputs", []) == []
            assert cell.get("execution_count") is None


def test_nothing_is_asked_of_the_network() -> None:
    """JupyterLab neither fetches news nor asks whether it may."""
    line = command(Path("notebooks"), port=0, browser=False)
    (option,) = [part for part in line if part.startswith("--LabApp.app_settings_dir=")]
    overrides = Path(option.partition("=")[2]) / "overrides.json"
    told = json.loads(overrides.read_text(encoding="utf-8"))
    notes = told["@jupyterlab/apputils-extension:notification"]
    assert notes == {"fetchNews": "false", "checkForUpdates": False}
    assert "--LabApp.news_url=None" in line


def test_the_command_hands_folder_and_form_on(monkeypatch, tmp_path) -> None:
    """``fitkit lab FOLDER --app`` opens that folder as pages without code."""
    from fitkit.cli import run

    seen: dict[str, object] = {}

    def started(folder: Path | None, **options: object) -> int:
        seen.update(options, folder=folder)
        return 0

    monkeypatch.setattr("fitkit.notebook.lab.start", started)
    assert run(["lab", str(tmp_path), "--app", "--port", "8899"]) == 0
    assert (seen["folder"], seen["app"], seen["port"]) == (tmp_path, True, 8899)
    assert run(["lab"]) == 0
    assert (seen["folder"], seen["app"], seen["port"]) == (None, False, 0)
