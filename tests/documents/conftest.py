"""A plan made by hand, so that documents are tested without a search."""

from __future__ import annotations

import pytest
import shapely
from shapely import Polygon

from fitkit.checks.finding import Finding
from fitkit.fit.layout import Fit, Half, HalfName, Interior, Placement
from fitkit.fit.place import place_all
from fitkit.foam.model import Cutout, CutoutKind, Foam, Layer, SheetUse, Web
from fitkit.geometry.shapes import circle, grow, rectangle
from fitkit.payload.model import Body, CaseWishes, Item, Payload, Section, Zone
from fitkit.plan import Choices, Mass, MassPart, Plan


def body(*sections: tuple[Polygon, float, float]) -> Body:
    """A body of sections."""
    return Body(tuple(Section(*section) for section in sections))


def stadium(length: float, width: float) -> Polygon:
    """A bar with round ends."""
    return rectangle(length, width, corner_mm=width / 2)


def d_shape() -> Polygon:
    """A bar with one round end."""
    blunt = shapely.box(0, 0, 100, 74)
    return Polygon(shapely.union_all([blunt, stadium(170, 74)]).exterior)


ITEMS = (
    Item("recorder",
         body((rectangle(212, 148, corner_mm=6), 0, 44), (circle(14, at=(40, 110)), 44, 58)),
         mass_kg=1.4, uncertainty_mm=0.5,
         zones=(Zone("connector", "front", (120, 22), (40, 16), 24),
                Zone("cable", "right", (40, 22), (60, 12), 26))),
    Item("calibrator", body((stadium(186, 64), 0, 52)), mass_kg=0.9,
         zones=(Zone("hand", "front", (60, 20), (50, 20), 20),)),
    Item("hydrophone box", body((rectangle(128, 83, corner_mm=6), 0, 60)),
         mass_kg=0.8, uncertainty_mm=0.5),
    Item("probe", body((d_shape(), 0, 40)), mass_kg=0.45, uncertainty_mm=0.5),
    Item("float", body((circle(33, at=(33, 33)), 0, 50)), count=2, mass_kg=0.12),
    Item("field screen", body((rectangle(320, 210, corner_mm=4), 0, 34)), mass_kg=2.1,
         zones=(Zone("vent", "right", (100, 17), (80, 20), 30),)),
    Item("battery", body((circle(17, at=(17, 17)), 0, 66)), count=4, mass_kg=0.2),
    Item("=spare, <fuse> \"set\"", body((rectangle(60, 24, corner_mm=2), 0, 18)), mass_kg=None),
)  # fmt: skip


def placement(
    item: str,
    copy: int,
    half: HalfName,
    x: float,
    y: float,
    z: float,
    tier: int = 1,
    turn: float = 0.0,
) -> Placement:
    """One copy in its place."""
    up = "bottom" if half == "shallow" else "top"
    return Placement(item, copy, half, tier, up, turn, x, y, z)  # type: ignore[arg-type]  # a face


PLACEMENTS = (
    placement("recorder", 1, "deep", 21, 131, 51),
    placement("calibrator", 1, "deep", 265.4, 215, 43),
    placement("hydrophone box", 1, "deep", 21, 20, 35),
    placement("probe", 1, "deep", 164.6, 20, 55),
    placement("float", 1, "deep", 382, 125, 45),
    placement("float", 2, "deep", 349.1, 48.5, 45),
    placement("field screen", 1, "shallow", 40, 45, 125),
    placement("battery", 1, "shallow", 421, 30, 124),
    placement("battery", 2, "shallow", 421, 80, 124),
    placement("battery", 3, "shallow", 421, 130, 124),
    placement("battery", 4, "shallow", 421, 180, 124),
    placement('=spare, <fuse> "set"', 1, "shallow", 400, 240, 125),
)


def layers_for(payload: Payload, interior: Interior) -> tuple[Layer, ...]:
    """Pockets as the body's widest outline upwards to the closing plane, with one notch each."""
    closing = interior.closing_mm
    placed = place_all(payload, PLACEMENTS)
    stacks: dict[HalfName, list[tuple[float, float]]] = {
        "deep": [(0, 30), (30, 80), (80, 100), (100, closing)],
        "shallow": [(180, 200), (150, 180), (closing, 150)],
    }
    made = []
    for half, bands in stacks.items():
        for index, (z0, z1) in enumerate(bands, start=1):
            outline = interior.outline_at((z0 + z1) / 2)
            cutouts: list[Cutout] = []
            for one in placed:
                p, solid = one.placement, one.solid
                inside = solid.z0_mm < z1 - 1e-6 if half == "deep" else solid.z1_mm > z0 + 1e-6
                if p.half != half or not inside:
                    continue
                pocket = grow(solid.silhouette, 1.0)
                left, low, right, high = pocket.bounds
                at = (
                    (left, (low + high) / 2)
                    if p.item in ("recorder", "field screen")
                    else ((left + right) / 2, high)
                )
                shapes: list[tuple[CutoutKind, Polygon]] = [
                    ("pocket", pocket),
                    ("notch", circle(11.0, at=at)),
                ]
                for room in solid.rooms:
                    if room.kind in ("connector", "cable") and room.z0_mm < z1:
                        shapes.append(("channel", room.outline))
                for kind, shape in shapes:
                    cutouts.append(Cutout(p.item, p.copy, kind, shape.intersection(outline)))
            made.append(
                Layer(
                    half,
                    index,
                    z0,
                    z1,
                    "accent" if index == 2 and half == "shallow" else "foam",
                    outline,
                    tuple(cutouts),
                )
            )
    return tuple(made)


def demo_plan() -> Plan:
    """Six items in the deep half, six in the shallow one, seven layers."""
    payload = Payload(
        "Tideline shore station",
        ITEMS,
        case=CaseWishes(),
        assumptions=(
            "clearances: 15 mm between items (assumption)",
            "panel: birch plywood 6.5 (assumption)",
        ),
    )
    interior = Interior(480.0, 300.0, (Half("deep", 110.0), Half("shallow", 90.0)), corner_mm=0.0)
    fit = Fit(
        "volume",
        480 * 300 * 200.0,
        27.6e6,
        "plan area by height",
        0.0417,
        False,
        8.2,
        1,
        interior,
        PLACEMENTS,
    )
    foam = Foam(
        layers_for(payload, interior),
        (Web("deep", 4, "probe", "float 2", 8.1, 15.0, (334.0, 70.0), (341.0, 74.0)),),
        (
            SheetUse(10.0, "foam", 1, 144000.0),
            SheetUse(20.0, "foam", 2, 288000.0),
            SheetUse(30.0, "accent", 1, 144000.0),
        ),
        ("layer deep-04 leaves one loose island",),
    )
    mass = Mass(
        (
            MassPart("gear", 8.4, (240, 150, 90)),
            MassPart("panels", 3.3, (240, 150, 100)),
            MassPart("foam", 0.6, (240, 150, 80)),
        ),
        12.3,
        (238.0, 151.0, 92.0),
        ('=spare, <fuse> "set"',),
    )
    findings = (
        Finding(
            "web",
            "probe, float 2",
            8.1,
            15.0,
            "mm",
            -6.9,
            "fails",
            "move float 2 by 6.9 mm to the right",
            "builder's setting",
        ),
        Finding(
            "gap",
            "hydrophone box, probe",
            15.6,
            15.0,
            "mm",
            0.6,
            "tight",
            "measure both again before cutting",
            "builder's setting",
        ),
        Finding(
            "lift",
            "loaded case",
            12.3,
            25.0,
            "kg",
            12.7,
            "ok",
            "one person may lift it",
            "ISO 11228-1",
            "Lift with care; local rules stand above this.",
        ),
        Finding(
            "cushion",
            "float",
            None,
            None,
            "G",
            None,
            "unknown",
            "no fragility given: ask its maker, or weigh a drop test",
            "builder's setting",
        ),
    )
    return Plan(payload, Choices(), fit, (499.0, 319.0, 219.0), foam, mass, findings)


@pytest.fixture(scope="session")
def plan() -> Plan:
    """The demo plan."""
    return demo_plan()
