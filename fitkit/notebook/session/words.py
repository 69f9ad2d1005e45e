"""The sentences and tags of the notebook."""

from __future__ import annotations

import html

from fitkit.fit.elevation import Level
from fitkit.fit.gaps import Gap, WayOut
from fitkit.fit.layout import Fit
from fitkit.fit.move import Key
from fitkit.fit.state import Progress
from fitkit.fit.words import above_least, bound_words, standing_words
from fitkit.notebook.session.figures import Figures
from fitkit.payload.model import Objective
from fitkit.plan import Plan


def gap_text(gap: Gap, figures: Figures) -> str:
    """What the tag on a witness line says."""
    if gap.kind == "zone" and gap.overlaps:
        return "in the zone"
    if gap.overlaps and gap.kind == "item":
        return "overlaps"
    if gap.verdict == "fails":
        return f"{figures.gap(gap.gap_mm)} < {figures.gap(gap.limit_mm)}"
    return figures.gap(gap.gap_mm)


def gap_sentence(gap: Gap, mover: Key, way: WayOut | None, figures: Figures) -> tuple[str, str]:
    """A failing gap as a heading, and how to move ``mover``, one of its two ends."""
    left, right = gap.names
    apart, least = figures.step(gap.gap_mm), figures.step(gap.limit_mm)
    if gap.kind == "zone" and gap.overlaps:
        what = "a body stands in a zone"
    elif gap.kind == "zone":
        what = f"{apart} from a zone, at least {least}"
    elif gap.overlaps:
        what = "they overlap"
    elif gap.kind == "pad":
        what = f"{apart} of pad between them, at least {least}"
    else:
        what = f"{apart}, at least {least}"
    name = left if mover == gap.left else right
    todo = f": move {name} by {figures.step(way.by_mm)} {_TO[way.way]}" if way is not None else ""
    return f"{left} to {right}", what + todo


_TO = {
    "right": "to the right",
    "left": "to the left",
    "back": "to the back",
    "front": "to the front",
}


def level_name(level: Level, *, alone: bool) -> str:
    """A level's name: the half, and the tier where its half has several."""
    return f"{level.half} half" if alone else f"{level.half} half, tier {level.tier}"


def summary_html(fit: Fit, plan: Plan | None, *, figures: Figures, busy: str | None) -> str:
    """The layout on the board in a few lines; ``plan`` is None while it is not worked out."""
    rows = [
        ("fit", above_least(fit)),
        ("bound", bound_words(fit).removeprefix("bound").lstrip(": ")),
    ]
    if plan is None:
        when = f"follows: {busy}" if busy else "follows once every clearance is kept"
        rows.append(("foam", when))
    else:
        mass = plan.mass
        more = "at least " if mass.unknown or mass.left_out else ""
        rows.append(("mass", f"{more}{figures.mass(mass.total_kg)}"))
        rows.append(("foam", f"{len(plan.foam.layers)} layers"))
    body = "".join(
        f"<div><span>{html.escape(name)}</span><b>{html.escape(text)}</b></div>"
        for name, text in rows
    )
    return f'<div class="fk-summary">{body}</div>'


def progress_html(now: Progress, objective: Objective) -> str:
    """Where a search stands: a bar, the time, what it is doing, and the best so far."""
    text = f"{now.stage}: {standing_words(now, objective)}"
    return (
        f'<progress max="{now.budget_s}" value="{now.seconds}"></progress>'
        f"{now.seconds:.0f} of {now.budget_s:.0f} s, {html.escape(text)}"
    )
