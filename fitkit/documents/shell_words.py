"""How the pieces of a shell are said to a builder, and the order in which they are built in.

A part at a time, as it is put together: its panels from the bottom up, its edge profiles, then the
profiles that close it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from typing import TypeVar

from fitkit.documents.naming import half_names
from fitkit.payload.workshop import SIDES
from fitkit.plan import Plan
from fitkit.shell.model import Bar, BarKind, Panel, Shell

PROFILES: Mapping[BarKind, str] = {
    "edge": "edge profile",
    "tongue": "tongue profile",
    "groove": "groove profile",
}
"""Kinds of profile as they are said."""

ORDER: tuple[BarKind, ...] = ("edge", "tongue", "groove")

T = TypeVar("T")


def part_words(plan: Plan) -> dict[str, str]:
    """Every part of the shell as it is said: "deep half", "left door", "ring 1"."""
    if plan.shell is None:
        return {}
    halves = {str(name): text for name, text in half_names(plan).items()}
    return {part.name: _part(part.name, halves) for part in plan.shell.assembly.parts}


def _part(name: str, halves: Mapping[str, str]) -> str:
    if name in halves:
        return halves[name]
    if name in ("deep", "shallow"):
        return f"{name} half"
    kind, _, which = name.partition(" ")
    if kind == "door" and which in SIDES:
        return f"{which} door"
    if kind == "door" and which in ("deep", "shallow"):
        return f"{halves.get(which, f'{which} half')}'s door"
    if kind == "back" and which in ("deep", "shallow"):
        return f"{halves.get(which, f'{which} half')}'s loose back"
    return name


def _the(part: str) -> str:
    """A part with its article; one that has a number needs none.

    >>> _the("tray"), _the("ring 2")
    ('the tray', 'ring 2')
    """
    return part if part[-1:].isdigit() else f"the {part}"


def piece_words(plan: Plan) -> dict[str, str]:
    """Every panel and profile by its name, as it is said, in the order of building.

    "front of the deep half"; "edge profile, front left, deep half"; "tongue profile, front". No
    two are said alike. Empty where the plan has no shell.
    """
    shell = plan.shell
    if shell is None:
        return {}
    parts = part_words(plan)
    flat = {part.name for part in shell.assembly.parts if part.plate}
    said = {
        panel.name: f"{parts[panel.part]} panel"
        if panel.part in flat
        else f"{panel.side} of {_the(parts[panel.part])}"
        for panel in panels_in_order(shell)
    }
    # closing profiles: said by their wall alone, unless several frames of the kind must be told
    shortest = [_closing(bar, parts, part=False, face=False) for bar in shell.bars]
    alike = Counter(text for text in shortest if text)
    longer = Counter(_closing(bar, parts, part=True, face=False) for bar in shell.bars)
    for bar in bars_in_order(shell):
        if bar.kind == "edge":
            text = f"{PROFILES['edge']}, {bar.sides[0]} {bar.sides[1]}, {parts[bar.part]}"
        elif alike[_closing(bar, parts, part=False, face=False)] == 1:
            text = _closing(bar, parts, part=False, face=False)
        else:
            one = longer[_closing(bar, parts, part=True, face=False)] == 1
            text = _closing(bar, parts, part=True, face=not one)
        said[bar.name] = text
    return said


def _closing(bar: Bar, parts: Mapping[str, str], *, part: bool, face: bool) -> str:
    if bar.kind == "edge":
        return ""
    wall = f"{bar.sides[0]} at its {bar.sides[1]}" if face else bar.sides[0]
    tail = f", {parts[bar.part]}" if part else ""
    return f"{PROFILES[bar.kind]}, {wall}{tail}"


def panels_in_order(shell: Shell) -> list[Panel]:
    """Panels a part at a time, each part from its bottom up."""
    return _by_part(shell, shell.panels, lambda panel: panel.part, _panel_rank)


def bars_in_order(shell: Shell) -> list[Bar]:
    """Profiles a part at a time: edges first, then those that close it."""
    return _by_part(shell, shell.bars, lambda bar: bar.part, _bar_rank)


def _panel_rank(panel: Panel) -> tuple[int, ...]:
    # the top last: it is put on when the walls stand
    sides = [side for side in SIDES if side != "top"]
    return (len(sides) if panel.side == "top" else sides.index(panel.side),)


def _bar_rank(bar: Bar) -> tuple[int, ...]:
    return (ORDER.index(bar.kind), *(SIDES.index(side) for side in bar.sides))


def _by_part(
    shell: Shell,
    pieces: Sequence[T],
    part_of: Callable[[T], str],
    rank: Callable[[T], tuple[int, ...]],
) -> list[T]:
    parts = [part.name for part in shell.assembly.parts]
    return sorted(pieces, key=lambda piece: (parts.index(part_of(piece)), *rank(piece)))


def said_together(names: Sequence[str]) -> str:
    """Several pieces in few words, in their order: what they share is said once.

    >>> said_together(["front of the deep half", "back of the deep half", "top of the lid"])
    'front and back of the deep half; top of the lid'
    >>> said_together(["edge profile, front left, deep half", "edge profile, front right, ring 1"])
    'edge profile: front left, deep half; front right, ring 1'
    """
    groups: dict[tuple[str, str], list[str]] = {}
    for name in names:
        kind, _, where = name.partition(", ")
        side, _, part = name.partition(" of ")
        if where and kind in PROFILES.values():
            groups.setdefault(("profile", kind), []).append(where)
        elif part:
            groups.setdefault(("panel", part), []).append(side)
        else:
            groups.setdefault(("", name), []).append(name)
    texts: list[str] = []
    for (form, key), members in groups.items():
        if form == "panel":
            texts.append(f"{_listed(members)} of {key}")
        elif form == "profile":
            lead = ": " if len(members) > 1 else ", "
            texts.append(f"{key}{lead}{_places(members)}")
        else:
            texts.append(key)
    return "; ".join(texts)


def _places(places: Sequence[str]) -> str:
    """Places of profiles: those in one part together."""
    groups: dict[str, list[str]] = {}
    for place in places:
        where, _, part = place.partition(", ")
        groups.setdefault(part, []).append(where)
    return "; ".join(
        f"{_listed(wheres)}, {part}" if part else _listed(wheres) for part, wheres in groups.items()
    )


def _listed(words: Sequence[str]) -> str:
    """Words with commas, and "and" before the last.

    >>> _listed(["left"]), _listed(["left", "right", "top"])
    ('left', 'left, right and top')
    """
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"
