"""Layouts changed by hand, saved on their own: what stands where, and who is locked.

A layout belongs to the payload that it was made for. The board saves one after each drop, and the
stand-alone page gives one to carry back.

``format`` "fitkit-layout", ``version``, ``plan`` (the payload's digest), ``placements`` (as in
plan.json), ``locked`` ["item/copy"], ``follows`` (whether the interior follows the items), and,
where the layout has its own room, ``interior_mm`` [length, width] and ``halves``
[{name, depth_mm}].
"""

from __future__ import annotations

import hashlib
import json
from collections import Counter
from pathlib import Path

from attrs import evolve, frozen

from fitkit import __version__
from fitkit.errors import BadInput, Fault
from fitkit.fit.layout import Half, Interior, Placement
from fitkit.fit.move import Key, key_of
from fitkit.payload.model import Payload
from fitkit.plan_json.codec import Json, dumped, laid_out, loaded, shown

FORMAT = "fitkit-layout"
VERSION = 1
_KEYS = ("format", "version", "fitkit", "plan", "placements", "locked", "follows")
_ROOM = ("interior_mm", "halves")
_AGAIN = "save the layout again"


@frozen
class SavedLayout:
    """A layout of the payload whose digest is ``plan``.

    ``size_mm`` (length, width) and ``halves`` are None where the layout was saved without its room.
    """

    plan: str
    placements: tuple[Placement, ...]
    locked: frozenset[Key] = frozenset()
    follows: bool = True
    size_mm: tuple[float, float] | None = None
    halves: tuple[Half, ...] | None = None

    @classmethod
    def of(
        cls,
        payload: Payload,
        *,
        interior: Interior,
        placements: tuple[Placement, ...],
        locked: frozenset[Key] = frozenset(),
        follows: bool = True,
    ) -> SavedLayout:
        """The layout as it stands, with its room."""
        size = (interior.length_mm, interior.width_mm)
        return cls(digest_of(payload), placements, locked, follows, size, interior.halves)

    def room(self, interior: Interior) -> Interior:
        """``interior`` with what the layout says of its room."""
        if self.size_mm is None or self.halves is None:
            return interior
        length_mm, width_mm = self.size_mm
        return evolve(interior, length_mm=length_mm, width_mm=width_mm, halves=self.halves)


def digest_of(payload: Payload) -> str:
    """A payload's digest: the same for the same gear and wishes, whatever its sheet looks like.

    The notes about assumed values do not count.
    """
    text = json.dumps(dumped(evolve(payload, assumptions=())), sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def dumps_layout(layout: SavedLayout) -> str:
    """The layout as JSON text, ending in a line feed."""
    values: dict[str, Json] = {
        "format": FORMAT,
        "version": VERSION,
        "fitkit": __version__,
        "plan": layout.plan,
        "placements": dumped(layout.placements),
        "locked": [f"{item}/{copy}" for item, copy in sorted(layout.locked)],
        "follows": layout.follows,
    }
    if layout.size_mm is not None and layout.halves is not None:
        values |= {"interior_mm": dumped(layout.size_mm), "halves": dumped(layout.halves)}
    return laid_out(values, "") + "\n"


def loads_layout(text: str, *, place: str) -> SavedLayout:
    """The layout that the board or the stand-alone page saved; BadInput if it is none."""
    data = _document(text, place)
    faults = [
        Fault(f"{place}: {key}", "is no part of a layout", "take it out")
        for key in data
        if key not in (*_KEYS, *_ROOM)
    ]
    faults += [
        Fault(f"{place}: {key}", "is missing", _AGAIN)
        for key in _KEYS
        if key not in data and key != "fitkit"
    ]
    if faults:
        raise BadInput(faults)
    made = SavedLayout(
        plan=loaded(str, data["plan"], f"{place}: plan", faults),
        placements=loaded(
            tuple[Placement, ...], data["placements"], f"{place}: placements", faults
        ),
        follows=loaded(bool, data["follows"], f"{place}: follows", faults),
    )
    locked = loaded(tuple[str, ...], data["locked"], f"{place}: locked", faults)
    size = halves = None
    if "interior_mm" in data or "halves" in data:
        wanted = tuple[float, float]
        size = loaded(wanted, data.get("interior_mm"), f"{place}: interior_mm", faults)
        halves = loaded(tuple[Half, ...], data.get("halves"), f"{place}: halves", faults)
    if faults:
        raise BadInput(faults)
    keys = {f"{p.item}/{p.copy}": key_of(p) for p in made.placements}
    for name in locked:
        if name not in keys:
            faults.append(Fault(f"{place}: locked", shown(name), "name copies that are placed"))
    if faults:
        raise BadInput(faults)
    return evolve(
        made, locked=frozenset(keys[name] for name in locked), size_mm=size, halves=halves
    )


def read_layout(path: Path) -> SavedLayout:
    """The layout saved in the file at ``path``. BadInput if it cannot be read or is none."""
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "it is not text in UTF-8"
        fault = Fault(str(path), f"cannot be read ({reason})", "give the path of a saved layout")
        raise BadInput([fault]) from error
    return loads_layout(text, place=str(path))


def check_layout(layout: SavedLayout, payload: Payload, *, place: str) -> None:
    """BadInput unless the layout was made for this payload and places each copy once."""
    faults: list[Fault] = []
    if layout.plan != digest_of(payload):
        what = "the layout was made for a sheet that says something else"
        faults.append(Fault(place, what, f"load it with its own sheet, not {payload.title}"))
    wanted = Counter((item.name, n) for item in payload.items for n in range(1, item.count + 1))
    placed = Counter(key_of(p) for p in layout.placements)
    for key in sorted((wanted - placed) | (placed - wanted)):
        what = "is not placed" if wanted[key] else "is not in the sheet"
        if placed[key] > 1:
            what = f"is placed {placed[key]} times"
        faults.append(Fault(f"{place}: {key[0]} {key[1]}", what, "place each copy once"))
    if faults:
        raise BadInput(faults)


def _document(text: str, place: str) -> dict[str, Json]:
    try:
        data = json.loads(text)
    except json.JSONDecodeError as error:
        what = f"is not whole JSON ({error.msg})"
        raise BadInput([Fault(f"{place} line {error.lineno}", what, _AGAIN)]) from error
    except RecursionError as error:
        raise BadInput([Fault(place, "is nested too deeply to be a layout", _AGAIN)]) from error
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        found = data.get("format") if isinstance(data, dict) else data
        what = f"is not a fitkit layout (format {shown(found)})"
        raise BadInput([Fault(place, what, "give a layout that the board saved")])
    version = data.get("version")
    if version != VERSION or isinstance(version, bool):
        what = f"{shown(version)}; this fitkit ({__version__}) reads version {VERSION}"
        raise BadInput([Fault(f"{place}: version", what, "update fitkit, or save it again")])
    return data
