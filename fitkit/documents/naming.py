"""How documents name and number things: labels of copies, ids of plans, sizes in words."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping

import shapely

from fitkit.fit.layout import HalfName
from fitkit.plan import Plan
from fitkit.units import number_text

HALVES: Mapping[HalfName, str] = {
    "deep": "deep half",
    "shallow": "shallow half",
    "tray": "tray",
}


def half_names(plan: Plan) -> dict[HalfName, str]:
    """The halves as they are called in drawings; the two of a pair are alike."""
    names = dict(HALVES)
    if plan.payload.case.form == "pair":
        names["deep"], names["shallow"] = "lower half", "upper half"
    return {half.name: names[half.name] for half in plan.fit.interior.halves}


def label_of(plan: Plan, item: str, copy: int) -> str:
    """An item's name, with the copy's number where there are several."""
    counts = {one.name: one.count for one in plan.payload.items}
    return item if counts.get(item, 1) == 1 else f"{item} {copy}"


def size(value_mm: float, places: int = 1) -> str:
    """A length as figures, without idle zeros.

    >>> size(212.0), size(15.64), size(-0.01)
    ('212', '15.6', '0')
    """
    return number_text(value_mm, places=places)


def sizes(values_mm: tuple[float, ...]) -> str:
    """Sizes as figures with crosses between them.

    >>> sizes((480.0, 300.0, 220.5))
    '480 × 300 × 220.5'
    """
    return " × ".join(size(value) for value in values_mm)


def plan_id(plan: Plan) -> str:
    """Six letters and figures that are the same for the same plan, and differ for others.

    Made from the title, interior, placements, foam and shell, so that a paper can be matched to its
    plan.
    """
    digest = hashlib.sha256()
    interior = plan.fit.interior
    digest.update(repr((plan.payload.title, [round(v, 3) for v in interior.size_mm])).encode())
    for p in plan.fit.placements:
        place = [round(v, 3) + 0.0 for v in (p.turn_deg, p.x_mm, p.y_mm, p.z_mm)]
        digest.update(repr((p.item, p.copy, p.half, p.tier, p.up, place)).encode())
    if plan.shell is not None:
        for panel in plan.shell.panels:
            size_mm = [round(v, 3) for v in (panel.length_mm, panel.width_mm, panel.thickness_mm)]
            digest.update(repr((panel.name, panel.board, size_mm)).encode())
        for one in plan.shell.hardware:
            at = [round(v, 3) + 0.0 for v in one.centre_mm]
            digest.update(repr((one.name, one.type, at)).encode())
    for layer in plan.foam.layers:
        area = round(float(layer.outline.area), 1)
        cut = [
            (c.item, c.copy, c.kind, round(float(shapely.area(c.shape)), 1)) for c in layer.cutouts
        ]
        digest.update(
            repr((layer.name, layer.z0_mm, layer.z1_mm, layer.material, area, cut)).encode()
        )
    return digest.hexdigest()[:6]


def safe_name(text: str) -> str:
    """A text as part of a file's name.

    >>> safe_name("deep-03"), safe_name("../x y")
    ('deep-03', 'x-y')
    """
    kept = "".join(c if c.isalnum() or c in "-_" else "-" for c in text)
    return "-".join(part for part in kept.split("-") if part) or "part"
