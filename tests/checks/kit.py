"""A kit of two blocks laid out by hand, for checks to look at."""

from __future__ import annotations

import shapely
from attrs import evolve

from fitkit.checks.stages import Stages
from fitkit.fit.layout import Fit, Half, Interior, Placement
from fitkit.foam.model import Cutout, Foam, Layer
from fitkit.geometry.shapes import rectangle
from fitkit.payload.model import Body, CaseWishes, Item, Payload, Section
from fitkit.shell.mass import Mass, MassPart

LENGTH_MM, WIDTH_MM = 200.0, 120.0
DEEP, SHALLOW = Half("deep", 70.0), Half("shallow", 50.0)


def block(name: str = "recorder", *, height_mm: float = 45.0, **more: object) -> Item:
    """A block of 60 x 40 in plan."""
    body = Body((Section(rectangle(60.0, 40.0), 0.0, height_mm),))
    return Item(name, body, **more)  # type: ignore[arg-type]  # passed on as they are


def at(item: str, x: float, y: float, z: float = 25.0, *, tier: int = 1) -> Placement:
    """Stand an item upright in the deep half."""
    return Placement(item, 1, "deep", tier, "top", 0.0, x, y, z)


def foam_for(payload: Payload, placements: tuple[Placement, ...]) -> Foam:
    """Line both halves: a floor of 25, pockets of 45 in the deep half, a whole shallow half."""
    from fitkit.fit.place import place_all

    edge = shapely.box(0, 0, LENGTH_MM, WIDTH_MM)
    pockets = tuple(
        Cutout(one.placement.item, one.placement.copy, "pocket", one.solid.silhouette)
        for one in place_all(payload, placements)
    )
    return Foam(
        (
            Layer("deep", 1, 0.0, 25.0, "foam", edge, ()),
            Layer("deep", 2, 25.0, 70.0, "foam", edge, pockets),
            Layer("shallow", 1, 70.0, 120.0, "foam", edge, ()),
        ),
        (),
        (),
    )


def stages(
    *placements: Placement,
    items: tuple[Item, ...] | None = None,
    case: CaseWishes | None = None,
    foam: Foam | None = None,
    mass: Mass | None = None,
    **payload_more: object,
) -> Stages:
    """Put two blocks, or ``items``, into a room of 200 x 120 x (70 + 50) with clearances kept."""
    items = items or (block("recorder"), block("probe"))
    payload = Payload("kit", items, case=case or CaseWishes())
    payload = evolve(payload, **payload_more)
    placements = placements or (at("recorder", 20.0, 20.0), at("probe", 95.0, 20.0))
    room = Interior(LENGTH_MM, WIDTH_MM, (DEEP, SHALLOW))
    return Stages(
        payload=payload,
        fit=Fit("volume", 1.0, 1.0, "none", 0.0, False, 1.0, 1, room, placements),
        outside_mm=(220.0, 140.0, 140.0),
        foam=foam or foam_for(payload, placements),
        mass=mass or Mass((MassPart("recorder", 2.0, (0.0, 0.0, 0.0)),), 2.0, (0.0, 0.0, 0.0)),
    )
