"""What lies round a half: the panels that things are screwed to, and what is in a screw's way.

The room inside ends at the inner leaves, T inside the outer face; the panel itself sits further
out, in the middle of its slot. What stands on a panel away from the leaves leaves that *void*
between the room's end and the panel: T - f - (s + t) / 2 (geometry alone).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import shapely
from attrs import frozen

from fitkit.fit.layout import Interior
from fitkit.payload.model import Profile
from fitkit.payload.walls import build_up_mm
from fitkit.payload.workshop import Side
from fitkit.shell.frame import out_of, to_bar, to_face, to_panel
from fitkit.shell.leaves import leg_mm
from fitkit.shell.model import Bar, Fitted, Opening, Panel, Point
from fitkit.shell.openings import has_leaf
from fitkit.shell.panels import slot_bottom_mm

LEAST_APART_MM = 20.0
"""From one screw to the next in a row [mm] (assumption)."""

FLANGE_MM = 2.0
"""Between a screw's head and a flange or an opening on the outside [mm] (assumption)."""


@frozen
class Around:
    """The case round the gear: room inside, panels, and what else is on the outside."""

    interior: Interior
    panels: tuple[Panel, ...]
    profile: Profile
    bars: tuple[Bar, ...] = ()
    fitted: tuple[Fitted, ...] = ()
    openings: tuple[Opening, ...] = ()

    def room(self, half: str) -> tuple[Point, Point]:
        """Opposite corners of the room in one half [mm]."""
        length, width, height = self.interior.size_mm
        closing = self.interior.closing_mm
        low, high = (0.0, closing) if half != "shallow" else (closing, height)
        return (0.0, 0.0, low), (length, width, high)

    def end_mm(self, half: str, side: Side) -> float:
        """Where the room of a half ends towards a side [mm along its axis]."""
        low, high = self.room(half)
        axis, sense = out_of(side)
        return high[axis] if sense > 0 else low[axis]

    def closes(self, half: str, side: Side) -> bool:
        """Whether the closing plane, or a tray's loose lid, is on that side of a half."""
        return side == ("bottom" if half == "shallow" else "top")

    def panel_at(self, half: str, side: Side, point: Point) -> Panel | None:
        """The panel on a side at a point of the room; the nearest one where a profile lies."""
        if self.closes(half, side):
            return None
        best: tuple[float, Panel] | None = None
        for panel in self.panels:
            if panel.side != side:
                continue
            u, v = to_panel(panel, point)
            off = max(-u, u - panel.length_mm, -v, v - panel.width_mm, 0.0)
            if best is None or off < best[0]:
                best = (off, panel)
        return None if best is None else best[1]

    def void_mm(self, panel: Panel) -> float:
        """Between the end of the room and the panel's inner face [mm]."""
        axis, sense = out_of(panel.side)
        inner = panel.centre_mm[axis] - sense * panel.thickness_mm / 2
        return round(max(0.0, sense * (inner - self._end(panel.side))), 6)

    def outer_mm(self, side: Side) -> float:
        """Where the outer face of a side lies along its axis [mm]."""
        return self._end(side) + out_of(side)[1] * build_up_mm(self.profile)

    def stack_mm(self, panel: Panel, point: Point) -> float:
        """From under a screw's head to the end of the room, at a point of a side [mm].

        The whole wall where the head sits on a profile's leg; else panel and void.
        """
        if self.leaves(panel, point):
            return build_up_mm(self.profile)
        return panel.thickness_mm + self.void_mm(panel)

    def leaves(self, panel: Panel, point: Point) -> tuple[str, ...]:
        """Names of the profiles whose outer leaf lies over a point of a panel."""
        found = []
        for bar in self.bars:
            if bar.part != panel.part or not has_leaf(bar, panel.side):
                continue
            along, away = to_bar(bar, point, panel.side)
            if 0 <= along <= bar.length_mm and 0 <= away <= leg_mm(bar, self.profile):
                found.append(bar.name)
        return tuple(found)

    @property
    def leaf_in_mm(self) -> float:
        """How far inner leaves reach from the neighbouring walls over a panel [mm]: e + l - T."""
        engaged = slot_bottom_mm(self.profile) + self.profile.engagement_mm
        return max(0.0, engaged - build_up_mm(self.profile))

    @property
    def leg_in_mm(self) -> float:
        """How far the profiles' legs reach over a panel, counted from the room's ends [mm]."""
        return max(0.0, self.profile.leg_mm - build_up_mm(self.profile))

    def clear_outside(self, panel: Panel, point: Point, *, radius_mm: float) -> bool:
        """Whether a head of that radius lies clear of flanges, openings and the panel's edge."""
        reach = radius_mm + FLANGE_MM
        u, v = to_panel(panel, point)
        if min(u, v, panel.length_mm - u, panel.width_mm - v) < radius_mm:
            return False
        at = shapely.Point(to_face(panel.side, point))
        for one in self.fitted:
            if one.side != panel.side:
                continue
            x, y = to_face(one.side, one.centre_mm)
            wide, high = one.size_mm[0] / 2, one.size_mm[1] / 2
            if shapely.distance(shapely.box(x - wide, y - high, x + wide, y + high), at) < reach:
                return False
        on_panel = shapely.Point(u, v)
        return all(
            one.panel != panel.name or shapely.distance(one.shape, on_panel) >= reach
            for one in self.openings
        )

    def _end(self, side: Side) -> float:
        axis, sense = out_of(side)
        return self.interior.size_mm[axis] if sense > 0 else 0.0


def spots_mm(
    low_mm: float, high_mm: float, *, count: int, free: Callable[[float], bool]
) -> tuple[float, ...]:
    """Places for ``count`` screws between two ends [mm], evenly spread, each moved to where it may.

    Each takes the free place nearest to where it should be, in steps of a millimetre, and at least
    ``LEAST_APART_MM`` from those before. Fewer come back where there is no room for all.

    >>> spots_mm(10.0, 90.0, count=2, free=lambda at: at > 15.0)
    (16.0, 90.0)
    """
    if high_mm < low_mm:
        return ()
    wanted = _even(low_mm, high_mm, count)
    steps = range(int(high_mm - low_mm) + 1)
    grid = [*(low_mm + k for k in steps), high_mm]
    found: list[float] = []
    for want in wanted:
        for at in sorted(grid, key=lambda one: abs(one - want)):
            if all(abs(at - other) >= LEAST_APART_MM - 1e-9 for other in found) and free(at):
                found.append(at)
                break
    return tuple(sorted(found))


def _even(low: float, high: float, count: int) -> Sequence[float]:
    if count == 1 or high - low < LEAST_APART_MM:
        return ((low + high) / 2,)
    return [low + (high - low) * k / (count - 1) for k in range(count)]
