"""The text of a file that the builder named: read whole, or one fault that says what to do."""

from __future__ import annotations

import difflib
from pathlib import Path

from fitkit.errors import BadInput, Fault


def read_text(path: Path, *, kind: str, ending: str, missing: str, save: str) -> str:
    """The UTF-8 text of the file at ``path``.

    ``kind`` is what the builder calls such a file ("sheet"), ``ending`` the end of its name
    (".toml"), ``missing`` what to do where nothing of a like name lies beside it, ``save`` how to
    save it right. BadInput for a missing file, a folder, one that may not be read, or another
    coding.
    """
    place = str(path)
    try:
        raw = path.read_bytes()
    except FileNotFoundError:
        near = _near(path, ending)
        remedy = f"did you mean {near}?" if near else missing
        raise BadInput([Fault(place, f"there is no such {kind}", remedy)]) from None
    except (OSError, ValueError) as refused:
        if path.is_dir():  # some systems refuse a folder in other words
            fault = Fault(place, "this is a folder", _within(path, kind, ending))
            raise BadInput([fault]) from None
        reason = getattr(refused, "strerror", None) or str(refused)
        raise BadInput(
            [Fault(place, f"cannot be read ({reason})", f"give a {kind} that you may read")]
        ) from None
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as refused:
        line = raw.count(b"\n", 0, refused.start) + 1
        raise BadInput([Fault(f"{place} line {line}", "the text is not UTF-8", save)]) from None


def _near(path: Path, ending: str) -> Path | None:
    """A file of a like name beside the missing one."""
    try:
        beside = sorted(other.name for other in path.parent.glob(f"*{ending}"))
    except (OSError, ValueError):
        return None
    near = difflib.get_close_matches(path.name, beside, n=1)
    return path.parent / near[0] if near else None


def _within(path: Path, kind: str, ending: str) -> str:
    """What to name instead of a folder."""
    found = sorted(other.name for other in path.glob(f"*{ending}"))
    if not found:
        return f"name the {kind} itself"
    return f"name the {kind} in it: {', '.join(found[:6])}{' ...' if len(found) > 6 else ''}"
