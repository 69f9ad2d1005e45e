"""Every check, in the order in which a builder reads the answers.

To add one: write a function from :class:`~fitkit.checks.stages.Stages` to findings in a module of
its own, and name it once in :data:`CHECKS`.
"""

from __future__ import annotations

from collections.abc import Callable

from fitkit.checks import (
    building,
    cables,
    clearances,
    closing_gap,
    gear,
    handling,
    hardware,
    limits,
    mounting,
    pockets,
    profiles,
    reach,
    stock,
    use_position,
    webs,
    zones,
)
from fitkit.checks.finding import Finding
from fitkit.checks.stages import Stages

Check = Callable[[Stages], tuple[Finding, ...]]

CHECKS: tuple[Check, ...] = (
    limits.outside_limits,
    limits.mass_limit,
    limits.depths_make_corners,
    clearances.between_items,
    clearances.to_walls,
    clearances.to_floor,
    clearances.to_lid,
    clearances.items_above_each_other,
    zones.zones_free,
    reach.always_in_reach,
    pockets.pockets_hold,
    pockets.floors_under,
    webs.webs_thick_enough,
    building.panel_in_slot,
    building.sheets_can_be_cut,
    profiles.tongue_in_groove,
    profiles.corners_reach,
    profiles.profiles_take_rivets,
    hardware.shell_goes_together,
    hardware.dishes_clear,
    hardware.cuts_line_up,
    hardware.handles_carry,
    hardware.castors_carry,
    stock.bars_long_enough,
    stock.panels_on_sheets,
    stock.foam_on_sheets,
    stock.stock_bought,
    handling.lifting,
    handling.masses_known,
    mounting.mounted_items,
    mounting.screws_stay_short,
    mounting.patterns_carry,
    mounting.recess_kept,
    mounting.screws_clear_of_rivets,
    mounting.supports_clear_of_tails,
    closing_gap.closing_gap,
    cables.cables_have_a_way,
    cables.bends_allowed,
    cables.cables_long_enough,
    cables.coils_stowed,
    use_position.pieces_apart,
    use_position.rooms_clear_of_zones,
    use_position.stands_in_use,
    use_position.handles_opposite,
    use_position.latches_in_reach,
    use_position.doors_open,
    use_position.exits_pass,
    gear.fragility_known,
    gear.heat_and_power,
)


def all_checks(stages: Stages) -> tuple[Finding, ...]:
    """The findings of every check, in order."""
    return tuple(finding for check in CHECKS for finding in check(stages))
