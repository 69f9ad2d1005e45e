"""Foams by kind, and what each way of cutting can do."""

from __future__ import annotations

from functools import cache
from typing import Literal

from attrs import frozen

from fitkit.reference.rows import known, number, number_or_none, rows
from fitkit.sources import Known

Method = Literal["knife", "router", "hot wire"]

METHODS: tuple[Method, ...] = ("knife", "router", "hot wire")


@frozen
class FoamKind:
    """A kind of foam: range of densities and of sheet thicknesses sold, and a usual sheet."""

    name: str
    least_kg_m3: float
    most_kg_m3: float
    least_mm: float
    most_mm: float
    sheet_mm: tuple[float, float]
    source: str
    known: Known


@frozen
class CuttingMethod:
    """What a way of cutting foam can do.

    ``inner_radius_mm`` is the least radius of an inner corner (None: that of the tool),
    ``sharp_by_overcut`` whether a corner can still be cut sharp by cutting past it;
    ``least_web_mm`` the least width of foam left standing; ``most_depth_mm`` the thickest sheet
    (None: the tool's reach, or any); ``kerf_mm`` the width of the cut (None: the tool's
    diameter); ``tolerance_mm`` how far a cut may stray.
    """

    name: Method
    kerf_mm: float | None
    inner_radius_mm: float | None
    least_web_mm: float
    most_depth_mm: float | None
    tolerance_mm: float
    sharp_by_overcut: bool
    advice: str
    caution: str
    source: str
    known: Known

    def radius_mm(self, tool_mm: float) -> float:
        """Least radius of an inner corner with a tool of ``tool_mm`` diameter [mm].

        >>> cutting_methods()["router"].radius_mm(6.0), cutting_methods()["knife"].radius_mm(6.0)
        (3.0, 5.0)
        """
        return tool_mm / 2 if self.inner_radius_mm is None else self.inner_radius_mm


@cache
def foam_kinds() -> dict[str, FoamKind]:
    """Every known kind of foam by name."""
    found = {}
    for row in rows("foams.csv"):
        length, width = (
            number(cell, least=100, most=5000) for cell in row["sheet_mm"].split(" x ")
        )
        found[row["name"]] = FoamKind(
            name=row["name"],
            least_kg_m3=number(row["least_kg_m3"], least=10, most=300),
            most_kg_m3=number(row["most_kg_m3"], least=10, most=300),
            least_mm=number(row["least_mm"], least=1, most=200),
            most_mm=number(row["most_mm"], least=1, most=200),
            sheet_mm=(length, width),
            source=row["source"],
            known=known(row["known"]),
        )
    return found


@cache
def cutting_methods() -> dict[str, CuttingMethod]:
    """Every way of cutting by name.

    >>> cutting_methods()["hot wire"].least_web_mm
    10.0
    """
    found: dict[str, CuttingMethod] = {}
    by_name = {row["method"]: row for row in rows("cutting.csv")}
    for name in METHODS:
        row = by_name[name]
        found[name] = CuttingMethod(
            name=name,
            kerf_mm=number_or_none(row["kerf_mm"], least=0, most=20),
            inner_radius_mm=number_or_none(row["inner_radius_mm"], least=0, most=20),
            least_web_mm=number(row["least_web_mm"], least=1, most=50),
            most_depth_mm=number_or_none(row["most_depth_mm"], least=1, most=500),
            tolerance_mm=number(row["tolerance_mm"], least=0, most=5),
            sharp_by_overcut=row["sharp_by_overcut"] == "yes",
            advice=row["advice"],
            caution=row["caution"],
            source=row["source"],
            known=known(row["known"]),
        )
    return found
