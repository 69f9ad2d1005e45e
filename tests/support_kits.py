"""Mounted gear placed by hand, with the bare shell round it: for rails, sub-panels and screws."""

from __future__ import annotations

from attrs import evolve, frozen

from fitkit.fit.layout import Half, HalfName, Interior, Placement
from fitkit.geometry.shapes import rectangle
from fitkit.payload.model import Body, CaseWishes, Item, Payload, Section, Zone
from fitkit.payload.mounted import faces_up
from fitkit.payload.mounts import HolePattern, Mount, Rails, SubPanel
from fitkit.payload.workshop import Workshop
from fitkit.shell.bare_shell import bare_shell
from fitkit.shell.model import Fitted, Opening, Shell, Trouble
from fitkit.shell.mounting.make import Mounting, mounting_of
from fitkit.shell.mounting.model import Support

PATTERN = HolePattern("100x100", ((160.0, 81.0), (260.0, 81.0), (160.0, 181.0), (260.0, 181.0)))
SIDES = HolePattern("side", ((60.0, 26.0), (202.0, 26.0)), "M4", 8.0)
ON_RAILS = Mount(pattern=PATTERN)
WALL_RAILS = Rails(on="walls")
VOID_MM = 1.8
"""T - f - (s + t) / 2 of the default wall: 10 - 1.5 - (7 + 6.4) / 2."""

LENGTH_MM, WIDTH_MM, DEPTH_MM = 490.0, 312.0, 80.0


@frozen
class Held:
    """A kit as it stands, its bare shell, and what holds it."""

    payload: Payload
    interior: Interior
    placements: tuple[Placement, ...]
    shell: Shell
    mounting: Mounting


def screen(mount: Mount, *, count: int = 1, zones: tuple[Zone, ...] = ()) -> Item:
    """A field screen 420 x 262 x 40: a frame with the glass, electronics on its back."""
    sections = (Section(rectangle(420.0, 262.0), 12.0, 40.0),
                Section(rectangle(180.0, 120.0, at=(120.0, 71.0)), 0.0, 12.0))  # fmt: skip
    item = Item("field screen", Body(sections), count=count, mass_kg=4.3, hold="mounted",
                zones=zones, mount=mount)  # fmt: skip
    return evolve(item, up=faces_up(mount, ("top",)), turn="fixed")


def held(
    payload: Payload,
    placements: tuple[Placement, ...],
    *,
    size_mm: tuple[float, float] = (LENGTH_MM, WIDTH_MM),
    depths_mm: tuple[float, float] = (DEPTH_MM, DEPTH_MM),
    fitted: tuple[Fitted, ...] = (),
    openings: tuple[Opening, ...] = (),
) -> Held:
    """The kit in a case of that size, with its supports worked out."""
    deep, shallow = depths_mm
    inside = Interior(*size_mm, (Half("deep", deep), Half("shallow", shallow)))
    shell = bare_shell(payload, interior=inside)
    mounting = mounting_of(payload, panels=shell.panels, interior=inside, placements=placements,
                           bars=shell.bars, fitted=fitted, openings=openings)  # fmt: skip
    return Held(payload, inside, placements, shell, mounting)


def one_screen(
    mount: Mount = ON_RAILS,
    *,
    half: HalfName = "deep",
    behind_mm: float = 23.0,
    at: tuple[float, float] = (35.0, 25.0),
    turn_deg: float = 0.0,
    zones: tuple[Zone, ...] = (),
    workshop: Workshop = Workshop(),
    fitted: tuple[Fitted, ...] = (),
    depths_mm: tuple[float, float] = (DEPTH_MM, DEPTH_MM),
    others: tuple[tuple[Item, Placement], ...] = (),
) -> Held:
    """One field screen, its back ``behind_mm`` before the panel of its half."""
    item = screen(mount, zones=zones)
    deep = half == "deep"
    z = behind_mm if deep else sum(depths_mm) - behind_mm - 40.0
    place = Placement(item.name, 1, half, 1, "top" if deep else "bottom", turn_deg, *at, z)
    payload = Payload("screens", (item, *(other for other, _ in others)),
                      case=CaseWishes(form="pair"), workshop=workshop)  # fmt: skip
    return held(payload, (place, *(there for _, there in others)), fitted=fitted,
                depths_mm=depths_mm)  # fmt: skip


def twins(mount: Mount = ON_RAILS, *, behind_mm: float = 23.0) -> Held:
    """Two field screens face to face, one in each half."""
    item = screen(mount, count=2)
    high = 2 * DEPTH_MM - behind_mm - 40.0
    places = (Placement(item.name, 1, "deep", 1, "top", 0.0, 35.0, 25.0, behind_mm),
              Placement(item.name, 2, "shallow", 1, "bottom", 0.0, 35.0, 25.0, high))  # fmt: skip
    return held(Payload("twins", (item,), case=CaseWishes(form="pair")), places)


WIDE = SubPanel(margin_mm=22.0)


def on_sub_panel(sub_panel: SubPanel = WIDE) -> Held:
    """A field screen on a sub-panel on battens, with a plug that goes through it."""
    plug = Zone("connector", "bottom", (210.0, 100.0), (40.0, 20.0), 20.0)
    mount = Mount(by="sub-panel", pattern=PATTERN, sub_panel=sub_panel)
    return one_screen(mount, behind_mm=26.4, zones=(plug,))


def recorder(mount: Mount) -> Item:
    """A recorder 262 x 148 x 52 whose sides take screws."""
    body = Body((Section(rectangle(262.0, 148.0), 0.0, 52.0),))
    item = Item("recorder", body, mass_kg=1.4, hold="mounted", mount=mount)
    return evolve(item, up=faces_up(mount, ("top",)), turn="fixed")


def between_walls(*, room_mm: float = 30.0, pattern: HolePattern | None = SIDES) -> Held:
    """A recorder between the front and the back wall, ``room_mm`` from each."""
    mount = Mount(by="walls", walls=("front", "back"), pattern=pattern)
    item = recorder(mount)
    place = Placement("recorder", 1, "deep", 1, "top", 0.0, 120.0, room_mm, 30.0)
    return held(Payload("recorder", (item,)), (place,), size_mm=(500.0, 148.0 + 2 * room_mm),
                depths_mm=(120.0, 60.0))  # fmt: skip


def of_kind(found: Held, kind: str) -> list[Support]:
    """The supports of one kind."""
    return [one for one in found.mounting.supports if one.kind == kind]


def said(found: Held, verdict: str = "fails") -> list[Trouble]:
    """The troubles of one verdict."""
    return [one for one in found.mounting.troubles if one.verdict == verdict]
