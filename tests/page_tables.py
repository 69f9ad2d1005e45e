"""A page of ours as a reader of HTML sees it: headings, tables, links and text."""

from __future__ import annotations

from html.parser import HTMLParser


class Tables(HTMLParser):
    """Headings and tables, cell by cell; a tag that is not closed in order fails."""

    def __init__(self) -> None:
        """Nothing read yet."""
        super().__init__()
        self.open: list[str] = []
        self.headings: list[str] = []
        self.rows: dict[str, list[list[str]]] = {}
        self.links: list[str] = []
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """A tag opens."""
        if tag not in ("meta", "img", "br"):
            self.open.append(tag)
        if tag in ("h2", "h3"):
            self.headings.append("")
        if tag == "tr":
            self.rows.setdefault(self.headings[-1], []).append([])
        if tag in ("td", "th"):
            self.rows[self.headings[-1]][-1].append("")
        if tag == "a":
            self.links.append(dict(attrs).get("href") or "")

    def handle_endtag(self, tag: str) -> None:
        """A tag closes: the last that was opened."""
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        """Text between tags."""
        if "style" in self.open:
            return
        self.text.append(data)
        if {"h2", "h3"} & set(self.open):
            self.headings[-1] += data
        elif {"td", "th"} & set(self.open):
            self.rows[self.headings[-1]][-1][-1] += data
