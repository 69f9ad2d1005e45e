"""One record for each source that a number in fitkit comes from."""

from __future__ import annotations

from typing import Literal

from attrs import frozen

Known = Literal["read", "common practice", "from memory", "computed", "assumption"]
"""How a value is known: its text was read, it is habit, memory, arithmetic, or a mere setting."""

KNOWN: tuple[Known, ...] = ("read", "common practice", "from memory", "computed", "assumption")


@frozen
class Source:
    """Where values come from: a short id, what it is, and how it was read."""

    id: str
    what: str
    read: str


SOURCES: dict[str, Source] = {
    source.id: source
    for source in (
        Source("S01", "ISO 15981:2002, clause 3: lengths and grip of blind rivets", "secondary"),
        Source("S02", "DIN 7337, table 1: heads of blind rivets", "secondary"),
        Source("S03", "ISO 15977: hole for a blind rivet", "secondary"),
        Source("S05", "DIN VDE 0298-3: bending radii", "secondary"),
        Source("S06", "ISO/IEC DIS 11801 and EIA SP-2840A: bend radii", "secondary"),
        Source("S07", "ANSI/TIA-568.0-D: bend radii", "secondary"),
        Source("S08", "bend rules of coaxial cables: three technical notes", "secondary"),
        Source("S09", "ISO 273: clearance holes for bolts", "secondary"),
        Source("S10", "holes for wood screws: three pages, others differ by 1 mm", "secondary"),
        Source("S13", "tables of the VESA FDMI / MIS mounting standard", "secondary"),
        Source("S14", "USB Type-C cable and connector specification 2.0: overmould", "secondary"),
        Source("S15", "Micro-USB cables and connectors 1.01, figures 4-5 and 4-6", "secondary"),
        Source("S17", "IEC 60603-7: width of the plug", "secondary"),
        Source("S18", "birch plywood: real thickness, density, mass per sheet", "secondary"),
        Source("S19", "polyethylene foam: densities, sheet sizes, cutting tolerance", "secondary"),
        Source(
            "S20",
            "materials forbidden on lasers: lists of three universities and workshops",
            "secondary",
        ),
        Source("S23", "wood dust limits: HSE information sheet WIS23 and others", "secondary"),
        Source("S24", "lithium batteries as baggage", "secondary"),
        Source("S41", "ISO 7045: heads of pan head screws, a seller's table", "secondary"),
        Source("S42", "DIN 965: heads of countersunk screws, a seller's table", "secondary"),
        Source(
            "S43",
            "thread engagement of one diameter where both are as strong, a shop's rule",
            "secondary",
        ),
        Source("CHK", "computed, and checked when the tables were made", "computed"),
        Source("CP", "common practice, no source", "common practice"),
        Source("FM", "from memory: not yet verified", "from memory"),
    )
}


def cited(text: str) -> str:
    """``text`` with every source id written out.

    >>> cited("CP")
    'common practice, no source'
    >>> cited("S18")
    'birch plywood: real thickness, density, mass per sheet, secondary'
    """
    parts = []
    for part in text.split("; "):
        head, _, rest = part.partition(" ")
        source = SOURCES.get(head)
        if source is None:
            parts.append(part)
            continue
        read = f", {source.read}" if source.read == "secondary" else ""
        parts.append(f"{source.what}{read}{' ' + rest if rest else ''}")
    return "; ".join(parts)
