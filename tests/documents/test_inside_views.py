"""Drawings of what closes, runs and swings: made where there is something, written and shown."""

from __future__ import annotations

from pathlib import Path

import pytest
from attrs import evolve

from fitkit.documents import files
from fitkit.documents.files import write_all
from fitkit.documents.inside_views import inside_views, names_of
from fitkit.plan import Plan
from fitkit.scene import Rendering
from mounted_plans import lid, pair, shell_of
from shell_kits import with_shell


def test_drawings_are_made_for_what_there_is(plan: Plan) -> None:
    """All three for the pair; no cables in the lid; none for plain foam, with a shell or without.

    The names that are told beforehand are those of the drawings.
    """
    wanted = {
        "pair": (pair(), ("closing-section", "cables", "use")),
        "lid": (lid(), ("closing-section", "use")),
        "foam": (with_shell(plan), ()),
        "no shell": (evolve(plan, shell=None), ()),
    }
    for one, names in wanted.values():
        assert names_of(one) == names
        assert tuple(name for name, _ in inside_views(one).all) == names


def test_a_case_that_stands_on_its_side_is_shown_in_use(plan: Plan) -> None:
    """Upright use alone is reason enough for the picture; flat use of a plain box is none."""
    fitted = with_shell(plan)
    workshop = fitted.payload.workshop
    hardware = evolve(workshop.hardware, use="upright")
    upright = evolve(fitted.payload, workshop=evolve(workshop, hardware=hardware))
    assert names_of(evolve(fitted, payload=upright)) == ("use",)


@pytest.mark.parametrize("make", ["pair", "lid"])
def test_every_document_of_mounted_gear_is_written_and_counted(
    make: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """All or nothing: each list and drawing is there, what is told beforehand is what comes.

    Without foam there is no template, no drawing of layers and no file in its folder.
    """
    plan = {"pair": pair, "lid": lid}[make]()
    monkeypatch.setattr(files, "png", lambda sheet: sheet.title.encode())
    monkeypatch.setattr(files, "exploded_picture", lambda plan: Rendering(b"seen by others"))
    told: list[tuple[str, int, int]] = []
    written = write_all(plan, tmp_path, progress=lambda *step: told.append(step))
    paths = {one.path for one in written}
    assert {total for _, _, total in told} == {len(written)}
    assert [done for _, done, _ in told] == list(range(1, len(written) + 1))
    assert {f"views/{name}.png" for name in names_of(plan)} <= paths
    assert "shell/supports.pdf" in paths
    foam = {path for path in paths if path.startswith("foam/") or path == "views/layers.png"}
    assert bool(foam) is bool(plan.foam.layers)
    page = (tmp_path / "index.html").read_text(encoding="utf-8")
    for name in names_of(plan):
        assert page.count(f'<figure id="{name}">') == 1
    assert len(shell_of(plan).supports) > 0
