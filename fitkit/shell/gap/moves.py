"""What only ever closes a gap: backs pressed in, and what gives way in a drop.

An item in foam must be let move by its stopping distance, or it is hurt. A mounted item moves as
far as what holds it gives way: the back panel, a sub-panel, rails from wall to wall. At the shock
that it stands it pulls with G + 1 times its weight; but never harder than springs as soft as these
pull when the case falls onto rigid ground. Both sides of a gap count at once: after the blow each
swings at its own rate. Foam that settles under an item lets it sink away from
the closing plane: that closes nothing, and is not counted.
"""

from __future__ import annotations

from attrs import frozen

from fitkit.fit.place import Placed
from fitkit.payload.boards import board_of
from fitkit.payload.mounts import Mount
from fitkit.reference.moduli import modulus_of
from fitkit.shell.gap.backs import given_way_mm, held_fast_mm, pressed_mm, stiffness_source
from fitkit.shell.gap.closed import Closed, mounted_in
from fitkit.shell.gap.drop import GRAVITY_M_S2, stopping_mm, weights_in_fall
from fitkit.shell.gap.facing import is_mounted
from fitkit.shell.gap.flex import Pair, beam_compliance
from fitkit.shell.gap.lies_on import lies_on
from fitkit.shell.gap.measured import MEASURED_RAIL, beam_nmm2, rigidity_in, source_in
from fitkit.shell.gap.model import Contribution
from fitkit.shell.gap.strip_flex import strip_compliance
from fitkit.sources import cited

PLATE = "simply supported plate (Timoshenko and Woinowsky-Krieger)"
BENT = "above half its thickness a plate is stiffer than counted"
"""What the source of a shift says where thin plates end: the figure is then on the safe side."""

STRIP = "plate on two edges, the others free (method of Ritz)"

BEAM = "beam on two ends, P L3 / 48 E I"


@frozen
class Spring:
    """One thing that gives way under a mounted item: by how much at rest [mm], None if unknown.

    ``source`` says where that is from. ``thick_mm`` is the thickness of a plate.
    """

    what: str
    sag_mm: float | None
    source: str
    thick_mm: float | None = None


def pressed(half: str, closed: Closed) -> tuple[Contribution, ...]:
    """The back of a half pressed in from outside, in its middle."""
    panel = closed.back(half)
    if panel is None:
        what = f"back of the {half} half: pressed in"
        return (_shift(what, None, "nothing is known of it: press on it and measure"),)
    mm = pressed_mm(panel, closed.payload)
    source = f"{PLATE}; {stiffness_source(panel, closed.payload)}"
    least = held_fast_mm(panel, closed.payload)
    if least is not None:
        source += f"; slots that hold it fast would leave {least:.1f} mm"
    load = closed.payload.closing.load_n
    what = f"panel {panel.name}: pressed in by {load:g} N in its middle"
    return (_shift(what, mm, source, panel.thickness_mm),)


def item_in_drop(one: Placed, closed: Closed) -> tuple[Contribution, ...]:
    """What a drop moves an item by, towards the closing plane."""
    if not is_mounted(one):
        return (_stopped(one, closed),)
    if one.item.mass_kg is None:
        why = f"the mass of {one.label} is not known: put it on a scale"
        return (_shift(f"{one.label}: its mount gives way in a drop", None, why),)
    return _moved(_springs(one, closed), closed.shock_g(one), closed)


def panel_in_drop(half: str, closed: Closed, *, at_mm: Pair) -> tuple[Contribution, ...]:
    """How far the back of a half swings in a drop by what is mounted on it, at a place in plan."""
    spring = _back(half, closed, at_mm=at_mm)
    if spring is None:
        return ()
    shocks = [closed.shock_g(one) for one in mounted_in(half, closed) if closed.on_back(one)]
    stood = [shock for shock in shocks if shock is not None]
    return _moved((spring,), max(stood) if len(stood) == len(shocks) else None, closed)


def _moved(
    springs: tuple[Spring, ...], shock_g: float | None, closed: Closed
) -> tuple[Contribution, ...]:
    """Springs in a row as they give way together, each as a contribution."""
    if any(spring.sag_mm is None for spring in springs):
        return tuple(_shift(one.what, None, one.source) for one in springs if one.sag_mm is None)
    drop_mm, why = closed.drop
    sag_mm = sum(spring.sag_mm or 0.0 for spring in springs)
    ways = []
    if drop_mm is not None:
        ways.append((weights_in_fall(drop_mm, sag_mm), f"{why}, onto rigid ground"))
    if shock_g is not None:
        ways.append((shock_g + 1, f"at a shock of {shock_g:g} G"))
    if not ways:
        why = f"{why}; or say what shock it stands (item.fragility, closing.shock)"
        return tuple(_shift(spring.what, None, why) for spring in springs)
    weights, why = min(ways)
    return tuple(
        _shift(one.what, 0.0 if not one.sag_mm else one.sag_mm * weights,
               f"{one.source}; {why}", one.thick_mm)
        for one in springs
    )  # fmt: skip


def _stopped(one: Placed, closed: Closed) -> Contribution:
    """The way in which foam stops an item, at no more than the shock it stands."""
    what = f"{one.label}: way in which its foam stops it in a drop"
    shock_g = closed.shock_g(one)
    drop_mm, why = closed.drop
    if shock_g is None:
        return _shift(what, None, f"what shock {one.label} stands is not known: ask its maker")
    if drop_mm is None:
        return _shift(what, None, why)
    if shock_g <= 1:
        return _shift(what, None, "nothing is stopped with a shock of 1 G or less")
    source = f"linear cushion, 2 h / (G - 1), at {shock_g:g} G; {why}"
    return _shift(what, stopping_mm(drop_mm, shock_g), source)


def _springs(one: Placed, closed: Closed) -> tuple[Spring, ...]:
    """What gives way under a mounted item, from the case inwards."""
    mount = one.item.mount
    if mount is None or mount.upright or mount.by == "walls":
        what = f"{one.label}: held at the walls in a drop"
        return (Spring(what, 0.0, "walls do not give way along themselves (assumption)"),)
    found = []
    if closed.on_back(one):
        backs = [_back(one.placement.half, closed, at_mm=at) for at in _moved_most(one, closed)]
        known = [back for back in backs if back is not None]
        if known:
            found.append(max(known, key=lambda back: back.sag_mm or 0.0))
    if mount.by == "sub-panel":
        found.append(_sub_panel(one, mount, closed))
    elif not closed.on_back(one):
        found.append(_wall_rails(one, mount, closed))
    return tuple(found)


def _moved_most(one: Placed, closed: Closed) -> tuple[Pair, ...]:
    """Where a back moves an item most.

    In the middle of what holds it, or where the item, which tilts along, comes nearest to the
    middle of the panel.
    """
    x0, y0, x1, y1 = closed.footprint_mm(one)
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    panel = closed.back(one.placement.half)
    if panel is None:
        return (middle,)
    left, low, right, high = one.silhouette.bounds
    x, y, _ = panel.centre_mm
    return (
        middle,
        (min(max(x, min(left, x0)), max(right, x1)), min(max(y, min(low, y0)), max(high, y1))),
    )


def _back(half: str, closed: Closed, *, at_mm: Pair) -> Spring | None:
    panel, pulls = closed.back(half), closed.pulls(half)
    if pulls == ():
        return None
    if panel is None:
        what = f"back of the {half} half: gives way in a drop to what it holds"
        return Spring(what, None, "nothing is known of it: press on it and measure")
    what = f"panel {panel.name}: gives way in a drop to what it holds"
    source = f"{PLATE}; {stiffness_source(panel, closed.payload)}"
    if pulls is None:
        return Spring(what, None, "the mass of what is mounted on it is not known: weigh it")
    sag = given_way_mm(panel, closed.payload, pulls, at_mm=at_mm, gravity=GRAVITY_M_S2)
    return Spring(what, sag, source, panel.thickness_mm)


def _sub_panel(one: Placed, mount: Mount, closed: Closed) -> Spring:
    """A sub-panel on its battens, pulled at over the pattern of holes (or over the item's back)."""
    what = f"{one.label}: sub-panel gives way in a drop"
    board, kg = mount.sub_panel, one.item.mass_kg or 0.0
    wood = board_of(board.board, thickness_mm=board.thickness_mm).wood
    rigidity = rigidity_in(closed.payload, board.board, board.thickness_mm, wood=wood)
    source = source_in(closed.payload, board.board, wood=wood)
    if rigidity is None:
        return Spring(what, None, source)
    lies = lies_on(one, mount, supports=closed.supports_of(one))
    sag = kg * GRAVITY_M_S2 * strip_compliance(
        lies.sides_mm, rigidity.softest, load_at_mm=lies.load_at_mm, load_mm=lies.load_mm,
        at_mm=lies.load_at_mm,
    )  # fmt: skip
    return Spring(what, sag, f"{STRIP}; {source}", board.thickness_mm)


def _wall_rails(one: Placed, mount: Mount, closed: Closed) -> Spring:
    """Rails from wall to wall, each with its share of the item in its middle."""
    what = f"{one.label}: rails from wall to wall give way in a drop"
    rails = [piece for piece in closed.supports_of(one) if piece.kind == "rail"]
    if not rails:
        return Spring(what, None, f"no rails are planned yet for {one.label}")
    measured = mount.rails.stiffness
    if measured is not None:
        each = beam_nmm2(measured)
        softest = sum(1 / beam_compliance(rail.length_mm, each) for rail in rails)
        sag = (one.item.mass_kg or 0.0) * GRAVITY_M_S2 / softest
        return Spring(what, sag, f"{BEAM}; {MEASURED_RAIL}")
    stiffness = []
    for rail in rails:
        row = modulus_of(rail.material)
        if row is None or row.across_mpa is None:
            why = (
                f"nothing is known of how stiff {rail.material} is: load one and give "
                "rail = { stiffness = { span, mass, sag } }"
            )
            return Spring(what, None, why)
        second = rail.width_mm * rail.thick_mm**3 / 12
        stiffness.append(1 / beam_compliance(rail.length_mm, row.across_mpa * second))
    sag = (one.item.mass_kg or 0.0) * GRAVITY_M_S2 / sum(stiffness)
    row = modulus_of(rails[0].material)
    known = "" if row is None else f"; {rails[0].material}: {cited(row.source)}, {row.known}"
    return Spring(what, sag, f"{BEAM}{known}")


def _shift(what: str, mm: float | None, source: str, thick_mm: float | None = None) -> Contribution:
    """A contribution that only closes the gap; where plate theory ends, that is said."""
    if mm is not None and thick_mm is not None and mm > thick_mm / 2:
        source += f"; {BENT}"
    return Contribution(what, mm, "shift", source)
