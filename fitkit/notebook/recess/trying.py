"""What is tried on the recess bench, as one value: figures, cut, spread, and the gap looked at."""

from __future__ import annotations

from typing import Literal

from attrs import evolve, frozen

from fitkit.documents.spoken import saying, spoken_shell
from fitkit.errors import BadInput, Fault
from fitkit.payload.closing import Closing, Tolerances
from fitkit.plan import Plan
from fitkit.shell.gap.model import Gap
from fitkit.shell.gap.trial import (
    Trial,
    Wishes,
    as_planned,
    least_depths,
    least_recesses,
    moved_foam,
    tried,
)

Spread = Literal["uniform", "normal"]
TOLERANCES = ("measured", "tape", "saw", "seating", "foam", "rail")


@frozen
class Try:
    """The figures that are tried on a plan, and what is looked at.

    ``cut_mm`` None is through the gap that is looked at; ``sides`` names that gap by what faces
    what, None is the tightest.
    """

    wishes: Wishes
    cut_mm: float | None = None
    spread: Spread = "uniform"
    sides: tuple[str, str] | None = None

    def value(self, key: str) -> float:
        """The figure of a control; KeyError for one that there is not.

        Keys: ``depth/0``, ``recess/ITEM``, ``backs``, ``tolerance/saw``, ``keep``, ``load``,
        ``drop`` and ``shock`` (0: not given), ``cut``.
        """
        group, _, name = key.partition("/")
        wishes, closing = self.wishes, self.wishes.closing
        if group == "depth":
            return wishes.depths_mm[int(name)]
        if group == "recess":
            return wishes.recess_of[name]
        if group == "tolerance":
            return float(getattr(closing.tolerances, f"{name}_mm"))
        found: dict[str, float | None] = {
            "backs": wishes.backs_mm,
            "keep": closing.keep_mm,
            "load": closing.load_n,
            "drop": closing.drop_mm,
            "shock": closing.shock_g,
            "cut": self.cut_mm,
        }
        return found[group] or 0.0

    def with_value(self, key: str, value: float, *, pair: bool) -> Try:
        """Another figure of one control. ``pair``: both halves are as deep as each other."""
        group, _, name = key.partition("/")
        wishes, closing = self.wishes, self.wishes.closing
        if group == "cut":
            return evolve(self, cut_mm=value)
        if group == "recess":
            return evolve(self, wishes=wishes.with_recess(name, value))
        if value < 0:
            raise BadInput([Fault(key, f"{value:g} is below 0", "give 0 or more")])
        if group == "depth":
            depths = tuple(
                value if pair or k == int(name) else depth
                for k, depth in enumerate(wishes.depths_mm)
            )
            return evolve(self, wishes=evolve(wishes, depths_mm=depths, found=False))
        if group == "backs":
            return evolve(self, wishes=evolve(wishes, backs_mm=value or None))
        return evolve(self, wishes=evolve(wishes, closing=_closing(closing, group, name, value)))


def _closing(closing: Closing, group: str, name: str, value: float) -> Closing:
    if group == "tolerance":
        tolerances: Tolerances = evolve(closing.tolerances, **{f"{name}_mm": value})
        return evolve(closing, tolerances=tolerances)
    if group == "drop":
        return evolve(closing, drop_mm=value or None)
    if group == "shock":
        return evolve(closing, shock_g=value or None)
    return evolve(closing, keep_mm=value) if group == "keep" else evolve(closing, load_n=value)


def first_try(plan: Plan) -> Try:
    """The plan as it is. BadInput where it has no shell, or is no case of two halves."""
    shell, interior = plan.shell, plan.fit.interior
    if shell is None or len(interior.halves) != 2:
        what = "has no two halves of its own that close on each other"
        remedy = 'plan a case with form = "box" or "pair", and without a list of ready-made cases'
        raise BadInput([Fault(plan.payload.title, what, remedy)])
    return Try(
        as_planned(plan.payload, interior=interior, placements=plan.fit.placements, shell=shell)
    )


def trial_of(plan: Plan, now: Try) -> Trial:
    """The plan's layout with the figures that are tried."""
    return tried(
        plan.payload, now.wishes, interior=plan.fit.interior, placements=plan.fit.placements
    )


def least_try(plan: Plan, now: Try) -> Try:
    """Every recess as little as keeps all gaps at worst, and no less than the mount asks for.

    Where a recess is below what room its half leaves behind the item, that is said by the trial.
    """
    wishes = now.wishes
    for _ in range(3):  # what flexes and falls does not hang on the recess: one round settles it
        least = least_recesses(trial_of(plan, evolve(now, wishes=wishes)))
        known = wishes.recess_of
        better = wishes
        for name, mm in least.items():
            if name in known:
                better = better.with_recess(name, mm)
        if better == wishes:
            break
        wishes = better
    return evolve(now, wishes=wishes)


def shallowest_try(plan: Plan, now: Try) -> Try:
    """Halves as little deep as the recesses that are tried ask for.

    Where the sheet leaves the depths free they stay free: a plan would find the same.
    """
    depths = least_depths(trial_of(plan, now))
    free = all(depth is None for depth in plan.payload.case.depths_mm)
    return evolve(now, wishes=evolve(now.wishes, depths_mm=depths, found=free))


def trial_plan(plan: Plan, trial: Trial) -> Plan:
    """The plan as the trial would make it, for a drawing: nothing is searched, checked or cut."""
    interior = plan.fit.interior
    grown = trial.interior.height_mm - interior.height_mm
    length, width, height = plan.outside_mm
    return evolve(
        plan,
        payload=trial.payload,
        fit=evolve(plan.fit, interior=trial.interior, placements=trial.placements),
        shell=trial.shell,
        outside_mm=(length, width, height + grown),
        foam=moved_foam(plan.foam, before=interior, after=trial.interior),
        findings=(),
    )


def spoken_trial(plan: Plan, trial: Trial) -> Trial:
    """The trial with its sentences in the words of the plan's lists and drawings."""
    say = saying(plan)
    return evolve(
        trial,
        shell=spoken_shell(trial.shell, say),
        shortages=tuple(
            evolve(one, where=say(one.where), what=say(one.what)) for one in trial.shortages
        ),
    )


def gap_looked_at(trial: Trial, now: Try) -> Gap | None:
    """The gap that was chosen, or the tightest; None where nothing faces anything."""
    for gap in trial.gaps:
        if (gap.deep, gap.shallow) == now.sides:
            return gap
    return min(trial.gaps, key=lambda one: one.worst_mm - one.keep_mm, default=None)
