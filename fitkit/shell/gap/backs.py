"""How far a panel gives way: pressed from outside, or pulled at by what is mounted on it."""

from __future__ import annotations

from attrs import frozen

from fitkit.payload.model import Payload
from fitkit.reference.moduli import Rigidity
from fitkit.shell.gap.flex import Pair, held_compliance, middle_mm, plate_compliance
from fitkit.shell.gap.measured import rigidity_in, source_in
from fitkit.shell.model import Panel
from fitkit.shell.panels import board_for

Box = tuple[float, float, float, float]


@frozen
class Pull:
    """A weight [kg] that is held by a panel over a box of it in plan (x0, y0, x1, y1) [mm]."""

    kg: float
    box_mm: Box


def rigidities(panel: Panel, payload: Payload) -> tuple[Rigidity, ...]:
    """How stiff a panel is along x, along y, and against a twist.

    Two answers where the sheet leaves open which way its grain runs; none where nothing is known
    of its board.
    """
    board = board_for(payload, panel.part, panel.side)
    found = rigidity_in(payload, panel.board, panel.thickness_mm, wood=board.wood)
    if found is None:
        return ()
    turned = Rigidity(found.across_nmm, found.along_nmm, found.twist_nmm)
    if panel.grain is not None:
        return (found,) if panel.grain == "length" else (turned,)
    return (found,) if found.along_nmm == found.across_nmm else (found, turned)


def stiffness_source(panel: Panel, payload: Payload) -> str:
    """Where a panel's stiffness is from, in words; what to do where nothing is known."""
    board = board_for(payload, panel.part, panel.side)
    return source_in(payload, panel.board, wood=board.wood)


def pressed_mm(panel: Panel, payload: Payload) -> float | None:
    """How far the middle of a panel gives way to the load that the sheet names [mm]."""
    sides = (panel.length_mm, panel.width_mm)
    ways = [middle_mm(payload.closing.load_n, sides, one) for one in rigidities(panel, payload)]
    return max(ways, default=None)


def held_fast_mm(panel: Panel, payload: Payload) -> float | None:
    """The same for a panel whose slots would hold it fast: the least that it can be [mm]."""
    sides = (panel.length_mm, panel.width_mm)
    ways = [
        payload.closing.load_n * held_compliance(sides, one, load_mm=(0.0, 0.0))
        for one in rigidities(panel, payload)
    ]
    return min(ways, default=None)


def given_way_mm(
    panel: Panel, payload: Payload, pulls: tuple[Pull, ...], *, at_mm: Pair, gravity: float
) -> float | None:
    """How far a panel gives way at a place in plan under weights at rest [mm].

    Each weight is spread evenly over its box; the rails in it stiffen nothing. ``at_mm`` is in the
    case's x and y. None where nothing is known of the board.
    """
    sides = (panel.length_mm, panel.width_mm)
    corner = (panel.centre_mm[0] - sides[0] / 2, panel.centre_mm[1] - sides[1] / 2)
    at = _inside(at_mm, corner, sides)
    ways = []
    for rigidity in rigidities(panel, payload):
        total = 0.0
        for pull in pulls:
            x0, y0, x1, y1 = pull.box_mm
            low, high = _inside((x0, y0), corner, sides), _inside((x1, y1), corner, sides)
            total += (
                pull.kg
                * gravity
                * plate_compliance(
                    sides,
                    rigidity,
                    load_at_mm=((low[0] + high[0]) / 2, (low[1] + high[1]) / 2),
                    load_mm=(high[0] - low[0], high[1] - low[1]),
                    at_mm=at,
                )
            )
        ways.append(total)
    return max(ways, default=None)


def _inside(point: Pair, corner: Pair, sides: Pair) -> Pair:
    """A point of the case in the panel's own plan, no farther out than its edges."""
    x, y = point[0] - corner[0], point[1] - corner[1]
    return (round(min(max(x, 0.0), sides[0]), 4), round(min(max(y, 0.0), sides[1]), 4))
