"""Writing a folder: all or nothing, and nothing on disk is lost."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest
from attrs import evolve

import fitkit.documents.files as files
from fitkit.documents.files import Written, write_all
from fitkit.errors import BadInput
from fitkit.plan import Plan
from fitkit.plan_json import read_plan, read_written
from fitkit.scene import Rendering

PICTURE = b"\x89PNG drawn elsewhere"
REAL = {name: getattr(files, name) for name in ("png", "templates_pdf")}


@pytest.fixture(autouse=True)
def _quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """A few bytes stand in for pictures and templates, which have tests of their own."""
    monkeypatch.setattr(files, "exploded_picture", lambda plan: Rendering(PICTURE))
    monkeypatch.setattr(files, "png", lambda sheet: sheet.title.encode())
    monkeypatch.setattr(files, "templates_pdf", lambda plan, paper: repr(plan.outside_mm).encode())


@pytest.fixture(scope="module")
def small(plan: Plan) -> Plan:
    """The demo plan with two layers, so that tests are quick."""
    return evolve(plan, foam=evolve(plan.foam, layers=(plan.foam.layers[0], plan.foam.layers[-1])))


def contents(folder: Path) -> dict[str, bytes]:
    """Every file in the folder."""
    return {
        p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()
    }


def test_everything_is_written_and_listed(small: Plan, tmp_path: Path) -> None:
    """The folder holds just the files of the answer, by their SHA-256; plan.json lists them."""
    told: list[tuple[str, int, int]] = []
    written = write_all(small, tmp_path / "build", progress=lambda *step: told.append(step))
    found = contents(tmp_path / "build")
    assert set(found) == {entry.path for entry in written}
    assert all(hashlib.sha256(found[e.path]).hexdigest() == e.sha256 for e in written)
    wanted = (
        "foam/deep-01.dxf foam/deep-01.svg foam/templates.pdf views/deep.png views/layers.png "
        "views/exploded.png lists/items.csv index.html plan.json"
    )
    assert set(wanted.split()) <= set(found)
    listed = [(e.path, e.sha256) for e in read_written(tmp_path / "build" / "plan.json")]
    assert listed == [(e.path, e.sha256) for e in written[:-1]]
    assert [name for name, _, _ in told] == [e.path for e in written]
    assert told[-1][1:] == (len(written), len(written))
    assert all(total == len(written) for _, _, total in told)


def test_a_saved_plan_gives_the_same_bytes(
    small: Plan, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Documents made twice, and from the plan read back from its file, are equal byte for byte."""
    for name, real in REAL.items():
        monkeypatch.setattr(files, name, real)
    write_all(small, tmp_path / "a")
    write_all(small, tmp_path / "b")
    write_all(read_plan(tmp_path / "a" / "plan.json"), tmp_path / "c")
    assert contents(tmp_path / "a") == contents(tmp_path / "b") == contents(tmp_path / "c")


def test_foreign_files_are_left_alone(small: Plan, tmp_path: Path) -> None:
    """A note of the builder stays; one in the way of a document is kept beside it."""
    (tmp_path / "foam").mkdir()
    (tmp_path / "notes.txt").write_text("mind the reel")
    (tmp_path / "foam" / "deep-01.dxf").write_text("drawn by hand")
    write_all(small, tmp_path)
    assert (tmp_path / "notes.txt").read_text() == "mind the reel"
    assert (tmp_path / "foam" / "deep-01.dxf.kept-1").read_text() == "drawn by hand"
    assert "drawn by hand" not in (tmp_path / "foam" / "deep-01.dxf").read_text("cp1252")


def test_a_plan_json_that_is_no_plan_is_kept(small: Plan, tmp_path: Path) -> None:
    """A foreign plan.json is not overwritten."""
    (tmp_path / "plan.json").write_text('{"mine": true}')
    write_all(small, tmp_path)
    assert (tmp_path / "plan.json.kept-1").read_text() == '{"mine": true}'
    assert read_plan(tmp_path / "plan.json").payload.title == small.payload.title


def test_stale_files_go_only_if_unchanged(small: Plan, tmp_path: Path) -> None:
    """Layers that are gone lose their files; one that the builder edited stays where it is."""
    write_all(small, tmp_path)
    (tmp_path / "foam" / "shallow-03.svg").write_text("edited")
    fewer = evolve(small, foam=evolve(small.foam, layers=small.foam.layers[:1]))
    written = write_all(fewer, tmp_path)
    assert not (tmp_path / "foam" / "shallow-03.dxf").exists()
    assert (tmp_path / "foam" / "shallow-03.svg").read_text() == "edited"
    assert set(contents(tmp_path)) == {e.path for e in written} | {"foam/shallow-03.svg"}


def test_an_edited_document_is_kept_when_made_again(small: Plan, tmp_path: Path) -> None:
    """A list that the builder changed is kept beside the new one; an unchanged one is replaced."""
    write_all(small, tmp_path)
    (tmp_path / "lists" / "items.csv").write_text("my own")
    write_all(small, tmp_path)
    assert (tmp_path / "lists" / "items.csv.kept-1").read_text() == "my own"
    kept = [name for name in contents(tmp_path) if ".kept-" in name]
    assert kept == ["lists/items.csv.kept-1"]


def test_nothing_changes_when_a_document_cannot_be_made(
    small: Plan, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A failure half way leaves the folder as it was, to the byte."""
    write_all(small, tmp_path)
    before = contents(tmp_path)

    def broken(*args: object, **kwargs: object) -> str:
        raise RuntimeError("no ink")

    monkeypatch.setattr(files, "page", broken)
    with pytest.raises(RuntimeError, match="no ink"):
        write_all(evolve(small, outside_mm=(1.0, 2.0, 3.0)), tmp_path)
    assert contents(tmp_path) == before


@pytest.mark.parametrize("fails_at", [1, 7, 15, 20])
def test_nothing_changes_when_renaming_fails(
    small: Plan, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, fails_at: int
) -> None:
    """A disk that gives up while files are renamed: all is put back, and the builder is told."""
    write_all(small, tmp_path)
    (tmp_path / "lists" / "items.csv").write_text("my own")
    before = contents(tmp_path)
    rename, count = Path.rename, 0

    def fragile(self: Path, target: Path) -> Path:
        nonlocal count
        count += 1
        if count == fails_at:
            raise OSError(28, "No space left on device")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", fragile)
    with pytest.raises(BadInput, match="No space left"):
        write_all(evolve(small, outside_mm=(400.0, 300.0, 200.0)), tmp_path)
    assert contents(tmp_path) == before


def test_a_folder_that_cannot_be_written_is_refused_before_any_work(
    small: Plan, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A file in the way, above or in place of the folder: a fault names it, nothing is drawn."""
    monkeypatch.setattr(files, "documents", lambda *a, **k: pytest.fail("work was begun"))
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    for folder in (blocked, blocked / "build"):
        with pytest.raises(BadInput) as caught:
            write_all(small, folder)
        assert str(folder) in str(caught.value)
    assert contents(tmp_path) == {"file": b"in the way"}


def test_a_folder_without_rights_is_refused_and_not_left_behind(
    small: Plan, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the folder can be made but not written, the fault says so and it is gone again."""

    def denied(**kwargs: object) -> str:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(files.tempfile, "mkdtemp", denied)
    with pytest.raises(BadInput, match="Permission denied"):
        write_all(small, tmp_path / "a" / "b")
    assert not (tmp_path / "a").exists()


def test_a_listed_path_outside_the_folder_is_never_touched(small: Plan, tmp_path: Path) -> None:
    """A plan.json that lists ../precious.txt cannot make fitkit remove it."""
    build = tmp_path / "build"
    write_all(small, build)
    precious = tmp_path / "precious.txt"
    precious.write_text("keep")
    text = (build / "plan.json").read_text()
    digest = hashlib.sha256(b"keep").hexdigest()
    first = Written(*next((e.path, e.sha256) for e in read_written(build / "plan.json")))
    (build / "plan.json").write_text(
        text.replace(f'"{first.path}"', '"../precious.txt"').replace(first.sha256, digest)
    )
    write_all(small, build)
    assert precious.read_text() == "keep"
