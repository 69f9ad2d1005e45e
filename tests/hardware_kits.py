"""Cases with hardware, drawn at random: sizes, forms, types of hardware, and gear inside."""

from __future__ import annotations

from typing import Any

import shapely
from attrs import evolve, frozen
from hypothesis import strategies as st

from fitkit.fit.layout import Half, HalfName, Interior, Placement
from fitkit.fit.place import place_all
from fitkit.geometry.shapes import rectangle
from fitkit.payload.hardware import generic
from fitkit.payload.model import Body, CaseWishes, Clearance, Form, Item, Payload, Section
from fitkit.payload.workshop import (
    HardwareKind,
    HardwareType,
    HardwareWishes,
    Side,
    Workshop,
)
from fitkit.shell.bars import bars_of
from fitkit.shell.frame import out_of, u_of
from fitkit.shell.graph import assembly_of
from fitkit.shell.hardware import Placed, hardware_of
from fitkit.shell.model import Assembly, Bar, Fitted, Panel, Point, Room
from fitkit.shell.panels import panels_of


@frozen(repr=False)
class Case:
    """Everything that hardware is set by."""

    payload: Payload
    interior: Interior
    assembly: Assembly
    panels: tuple[Panel, ...]
    bars: tuple[Bar, ...]
    placements: tuple[Placement, ...]
    gross_kg: float | None
    centre_mm: Point | None

    def __repr__(self) -> str:
        """What it was drawn from, in a line or two."""
        shop = self.payload.workshop
        return (
            f"{self.payload.case.form} {self.interior.size_mm} closing at "
            f"{self.interior.closing_mm}, {self.gross_kg} kg at {self.centre_mm}, opening "
            f"{shop.opening}, rings {shop.rings_mm}, doors {shop.doors}, {shop.hardware}, "
            f"{self.placements}"
        )

    def fitted(self) -> Placed:
        """Its hardware."""
        return hardware_of(
            self.payload,
            assembly=self.assembly,
            panels=self.panels,
            bars=self.bars,
            interior=self.interior,
            placements=self.placements,
            gross_kg=self.gross_kg,
            centre_mm=self.centre_mm,
        )


def case_of(
    *,
    size_mm: tuple[float, float] = (580.0, 380.0),
    depths_mm: tuple[float, ...] = (190.0, 90.0),
    form: Form = "box",
    shop: Workshop | None = None,
    gross_kg: float = 18.0,
    centre_mm: Point | None = None,
    items: tuple[Item, ...] = (),
    placements: tuple[Placement, ...] = (),
    clearance: Clearance | None = None,
) -> Case:
    """A case of that inside, its parts cut as its form says."""
    wishes = CaseWishes(form=form, clearance=clearance or Clearance())
    payload = Payload("Tideline trial", items, case=wishes, workshop=shop or Workshop())
    names: tuple[HalfName, ...] = ("tray",) if form == "tray" else ("deep", "shallow")
    interior = Interior(
        *size_mm, tuple(Half(name, depth) for name, depth in zip(names, depths_mm, strict=True))
    )
    assembly = assembly_of(interior, payload=payload)
    middle = (size_mm[0] / 2, size_mm[1] / 2, interior.height_mm / 2)
    return Case(
        payload,
        interior,
        assembly,
        panels_of(assembly, payload=payload),
        bars_of(assembly, wall=payload.wall),
        placements,
        gross_kg,
        middle if centre_mm is None else centre_mm,
    )


def with_hardware(case: Case, **wishes: Any) -> Case:
    """The same case with other wishes for its hardware."""
    hardware = evolve(case.payload.workshop.hardware, **wishes)
    shop = evolve(case.payload.workshop, hardware=hardware)
    return evolve(case, payload=evolve(case.payload, workshop=shop))


def of_kind(placed: Placed, *kinds: HardwareKind) -> tuple[Fitted, ...]:
    """The pieces of those kinds."""
    return tuple(one for one in placed.fitted if one.kind in kinds)


def flange(one: Fitted) -> tuple[Point, Point]:
    """The flange's corners in the case's coordinates."""
    low, high = [*one.centre_mm], [*one.centre_mm]
    normal, right = out_of(one.side)[0], u_of(one.side)[0]
    for axis in range(3):
        if axis != normal:
            half = one.size_mm[0 if axis == right else 1] / 2
            low[axis], high[axis] = one.centre_mm[axis] - half, one.centre_mm[axis] + half
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])


def covers(case: Case, one: Fitted) -> list[tuple[Side, tuple[Point, Point]]]:
    """What a piece covers, face by face: corners a leg's width along their edges."""
    if one.kind != "corner":
        return [(one.side, flange(one))]
    reach, leg = one.size_mm[0], min(case.payload.wall.profile.leg_mm, one.size_mm[0])
    low, _ = flange(one)
    out = case.assembly
    corner = [
        out.low_mm[axis] if abs(low[axis] - out.low_mm[axis]) < 1e-6 else out.high_mm[axis]
        for axis in range(3)
    ]
    if out_of(one.side)[0] == 2:
        corner[2] = one.centre_mm[2]
    names: tuple[tuple[Side, Side], ...] = (
        ("left", "right"),
        ("front", "back"),
        ("bottom", "top"),
    )
    found: list[tuple[Side, tuple[Point, Point]]] = []
    for normal in range(3):
        side = names[normal][corner[normal] == out.high_mm[normal]]
        for long_way in range(3):
            if long_way == normal:
                continue
            start, end = [*corner], [*corner]
            for axis in range(3):
                if axis != normal:
                    inwards = 1 if corner[axis] == out.low_mm[axis] else -1
                    end[axis] += inwards * (reach if axis == long_way else leg)
            box = [sorted(pair) for pair in zip(start, end, strict=True)]
            found.append(
                (side, ((box[0][0], box[1][0], box[2][0]), (box[0][1], box[1][1], box[2][1])))
            )
    return found


def gap_to_item_mm(room: Room, case: Case) -> dict[str, float]:
    """From a room to every item's body, straight [mm]; 0 where they meet."""
    plan = shapely.box(*room.low_mm[:2], *room.high_mm[:2])
    found: dict[str, float] = {}
    for placed in place_all(case.payload, case.placements):
        best = min(
            (
                plan.distance(band.shape) ** 2
                + max(0.0, band.z0_mm - room.high_mm[2], room.low_mm[2] - band.z1_mm) ** 2
            )
            ** 0.5
            for band in placed.solid.bands
        )
        found[placed.label] = best
    return found


def box_item(name: str, width: float, depth: float, height: float) -> Item:
    """A plain box."""
    return Item(name, Body((Section(rectangle(width, depth), 0.0, height),)))


@st.composite
def own_types(draw: st.DrawFn, kind: HardwareKind) -> HardwareType:
    """A type of that kind as a builder might have measured it."""
    base = generic()[kind]
    width, height = draw(st.integers(30, 180)), draw(st.integers(20, 120))
    sunk = kind in ("latch", "handle", "door latch") and draw(st.booleans())
    dish = (width - 24.0, height - 20.0) if sunk and width > 40 and height > 40 else None
    return evolve(
        base,
        name=f"own {kind}",
        flange_mm=(float(width), float(height)),
        dish_mm=dish,
        dish_corner_mm=draw(st.sampled_from((0.0, 5.0, 12.0))) if dish else 0.0,
        depth_mm=float(draw(st.integers(4, 40))) if dish else 0.0,
        holes=(),
        load_kg=draw(st.none() | st.sampled_from((2.0, 20.0, 80.0))),
        known="measured",
    )


@st.composite
def cases(draw: st.DrawFn, *, gear: bool = True, own: bool = True, least: int = 160) -> Case:
    """Cases of every form, with hardware of the builder's own now and then, and gear inside."""
    forms: tuple[Form, ...] = ("box", "box", "pair", "tray")
    form = draw(st.sampled_from(forms))
    size = (float(draw(st.integers(least, 1000))), float(draw(st.integers(least, 700))))
    depth = float(draw(st.integers(60, 320)))
    depths = (depth,) if form == "tray" else (depth, float(draw(st.integers(50, 200))))
    if form == "pair":
        depths = (depth, depth)
    kinds: tuple[HardwareKind, ...] = ("latch", "handle", "foot", "hinge", "castor", "door latch")
    types = tuple(draw(own_types(kind)) for kind in kinds if own and draw(st.integers(0, 3)) == 0)
    hardware = HardwareWishes(
        lid=draw(st.sampled_from(("lift off", "hinged"))),
        use=draw(st.sampled_from(("flat", "upright"))),
        ground=draw(st.sampled_from(("feet", "castors", "none"))),
        braces=draw(st.booleans()),
        types=types,
    )
    shop = Workshop(
        opening=draw(st.sampled_from(("lid", "lid", "front", "left", "ends"))),
        rings_mm=draw(st.sampled_from(((), (), (60.0,)))) if depth > 150 else (),
        doors=draw(st.booleans()),
        hardware=hardware,
    )
    items: list[Item] = []
    placements: list[Placement] = []
    height = sum(depths)
    for index in range(draw(st.integers(0, 4)) if gear else 0):
        name = f"probe {index + 1}"
        wide = [float(draw(st.integers(20, int(most) // 2))) for most in (*size, height)]
        place = [
            float(draw(st.sampled_from((2, int(most - one) - 2)) | st.integers(0, int(most - one))))
            for most, one in zip((*size, height), wide, strict=True)
        ]
        items.append(box_item(name, *wide))
        half: HalfName = "tray" if form == "tray" else "deep"
        placements.append(Placement(name, 1, half, 1, "top", 0.0, *place))
    share = [draw(st.integers(30, 70)) / 100 for _ in range(3)]
    return case_of(
        size_mm=size,
        depths_mm=depths,
        form=form,
        shop=shop,
        gross_kg=float(draw(st.integers(1, 120))),
        centre_mm=(size[0] * share[0], size[1] * share[1], height * share[2]),
        items=tuple(items),
        placements=tuple(placements),
        clearance=Clearance(item_mm=draw(st.sampled_from((0.0, 10.0, 15.0)))),
    )
