"""Hardware over closing planes: latches, hinges, stays, and the latches of doors.

A closing plane shows as a line on each face where both of its parts reach that face. What holds
the parts together sits on that line, half on each part. Where one of them is flat (a loose lid, a
door), a latch moves down so that it ends flush with it, and a hinge's leaf is bent over its edge.
"""

from __future__ import annotations

from attrs import evolve, frozen

from fitkit.payload.workshop import SIDES, HardwareType, Side
from fitkit.shell.frame import AXES, out_of, plane_mm, side_at, u_of, v_of
from fitkit.shell.model import Assembly, Part, Point, Split, Trouble
from fitkit.shell.places import GAP_MM, Board, Piece
from fitkit.shell.rows_of_pieces import Run
from fitkit.shell.spans import NEAR_MM


@frozen
class Closing:
    """A closing plane: the part that stays, the one that is taken off or opened, and which way.

    ``sense`` is +1 where the moving part lies at the high end of the axis.
    """

    split: Split
    body: Part
    lid: Part
    sense: int

    @property
    def axis(self) -> int:
        """The axis across the plane: 0 x, 1 y, 2 z."""
        return AXES.index(self.split.axis)

    @property
    def door(self) -> bool:
        """Whether what opens is a door or a drawer front, no lid."""
        return is_door(self.lid)

    @property
    def drawer(self) -> bool:
        """Whether what opens is a drawer front: it has no hinges."""
        return self.lid.name.startswith("drawer")

    @property
    def screwed(self) -> bool:
        """Whether what closes it is screwed on: a loose back has neither hinges nor latches."""
        return self.lid.name.startswith("back ")

    @property
    def where(self) -> str:
        """Between which parts, in words."""
        return f"between {self.body.name} and {self.lid.name}"


def moving_of(assembly: Assembly) -> tuple[Closing, ...]:
    """The closing planes with hardware of their own: all but those of backs that are screwed on."""
    return tuple(closing for closing in closings_of(assembly) if not closing.screwed)


def is_door(part: Part) -> bool:
    """Whether a part is a door or a drawer front by its name."""
    return part.name.startswith(("door", "drawer"))


def closings_of(assembly: Assembly) -> tuple[Closing, ...]:
    """Every closing plane, with the part that opens: flat ones and doors, else the upper one."""
    found = []
    for split in assembly.splits:
        below, above = assembly.part(split.below), assembly.part(split.above)
        down = below.plate or (is_door(below) and not is_door(above))
        if above.plate or (is_door(above) and not is_door(below)):
            down = False
        elif above.name in ("tray", "deep") and not is_door(below):
            down = True
        found.append(Closing(split, above, below, -1) if down else Closing(split, below, above, 1))
    return tuple(found)


def reaches(assembly: Assembly, part: Part, side: Side) -> bool:
    """Whether a part has its wall on that face of the case."""
    return side not in part.open and abs(plane_mm(part, side) - plane_mm(assembly, side)) < NEAR_MM


def sides_of(assembly: Assembly, closing: Closing) -> tuple[Side, ...]:
    """The faces on which the closing plane shows with a part's wall on either side of it."""
    return tuple(
        side
        for side in SIDES
        if out_of(side)[0] != closing.axis
        and reaches(assembly, closing.body, side)
        and reaches(assembly, closing.lid, side)
    )


def turn_deg(side: Side, axis: int, sense: int) -> float:
    """How a piece is turned on a face so that its top points along an axis: by quarters.

    >>> turn_deg("front", 2, 1), turn_deg("front", 0, -1), turn_deg("back", 0, -1)
    (0.0, 90.0, 270.0)
    """
    u, u_sense = u_of(side)
    v, v_sense = v_of(side)
    if axis == v:
        return 0.0 if sense == v_sense else 180.0
    if axis != u:
        raise ValueError(f"axis {axis} does not lie in the {side}")
    return 270.0 if sense == u_sense else 90.0


def line_mm(closing: Closing, side: Side) -> tuple[int, float, float]:
    """The axis along which the closing plane shows on a face, and from where to where [mm]."""
    axis = 3 - closing.axis - out_of(side)[0]
    low = max(closing.body.low_mm[axis], closing.lid.low_mm[axis])
    high = min(closing.body.high_mm[axis], closing.lid.high_mm[axis])
    return axis, low, high


def run_over(board: Board, closing: Closing, side: Side, kind: HardwareType) -> Run:
    """The run of a piece along the closing plane's line on a face.

    Its middle keeps a + flange / 2 + 3 mm from the side's end where a dish is sunk (derived), or
    3 mm and half a flange where none is.
    """
    kind = _bent(closing, kind)
    axis, low, high = line_mm(closing, side)
    shift = shift_mm(closing, kind)
    centre = [0.0, 0.0, 0.0]
    centre[closing.axis] = closing.split.at_mm - closing.sense * shift
    centre[out_of(side)[0]] = plane_mm(board.assembly, side)
    point: Point = (centre[0], centre[1], centre[2])
    piece = Piece(kind, side, axis, point, turn_deg(side, closing.axis, closing.sense))
    margin = GAP_MM + (board.profile.leg_mm if kind.dish_mm is not None else 0.0)
    margin += kind.flange_mm[0] / 2
    return Run(piece, low + margin, high - margin, (closing.body.name, closing.lid.name))


def _thick_mm(closing: Closing) -> float:
    return closing.lid.high_mm[closing.axis] - closing.lid.low_mm[closing.axis]


def shift_mm(closing: Closing, kind: HardwareType) -> float:
    """How far a piece moves off the plane towards the body, to end flush with a flat lid."""
    if not closing.lid.plate:
        return 0.0
    return max(0.0, kind.flange_mm[1] / 2 - _thick_mm(closing))


def _bent(closing: Closing, kind: HardwareType) -> HardwareType:
    """A hinge whose upper leaf is bent over a flat part's edge: what of it lies on the wall."""
    width, height = kind.flange_mm
    over = height / 2 - _thick_mm(closing)
    if kind.kind != "hinge" or kind.dish_mm is not None or not closing.lid.plate or over <= 0:
        return kind
    holes = tuple(evolve(hole, y_mm=hole.y_mm + over / 2) for hole in kind.holes)
    return evolve(kind, flange_mm=(width, height - over), holes=holes)


def too_high(board: Board, closing: Closing, kind: HardwareType) -> Trouble | None:
    """What is missing where a piece is higher than the walls on either side of its plane.

    Its flange must lie on the parts, and its dish stay 3 mm clear of the leg or the leaf at their
    far ends (derived).
    """
    kind = _bent(closing, kind)
    shift = shift_mm(closing, kind)
    flange, dish = kind.flange_mm[1] / 2, None if kind.dish_mm is None else kind.dish_mm[1] / 2
    worst, which = 0.0, closing.body
    for part, moved in ((closing.body, shift), (closing.lid, -shift)):
        if part.plate:
            continue
        tall = part.high_mm[closing.axis] - part.low_mm[closing.axis]
        short = flange + moved - tall
        if dish is not None:
            away = -closing.sense if part is closing.body else closing.sense
            far = side_at(AXES[closing.axis], high=away > 0)
            leaf = board.profile.closing_leaf_mm if far in part.open else board.profile.leg_mm
            short = max(short, dish + moved + GAP_MM - (tall - leaf))
        if short > worst + NEAR_MM:
            worst, which = short, part
    if worst <= NEAR_MM:
        return None
    return Trouble(
        f"{kind.kind} {closing.where}",
        f"a {kind.name} {kind.flange_mm[1]:.1f} mm high needs {worst:.1f} mm more than the wall of "
        f"{which.name} has; it is left out",
        worst,
        f"a {kind.kind} {2 * worst:.1f} mm lower, or {which.name} {worst:.1f} mm deeper",
    )
