"""Gear face to face, laid out by hand for the gaps: blocks on rails, and blocks in foam."""

from __future__ import annotations

from attrs import evolve

from fitkit.fit.layout import Half, HalfName, Interior, Placement
from fitkit.geometry.shapes import rectangle
from fitkit.payload.closing import Closing
from fitkit.payload.model import Body, CaseWishes, Form, Item, Payload, Section
from fitkit.payload.mounts import Mount, SubPanel
from fitkit.shell.bare_shell import bare_shell
from fitkit.shell.gap.make import gaps_of
from fitkit.shell.gap.model import Gap
from fitkit.shell.mounting.model import Support

LENGTH_MM, WIDTH_MM = 440.0, 320.0


def block(
    name: str,
    *,
    size: tuple[float, float, float] = (200.0, 140.0, 40.0),
    knob_mm: float = 0.0,
    mount: Mount | None = None,
    **more: object,
) -> Item:
    """A block of that size; with a knob of 20 x 20 on its lower left corner where asked."""
    width, depth, height = size
    sections = [Section(rectangle(width, depth), 0.0, height)]
    if knob_mm:
        sections.append(Section(rectangle(20.0, 20.0), height, height + knob_mm))
    more = {"mass_kg": 2.0, "fragility_g": 60.0, **more}
    hold = "pocket" if mount is None else "mounted"
    return Item(name, Body(tuple(sections)), hold=hold, mount=mount, **more)  # type: ignore[arg-type]  # passed on


def rails(recess_mm: float | None = None, **more: object) -> Mount:
    """Rails on the back panel; the recess is free where none is given."""
    return Mount(by="rails", recess_mm=recess_mm, **more)  # type: ignore[arg-type]  # passed on


def sub_panel(recess_mm: float | None = None, **more: object) -> Mount:
    """A sub-panel on battens."""
    return Mount(by="sub-panel", recess_mm=recess_mm, sub_panel=SubPanel(**more))  # type: ignore[arg-type]  # passed on


def kit(*items: Item, form: Form = "pair", closing: Closing | None = None) -> Payload:
    """A kit of these items; a fall from 300 mm where nothing else is said."""
    return Payload(
        "kit",
        items,
        case=CaseWishes(form=form),
        closing=closing or Closing(drop_mm=300.0),
    )


def room(deep_mm: float = 90.0, shallow_mm: float = 90.0) -> Interior:
    """Two halves of these depths."""
    return Interior(LENGTH_MM, WIDTH_MM, (Half("deep", deep_mm), Half("shallow", shallow_mm)))


def stand(
    item: Item,
    half: HalfName,
    *,
    inside: Interior,
    recess_mm: float,
    x: float = 100.0,
    y: float = 80.0,
    copy: int = 1,
) -> Placement:
    """A copy whose foremost point is that far behind the closing plane."""
    height = max(section.z1_mm for section in item.body.sections)
    if half == "deep":
        return Placement(
            item.name, copy, half, 1, "top", 0.0, x, y, inside.closing_mm - recess_mm - height
        )
    return Placement(item.name, copy, half, 1, "bottom", 0.0, x, y, inside.closing_mm + recess_mm)


def gaps(
    payload: Payload,
    *placements: Placement,
    inside: Interior,
    supports: tuple[Support, ...] = (),
) -> tuple[Gap, ...]:
    """The gaps of a layout with the panels of its bare shell."""
    return gaps_of(
        payload,
        interior=inside,
        placements=placements,
        panels=bare_shell(payload, interior=inside).panels,
        supports=supports,
    )


def face_to_face(
    below: Item,
    above: Item,
    *,
    recesses_mm: tuple[float, float] = (20.0, 20.0),
    inside: Interior | None = None,
    closing: Closing | None = None,
    form: Form = "pair",
) -> tuple[Payload, tuple[Gap, ...]]:
    """Two items in the middle of their halves, and their gaps."""
    inside = inside or room()
    payload = kit(*dict.fromkeys((below, above)), form=form, closing=closing)
    copies = (1, 2 if below == above else 1)
    if below == above:
        payload = evolve(payload, items=(evolve(below, count=2),))
    low = stand(below, "deep", inside=inside, recess_mm=recesses_mm[0], copy=copies[0])
    high = stand(above, "shallow", inside=inside, recess_mm=recesses_mm[1], copy=copies[1])
    return payload, gaps(payload, low, high, inside=inside)
