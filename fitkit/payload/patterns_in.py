"""Hole patterns as typed: by their name, or hole by hole as measured, with thread and depth."""

from __future__ import annotations

import difflib
from typing import Any

from fitkit.payload.bounds import COUNTS, LENGTHS
from fitkit.payload.model import Face
from fitkit.payload.mounts import HolePattern
from fitkit.payload.reading import Table, listed, shown
from fitkit.payload.shapes_in import read_pair
from fitkit.reference.clearance_holes import clearance_holes
from fitkit.reference.hole_patterns import PatternRow, hole_patterns

PATTERN = ("name", "size", "holes", "at", "thread", "depth")
FREE = "free"
"""What a pattern of the builder's own is called."""


def read_pattern(
    table: Table, *, face: Face, face_mm: tuple[float, float] | None
) -> HolePattern | None:
    """The pattern under ``pattern`` of a mount; None where there is none, or anything is wrong.

    ``face`` has the holes; ``face_mm`` is its size, None where it is not known [mm].
    """
    value = table.data.get("pattern")
    if value is None:
        return None
    if isinstance(value, str):
        inner = Table({"name": value}, (*table.path, "pattern"), table.notes)
        at_key = "pattern"
    elif isinstance(value, dict):
        inner = Table(value, (*table.path, "pattern"), table.notes)
        inner.only(PATTERN)
        at_key = ""
    else:
        table.fault(
            "pattern",
            f"{shown(value)} where a hole pattern belongs",
            'write "100x100", or { holes = [[40, 30], [140, 30]], thread = "M4", depth = 8 }',
        )
        return None
    before = len(inner.notes)
    row = _row(inner, named=bool(at_key))
    holes = _holes(inner, row, face_mm)
    thread = _thread(inner, row)
    depth = _depth(inner, row)
    if holes is not None and face_mm is not None:
        _on_face(inner, holes, face, face_mm)
    if len(inner.notes) > before or holes is None or thread is None or depth is None:
        return None
    return HolePattern(FREE if row is None else row.name, holes, thread, depth)


def _row(inner: Table, *, named: bool) -> PatternRow | None:
    """The row of the pattern's name; its size must then not be typed again."""
    path = inner.path if named else (*inner.path, "name")
    name = inner.data["name"] if named else inner.text("name")
    if name is None:
        return None
    rows = hole_patterns()
    said = str(name).replace(" ", "").replace("×", "x").lower()
    row = rows.get(said)
    if row is None:
        near = difflib.get_close_matches(said, rows, n=1)
        hint = f'did you mean "{near[0]}"? ' if near else ""
        inner.notes.fault(
            path,
            f"{shown(name)} is no hole pattern known here",
            f"{hint}known: {listed(rows)}; or give size or holes, thread and depth",
        )
        return None
    for key in ("size", "holes"):
        if key in inner:
            inner.fault(key, f'"{row.name}" already says where the holes are', f"take {key} out")
    return row


def _holes(
    inner: Table, row: PatternRow | None, face_mm: tuple[float, float] | None
) -> tuple[tuple[float, float], ...] | None:
    """Centres of the holes on the face [mm]."""
    if row is None and "name" in inner:
        return None
    ways = [key for key in ("size", "holes") if key in inner]
    if row is None and len(ways) != 1:
        inner.fault(
            None,
            "the pattern has both size and holes"
            if ways
            else "the pattern does not say where its holes are",
            "give size = [along, up] of four holes in a rectangle, or holes = [[along, up], ...]",
        )
        return None
    if "holes" in ways:
        return _each(inner)
    at = read_pair(inner, "at", **LENGTHS["mount.at"]) if "at" in inner else None
    if "at" in inner and at is None:
        return None
    if at is None and face_mm is None:
        return None
    middle = at or ((face_mm or (0.0, 0.0))[0] / 2, (face_mm or (0.0, 0.0))[1] / 2)
    if row is not None:
        return row.holes_mm(middle)
    size = read_pair(inner, "size", **LENGTHS["mount.pattern"])
    if size is None:
        return None
    (x, y), (wide, high) = middle, (size[0] / 2, size[1] / 2)
    return ((x - wide, y - high), (x + wide, y - high), (x + wide, y + high), (x - wide, y + high))


def _each(inner: Table) -> tuple[tuple[float, float], ...] | None:
    """Holes one by one, as measured from the face's left and foot."""
    if "at" in inner:
        inner.fault(
            "at", "holes are measured from the face's left and from its foot", "take at out"
        )
    value: Any = inner.data["holes"]
    most = COUNTS["mount.holes"]
    if not isinstance(value, list) or not 1 <= len(value) <= most:
        inner.fault(
            "holes",
            f"{shown(value)} where 1 to {most} holes belong",
            "write [[along, up], [along, up]]",
        )
        return None
    found: list[tuple[float, float]] = []
    before = len(inner.notes)
    for index, entry in enumerate(value):
        path = (*inner.path, "holes", index)
        if not isinstance(entry, list) or len(entry) != 2:
            inner.notes.fault(path, f"{shown(entry)} where a hole belongs", "write [along, up]")
            continue
        x, y = (
            inner.length_at((*path, k), one, **LENGTHS["mount.at"]) for k, one in enumerate(entry)
        )
        if x is not None and y is not None:
            if (x, y) in found:
                inner.notes.fault(path, "this hole is listed twice", "take one of them out")
            found.append((x, y))
    return tuple(found) if len(inner.notes) == before else None


def _thread(inner: Table, row: PatternRow | None) -> str | None:
    """The thread by its name; a fault where it is not known."""
    said = inner.text("thread")
    known = clearance_holes()
    if said is not None:
        name = said.strip().upper()
        if name in known:
            return name
        near = difflib.get_close_matches(name, known, n=1)
        hint = f'did you mean "{near[0]}"? ' if near else ""
        inner.fault("thread", f"{shown(said)} is no thread known here", f"{hint}{listed(known)}")
        return None
    if "thread" in inner:  # it is no text: said already
        return None
    if row is not None and row.thread is not None:
        return row.thread
    if row is None and "name" in inner:
        return None
    what = "of your own pattern" if row is None else f"of {row.name}"
    inner.fault(
        None,
        f"the thread of the holes {what} is not known",
        'try a screw in one and give thread = "M4"',
    )
    return None


def _depth(inner: Table, row: PatternRow | None) -> float | None:
    """How deep a screw may go in [mm]; a fault where nobody knows."""
    if "depth" in inner:
        return inner.length("depth", **LENGTHS["mount.hole"])
    if row is not None and row.depth_mm is not None:
        return row.depth_mm
    if row is None and "name" in inner:
        return None
    what = "of your own pattern" if row is None else f"of {row.name}"
    inner.fault(
        None,
        f"how deep the holes {what} are is not known",
        "measure one with a thin rod and give depth: no screw will be longer",
    )
    return None


def _on_face(
    inner: Table,
    holes: tuple[tuple[float, float], ...],
    face: Face,
    face_mm: tuple[float, float],
) -> None:
    """A pattern that is wider or higher than the face, or hangs over its edge."""
    say = inner.notes.say
    for axis, (word, side) in enumerate(zip(("wide", "high"), face_mm, strict=True)):
        low, high = min(h[axis] for h in holes), max(h[axis] for h in holes)
        span = high - low
        if span > side + 1e-6:
            inner.fault(
                None,
                f"the pattern is {say(span)} {word} and the {face} face {say(side)}",
                f"that is {say(span - side)} too much: measure the pattern and the body again",
            )
        elif low < -1e-6 or high > side + 1e-6:
            over = max(-low, high - side)
            inner.fault(
                None if "at" not in inner else "at",
                f"a hole lies {say(over)} beyond the edge of the {face} face",
                f"that face is {say(face_mm[0])} along and {say(face_mm[1])} up; measure from its "
                "left and from its foot",
            )
