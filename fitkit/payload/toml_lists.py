"""Values within values of a TOML text: entries of lists, and pairs of tables in braces.

All functions take a text with bare line feeds and its :class:`~fitkit.payload.toml_lines.Places`,
and return the edited text. They do not judge: the caller reads the result back.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from fitkit.payload.toml_lines import Path, Places, Span


def without(text: str, found: Places, path: Path) -> str:
    """The text without the value at ``path``, and without the lines that were its own."""
    span = found.spans[path]
    around = _container(found, path)
    own = _own_lines(text, span)
    if around is None or own:
        first = text.rfind("\n", 0, span.key) + 1
        after = text.find("\n", span.end)
        return text[:first] + (text[after + 1 :] if after >= 0 else "")
    beside = _inside(found, around)
    k = beside.index(span)
    if k + 1 < len(beside) and "#" not in text[span.end : beside[k + 1].key]:
        return text[: span.key] + text[beside[k + 1].key :]
    if k and "#" not in text[beside[k - 1].end : span.key]:
        return text[: beside[k - 1].end] + text[span.end :]
    if len(beside) > 1:  # comments stand around it: only it and its comma go
        after = span.end + (text[span.end :].index(",") + 1 if _comma(text, span.end) else 0)
        return text[: span.key] + text[after:]
    whole = found.spans[around]
    return text[: whole.start] + text[whole.start] + text[whole.end - 1] + text[whole.end :]


def with_pair(text: str, found: Places, table: Path, pair: str) -> str:
    """The text with one more pair in a table written in braces."""
    pairs = _inside(found, table)
    if pairs:
        return f"{text[: pairs[-1].end]}, {pair}{text[pairs[-1].end :]}"
    span = found.spans[table]
    return f"{text[: span.start]}{{ {pair} }}{text[span.end :]}"


def inserted(
    text: str, found: Places, path: Path, new: str, index: int, entries: Sequence[Any]
) -> str:
    """The text with one more entry in a list, before its entry ``index`` or last."""
    span = found.spans[path]
    beside = _inside(found, path)
    written = text[span.start : span.end]
    alone = not any(path[:size] in found.spans for size in range(1, len(path)))
    if not beside:
        return f"{text[: span.start]}[{new}]{text[span.end :]}"
    if all(_own_lines(text, one) for one in beside):
        near = beside[min(index, len(beside) - 1)]
        indent = text[text.rfind("\n", 0, near.key) + 1 : near.key]
        if index < len(beside):
            at = near.key - len(indent)
            return f"{text[:at]}{indent}{new},\n{text[at:]}"
        comma = "" if _comma(text, near.end) else ","
        at = text.find("\n", near.end)
        return f"{text[: near.end]}{comma}{text[near.end : at]}\n{indent}{new},{text[at:]}"
    spread = any(isinstance(entry, dict) for entry in entries) and alone
    if spread and "\n" not in written and "#" not in written:
        start = text.rfind("\n", 0, span.key) + 1
        indent = text[start : span.key]
        rows = [text[one.start : one.end] for one in beside]
        rows.insert(index, new)
        body = "".join(f"{indent}  {row},\n" for row in rows)
        return f"{text[: span.start]}[\n{body}{indent}]{text[span.end :]}"
    if index < len(beside):
        return f"{text[: beside[index].key]}{new}, {text[beside[index].key :]}"
    return f"{text[: beside[-1].end]}, {new}{text[beside[-1].end :]}"


def ordered(text: str, found: Places, path: Path, order: Sequence[int]) -> str:
    """The text with a list's entries in another order, each with the comment on its line."""
    beside = _inside(found, path)
    own = all(_own_lines(text, one) for one in beside)
    pieces: list[str] = []
    at = 0
    for k, span in enumerate(beside):
        source = beside[order[k]]
        pieces += [text[at : span.start], text[source.start : source.end]]
        at = span.end
        if own:
            tail = text[source.end : text.find("\n", source.end)]
            comma = "" if _comma(text, source.end) else ","
            pieces.append(comma + tail)
            at = text.find("\n", span.end)
    return "".join([*pieces, text[at:]])


def _container(found: Places, path: Path) -> Path | None:
    """The value that holds the one at ``path``; None where a table with a heading does."""
    for size in range(len(path) - 1, 0, -1):
        if path[:size] in found.spans:
            return path[:size]
    return None


def _inside(found: Places, path: Path) -> list[Span]:
    """The values held directly by the value at ``path``, in the order of the text."""
    held = [
        span
        for other, span in found.spans.items()
        if len(other) > len(path) and _container(found, other) == path
    ]
    return sorted(held, key=lambda span: span.key)


def _own_lines(text: str, span: Span) -> bool:
    """Whether nothing but a comma and a comment shares the lines of a value."""
    first = text.rfind("\n", 0, span.key) + 1
    after = text.find("\n", span.end)
    if text[first : span.key].strip() or after < 0:
        return False
    rest = text[span.end : after].strip().removeprefix(",").lstrip()
    return not rest or rest.startswith("#")


def _comma(text: str, end: int) -> bool:
    """Whether a comma follows, on the same line."""
    return text[end:].lstrip(" \t").startswith(",")
