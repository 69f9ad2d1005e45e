"""Cables that run through one place together, and how thick they are as a bundle."""

from __future__ import annotations

from collections.abc import Sequence

from fitkit.reference.bundles import bundle_of
from fitkit.shell.cables.model import Bundle
from fitkit.shell.cables.threads import Thread

CLOSING = "closing plane"


def bundles_of(threads: Sequence[Thread]) -> tuple[Bundle, ...]:
    """One bundle for each exit, for each pair of ends' items, and for the closing plane.

    Only cables that stay plugged in run in the closed case. A place through which a single cable
    runs has no bundle.
    """
    places: dict[str, list[Thread]] = {}
    for thread in threads:
        if not thread.cable.plugged or thread.to is None:
            continue
        if thread.exit:
            places.setdefault(thread.exit, []).append(thread)
        if thread.crossing:
            places.setdefault(CLOSING, []).append(thread)
        elif not thread.exit and thread.start.copy and thread.to.copy:
            pair = sorted((thread.start.copy.label, thread.to.copy.label))
            places.setdefault(f"{pair[0]} to {pair[1]}", []).append(thread)
    found = []
    for where, mine in places.items():
        diameters = [one.cable.diameter_mm for one in mine for _ in range(one.cable.count)]
        if len(diameters) < 2:
            continue
        size = bundle_of(diameters)
        labels = tuple(
            one.label if one.cable.count == 1 else f"{one.label} ({one.cable.count})"
            for one in mine
        )
        found.append(Bundle(where, labels, size.diameter_mm, size.rule))
    return tuple(found)
