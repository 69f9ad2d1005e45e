"""A small Tideline plan laid out by hand: two halves, five items, three sheets of foam each."""

from __future__ import annotations

import shapely

from fitkit.fit.layout import Fit, Half, Interior, Placement
from fitkit.fit.place import place_all
from fitkit.foam.model import Cutout, Foam, Layer
from fitkit.geometry.shapes import circle, rectangle
from fitkit.payload.model import Body, Item, Payload, Section, Zone
from fitkit.plan import Choices, Mass, MassPart, Plan

LENGTH_MM, WIDTH_MM = 480.0, 300.0


def payload() -> Payload:
    """Recorder, hydrophone box, two floats, a probe lid and a pouch."""

    def plain(name: str, outline: shapely.Polygon, height: float, **more: object) -> Item:
        return Item(name, Body((Section(outline, 0.0, height),)), **more)  # type: ignore[arg-type]  # passed on

    return Payload(
        "Tideline shore station",
        (
            plain(
                "recorder",
                rectangle(212.0, 148.0, corner_mm=6.0),
                44.0,
                mass_kg=1.4,
                zones=(Zone("connector", "back", (36.0, 22.0), (22.0, 12.0), 35.0),),
            ),
            plain("hydrophone box", rectangle(128.0, 83.0, corner_mm=8.0), 50.0, mass_kg=0.9),
            plain("float", circle(33.0, at=(33.0, 33.0)), 60.0, count=2, mass_kg=0.3, turn="free"),
            plain("calibrator", rectangle(186.0, 64.0, corner_mm=30.0), 52.0, mass_kg=1.1),
            plain(
                "pouch", rectangle(160.0, 110.0, corner_mm=12.0), 30.0, mass_kg=0.5, half="shallow"
            ),
        ),
    )


def placements() -> tuple[Placement, ...]:
    """Where each copy stands; every clearance is kept."""

    def at(item: str, copy: int, x: float, y: float, *, shallow: bool = False) -> Placement:
        if shallow:
            return Placement(item, copy, "shallow", 1, "bottom", 0.0, x, y, 115.0)
        return Placement(item, copy, "deep", 1, "top", 0.0, x, y, 25.0)

    return (
        at("recorder", 1, 20.0, 20.0),
        at("hydrophone box", 1, 20.0, 197.0),
        at("float", 1, 394.0, 20.0),
        at("float", 2, 394.0, 101.0),
        at("calibrator", 1, 247.0, 216.0),
        at("pouch", 1, 60.0, 60.0, shallow=True),
    )


def plan() -> Plan:
    """The whole plan, with pockets in the sheets that each item crosses."""
    kit = payload()
    interior = Interior(LENGTH_MM, WIDTH_MM, (Half("deep", 110.0), Half("shallow", 60.0)))
    placed = place_all(kit, placements())
    bands = {
        "deep": ((0.0, 20.0), (20.0, 60.0), (60.0, 110.0)),
        "shallow": ((150.0, 170.0), (110.0, 150.0)),
    }
    layers = []
    for half, cuts in bands.items():
        for index, (z0, z1) in enumerate(cuts, 1):
            cutouts = tuple(
                Cutout(p.placement.item, p.placement.copy, "pocket", p.solid.silhouette)
                for p in placed
                if p.placement.half == half
                and (p.solid.z0_mm < z1 - 6 if half == "deep" else p.solid.z1_mm > z0 + 6)
            )
            layers.append(
                Layer(half, index, z0, z1, "foam", shapely.box(0, 0, LENGTH_MM, WIDTH_MM), cutouts)  # type: ignore[arg-type]  # by test
            )
    volume = LENGTH_MM * WIDTH_MM * 170.0
    return Plan(
        payload=kit,
        choices=Choices(),
        fit=Fit(
            "volume",
            volume,
            volume * 0.9,
            "plan area by height",
            0.1,
            False,
            1.0,
            1,
            interior,
            placements(),
        ),
        outside_mm=(500.0, 320.0, 190.0),
        foam=Foam(tuple(layers), (), ()),
        mass=Mass((MassPart("recorder", 1.4, (126.0, 94.0, 47.0)),), 4.5, (240.0, 150.0, 60.0)),
        findings=(),
    )
