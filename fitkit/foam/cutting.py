"""What each way of cutting foam can do: narrowest web, inner radius, greatest depth, cautions.

Values are from a workshop table of cutting methods. Each row carries its mark: "common
practice, no source" where trade habit is all there is.
"""

from __future__ import annotations

from attrs import frozen

from fitkit.payload.model import Cutting, FoamWishes

CORNER_OPENING = 1 - 2**-0.5
"""How far a relief circle in a square corner bulges past its sides, in tool radii (geometry)."""


@frozen
class Method:
    """One way of cutting foam.

    ``inner_radius_mm`` is the least radius of an inside corner (0: sharp, by overcut),
    ``min_web_mm`` the narrowest web that stands up to the cut, ``depth_mm`` the thickest sheet
    that is cut well (None: any, or as far as the tool reaches). ``advice`` says how to work,
    ``caution`` what can hurt.
    """

    name: Cutting
    inner_radius_mm: float
    min_web_mm: float
    depth_mm: float | None
    advice: str
    caution: str
    source: str

    @property
    def corner_take_mm(self) -> float:
        """How far the relief of a square corner bulges past a pocket's side [mm]."""
        return self.inner_radius_mm * CORNER_OPENING


_KNIFE = Method(
    name="knife",
    inner_radius_mm=0.0,
    min_web_mm=8.0,
    depth_mm=50.0,
    advice="Knife: sharp inside corners are drawn; run each cut a little past the corner. By hand, "
    "keep webs of 15 mm or more.",
    caution="Blades: cut away from the hand and the body, blade upright, on a cutting mat.",
    source="knife, webs of 8 mm and sheets up to 50 mm: common practice, no source",
)

_HOT_WIRE = Method(
    name="hot wire",
    inner_radius_mm=2.0,
    min_web_mm=10.0,
    depth_mm=None,
    advice="Hot wire: cut a straight slit from the sheet's edge into each closed cut-out, thread "
    "the wire in there, and glue the slit shut afterwards.",
    caution="Hot wire: burns and fumes. Only polyethylene, polystyrene or polypropylene foam, "
    "with extraction; never polyurethane or PVC. Follow local fire and ventilation codes; mains "
    "wiring is for a licensed electrician.",
    source="hot wire, radius 1 to 2 mm and webs of 10 mm: common practice, no source",
)


def method_for(foam: FoamWishes) -> Method:
    """The cutting method that the foam wishes ask for; a router's radius is half its tool.

    >>> method_for(FoamWishes(cutting="router", tool_mm=6.0)).inner_radius_mm
    3.0
    """
    if foam.cutting == "knife":
        return _KNIFE
    if foam.cutting == "hot wire":
        return _HOT_WIRE
    return Method(
        name="router",
        inner_radius_mm=foam.tool_mm / 2,
        min_web_mm=10.0,
        depth_mm=None,
        advice=f"Router: every inside corner is opened for the {foam.tool_mm:g} mm tool; use a "
        "long up-cut foam tool and hold the sheet down flat.",
        caution="Router: clamp the sheet, keep hands clear of the tool, wear eye, ear and dust "
        "protection, and extract the dust.",
        source="router, inner radius half the tool (a workshop guide, read); webs of 10 mm: common "
        "practice, no source",
    )
