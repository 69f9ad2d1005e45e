"""JupyterLab on a folder of its own, and a browser on it, for the tests that need both."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

ROOT = Path(__file__).parents[1]
FLAGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def chromium() -> str | None:
    """The system's Chromium, or None."""
    for name in ("chromium", "chromium-browser", "google-chrome", "chrome"):
        found = shutil.which(name)
        if found:
            return found
    return None


def free_port() -> int:
    """A port that the system says is free."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


@contextmanager
def browsing(*flags: str) -> Iterator[Any]:
    """A Chromium. Without one the test is skipped, but not where CI is set: there it fails."""
    program = chromium()
    if program is None:
        if os.environ.get("CI"):
            pytest.fail("CI is set, and there is no Chromium to run the pages in")
        pytest.skip("no Chromium on this computer; pages and notebooks are not tried in a browser")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=program, args=[*FLAGS, *flags])
        try:
            yield browser
        finally:
            browser.close()


def builders_folder(tmp_path_factory: pytest.TempPathFactory, notebook: str) -> Path:
    """A folder of the builder's own with one of our notebooks in it."""
    made = tmp_path_factory.mktemp("builder") / "notebooks"
    made.mkdir()
    shutil.copy(ROOT / "notebooks" / notebook, made)
    return made


def run_notebook(page: Any, address: str, notebook: str) -> None:
    """Open a notebook in the lab at ``address`` and run all of its cells."""
    page.goto(f"{address}/lab/tree/{notebook}?reset")
    page.wait_for_selector(".jp-Notebook .jp-Cell")
    page.wait_for_selector("text=| Idle")
    page.click(".jp-Notebook .jp-Cell >> nth=0")
    page.click(".lm-MenuBar-item:has-text('Run')")
    page.click("text=Run All Cells")


@contextmanager
def served(
    folder: Path, *, budget_s: float, app: bool = False, nodelay: bool = True
) -> Iterator[str]:
    """JupyterLab serving ``folder`` (made if needed); gives its address.

    With ``app``, the notebooks are there as pages without code too. Without ``nodelay`` our server
    extension is switched off, for comparison.
    """
    from fitkit.notebook.lab import command

    port = free_port()
    environment = {
        **os.environ,
        "FITKIT_BUDGET": str(budget_s),
        "PYTHONPATH": os.pathsep.join([str(ROOT), os.environ.get("PYTHONPATH", "")]),
        "JUPYTER_CONFIG_DIR": str(folder.parent / "config"),
        "JUPYTER_DATA_DIR": str(folder.parent / "data"),
        "JUPYTER_RUNTIME_DIR": str(folder.parent / "runtime"),
    }
    line = [
        *command(folder, port=port, browser=False, app=app),
        "--IdentityProvider.token=",
        "--ServerApp.password=",
        "--ServerApp.port_retries=0",
    ]
    if not nodelay:
        line = [one.replace("nodelay=True", "nodelay=False") for one in line]
    log = (folder.parent / "server.log").open("wb")
    server = subprocess.Popen(line, env=environment, stdout=log, stderr=subprocess.STDOUT)
    try:
        address = f"http://127.0.0.1:{port}"
        for _ in range(240):
            if server.poll() is not None:
                raise RuntimeError((folder.parent / "server.log").read_text()[-2000:])
            try:
                with urllib.request.urlopen(f"{address}/api", timeout=2):
                    break
            except OSError:
                time.sleep(0.25)
        yield address
    finally:
        server.terminate()
        try:
            server.wait(15)
        except subprocess.TimeoutExpired:
            server.kill()
            server.wait()
        log.close()
