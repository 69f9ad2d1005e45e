"""The page is whole by itself, says what the plan says, and lets no text become markup."""

from __future__ import annotations

import base64
import re
from html.parser import HTMLParser

import pytest

from fitkit.documents.layer_pictures import layers_sheet
from fitkit.documents.page import page
from fitkit.documents.plan_view import view_sheet, views_of
from fitkit.plan import Plan

PICTURE = b"\x89PNG not a real one"
VOID = {"meta", "img", "br", "link", "input", "hr"}


class Reader(HTMLParser):
    """Collects texts, tags and their attributes, and checks that tags are closed in order."""

    def __init__(self) -> None:
        """Nothing read yet."""
        super().__init__()
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.texts: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """A tag opens."""
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """A tag that has no end."""
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        """A tag closes: the last that was opened."""
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        """Text between tags."""
        if not self.open or self.open[-1] not in ("style", "script"):
            self.texts.append(data)


@pytest.fixture(scope="module")
def html(plan: Plan) -> str:
    """The demo plan's page."""
    views = views_of(plan)
    sheets = [
        (v.name, view_sheet(plan, v, number=k, total=3)) for k, v in enumerate(views, start=1)
    ]
    names = ["foam/deep-01.dxf", "lists/items.csv", "index.html", "plan.json"]
    layers = layers_sheet(plan, number=3, total=3)
    return page(plan, views=sheets, layers=layers, exploded=PICTURE, why="", names=names)


@pytest.fixture(scope="module")
def read(html: str) -> Reader:
    """The page, read."""
    reader = Reader()
    reader.feed(html)
    assert not reader.open
    return reader


def test_the_page_needs_nothing_from_outside(html: str, read: Reader) -> None:
    """No script, no address of any server; pictures are in the page; links go to written files."""
    assert "script" not in {tag for tag, _ in read.tags}
    assert not re.search(r"(?:src|href)=\"(?:https?:)?//", html)
    assert "@import" not in html
    images = [attrs["src"] for tag, attrs in read.tags if tag == "img"]
    assert images == ["data:image/png;base64," + base64.b64encode(PICTURE).decode()]


def test_key_figures_are_there(plan: Plan, read: Reader) -> None:
    """Interior, outside, mass, and how far from the least, in words."""
    text = " ".join(" ".join(read.texts).split())
    for words in (
        "480 × 300 × 200 mm",
        "499 × 319 × 219 mm",
        "12.3 kg",
        "At most 4.3 % above the least",
        "plan area by height",
    ):
        assert words in text


def test_findings_come_worst_first_with_their_sentences(plan: Plan, read: Reader) -> None:
    """Every finding has its tag, numbers and sentence; what fails stands on top."""
    tags = [
        attrs["class"]
        for tag, attrs in read.tags
        if tag == "span" and (attrs.get("class") or "").startswith("tag")
    ]
    assert tags[-4:] == ["tag fails", "tag tight", "tag unknown", "tag ok"]
    text = " ".join(" ".join(read.texts).split())
    for finding in plan.findings:
        assert finding.note in text
        assert finding.subject in text


def test_user_text_never_becomes_markup(html: str, read: Reader) -> None:
    """The item <fuse> is shown as typed, in tables and drawings, and is no element."""
    assert "fuse" not in {tag for tag, _ in read.tags}
    assert "<fuse>" in "".join(read.texts)
    assert "<fuse>" not in html


def test_drawings_follow_the_theme(html: str, read: Reader) -> None:
    """Colours in drawings are the page's variables, each of them set; both themes are there."""
    used = set(re.findall(r"var\((--[a-z-]+)\)", html))
    assert used <= set(re.findall(r"(--[a-z-]+):", html))
    assert "prefers-color-scheme:dark" in html
    ids = [attrs["id"] for tag, attrs in read.tags if tag == "pattern"]
    assert len(ids) == len(set(ids)) > 0
    assert set(re.findall(r"url\(#([\w-]+)\)", html)) == set(ids)


def test_assumptions_cautions_and_files_are_listed(plan: Plan, read: Reader) -> None:
    """Each assumption as a sentence, the caution for blades and lifting, every file as a link."""
    text = " ".join(" ".join(read.texts).split())
    assert all(sentence in text for sentence in plan.payload.assumptions)
    assert "cut away from your hands" in text
    assert "Local rules" in text
    links = [attrs["href"] for tag, attrs in read.tags if tag == "a"]
    assert {"foam/deep-01.dxf", "lists/items.csv", "plan.json"} <= set(links)


def test_a_missing_picture_is_explained(plan: Plan) -> None:
    """Without a picture in three dimensions the page says why, and stays whole."""
    text = page(
        plan,
        views=[],
        layers=layers_sheet(plan, number=1, total=1),
        exploded=None,
        why="no driver <here>",
        names=[],
    )
    assert "No picture in three dimensions: no driver &lt;here&gt;" in text
    assert "<img" not in text
