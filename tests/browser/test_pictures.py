"""Pictures of every view, compared with references that were looked at."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from browser.pictures import GOLDEN, PICTURES, Spoilt, apart
from lab_server import browsing

pytestmark = pytest.mark.browser

MEAN, MOST = 0.5, 30.0
"""How far the blocks may be apart, of 255: on average, and the one that is farthest.

Found by trying: the same page drawn again 0 and 0; with other smoothing and raster settings at
most 0.01 and 0.2, on a screen of other primaries 0.3 and 12 (light pages), with letters placed to
fractions of a pixel 0.3 and 27. Of the faults below the least is 2.7 on average where a whole face
has another colour, and 40 in one block elsewhere.
"""
FAULTS = [
    ("board-light", "[data-item='battery/6'] { display: none }"),
    ("board-light", ".fkb-gap { display: none }"),
    ("board-light", ".fkb-tight * { stroke: #24499E !important }"),
    ("board-light", ".fkb-feet { transform: translateX(10px) }"),
    ("board-light", ".fk-look { --fk-foam: #F3EFE4 !important }"),
    ("board-narrow", "[data-item='battery/6'] { display: none }"),
    ("board-dark", ".fkb-stage { transform: translateX(10px) }"),
    ("board-failing", ".fkb-items * { stroke-dasharray: none !important }"),
    ("foam", "svg path { stroke-dasharray: none !important }"),
    ("form", ".fk-look { --fk-ok: #1C805C !important }"),
    ("form", ".fkf-picture { transform: translateX(10px) }"),
    ("case-open", ".fk-view-names { display: none }"),
    ("case-open", "canvas { transform: translateX(10px) }"),
]
"""A missing item, a wrong colour or line, a panel out of its place: each must be seen."""


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """One Chromium for this file; every picture has a page of its own."""
    with browsing() as one:
        yield one


def reference(name: str) -> bytes:
    """The picture that was looked at."""
    return (GOLDEN / f"{name}.png").read_bytes()


def ruled(text: str) -> Spoilt:
    """The page with one more rule of style."""
    return lambda tab: tab.add_style_tag(content=text)


@pytest.mark.parametrize("name", PICTURES)
def test_it_looks_as_it_was_looked_at(browser: Any, name: str, tmp_path: Path) -> None:
    """The picture is the reference's; ``make_golden.py`` draws it anew where a change is meant."""
    now = PICTURES[name](browser)
    mean, most = apart(reference(name), now)
    if mean >= MEAN or most >= MOST:
        (tmp_path / f"{name}.png").write_bytes(now)
    assert (mean < MEAN, most < MOST) == (True, True), (
        f"{name} looks otherwise ({mean:.2f}, {most:.0f}): see {tmp_path / name}.png. Is it meant? "
        f"Then run python tests/browser/make_golden.py {name}, and look at it."
    )


@pytest.mark.parametrize(("name", "fault"), FAULTS)
def test_a_fault_is_seen(browser: Any, name: str, fault: str) -> None:
    """With something missing, miscoloured or out of place the picture is another one."""
    mean, most = apart(reference(name), PICTURES[name](browser, spoilt=ruled(fault)))
    assert mean >= MEAN or most >= MOST


def test_the_machines_type_and_smoothing_do_not_matter(browser: Any) -> None:
    """Set in the package's own type: other fallbacks and placing of letters pass, no other type."""
    others = (
        ".fk-look { font-family: 'IBM Plex Sans', 'Liberation Serif', serif !important }",
        "* { text-rendering: geometricPrecision; -webkit-font-smoothing: antialiased }",
    )
    for rule in others:
        mean, most = apart(
            reference("board-light"), PICTURES["board-light"](browser, spoilt=ruled(rule))
        )
        assert (mean < MEAN, most < MOST) == (True, True)
    mean, most = apart(
        reference("board-light"), PICTURES["board-light"](browser, family="monospace")
    )
    assert mean >= MEAN
    assert most >= MOST


def test_pictures_that_differ_in_size_are_not_alike() -> None:
    """A narrow picture is infinitely far from a wide one; every picture is 0 from itself."""
    wide, narrow = reference("board-light"), reference("board-narrow")
    assert apart(wide, wide) == (0.0, 0.0)
    assert apart(wide, narrow) == (float("inf"), float("inf"))
