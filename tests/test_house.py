"""The house rules that no other tool looks after."""

from __future__ import annotations

import ast
import importlib.metadata
import re
import shlex
import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click
import pytest
from packaging.requirements import Requirement

from fitkit.cli.commands import fitkit as command
from fitkit.payload.sheet import parse_sheet

ROOT = Path(__file__).parent.parent
CODE = sorted(path for path in (ROOT / "fitkit").rglob("*.py") if "_share" not in path.parts)
TESTS = sorted((ROOT / "tests").rglob("*.py"))
PAGES = [ROOT / "README.md", ROOT / "DEVELOPERS.md"]
PROJECT: dict[str, Any] = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))

LONGEST_LINES = 450
INSTALL = (
    "python3 -m venv .venv && .venv/bin/pip install -e . && "
    ".venv/bin/fitkit plan sample_payloads/tideline.toml -o build/"
)
TEST = 'python3 -m venv .venv && .venv/bin/pip install -e ".[test]" && .venv/bin/python -m pytest'
# written in two halves, so that this file does not find itself
LEFT_OVERS = ["TO" + "DO", "FIX" + "ME", "XX" + "X", "NotImplemented" + "Error", "assert " + "True"]
MACHINE = ["/wo" + "rk/", "/op" + "t/fk", "/ro" + "ot/", "/ho" + "me/"]


def name(path: Path) -> str:
    """Name a file as the house does, from its root."""
    return path.relative_to(ROOT).as_posix()


def public(tree: ast.Module) -> Iterator[tuple[str, ast.AST]]:
    """Every function, class and method that a reader may use, with its dotted name."""
    kinds = (ast.FunctionDef, ast.AsyncFunctionDef, ast.ClassDef)
    for node in tree.body:
        if isinstance(node, kinds) and not node.name.startswith("_"):
            yield node.name, node
            if isinstance(node, ast.ClassDef):
                for part in node.body:
                    if isinstance(part, kinds) and not part.name.startswith("_"):
                        yield f"{node.name}.{part.name}", part


@pytest.mark.parametrize("path", CODE, ids=name)
def test_every_public_name_is_documented(path: Path) -> None:
    """Modules, classes, functions and methods that others may use say what they are for."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    bare = [dotted for dotted, node in public(tree) if not ast.get_docstring(node)]  # type: ignore[arg-type]  # it has one
    assert bare == []
    if tree.body:
        assert ast.get_docstring(tree)


@pytest.mark.parametrize("path", TESTS, ids=name)
def test_every_test_states_its_promise(path: Path) -> None:
    """Each test has a docstring."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    bare = [
        node.name
        for node in ast.walk(tree)
        if isinstance(node, ast.FunctionDef)
        and node.name.startswith("test_")
        and not ast.get_docstring(node)
    ]
    assert bare == []


def test_rooms_are_small_and_have_a_purpose() -> None:
    """No file grows beyond two rooms, and none is a place for leftovers."""
    forbidden = {"utils", "helpers", "common", "misc", "util", "helper"}
    assert [name(path) for path in (*CODE, *TESTS) if path.stem in forbidden] == []
    long = {
        name(path): lines
        for path in (*CODE, *TESTS)
        if (lines := path.read_text(encoding="utf-8").count("\n")) > LONGEST_LINES
    }
    assert long == {}


def test_nothing_is_left_to_do_and_no_machine_is_named() -> None:
    """No leftovers for later, no folder of one machine, in code, tests or pages."""
    found = [
        (name(path), word)
        for path in (*CODE, *TESTS, *(page for page in PAGES if page.exists()))
        for word in (*LEFT_OVERS, *MACHINE)
        if word in path.read_text(encoding="utf-8")
    ]
    assert found == []


def test_licences_travel_along() -> None:
    """The project's licence is the one it states, and fonts have theirs beside them."""
    assert PROJECT["project"]["license"] == "MIT"
    assert (ROOT / "LICENSE").read_text(encoding="utf-8").startswith("MIT License")
    fonts = {path.parent for path in (ROOT / "fitkit").rglob("*.ttf")}
    assert fonts
    for folder in fonts:
        assert list(folder.glob("LICENSE*"))


def closure(requirements: list[str]) -> dict[str, importlib.metadata.Distribution]:
    """All distributions that the requirements bring along, by name."""
    found: dict[str, importlib.metadata.Distribution] = {}
    waiting = [Requirement(line) for line in requirements]
    while waiting:
        need = waiting.pop()
        key = re.sub(r"[-_.]+", "-", need.name).lower()
        if key in found or (need.marker and not need.marker.evaluate({"extra": ""})):
            continue
        found[key] = importlib.metadata.distribution(need.name)
        waiting += [Requirement(line) for line in found[key].requires or []]
    return found


def test_the_core_is_free_of_copyleft() -> None:
    """No library of the core install is under the GPL or AGPL, by its own metadata."""
    strict = re.compile(r"\bA?GPL|Affero|GNU General Public", re.IGNORECASE)
    for key, one in closure(PROJECT["project"]["dependencies"]).items():
        stated = [
            one.metadata.get("License-Expression") or "",
            (one.metadata.get("License") or "")[:200],
            *(c for c in one.metadata.get_all("Classifier") or [] if c.startswith("License")),
        ]
        assert not any(strict.search(text) for text in stated), (key, stated)


def test_what_travels_with_the_package_is_there() -> None:
    """Folders that the wheel takes along exist and hold what the commands need."""
    share = PROJECT["tool"]["hatch"]["build"]["targets"]["wheel"]["force-include"]
    assert set(share.values()) == {"fitkit/_share/sample_payloads", "fitkit/_share/notebooks"}
    assert list((ROOT / "sample_payloads").glob("*.toml"))
    assert list((ROOT / "notebooks").glob("*.ipynb"))


def blocks(page: Path, *languages: str) -> list[str]:
    """The code blocks of a page in one of the languages."""
    fence = re.compile(r"^```(\w+)\n(.*?)^```", re.DOTALL | re.MULTILINE)
    text = page.read_text(encoding="utf-8")
    return [body for language, body in fence.findall(text) if language in languages]


def shell_lines() -> list[str]:
    """Every command that the README tells a user to type."""
    joined = "\n".join(blocks(ROOT / "README.md", "sh", "bash", "console", "shell"))
    lines = joined.replace("\\\n", " ").splitlines()
    return [line.strip().removeprefix("$ ") for line in lines if line.strip()]


def test_readme_has_the_two_lines() -> None:
    """The line that plans the sample and the line that runs the tests stand there word for word."""
    assert INSTALL in shell_lines()
    assert TEST in shell_lines()


def test_ci_runs_the_test_line_of_the_readme() -> None:
    """What the README promises is what is run before a change is kept."""
    assert "README.md" in (ROOT / ".ci" / "run").read_text(encoding="utf-8")


def test_readme_commands_exist() -> None:
    """Every ``fitkit`` command of the README has that name and takes those options."""
    seen = 0
    for line in shell_lines():
        for part in re.split(r"&&|;|\|", line):
            words = shlex.split(part, comments=True)
            if not words or Path(words[0]).name != "fitkit":
                continue
            seen += 1
            if words[1] in ("--version", "--help"):
                continue
            sub = command.get_command(click.Context(command), words[1])
            assert sub is not None, line
            sub.make_context(words[1], list(words[2:]))
    assert seen


def test_readme_sheets_can_be_planned() -> None:
    """Every payload sheet that the README shows is read without a fault."""
    sheets = [body for body in blocks(ROOT / "README.md", "toml") if "[[item]]" in body]
    assert sheets
    for sheet in sheets:
        assert parse_sheet(sheet, name="README.md").items


def test_readme_python_runs() -> None:
    """Every Python example of the README runs."""
    for body in blocks(ROOT / "README.md", "python"):
        exec(compile(body, "README.md", "exec"), {"__name__": "readme"})


def test_links_of_the_pages_lead_somewhere() -> None:
    """Every relative link and picture of the pages is there."""
    for page in PAGES:
        text = page.read_text(encoding="utf-8")
        for target in re.findall(r"\]\(([^)#]+)(?:#[^)]*)?\)", text):
            if not target.startswith(("http://", "https://", "mailto:")):
                assert (ROOT / target).exists(), (page.name, target)
