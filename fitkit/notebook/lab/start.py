"""Starting the Jupyter server on the notebooks, for the builder's own computer only."""

from __future__ import annotations

import importlib.util
import os
import subprocess
import sys
from collections.abc import Callable
from importlib.resources import files
from pathlib import Path

from fitkit.errors import MissingExtra
from fitkit.notebook.lab.folder import first_in, prepare

_NEEDED = ("jupyterlab", "ipywidgets", "anywidget", "ipykernel")
_NODELAY = "fitkit.notebook.lab.nodelay"
_APP = "fitkit.notebook.lab.app"


def start(
    folder: Path | None = None,
    *,
    port: int = 0,
    browser: bool = True,
    app: bool = False,
    say: Callable[[str], None] | None = None,
) -> int:
    """Open the notebooks of ``folder`` and stay until the server ends; returns its exit code.

    With ``app``, as pages without code; else in JupyterLab. The folder is made ready by
    :func:`fitkit.notebook.lab.folder.prepare`, and ``say`` hears what was done. ``port`` 0 takes
    any free one; the server listens on 127.0.0.1 only. MissingExtra without the libraries,
    BadInput if the folder cannot be used.
    """
    needed = (*_NEEDED, "voila") if app else _NEEDED
    missing = [name for name in needed if importlib.util.find_spec(name) is None]
    if missing:
        raise MissingExtra(
            f"The notebooks need {', '.join(missing)}. Install them with: "
            'python -m pip install "fitkit[lab]"'
        )
    ready = prepare(folder)
    if say is not None:
        say(ready.words)
    line = command(ready.folder, port=port, browser=browser, app=app)
    return subprocess.run(line, check=False).returncode


def command(folder: Path, *, port: int, browser: bool, app: bool = False) -> list[str]:
    """The command that serves ``folder``, as it is: in JupyterLab, or as pages without code."""
    extensions = [f"{_NODELAY}=True"]
    if app:  # Voila's own extension makes way for ours, which brings it along
        extensions += [f"{_APP}=True", "voila.server_extension=False"]
    line = [
        sys.executable,
        "-m",
        "jupyterlab",
        f"--ServerApp.root_dir={folder.resolve()}",
        "--ServerApp.ip=127.0.0.1",
        f"--ServerApp.port={port}",
        *(f"--ServerApp.jpserver_extensions={one}" for one in extensions),
        "--LabApp.check_for_updates_class=jupyterlab.NeverCheckForUpdate",
        "--LabApp.news_url=None",
        # nothing is asked of the network, and nobody is asked whether it may be
        f"--LabApp.app_settings_dir={Path(str(files('fitkit'))) / 'notebook/lab/lab_settings'}",
    ]
    if not browser:
        line.append("--no-browser")
    if hasattr(os, "geteuid") and os.geteuid() == 0:
        line.append("--allow-root")  # in a container there is no one else; still this computer only
    first = first_in(folder)
    if app:
        # a page that was closed without a word lets its kernel go; one that is open keeps it
        line += [
            "--MappingKernelManager.cull_idle_timeout=1800",
            "--MappingKernelManager.cull_interval=120",
            f"--LabApp.default_url=/voila/{f'render/{first}' if first else 'tree'}",
        ]
    elif first is not None:
        line.append(f"--LabApp.default_url=/lab/tree/{first}")
    return line
