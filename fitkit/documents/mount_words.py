"""How a mounted copy is said to a builder: what holds it, its recess, and the room behind it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from fitkit.documents.mounting_lists import cut_words, kind_of, screws_to_buy
from fitkit.documents.naming import size
from fitkit.fit.layout import Interior
from fitkit.fit.place import Placed
from fitkit.payload.mounts import Mount
from fitkit.plan import Plan
from fitkit.shell.gap.facing import in_first_half, recess_mm
from fitkit.shell.mounting.model import Screwing, Support

AS_SAID = {"rails": "rails", "sub-panel": "a sub-panel", "walls": "the walls"}
"""What a mount says that it is held by."""


def supports_of(plan: Plan, one: Placed) -> tuple[Support, ...]:
    """The pieces that hold one copy; none where they are not worked out."""
    key = (one.placement.item, one.placement.copy)
    pieces = () if plan.shell is None else plan.shell.supports
    return tuple(piece for piece in pieces if (piece.item, piece.copy) == key)


def screws_of(plan: Plan, one: Placed) -> tuple[Screwing, ...]:
    """The screws that hold one copy."""
    key = (one.placement.item, one.placement.copy)
    known = () if plan.shell is None else plan.shell.screwings
    return tuple(screw for screw in known if (screw.item, screw.copy) == key)


def behind_mm(one: Placed, interior: Interior) -> float:
    """The room between a copy and its half's own floor panel [mm]."""
    if in_first_half(one, interior):
        return one.solid.z0_mm
    return interior.height_mm - one.solid.z1_mm


def recess_words(recess: float) -> str:
    """A recess, or by how much an item stands proud.

    >>> recess_words(14.0), recess_words(-2.5), recess_words(0.0)
    ('recess 14', 'proud by 2.5', 'flush with the closing plane')
    """
    if abs(recess) < 0.005:
        return "flush with the closing plane"
    return f"recess {size(recess)}" if recess > 0 else f"proud by {size(-recess)}"


def held_by(mount: Mount, pieces: Sequence[Support]) -> tuple[str, ...]:
    """What holds an item, with the size of each piece as cut; as the sheet says where not known."""
    if not pieces:
        return (f"held by {AS_SAID[mount.by]}",)
    counts = Counter((kind_of(piece), cut_words(piece)) for piece in pieces)
    return tuple(
        f"{kind} {cut}" if count == 1 else f"{count} {kind}s {cut}"
        for (kind, cut), count in counts.items()
    )


def stands_words(one: Placed, interior: Interior) -> str:
    """Recess and room behind, or which wall a copy looks at."""
    mount = one.item.mount
    room = f"{size(behind_mm(one, interior))} mm behind it"
    if mount is None or mount.faces == "closing plane":
        return f"{recess_words(recess_mm(one, interior))}, {room}"
    return f"looks at the {mount.faces}"


def screw_words(one: Screwing) -> str:
    """Screws by number, size and length, where the size does not say it.

    >>> screw_words(Screwing("screen", 1, "M4", 25.0, 4, 20.0, 10.0, 5.0, "rails to screen"))
    '4 × M4 × 25'
    """
    return f"{one.count} × {_size_words(one.size, one.length_mm)}"


def screws_to_buy_words(screwings: Sequence[Screwing]) -> str:
    """All screws by size and length with their number; empty where there are none.

    >>> one = Screwing("screen", 1, "M4", 25.0, 4, 20.0, 10.0, 5.0, "rails to screen")
    >>> screws_to_buy_words([one, one])
    '8 × M4 × 25'
    """
    return ", ".join(
        f"{count} × {_size_words(name, length_mm)}"
        for name, length_mm, count in screws_to_buy(screwings)
    )


def _size_words(name: str, length_mm: float) -> str:
    """Size and length; the length once, where the size says it already."""
    length = size(length_mm)
    tail = "" if name.endswith(f"x {length}") else f" × {length}"
    return f"{name.replace(' x ', ' × ')}{tail}"
