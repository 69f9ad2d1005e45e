"""Bend radii of cables against the standards.

Sources (secondary, read on pages that quote them): DIN VDE 0298-3 for power flex up to 1 kV;
TIA-568.0-D and a draft of ISO/IEC 11801 for twisted pair and fibre; a maker-neutral coax guide.
"""

from __future__ import annotations

import pytest

from fitkit.payload.cables import Cable, Connector
from fitkit.reference.cable_bends import BendUse
from fitkit.shell.cables.bends import bend_of

START = Connector("recorder", "back")
VDE = {  # outside diameter: fixed, free movement, reeled
    6.0: (3, 3, 5),
    8.0: (3, 3, 5),
    10.0: (3, 4, 5),
    12.0: (3, 4, 5),
    16.0: (4, 5, 5),
    20.0: (4, 5, 5),
    24.0: (4, 5, 6),
}
USES: tuple[BendUse, ...] = ("fixed", "moving", "coiled")


@pytest.mark.parametrize("diameter", sorted(VDE))
def test_power_flex_bends_as_the_standard_says(diameter: float) -> None:
    """DIN VDE 0298-3, diameter by diameter: laid, moving, reeled."""
    cable = Cable("lead", START, None, diameter, kind="power flex")
    for use, factor in zip(USES, VDE[diameter], strict=True):
        assert bend_of(cable, use=use).radius_mm == pytest.approx(factor * diameter)


@pytest.mark.parametrize(
    ("kind", "use", "diameter", "radius"),
    [
        ("twisted pair", "fixed", 6.0, 24.0),  # TIA-568.0-D: 4 diameters installed
        ("twisted pair", "moving", 6.0, 48.0),  # ISO/IEC 11801 draft: 8 while pulled
        ("twisted pair cord", "moving", 6.0, 24.0),  # TIA-568.0-D: 4 for patch cords
        ("fibre cable", "fixed", 2.0, 30.0),  # ISO/IEC 11801 draft: 10, never under 30 mm
        ("fibre cable", "fixed", 5.0, 50.0),
        ("fibre cable", "moving", 5.0, 100.0),  # 20 under tension
        ("fibre cord", "coiled", 2.0, 25.0),  # TIA-568.0-D: 25 mm
        ("coax", "fixed", 5.0, 25.0),  # 5 for one bend that stays
        ("coax", "moving", 5.0, 50.0),  # 10 flexed
        ("coax", "coiled", 5.0, 100.0),  # 20 coiled again and again
    ],
)
def test_signal_cables_bend_as_the_standards_say(
    kind: str, use: BendUse, diameter: float, radius: float
) -> None:
    """Twisted pair, fibre and coax by their rule, and the rule is named."""
    bend = bend_of(Cable("lead", START, None, diameter, kind=kind), use=use)
    assert bend.radius_mm == pytest.approx(radius)
    assert kind in bend.source
    assert use in bend.source


def test_the_builders_own_radius_counts() -> None:
    """A radius in the sheet overrules the kind, in every use."""
    cable = Cable("lead", START, None, 6.0, kind="coax", bend_mm=33.0)
    for use in USES:
        assert bend_of(cable, use=use).radius_mm == 33.0
