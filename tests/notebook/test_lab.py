"""Opening the lab, the samples it finds, and the notebooks as they are stored."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import fitkit.notebook.lab as lab
from fitkit.errors import BadInput, MissingExtra
from fitkit.notebook.kit import kit, sample
from fitkit.notebook.samples import samples_folder


def test_without_jupyterlab_the_user_is_told_what_to_install(monkeypatch, tmp_path) -> None:
    """The refusal names the missing library and the line that adds it."""
    monkeypatch.setattr(lab.importlib.util, "find_spec", lambda name: None)
    with pytest.raises(MissingExtra, match=r'jupyterlab.*pip install "fitkit\[lab\]"'):
        lab.start(tmp_path)


def test_a_folder_that_is_not_there_is_bad_input(tmp_path) -> None:
    """The refusal names the folder."""
    with pytest.raises(BadInput, match="nowhere"):
        lab.start(tmp_path / "nowhere")


def test_the_server_listens_on_this_computer_only(tmp_path) -> None:
    """The address is the loopback one, the folder is the user's own, nothing is copied."""
    before = list(tmp_path.iterdir())
    line = lab.command(tmp_path, port=0, browser=False)
    assert "--ServerApp.ip=127.0.0.1" in line
    assert f"--ServerApp.root_dir={tmp_path.resolve()}" in line
    assert "--no-browser" in line
    assert list(tmp_path.iterdir()) == before


def test_notebooks_are_stored_without_outputs() -> None:
    """Stored notebooks hold words and code only, and the first in order is the fit."""
    paths = sorted(lab.notebooks_folder().glob("*.ipynb"))
    assert paths[0].name == "1-fit.ipynb"
    for path in paths:
        for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]:
            assert cell.get("outputs", []) == []
            assert cell.get("execution_count") is None


def test_every_sample_is_found_and_shown() -> None:
    """Each sample sheet is read by name, and its table names every item."""
    names = [path.name for path in samples_folder().glob("*.toml")]
    assert "tideline.toml" in names
    for name in names:
        payload = sample(name)
        table = kit(payload).children[1].value
        assert all(item.name in table for item in payload.items)


def test_an_unknown_sample_lists_those_that_there_are() -> None:
    """The refusal helps to the right name."""
    with pytest.raises(BadInput, match=r"tideline\.toml"):
        sample("tidelines.toml")


def test_nothing_is_asked_of_the_network() -> None:
    """JupyterLab neither fetches news nor asks whether it may."""
    line = lab.command(Path("notebooks"), port=0, browser=False)
    (option,) = [part for part in line if part.startswith("--LabApp.app_settings_dir=")]
    overrides = Path(option.partition("=")[2]) / "overrides.json"
    told = json.loads(overrides.read_text(encoding="utf-8"))
    notes = told["@jupyterlab/apputils-extension:notification"]
    assert notes == {"fetchNews": "false", "checkForUpdates": False}
    assert "--LabApp.news_url=None" in line
