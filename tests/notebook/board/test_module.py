"""The board's script: one module, whole, that asks for nothing from outside."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

from fitkit.notebook.board.module import PARTS, script, style

FOLDER = Path(__file__).parents[3] / "fitkit" / "notebook" / "board"


def test_every_file_of_the_script_is_read() -> None:
    """No script lies in the folder unread, and the module offers one render."""
    offline = {"distance.js", "offline.js"}
    assert {file.name for file in FOLDER.glob("*.js")} == {*PARTS, *offline}
    assert len(re.findall(r"^export default", script(), flags=re.MULTILINE)) == 1


def test_names_are_declared_once() -> None:
    """The files are read as one module: no name is given twice at its top."""
    text = script("distance.js", "offline.js")
    names = re.findall(r"^(?:class|function\*?|const|let) (\w+)", text, flags=re.MULTILINE)
    assert len(names) > 40
    assert sorted(names) == sorted(set(names))


def test_nothing_is_fetched() -> None:
    """No import, no address, no fetch, in script or style."""
    text = script("distance.js", "offline.js").replace("http://www.w3.org/2000/svg", "")
    for word in ("http:", "https:", "fetch(", "import ", "XMLHttp", "WebSocket"):
        assert word not in text
    assert "@import" not in style()
    assert "url(" not in style()


def test_colours_come_from_the_palette() -> None:
    """The board's own sheet names no colour of its own."""
    sheet = (FOLDER / "board.css").read_text(encoding="utf-8")
    assert not re.findall(r"#[0-9A-Fa-f]{3,8}\b|rgb\(|hsl\(", sheet)
    used = set(re.findall(r"var\((--fk-[\w-]+)\)", sheet))
    known = set(re.findall(r"(--fk-[\w-]+):", style()))
    assert used <= known


def test_the_page_needs_no_notebook() -> None:
    """Writing a page loads no widget library."""
    ask = (
        "import sys; import fitkit.notebook.board.page; "
        "print(sorted({'anywidget', 'ipywidgets', 'traitlets'} & set(sys.modules)))"
    )
    done = subprocess.run([sys.executable, "-c", ask], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
