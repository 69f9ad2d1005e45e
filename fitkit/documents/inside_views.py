"""The drawings of what closes, runs and swings: closing section, cables, and the case in use."""

from __future__ import annotations

from attrs import frozen

from fitkit.documents.cable_view import cable_sheet
from fitkit.documents.closing_section import section_sheet
from fitkit.documents.sheet import Sheet
from fitkit.documents.use_view import use_sheet
from fitkit.plan import Plan

Named = tuple[tuple[str, Sheet], ...]
"""Drawings, each by its file's name without an ending."""


@frozen
class InsideViews:
    """Drawings by the section of the page in which they stand; empty where there is nothing."""

    gap: Named = ()
    cables: Named = ()
    use: Named = ()

    @property
    def all(self) -> Named:
        """All of them, in the order of the page."""
        return (*self.gap, *self.cables, *self.use)


def names_of(plan: Plan) -> tuple[str, ...]:
    """The names of the drawings that a plan gets, in their order, without drawing anything."""
    shell = plan.shell
    if shell is None:
        return ()
    found = [("closing-section", _mounted(plan) or bool(shell.gaps))]
    found += [("cables", bool(shell.routes)), ("use", _is_set_up(plan))]
    return tuple(name for name, there in found if there)


def inside_views(plan: Plan) -> InsideViews:
    """The drawings of a plan: a section where gear faces gear, cables, and the case in use.

    The case in use is drawn where it takes more than lifting a lid: mounted gear, cables, doors,
    halves alike, or a case that stands on its side.
    """
    names = names_of(plan)
    cables = cable_sheet(plan) if "cables" in names else None
    return InsideViews(
        gap=(("closing-section", section_sheet(plan)),) if "closing-section" in names else (),
        cables=(("cables", cables),) if cables is not None else (),
        use=(("use", use_sheet(plan)),) if "use" in names else (),
    )


def _mounted(plan: Plan) -> bool:
    return any(item.mount is not None for item in plan.payload.items)


def _is_set_up(plan: Plan) -> bool:
    """Whether a case is set up to be used, and not just opened."""
    payload = plan.payload
    workshop = payload.workshop
    return bool(
        _mounted(plan)
        or payload.cables
        or payload.case.form == "pair"
        or workshop.hardware.use == "upright"
        or (plan.shell is not None and plan.shell.exits)
    )
