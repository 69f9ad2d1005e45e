"""The leaves of the profiles: the strips of a face under which a panel sits in its slot.

Along a leaf one counts from the bar's start, away from the edge's outer line (from the closing
plane, for a closing profile). The slot's bottom, the panel's edge and the inner leaf lie at known
distances from that line, so a hole's place says what it goes through.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from attrs import frozen

from fitkit.payload.model import Profile
from fitkit.payload.workshop import Side
from fitkit.shell.frame import along, out_of, to_bar, u_of
from fitkit.shell.model import Assembly, Bar, Hole, Panel, Point
from fitkit.shell.panels import rim_mm, slot_bottom_mm

Seat = Literal["whole", "half", "none"]

_EPS = 1e-6


@frozen
class Leaf:
    """One leaf of a bar with the panel under it [mm].

    Away from the outer line: ``panel_mm`` is where the panel starts, ``inner_mm`` where the inner
    leaf ends, ``leg_mm`` where the outer one does. Along the bar: the panel reaches from
    ``low_mm`` to ``high_mm``; ``mitred`` says at which ends the leaf is sawn at 45 degrees (that of
    a closing profile is not: its mitre lies in the closing plane).
    """

    bar: Bar
    side: Side
    panel: Panel
    leg_mm: float
    panel_mm: float
    inner_mm: float
    low_mm: float
    high_mm: float
    mitred: tuple[bool, bool]

    def point(self, along_mm: float, away_mm: float) -> Point:
        """The point on the outer face at these two distances."""
        axis, sense = along(self.bar)
        other = self.bar.sides[1] if self.side == self.bar.sides[0] else self.bar.sides[0]
        across, out = out_of(other)
        found = [*self.bar.start_mm]
        found[axis] += sense * along_mm
        found[across] -= out * away_mm
        return (found[0], found[1], found[2])

    def ends_mm(self, away_mm: float) -> tuple[float, float]:
        """Where bar and panel both begin and end on the line ``away_mm`` from the outer edge.

        A mitre takes as much off the bar there as the line is away.
        """
        start = away_mm if self.mitred[0] else 0.0
        end = self.bar.length_mm - (away_mm if self.mitred[1] else 0.0)
        return (max(start, self.low_mm), min(end, self.high_mm))


def leaves_of(
    assembly: Assembly, *, panels: Sequence[Panel], bars: Sequence[Bar], profile: Profile
) -> tuple[Leaf, ...]:
    """Every leaf that has a panel under it, bar by bar."""
    by_face = {(panel.part, panel.side): panel for panel in panels}
    found = []
    for bar in bars:
        for side in bar.sides:
            panel = by_face.get((bar.part, side))
            if panel is not None:
                found.append(_leaf(assembly, bar, side, panel, profile))
    return tuple(found)


def slot_mm(bar: Bar, profile: Profile) -> float:
    """How far the slot's bottom lies from the bar's outer line [mm]."""
    if bar.kind == "edge":
        return slot_bottom_mm(profile)
    return rim_mm(profile, bar.kind)


def leg_mm(bar: Bar, profile: Profile) -> float:
    """How far the outer leaf reaches from the bar's outer line [mm]."""
    return profile.leg_mm if bar.kind == "edge" else profile.closing_leaf_mm


def _leaf(assembly: Assembly, bar: Bar, side: Side, panel: Panel, profile: Profile) -> Leaf:
    axis, sense = along(bar)
    half = _half_mm(panel, axis)
    middle = sense * (panel.centre_mm[axis] - bar.start_mm[axis])
    bottom = slot_mm(bar, profile)
    part = assembly.part(bar.part)
    mitred = tuple(
        bar.kind == "edge"
        and bar.ends == "mitred"
        and min(abs(end[axis] - part.low_mm[axis]), abs(end[axis] - part.high_mm[axis])) < _EPS
        for end in (bar.start_mm, bar.end_mm)
    )
    return Leaf(
        bar=bar,
        side=side,
        panel=panel,
        leg_mm=leg_mm(bar, profile),
        panel_mm=bottom + profile.play_mm,
        inner_mm=bottom + profile.engagement_mm,
        low_mm=middle - half,
        high_mm=middle + half,
        mitred=(mitred[0], mitred[1]),
    )


def _half_mm(panel: Panel, axis: int) -> float:
    """Half of what the panel measures along an axis of the case."""
    return (panel.length_mm if axis == u_of(panel.side)[0] else panel.width_mm) / 2


def seat_of(bar: Bar, hole: Hole, *, profile: Profile) -> Seat:
    """Whether a bar's inner leaf lies behind a hole of its outer one: whole, half or not at all."""
    _, away = to_bar(bar, hole.at_mm, hole.side)
    bottom, radius = slot_mm(bar, profile), hole.diameter_mm / 2
    end = bottom + profile.engagement_mm
    if away + radius <= bottom or away - radius >= end:
        return "none"
    return "whole" if away + radius <= end + _EPS else "half"
