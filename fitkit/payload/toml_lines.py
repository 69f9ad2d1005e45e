"""On which line of a TOML text each key stands.

The standard library reads TOML but forgets where it read it. This scanner walks over a text that
has already been read without error and notes a line for every key, table and list entry; it does
not judge the text, so it may be simple.

A path is a tuple of keys and list positions (from 0): ``("item", 2, "zone", 0, "face")``.
"""

from __future__ import annotations

import tomllib

from attrs import frozen

Path = tuple[str | int, ...]


@frozen
class Span:
    """Where a value stands in a text: its key's first character, its own first, and its end.

    For an entry of a list ``key`` is where the entry starts.
    """

    key: int
    start: int
    end: int


@frozen
class Header:
    """A table's heading: where its brackets start, the line after it, and which table it opens."""

    at: int
    end: int
    path: Path
    many: bool


@frozen
class Places:
    """Where everything stands in a TOML text whose lines end with a line feed alone."""

    lines: dict[Path, int]
    spans: dict[Path, Span]
    headers: tuple[Header, ...]


def key_lines(text: str) -> dict[Path, int]:
    r"""The line (from 1) of every key, table and list entry of a valid TOML ``text``.

    >>> lines = key_lines('title = "kit"\n[[item]]\nname = "a"\n[[item]]\nsize = [1,\n  2]\n')
    >>> lines[("title",)], lines[("item", 1)], lines[("item", 1, "size", 1)]
    (1, 4, 6)
    """
    return _Scanner(text.replace("\r\n", "\n")).run()


def places(text: str) -> Places:
    r"""Lines, spans and headings of a valid TOML ``text``; line ends must be bare line feeds.

    >>> found = places('[case]\ntiers = 2  # at most\n')
    >>> found.spans[("case", "tiers")], found.headers[0].path
    (Span(key=7, start=15, end=16), ('case',))
    """
    scanner = _Scanner(text)
    lines = scanner.run()
    return Places(lines, scanner.spans, tuple(scanner.headers))


def line_of(lines: dict[Path, int], path: Path) -> int | None:
    """The line of ``path``, or of the nearest thing that holds it; None for the whole sheet."""
    for size in range(len(path), 0, -1):
        if path[:size] in lines:
            return lines[path[:size]]
    return None


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.line = 1
        self.lines: dict[Path, int] = {}
        self.spans: dict[Path, Span] = {}
        self.headers: list[Header] = []
        self.counts: dict[Path, int] = {}

    def run(self) -> dict[Path, int]:
        table: Path = ()
        while self._skip(newlines=True):
            if self._char() == "[":
                start, many = self.at, self.text.startswith("[[", self.at)
                self._step(2 if many else 1)
                table = self._entered(self._keys(), many=many)
                self._step(2 if many else 1)
                self.headers.append(Header(start, self._line_end(), table, many))
            else:
                self._pair(table)
        return self.lines

    def _entered(self, keys: list[str], *, many: bool) -> Path:
        """The path of a table header; a list of tables is entered at its newest entry."""
        path: Path = ()
        for key in keys[:-1]:
            path = (*path, key)
            self.lines.setdefault(path, self.line)
            if path in self.counts:
                path = (*path, self.counts[path])
        path = (*path, keys[-1])
        self.lines.setdefault(path, self.line)
        if many:
            self.counts[path] = self.counts.get(path, -1) + 1
            path = (*path, self.counts[path])
            self.lines[path] = self.line
        return path

    def _pair(self, table: Path) -> None:
        start, key_at = self.line, self.at
        path = table
        for key in self._keys():
            path = (*path, key)
            self.lines.setdefault(path, start)
        self._skip()
        self._step()  # the equals sign
        self._skip()
        self._spanned(path, key_at)

    def _keys(self) -> list[str]:
        keys = []
        while True:
            self._skip()
            if self._char() in "\"'":
                start = self.at
                self._string()
                quoted = self.text[start : self.at]
                keys.append(str(tomllib.loads(f"key = {quoted}")["key"]))
            else:
                start = self.at
                while self._char() not in " \t.=]\n":
                    self._step()
                keys.append(self.text[start : self.at])
            self._skip()
            if self._char() != ".":
                return keys
            self._step()

    def _spanned(self, path: Path, key_at: int) -> None:
        """A value, with the place where it stands."""
        start = self.at
        self._value(path)
        written = self.text[start : self.at]
        self.spans[path] = Span(key_at, start, start + len(written.rstrip(" \t\r")))

    def _line_end(self) -> int:
        """The start of the next line."""
        end = self.text.find("\n", self.at)
        return len(self.text) if end < 0 else end + 1

    def _value(self, path: Path) -> None:
        char = self._char()
        if char in "\"'":
            self._string()
        elif char == "[":
            self._step()
            index = 0
            while self._skip(newlines=True) and self._char() != "]":
                if self._char() == ",":
                    self._step()
                    continue
                self.lines[(*path, index)] = self.line
                self._spanned((*path, index), self.at)
                index += 1
            self._step()
        elif char == "{":
            self._step()
            while self._skip(newlines=True) and self._char() != "}":
                if self._char() == ",":
                    self._step()
                    continue
                self._pair(path)
            self._step()
        else:
            while self._char() not in ",]}#\n":
                self._step()

    def _string(self) -> None:
        quote = self._char()
        closing = quote * 3 if self.text.startswith(quote * 3, self.at) else quote
        self._step(len(closing))
        while self.at < len(self.text) and not self.text.startswith(closing, self.at):
            self._step(2 if quote == '"' and self._char() == "\\" else 1)
        self._step(len(closing))
        while len(closing) == 3 and self._char() == quote:  # quotes that belong to the text
            self._step()

    def _skip(self, *, newlines: bool = False) -> bool:
        """Past blanks, comments and, if asked, line ends; false at the end of the text."""
        while self.at < len(self.text):
            char = self._char()
            if char == "#":
                while self._char() != "\n":
                    self._step()
            elif char in " \t" or (newlines and char == "\n"):
                self._step()
            else:
                return True
        return False

    def _char(self) -> str:
        """The character at hand; a line end after the last one."""
        return self.text[self.at] if self.at < len(self.text) else "\n"

    def _step(self, count: int = 1) -> None:
        self.line += self.text.count("\n", self.at, self.at + count)
        self.at += count
