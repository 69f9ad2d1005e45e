"""Cases with hardware lying on their faces, for the tests of rivets and fasteners."""

from __future__ import annotations

import shapely
from attrs import evolve, field, frozen
from hypothesis import strategies as st

from assemblies import kits
from fitkit.fit.layout import Half, Interior
from fitkit.payload.model import Payload
from fitkit.payload.workshop import SIDES, HardwareKind, HardwareWishes, Workshop
from fitkit.shell.bars import bars_of
from fitkit.shell.frame import from_face, plane_mm, to_face
from fitkit.shell.graph import assembly_of, corners_of
from fitkit.shell.model import (
    Assembly,
    Bar,
    Corner,
    Fitted,
    Hole,
    Opening,
    Panel,
    Trouble,
)
from fitkit.shell.panels import panels_of
from fitkit.shell.rivet_rows import rivets_of
from strategies import halves


@frozen
class Riveted:
    """A case in pieces, what lies on it, and the rivets that it got."""

    payload: Payload
    assembly: Assembly
    panels: tuple[Panel, ...] = field(repr=False)
    bars: tuple[Bar, ...] = field(repr=False)
    corners: tuple[Corner, ...] = field(repr=False)
    fitted: tuple[Fitted, ...] = ()
    openings: tuple[Opening, ...] = ()
    holes: tuple[Hole, ...] = field(default=(), repr=False)
    troubles: tuple[Trouble, ...] = ()

    def bar(self, name: str) -> Bar:
        """The bar of that name."""
        return next(bar for bar in self.bars if bar.name == name)

    def panel(self, name: str) -> Panel:
        """The panel of that name."""
        return next(panel for panel in self.panels if panel.name == name)

    def rows(self) -> dict[tuple[str, str], list[Hole]]:
        """The profiles' own rivets by bar and face."""
        names = {bar.name for bar in self.bars}
        found: dict[tuple[str, str], list[Hole]] = {}
        for hole in self.holes:
            if hole.owner in names:
                found.setdefault((hole.owner, hole.side), []).append(hole)
        return found


WORKED = Interior(580.0, 380.0, (Half("deep", 190.0), Half("shallow", 90.0)))
"""The worked example of the shell's geometry: 600 x 400 x 300 outside, halves of 200 and 100."""


def riveted(
    interior: Interior,
    payload: Payload,
    fitted: tuple[Fitted, ...] = (),
    openings: tuple[Opening, ...] = (),
) -> Riveted:
    """The case around an interior with its rivets."""
    assembly = assembly_of(interior, payload=payload)
    panels = panels_of(assembly, payload=payload)
    bars = bars_of(assembly, wall=payload.wall)
    corners = corners_of(assembly)
    holes, troubles = rivets_of(
        payload,
        assembly=assembly,
        panels=panels,
        bars=bars,
        corners=corners,
        fitted=fitted,
        openings=openings,
    )
    return Riveted(payload, assembly, panels, bars, corners, fitted, openings, holes, troubles)


def wished(payload: Payload, **changes: object) -> Payload:
    """The payload with other wishes for its hardware."""
    wishes = evolve(payload.workshop.hardware, **changes)  # type: ignore[arg-type]  # by name
    return evolve(payload, workshop=evolve(payload.workshop, hardware=wishes))


def on_face(
    assembly: Assembly,
    side: str,
    uv: tuple[float, float],
    size_mm: tuple[float, float],
    *,
    kind: HardwareKind = "latch",
    number: int = 1,
) -> Fitted:
    """A piece of hardware about (u, v) on a face of the case, on every part that it touches."""
    assert side in SIDES
    wide, tall = size_mm[0] / 2, size_mm[1] / 2
    flange = shapely.box(uv[0] - wide, uv[1] - tall, uv[0] + wide, uv[1] + tall)
    parts = []
    for part in assembly.parts:
        low, high = to_face(side, part.low_mm), to_face(side, part.high_mm)
        face = shapely.box(
            min(low[0], high[0]), min(low[1], high[1]), max(low[0], high[0]), max(low[1], high[1])
        )
        meets = plane_mm(part, side) == plane_mm(assembly, side)
        if meets and face.intersection(flange).area > 0:
            parts.append(part.name)
    centre = from_face(side, uv, plane_mm(assembly, side))
    return Fitted(f"{kind} {side} {number}", kind, kind, side, tuple(parts), centre, 0.0, size_mm)


@st.composite
def flanges(draw: st.DrawFn, assembly: Assembly, *, most: int = 4) -> tuple[Fitted, ...]:
    """Up to ``most`` flanges anywhere on the case's faces."""
    found = []
    for number in range(draw(st.integers(0, most))):
        side = draw(st.sampled_from(SIDES))
        low, high = to_face(side, assembly.low_mm), to_face(side, assembly.high_mm)
        uv = tuple(
            min(a, b) + abs(b - a) * draw(st.integers(0, 40)) / 40
            for a, b in zip(low, high, strict=True)
        )
        size = (draw(halves(20, 160)), draw(halves(20, 120)))
        found.append(on_face(assembly, side, uv, size, number=number))  # type: ignore[arg-type]  # by test
    return tuple(found)


@st.composite
def cases(draw: st.DrawFn, *, most: int = 4) -> Riveted:
    """Cases of every form with hardware anywhere on them, riveted."""
    interior, payload = draw(kits())
    wishes = HardwareWishes(
        rivet_mm=draw(st.sampled_from((3.2, 4.0, 4.8))), pitch_mm=draw(halves(60, 160))
    )
    payload = evolve(payload, workshop=evolve(payload.workshop, hardware=wishes))
    assembly = assembly_of(interior, payload=payload)
    return riveted(interior, payload, draw(flanges(assembly, most=most)))


def plain(**changes: object) -> Payload:
    """A payload with the default wall and these wishes for its hardware."""
    return Payload("kit", (), workshop=Workshop(hardware=HardwareWishes(**changes)))  # type: ignore[arg-type]  # passed on
