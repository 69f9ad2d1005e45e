"""Opening JupyterLab on the notebooks, for the builder's own computer only."""

from __future__ import annotations

import importlib.util
import os
import subprocess
import sys
from importlib.resources import files
from pathlib import Path

from fitkit.errors import BadInput, Fault, MissingExtra

_NEEDED = ("jupyterlab", "ipywidgets", "anywidget", "ipykernel")


def start(notebooks_dir: Path | None = None, *, port: int = 0, browser: bool = True) -> int:
    """Open JupyterLab on ``notebooks_dir`` and stay until it is closed; returns its exit code.

    Without a folder, the notebooks that come with fitkit are opened where they are. ``port`` 0
    takes any free one; the server listens on 127.0.0.1 only. MissingExtra without JupyterLab,
    BadInput if the folder is not there.
    """
    missing = [name for name in _NEEDED if importlib.util.find_spec(name) is None]
    if missing:
        raise MissingExtra(
            f"The notebooks need {', '.join(missing)}. Install them with: "
            'python -m pip install "fitkit[lab]"'
        )
    folder = notebooks_folder() if notebooks_dir is None else notebooks_dir
    if not folder.is_dir():
        raise BadInput(
            [Fault(str(folder), "there is no such folder", "name the folder with your notebooks")]
        )
    return subprocess.run(command(folder, port=port, browser=browser), check=False).returncode


def command(folder: Path, *, port: int, browser: bool) -> list[str]:
    """The command that serves ``folder``."""
    line = [
        sys.executable,
        "-m",
        "jupyterlab",
        f"--ServerApp.root_dir={folder.resolve()}",
        "--ServerApp.ip=127.0.0.1",
        f"--ServerApp.port={port}",
        "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
        "--LabApp.news_url=None",
        # nothing is asked of the network, and nobody is asked whether it may be
        f"--LabApp.app_settings_dir={Path(str(files('fitkit'))) / 'notebook' / 'lab_settings'}",
    ]
    if not browser:
        line.append("--no-browser")
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        line.append("--allow-root")  # in a container there is no one else; still this computer only
    first = folder / "1-fit.ipynb"
    if first.is_file():
        line.append("--LabApp.default_url=/lab/tree/1-fit.ipynb")
    return line


def notebooks_folder() -> Path:
    """Where fitkit's notebooks are: in the installed package, or beside it in a checkout."""
    package = Path(str(files("fitkit")))
    installed = package / "_share" / "notebooks"
    return installed if installed.is_dir() else package.parent / "notebooks"
