"""Payloads with mounted items: by hand, and drawn at random, valid by construction."""

from __future__ import annotations

from attrs import evolve
from hypothesis import strategies as st

from fitkit.geometry.shapes import rectangle
from fitkit.payload.model import Body, CaseWishes, FoamWishes, Item, Payload, Section, Standing
from fitkit.payload.mounted import faces_up, proud_mm
from fitkit.payload.mounts import HolePattern, Mount, MountBy, Rails, SubPanel
from fitkit.payload.workshop import Workshop


def mounted(item: Item, mount: Mount) -> Item:
    """The item with that mount, in the poses that it allows."""
    turn = "fixed" if mount.upright else item.turn
    return evolve(item, hold="mounted", mount=mount, up=faces_up(mount, item.up), turn=turn)


def screen(*, count: int = 1, half: Standing | None = None, mount: Mount = Mount()) -> Item:
    """A field screen on its back: a frame with the glass, electronics behind it, four M4 holes."""
    body = Body(
        (
            Section(rectangle(420.0, 262.0), 12.0, 40.0),
            Section(rectangle(180.0, 120.0, at=(120.0, 71.0)), 0.0, 12.0),
        )
    )
    holes = ((160.0, 81.0), (260.0, 81.0), (160.0, 181.0), (260.0, 181.0))
    mount = evolve(mount, pattern=HolePattern("100x100", holes))
    item = Item("field screen", body, count=count, mass_kg=4.3, turn="half", half=half)
    return mounted(evolve(item, fragility_g=60.0, uncertainty_mm=0.5, proud=False), mount)


def keyboard(*, half: Standing | None = "deep", mount: Mount = Mount(by="sub-panel")) -> Item:
    """A keyboard with two knobs that stand 18 mm above its keys."""
    body = Body(
        (
            Section(rectangle(380.0, 240.0), 0.0, 40.0),
            Section(rectangle(24.0, 24.0, at=(40.0, 190.0)), 40.0, 58.0),
            Section(rectangle(24.0, 24.0, at=(316.0, 190.0)), 40.0, 58.0),
        )
    )
    item = Item("keyboard", body, mass_kg=3.1, turn="half", half=half)
    return mounted(evolve(item, fragility_g=85.0, uncertainty_mm=0.5), mount)


def pair(*, least_mm: float = 14.0, recess_mm: float | None = None) -> Payload:
    """Two field screens face to face on rails."""
    mount = Mount(least_mm=least_mm, recess_mm=recess_mm)
    return Payload("pair", (screen(count=2, mount=mount),), case=CaseWishes(form="pair"))


def desk(*, recess_mm: float = -6.0) -> Payload:
    """A box: a keyboard whose knobs stand proud, and the screen that faces it in the lid."""
    low = keyboard(mount=Mount(by="sub-panel", recess_mm=recess_mm))
    high = screen(half="shallow", mount=Mount(least_mm=max(0.0, -recess_mm)))
    return Payload("desk", (low, high), case=CaseWishes(form="box"))


@st.composite
def _bodies(draw: st.DrawFn) -> Body:
    length, width = draw(st.integers(60, 200)), draw(st.integers(60, 160))
    height = draw(st.integers(12, 60))
    base = Section(rectangle(float(length), float(width)), 0.0, float(height))
    if draw(st.booleans()):
        knob = Section(rectangle(20.0, 20.0, at=(10.0, 10.0)), float(height), height + 14.0)
        return Body((base, knob))
    return Body((base,))


@st.composite
def _mounts(draw: st.DrawFn) -> Mount:
    by: MountBy = draw(st.sampled_from(("rails", "sub-panel", "walls")))
    return Mount(
        by=by,
        faces=draw(st.sampled_from(("closing plane", "closing plane", "back panel"))),
        recess_mm=draw(st.none() | st.integers(-8, 30).map(float)),
        least_mm=float(draw(st.integers(0, 25))),
        rails=Rails(
            height_mm=draw(st.integers(8, 30)) / 1.0, run=draw(st.sampled_from(("along", "up")))
        ),
        sub_panel=SubPanel(margin_mm=float(draw(st.integers(0, 20)))),
        sunk=draw(st.booleans()),
        behind_mm=float(draw(st.sampled_from((0, 0, 35)))),
    )


@st.composite
def kits(draw: st.DrawFn) -> Payload:
    """One to three mounted items and up to two that lie in foam, in a case of any form."""
    form = draw(st.sampled_from(("box", "pair", "tray")))
    items = []
    for k in range(draw(st.integers(1, 3))):
        half = draw(st.sampled_from(("deep", "shallow", "any")))
        mount = draw(_mounts())
        if mount.faces == "back panel" and mount.recess_mm is not None:
            mount = evolve(mount, recess_mm=abs(mount.recess_mm))
        items.append(mounted(Item(f"panel {k}", draw(_bodies()), half=half), mount))
    for k in range(draw(st.integers(0, 2))):
        items.append(Item(f"reel {k}", draw(_bodies()), half="deep", proud=False))
    proud = proud_mm(items)
    items = [
        evolve(one, mount=evolve(one.mount, least_mm=max(one.mount.least_mm, proud)))
        if one.mount is not None and one.mount.recess_mm is None
        else one
        for one in items
    ]
    planks = draw(st.sampled_from(((), (), (70.0, 95.0, 120.0))))
    return Payload(
        "kit",
        tuple(items),
        case=CaseWishes(form=form, tiers=draw(st.sampled_from((1, 2)))),
        foam=FoamWishes(notch=None),
        workshop=Workshop(planks_mm=planks),
    )
