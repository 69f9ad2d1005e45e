"""The closed case whose gaps are asked for: items, panels, supports, and how it may fall."""

from __future__ import annotations

from functools import cached_property

from attrs import evolve, frozen

from fitkit.fit.layout import Interior
from fitkit.fit.place import Placed
from fitkit.payload.closing import Closing
from fitkit.payload.model import Payload
from fitkit.reference.drops import drop_heights, drop_row
from fitkit.shell.gap.backs import Box, Pull
from fitkit.shell.gap.facing import is_mounted
from fitkit.shell.mass import known
from fitkit.shell.model import Panel
from fitkit.shell.mounting.holding import why_on_walls
from fitkit.shell.mounting.model import Support


@frozen(slots=False)
class Closed:
    """A layout with its panels and supports."""

    payload: Payload
    interior: Interior
    placed: tuple[Placed, ...]
    panels: tuple[Panel, ...]
    supports: tuple[Support, ...]

    def supports_of(self, one: Placed) -> tuple[Support, ...]:
        """What holds one copy."""
        return tuple(
            support
            for support in self.supports
            if support.item == one.item.name and support.copy == one.placement.copy
        )

    def back(self, half: str) -> Panel | None:
        """What closes a half behind: panel, door or loose back; None if nothing does."""
        side = "bottom" if half == self.interior.halves[0].name else "top"
        for part in (f"door {half}", f"back {half}", half):
            for panel in self.panels:
                if panel.part == part and panel.side == side:
                    return panel
        return None

    def shock_g(self, one: Placed) -> float | None:
        """The shock that is counted for an item [G]: its fragility, else the sheet's."""
        given = one.item.fragility_g
        return self.payload.closing.shock_g if given is None else given

    @cached_property
    def drop(self) -> tuple[float | None, str]:
        """The height of fall [mm] that is counted, and where it is from; None if unknown.

        The table goes by the loaded mass. What is not weighed is left out of it: a lighter case
        falls from higher, so the height is never too small.
        """
        given = self.payload.closing.drop_mm
        if given is not None:
            return given, f"fall from {given:g} mm, your sheet: closing.drop"
        placements = tuple(one.placement for one in self.placed)
        # closing and cables weigh nothing: without them one answer serves every trial of tolerances
        weighed = evolve(self.payload, closing=Closing(), cables=())
        kg = known(weighed, self.interior, placements).total_kg
        row = drop_row(kg)
        if row is None:
            most = drop_heights()[-1].to_kg
            return None, f"above {most:g} kg no table says from where it falls: give closing.drop"
        return (
            row.drop_mm,
            f"fall from {row.drop_mm:g} mm for {kg:.1f} kg before hardware, {row.source}",
        )

    def on_back(self, one: Placed) -> bool:
        """Whether an item is mounted so that the back of its half carries it across the plane.

        Rails on the back panel and sub-panels on battens do; what hangs on walls does not, nor
        what looks at a wall, nor what goes to the walls because a door is behind it, or nothing.
        """
        mount = one.item.mount
        if mount is None or mount.upright or mount.by == "walls":
            return False
        if mount.by == "rails" and mount.rails.on == "walls":
            return False
        if mount.by == "sub-panel" and mount.sub_panel.batten_mm is None:
            return False
        if mount.faces == "back panel":
            return False  # its back looks at the closing plane
        panel = self.back(one.placement.half)
        return panel is None or not why_on_walls(panel)

    def pulls(self, half: str) -> tuple[Pull, ...] | None:
        """The weights that the back of a half holds; None where a mass is not known."""
        held = [one for one in self.placed if one.placement.half == half and self.on_back(one)]
        found = []
        for one in held:
            if one.item.mass_kg is None:
                return None
            found.append(Pull(one.item.mass_kg, self.footprint_mm(one)))
        return tuple(found)

    def footprint_mm(self, one: Placed) -> Box:
        """The box in plan over which a mounted item stands on its back: that of its supports.

        Where these are not known, the room that its mount keeps for them.
        """
        boxes = [(*piece.low_mm[:2], *piece.high_mm[:2]) for piece in self.supports_of(one)]
        if not boxes:
            boxes = [room.outline.bounds for room in one.rooms if room.kind == "mount"]
        if not boxes:
            boxes = [one.silhouette.bounds]
        x0, y0, x1, y1 = zip(*boxes, strict=True)
        return (float(min(x0)), float(min(y0)), float(max(x1)), float(max(y1)))


def mounted_in(half: str, closed: Closed) -> tuple[Placed, ...]:
    """The mounted items of a half."""
    return tuple(one for one in closed.placed if one.placement.half == half and is_mounted(one))
