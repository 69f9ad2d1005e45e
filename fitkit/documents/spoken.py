"""A plan in a builder's words: its sentences call pieces as its lists and drawings do.

Inside, a panel is "deep front" and a loose back "back deep"; on paper they are "front of the deep
half" and "deep half's loose back", and the halves of a pair, which are alike, are the lower and the
upper one. Sentences that come from the shell and from the checks hold the inner names.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from attrs import evolve

from fitkit.documents.naming import half_names
from fitkit.documents.shell_words import PROFILES, part_words, piece_words
from fitkit.plan import Plan
from fitkit.shell.model import Shell

Saying = Callable[[str], str]
"""Puts a sentence into a builder's words."""


def saying(plan: Plan) -> Saying:
    """What says the inner names in a text of this plan as its lists do.

    Names that an item of the kit has as well are left as they are; so is a depth ("40 deep").
    """
    words = _words(plan)
    for item in plan.payload.items:
        words.pop(item.name, None)
    if not words:
        return str
    names = "|".join(re.escape(name) for name in sorted(words, key=len, reverse=True))
    kinds = "|".join(PROFILES.values())
    found = re.compile(
        rf"(?<![\w-])(?<!\d )(?:(?:{kinds}): |(panel) |(of ))?({names})( panel)?(?![\w-])",
        re.IGNORECASE,
    )

    def said(match: re.Match[str]) -> str:
        whole, name = match.group(0), match.group(3)
        text = words.get(name) or words.get(name[:1].lower() + name[1:])
        if text is None:  # written otherwise: somebody else's word
            return whole
        if match.group(4) and not _is_panel(name, plan):
            text += match.group(4)
        if match.group(2):
            text = f"of the {text}"
        return text[:1].upper() + text[1:] if whole[:1].isupper() else text

    return lambda text: found.sub(said, text)


def _is_panel(name: str, plan: Plan) -> bool:
    return plan.shell is not None and any(
        panel.name.lower() == name.lower() for panel in plan.shell.panels
    )


def _words(plan: Plan) -> dict[str, str]:
    """Inner names and what they are called."""
    halves = half_names(plan)
    words = {f"{half} half": said for half, said in halves.items() if half != "tray"}
    parts = part_words(plan)
    words |= {part: said for part, said in parts.items() if " " in part and part != said}
    words |= piece_words(plan)
    if plan.shell is not None:
        words |= {
            one.name: _exit(one.name, parts)
            for one in plan.shell.exits
            if one.name.startswith("exit ")
        }
    return words


def _exit(name: str, parts: Mapping[str, str]) -> str:
    """A cable exit as it is called: "left back exit of the deep half"."""
    kind, part, *corner = name.split()
    return f"{' '.join(corner)} {kind} of the {parts.get(part, part)}"


def spoken(plan: Plan) -> Plan:
    """The plan with every sentence in a builder's words; names by which pieces are found stay."""
    say = saying(plan)
    return evolve(
        plan,
        findings=tuple(
            evolve(one, subject=say(one.subject), note=say(one.note)) for one in plan.findings
        ),
        mass=evolve(
            plan.mass,
            parts=tuple(evolve(one, name=say(one.name)) for one in plan.mass.parts),
            pieces=tuple(evolve(one, name=say(one.name)) for one in plan.mass.pieces),
        ),
        shell=None if plan.shell is None else spoken_shell(plan.shell, say),
    )


def spoken_shell(shell: Shell, say: Saying) -> Shell:
    """The shell with its sentences in a builder's words; see :func:`spoken`."""
    return evolve(
        shell,
        notes=tuple(say(note) for note in shell.notes),
        troubles=tuple(
            evolve(one, where=say(one.where), what=say(one.what), remedy=say(one.remedy))
            for one in shell.troubles
        ),
        fasteners=tuple(
            evolve(one, where=say(one.where), note=say(one.note)) for one in shell.fasteners
        ),
        screwings=tuple(
            evolve(one, holds=say(one.holds), note=say(one.note)) for one in shell.screwings
        ),
        supports=tuple(
            evolve(one, holes=tuple(evolve(hole, use=say(hole.use)) for hole in one.holes))
            for one in shell.supports
        ),
        gaps=tuple(
            evolve(
                gap,
                contributions=tuple(evolve(one, what=say(one.what)) for one in gap.contributions),
            )
            for gap in shell.gaps
        ),
        exits=tuple(evolve(one, name=say(one.name), note=say(one.note)) for one in shell.exits),
        routes=tuple(evolve(one, through=say(one.through)) for one in shell.routes),
        bundles=tuple(evolve(one, where=say(one.where)) for one in shell.bundles),
    )
