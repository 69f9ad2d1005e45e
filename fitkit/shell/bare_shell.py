"""The shell before its hardware: panels, profiles and corners alone."""

from __future__ import annotations

from fitkit.fit.layout import Interior
from fitkit.payload.model import Payload
from fitkit.shell.bars import bars_of
from fitkit.shell.graph import assembly_of, corners_of
from fitkit.shell.model import Shell
from fitkit.shell.panels import panels_of
from fitkit.shell.shortfalls import notes_of, troubles_of


def bare_shell(payload: Payload, *, interior: Interior) -> Shell:
    """Panels, profiles and corners round ``interior``, with what keeps them from being built.

    >>> from fitkit.fit.layout import Half
    >>> inside = Interior(580.0, 380.0, (Half("deep", 190.0), Half("shallow", 90.0)))
    >>> bare = bare_shell(Payload("kit", ()), interior=inside)
    >>> len(bare.panels), len(bare.bars), len(bare.corners), bare.hardware
    (10, 24, 16, ())
    """
    assembly = assembly_of(interior, payload=payload)
    panels = panels_of(assembly, payload=payload)
    bars = bars_of(assembly, wall=payload.wall)
    return Shell(
        assembly=assembly,
        panels=panels,
        bars=bars,
        corners=corners_of(assembly),
        troubles=troubles_of(assembly, panels=panels, bars=bars, payload=payload),
        notes=notes_of(assembly, wall=payload.wall),
    )
