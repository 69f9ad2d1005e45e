"""The worked example of a case in profiles, 600 x 400 x 300 outside, to the millimetre.

Source: the worked example of the house's description, computed there
from the same formulas: no outside book. Panels 6.5 mm thick, halves 200 and 100 high outside.
"""

from __future__ import annotations

from collections import Counter

import pytest

from fitkit.fit.layout import Half, Interior
from fitkit.payload.model import Payload, Wall
from fitkit.shell.bars import bars_of
from fitkit.shell.graph import assembly_of, corners_of
from fitkit.shell.panels import panels_of

KIT = Payload("worked example", (), wall=Wall(panel_mm=6.5))
INSIDE = Interior(580.0, 380.0, (Half("deep", 190.0), Half("shallow", 90.0)))
CASE = assembly_of(INSIDE, payload=KIT)
BARS = bars_of(CASE, wall=KIT.wall)


def lengths(kind: str) -> Counter[float]:
    """How many profiles of a kind there are of each length."""
    return Counter(bar.length_mm for bar in BARS if bar.kind == kind)


def test_outside_and_halves() -> None:
    """600 x 400 x 300 outside, halves 200 and 100 high, round 580 x 380 x (190 + 90)."""
    size = [high - low for low, high in zip(CASE.low_mm, CASE.high_mm, strict=True)]
    assert size == [600.0, 400.0, 300.0]
    assert [part.high_mm[2] - part.low_mm[2] for part in CASE.parts] == [200.0, 100.0]


def test_panels_to_the_millimetre() -> None:
    """Ten panels: top and bottom 579 x 379, walls 185 and 83 high."""
    panels = panels_of(CASE, payload=KIT)
    assert {panel.name: (panel.length_mm, panel.width_mm) for panel in panels} == {
        "deep bottom": (579.0, 379.0),
        "deep front": (579.0, 185.0),
        "deep back": (579.0, 185.0),
        "deep left": (379.0, 185.0),
        "deep right": (379.0, 185.0),
        "shallow top": (579.0, 379.0),
        "shallow front": (579.0, 83.0),
        "shallow back": (579.0, 83.0),
        "shallow left": (379.0, 83.0),
        "shallow right": (379.0, 83.0),
    }


def test_area_and_mass() -> None:
    """0.95237 m2, 4.16 kg at 4.37 kg/m2."""
    panels = panels_of(CASE, payload=KIT)
    assert sum(panel.area_m2 for panel in panels) == pytest.approx(0.95237, abs=5e-6)
    mass = sum(panel.area_m2 * (panel.areal_kg_m2 or 0.0) for panel in panels)
    assert mass == pytest.approx(4.16, abs=5e-3)


def test_edge_profiles_to_the_millimetre() -> None:
    """Square cut: 540 and 340, four each; uprights 145 and 45, four each."""
    assert lengths("edge") == {540.0: 4, 340.0: 4, 145.0: 4, 45.0: 4}


def test_closing_profiles_to_the_millimetre() -> None:
    """Tongue and groove: 600 and 400 at the long point, two each; 580 and 380 at the short one."""
    for kind in ("tongue", "groove"):
        assert lengths(kind) == {600.0: 2, 400.0: 2}
        short = Counter(bar.short_mm for bar in BARS if bar.kind == kind)
        assert short == {580.0: 2, 380.0: 2}


def test_corners() -> None:
    """Eight outer corners and eight closing ones."""
    assert Counter(corner.kind for corner in corners_of(CASE)) == {"outer": 8, "closing": 8}


def test_four_long_and_four_short_edges_for_each_half_of_a_pair() -> None:
    """A half of a pair has two long, two short edges and four uprights; common practice, no source.

    Builders count four long and four short lengths a half with its closing frame: two of the edge
    profile, two of the closing one, each way.
    """
    inside = Interior(580.0, 380.0, (Half("deep", 140.0), Half("shallow", 140.0)))
    bars = bars_of(assembly_of(inside, payload=KIT), wall=KIT.wall)
    for half in ("deep", "shallow"):
        level = [bar for bar in bars if bar.part == half and bar.start_mm[2] == bar.end_mm[2]]
        long = [bar for bar in level if bar.start_mm[1] == bar.end_mm[1]]
        assert (len(long), len(level) - len(long)) == (4, 4)
