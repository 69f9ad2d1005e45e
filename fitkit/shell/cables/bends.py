"""How tightly one cable of the sheet may be bent, and which rule says so."""

from __future__ import annotations

from attrs import frozen

from fitkit.payload.cables import Cable
from fitkit.reference.cable_bends import BendUse, cable_bends
from fitkit.sources import cited


@frozen
class Bend:
    """The least inside radius of a cable's bends [mm], and where the figure is from."""

    radius_mm: float
    source: str


def bend_of(cable: Cable, *, use: BendUse) -> Bend:
    """The least inside radius allowed in a use; the builder's own figure where it is given.

    >>> from fitkit.payload.cables import Connector
    >>> lead = Cable("lead", Connector("recorder", "back"), None, 6.0, kind="power flex")
    >>> bend_of(lead, use="fixed").radius_mm, bend_of(lead, use="coiled").radius_mm
    (18.0, 30.0)
    """
    if cable.bend_mm is not None:
        return Bend(cable.bend_mm, "your sheet: cable.bend")
    band = cable_bends()[cable.kind].band(diameter_mm=cable.diameter_mm, use=use)
    factor = f"{band.factor:g} d" if band.factor else f"{band.least_mm:g} mm"
    return Bend(
        band.radius_mm(cable.diameter_mm), f"{cable.kind}, {use}: {factor}; {cited(band.source)}"
    )
