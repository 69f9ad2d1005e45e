"""Sentences call pieces as the lists and drawings do, and no inner name is left in them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path

import pytest
from attrs import evolve
from shapely import box

from fitkit.documents.panel_facts import opening_words
from fitkit.documents.shell_words import part_words, piece_words
from fitkit.documents.spoken import saying, spoken
from fitkit.payload.sheet import read_sheet
from fitkit.plan import Choices, Plan, make_plan
from fitkit.plan_json import dumps
from fitkit.shell.model import Opening

SAMPLES = Path(__file__).parents[2] / "sample_payloads"
KITS = ("twin_screens", "watch_desk", "tideline", "one_probe")


@lru_cache(maxsize=len(KITS))
def planned(name: str) -> Plan:
    """A sample, planned quickly."""
    return make_plan(read_sheet(SAMPLES / f"{name}.toml"), choices=Choices(budget_s=0.3))


def sentences(plan: Plan) -> Iterator[str]:
    """Every text that a builder reads as a sentence or as the name of a place."""
    shell = plan.shell
    assert shell is not None
    for finding in plan.findings:
        yield from (finding.subject, finding.note)
    yield from (part.name for part in plan.mass.parts)
    yield from shell.notes
    for trouble in shell.troubles:
        yield from (trouble.where, trouble.what, trouble.remedy)
    for fastener in shell.fasteners:
        yield from (fastener.where, fastener.note)
    for screwing in shell.screwings:
        yield from (screwing.holds, screwing.note)
    yield from (hole.use for one in shell.supports for hole in one.holes)
    yield from (one.what for gap in shell.gaps for one in gap.contributions)
    for leaves in shell.exits:
        yield from (leaves.name, leaves.note)
    yield from (route.through for route in shell.routes)
    yield from (bundle.where for bundle in shell.bundles)


@pytest.mark.parametrize("name", KITS)
def test_no_sentence_holds_an_inner_name(name: str) -> None:
    """Panels, profiles, loose backs and exits are called as in the lists, wherever they are named.

    In a pair, whose halves are alike, nothing is deep or shallow any more.
    """
    plan = planned(name)
    words = {**part_words(plan), **piece_words(plan)}
    inner = {one for one, said in words.items() if " " in one and one != said}
    assert inner
    before, after = list(sentences(plan)), list(sentences(spoken(plan)))
    found = re.compile(rf"\b({'|'.join(map(re.escape, inner))}|exit (deep|shallow))\b", re.I)
    assert any(found.search(text) for text in before)
    assert not [text for text in after if found.search(text)]
    if plan.payload.case.form == "pair":
        assert not [text for text in after if re.search(r"\b(deep|shallow) (half|back)\b", text)]
        assert any("lower half" in text for text in after)
        assert any("upper half" in text for text in after)


@pytest.mark.parametrize("name", KITS)
def test_what_is_said_is_what_was_meant(name: str) -> None:
    """Nothing but sentences changes; twice said is once said; the saved plan keeps its names."""
    plan = planned(name)
    said = spoken(plan)
    assert plan.shell is not None
    assert said.shell is not None
    assert spoken(said) == said
    assert said.fit == plan.fit
    assert (said.shell.panels, said.shell.bars, said.shell.holes) == (
        plan.shell.panels,
        plan.shell.bars,
        plan.shell.holes,
    )
    assert [(one.check, one.verdict, one.value) for one in said.findings] == [
        (one.check, one.verdict, one.value) for one in plan.findings
    ]
    exits = {one.name for one in said.shell.exits}
    assert {route.through for route in said.shell.routes} <= exits | {"closing plane", ""}
    assert {bundle.where for bundle in said.shell.bundles} <= exits | {"closing plane"}
    if plan.shell.exits:
        assert f'"{plan.shell.exits[0].name}"' in dumps(plan, written=())


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("panel back deep bottom: pressed in", "lower half's loose back panel: pressed in"),
        (
            "rails to the back deep bottom panel, from outside",
            "rails to the lower half's loose back panel, from outside",
        ),
        (
            "Corners of back shallow: saw off the leg",
            "Corners of the upper half's loose back: saw off the leg",
        ),
        ("Deep half: its rim", "Lower half: its rim"),
        ("deep front, deep back", "front of the lower half, back of the lower half"),
        ("exit shallow left back, bundle", "left back exit of the upper half, bundle"),
        (
            "edge profile: back deep edge bottom front",
            "edge profile, bottom front, lower half's loose back",
        ),
        ("420 x 262, 40 deep front to back", "420 x 262, 40 deep front to back"),
        ("layer deep-03, knee-deep half-way", "layer deep-03, knee-deep half-way"),
        ("", ""),
    ],
)
def test_a_sentence_of_a_pair(text: str, said: str) -> None:
    """Names as they stand in sentences; what is part of a longer word stays."""
    assert saying(planned("twin_screens"))(text) == said


def test_an_item_keeps_its_own_name() -> None:
    """A kit may call its gear as the shell calls a panel: then that name means the gear."""
    plan = planned("twin_screens")
    screen = plan.payload.items[0]
    named = evolve(plan, payload=evolve(plan.payload, items=(evolve(screen, name="deep front"),)))
    assert saying(named)("deep front and deep back") == "deep front and back of the lower half"


@pytest.mark.parametrize("single", [True, False])
@pytest.mark.parametrize(
    ("owner", "name"),
    [("exit deep left back", "cable exit"), ("finger pocket back deep", "finger pocket")],
)
def test_openings_of_a_panel_hold_no_inner_name(owner: str, name: str, single: bool) -> None:
    """On the panel's own drawing an exit or a pocket is called by what it is."""
    opening = Opening("back deep bottom", owner, box(0.0, 0.0, 24.0, 24.0))
    assert opening_words(opening, single=single)[0] == name
