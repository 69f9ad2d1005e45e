"""Which two edges a sub-panel lies on, how far these are apart, and where it is pulled at."""

from __future__ import annotations

from collections.abc import Sequence

from attrs import frozen

from fitkit.fit.place import Placed
from fitkit.payload.boxes import face_size_mm
from fitkit.payload.mounts import Mount
from fitkit.shell.gap.flex import Pair
from fitkit.shell.mounting.back import back_of
from fitkit.shell.mounting.model import Support


@frozen
class Lies:
    """A sub-panel between its battens [mm]: span and width, and the patch that is pulled at.

    The span comes first in each pair; points count from a corner.
    """

    sides_mm: Pair
    load_at_mm: Pair
    load_mm: Pair


def lies_on(one: Placed, mount: Mount, *, supports: Sequence[Support]) -> Lies:
    """How the sub-panel of a copy that looks at the closing plane lies.

    It spans from the middle of one batten to that of the other; without battens, its whole length.
    Where its pieces are not known yet it spans the longer of its sides, which is the safe one.
    """
    board = next((piece for piece in supports if piece.kind == "sub-panel"), None)
    if board is None:
        return _not_yet(one, mount)
    low, high = board.low_mm, board.high_mm
    battens = [piece for piece in supports if piece.kind == "batten"]
    ends = [[(piece.low_mm[k] + piece.high_mm[k]) / 2 for piece in battens] for k in (0, 1)]
    apart = [max(at) - min(at) if len(at) > 1 else 0.0 for at in ends]
    if max(apart) > 0.0:
        axis = 0 if apart[0] >= apart[1] else 1
        start, span = min(ends[axis]), apart[axis]
    else:
        axis = 0 if high[0] - low[0] >= high[1] - low[1] else 1
        start, span = low[axis], high[axis] - low[axis]
    across = 1 - axis
    x0, y0, x1, y1 = _pulled(one, mount)
    middle, size = ((x0 + x1) / 2, (y0 + y1) / 2), (x1 - x0, y1 - y0)
    width = high[across] - low[across]
    return Lies(
        (span, width),
        (
            min(max(middle[axis] - start, 0.0), span),
            min(max(middle[across] - low[across], 0.0), width),
        ),
        (size[axis], size[across]),
    )


def _pulled(one: Placed, mount: Mount) -> tuple[float, float, float, float]:
    """The box in plan round the holes by which the item hangs, or round its back [mm]."""
    back = back_of(one, mount.back)
    wide, high = back.size_mm
    holes = () if mount.pattern is None else mount.pattern.holes_mm
    points = [back.point(*hole) for hole in holes or ((0.0, 0.0), (wide, high))]
    xs, ys = [at[0] for at in points], [at[1] for at in points]
    return min(xs), min(ys), max(xs), max(ys)


def _not_yet(one: Placed, mount: Mount) -> Lies:
    margin = 2 * mount.sub_panel.margin_mm
    wide, high = (side + margin for side in face_size_mm(mount.back, one.item.body))
    over = (0.0, 0.0)
    if mount.pattern is not None and mount.pattern.holes_mm:
        xs, ys = zip(*mount.pattern.holes_mm, strict=True)
        least = min(max(xs) - min(xs), max(ys) - min(ys))
        over = (least, least)
    sides = (max(wide, high), min(wide, high))
    return Lies(sides, (sides[0] / 2, sides[1] / 2), over)
