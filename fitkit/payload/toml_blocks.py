"""Blocks of a TOML text: a heading with its keys and the comments that touch it.

All functions take a text with bare line feeds and its :class:`~fitkit.payload.toml_lines.Places`,
and return the edited text. They do not judge: the caller reads the result back.
"""

from __future__ import annotations

from collections.abc import Sequence

from fitkit.payload.toml_lines import Header, Path, Places


def block_span(text: str, found: Places, path: Path) -> tuple[int, int]:
    """Start and end of the block at ``path``; KeyError if it has no heading of its own."""
    k = _index(found, path)
    heads = found.headers
    last = k
    while last + 1 < len(heads) and heads[last + 1].path[: len(path)] == path:
        last += 1
    following = heads[last + 1] if last + 1 < len(heads) else None
    return _touching(text, heads[k]), _end(text, heads[last], following)


def block(text: str, found: Places, path: Path) -> str:
    """The text of a block, ending with a line feed."""
    start, end = block_span(text, found, path)
    return _whole(text[start:end])


def without(text: str, found: Places, path: Path) -> str:
    """The text without a block, and without the blank line that would be left over."""
    start, end = block_span(text, found, path)
    before, after = text[:start], text[end:]
    if after.startswith("\n") and (not before or before.endswith("\n\n")):
        after = after[1:]
    if not after.strip():
        return _whole(before.rstrip("\n") + "\n" + after.lstrip("\n")) if before.strip() else after
    return before + after


def inserted(text: str, found: Places, path: Path, new: str, index: int) -> str:
    """The text with a block in the list at ``path``, before its entry ``index`` or last."""
    count = sum(1 for head in found.headers if head.path[:-1] == path and head.many)
    if index < count:
        start, _ = block_span(text, found, (*path, index))
        return f"{text[:start]}{_whole(new)}\n{text[start:]}"
    if count:
        _, end = block_span(text, found, (*path, count - 1))
    elif any(head.path == path[:-1] for head in found.headers):
        _, end = block_span(text, found, path[:-1])
    else:
        end = len(text.rstrip("\n"))
    before = _whole(text[:end])
    return f"{before}{_gap(before)}{_whole(new)}{text[end:].removeprefix(_line_feed(text, end))}"


def ordered(text: str, found: Places, path: Path, order: Sequence[int]) -> str:
    """The text with the blocks of a list in another order; what stands between them stays."""
    spans = [block_span(text, found, (*path, k)) for k in range(len(order))]
    pieces = [text[: spans[0][0]]]
    for k, (_, end) in enumerate(spans):
        start, stop = spans[order[k]]
        pieces.append(_whole(text[start:stop]))
        between = text[end : spans[k + 1][0]] if k + 1 < len(spans) else text[end:]
        pieces.append(between)
    return "".join(pieces)


def with_key(text: str, found: Places, path: Path, line: str) -> str:
    """The text with one more key in the table at ``path`` (the sheet itself is ``()``)."""
    if path:
        k = _index(found, path)
        start = found.headers[k].end
        following = found.headers[k + 1] if k + 1 < len(found.headers) else None
        indent = _indent(text, found.headers[k].at)
    else:
        start, indent = 0, ""
        following = found.headers[0] if found.headers else None
    stop = following.at if following is not None else len(text)
    ends = [(span.end, span.key) for span in found.spans.values() if start <= span.key < stop]
    if ends:
        end = max(end for end, _ in ends)
        at = text.find("\n", end) + 1 or len(text)
        owner = max(
            (
                span
                for q, span in found.spans.items()
                if start <= span.key < stop and _top(found, q)
            ),
            key=lambda span: span.key,
        )
        indent = _indent(text, owner.key)
    elif path or following is None:
        at = start if path else len(text)
    else:
        at = _touching(text, following)
        line = f"{line}\n"
    return f"{_whole(text[:at]) if at else ''}{indent}{line}\n{text[at:]}"


def with_table(text: str, found: Places, new: str, *, before: Sequence[str]) -> str:
    """The text with one more table, before the first of the tables named in ``before``."""
    heads = found.headers
    k = next((k for k, head in enumerate(heads) if head.path[0] in before), None)
    if k is None:
        start = _whole(text.rstrip("\n")) if text.strip() else ""
        return f"{start}{_gap(start)}{new}"
    if k:
        at = _end(text, heads[k - 1], heads[k])
    else:
        ends = [span.end for span in found.spans.values() if span.key < heads[0].at]
        at = (text.find("\n", max(ends)) + 1) if ends else _touching(text, heads[0])
        if not ends:
            return f"{text[:at]}{new}\n{text[at:]}"
    below = text[at:]
    gap = "" if below.startswith("\n") or not below else "\n"
    return f"{text[:at]}\n{new}{gap}{below}"


def _index(found: Places, path: Path) -> int:
    for k, head in enumerate(found.headers):
        if head.path == path:
            return k
    raise KeyError(path)


def _top(found: Places, path: Path) -> bool:
    """Whether a value stands on its own, not within another."""
    return not any(path[:size] in found.spans for size in range(1, len(path)))


def _line_start(text: str, at: int) -> int:
    return text.rfind("\n", 0, at) + 1


def _indent(text: str, at: int) -> str:
    line = text[_line_start(text, at) : at]
    return line if not line.strip() else ""


def _touching(text: str, head: Header) -> int:
    """Where a heading starts, with the comments right above it."""
    start = _line_start(text, head.at)
    while start:
        above = _line_start(text, start - 1)
        if not text[above:start].lstrip().startswith("#"):
            break
        start = above
    return start


def _end(text: str, head: Header, following: Header | None) -> int:
    """Where a table's own text ends: after its last key and the comments that touch it."""
    stop = len(text) if following is None else _line_start(text, following.at)
    lines = text[head.end : stop].split("\n")
    if lines[-1] == "":
        lines.pop()  # the text ends with a line feed: no line follows it
    content = [k for k, line in enumerate(lines) if line.strip() and line.lstrip()[0] != "#"]
    keep = content[-1] + 1 if content else 0
    after = keep
    while after < len(lines) and lines[after].lstrip().startswith("#"):
        after += 1
    if after < len(lines) or following is None:
        keep = after
    return min(stop, head.end + sum(len(line) + 1 for line in lines[:keep]))


def _whole(text: str) -> str:
    return text if text.endswith("\n") else text + "\n"


def _gap(before: str) -> str:
    return "" if not before.strip() or before.endswith("\n\n") else "\n"


def _line_feed(text: str, end: int) -> str:
    """The line feed that :func:`_whole` has already given to the text before ``end``."""
    return "" if text[:end].endswith("\n") else "\n"
