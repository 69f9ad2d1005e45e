"""Least and most of every number that a sheet may give, in one place for readers and forms.

All of them are the house's settings (assumption): they catch slips of the finger and of the unit;
what cannot be built is judged elsewhere. A name is the key's path without list positions.
"""

from __future__ import annotations

from typing import TypedDict

LEAST_MM = 0.1
"""Smallest size that a sheet may give [mm]: no rule reads finer."""

MOST_MM = 20_000.0
"""Largest length that a sheet may give [mm]: beyond it, a slip of the unit."""


class Lengths(TypedDict):
    """Least and most of a length [mm]."""

    least_mm: float
    most_mm: float


class Numbers(TypedDict):
    """Least and most of a plain number, and what it counts."""

    least: float
    most: float
    unit: str


def _mm(least_mm: float, most_mm: float = MOST_MM) -> Lengths:
    return Lengths(least_mm=least_mm, most_mm=most_mm)


LENGTHS: dict[str, Lengths] = {
    "item.uncertainty": _mm(0.0, 50.0),
    "shape.rectangle": _mm(LEAST_MM),
    "shape.circle": _mm(LEAST_MM / 2),
    "shape.across": _mm(LEAST_MM),
    "shape.corner": _mm(0.0),
    "shape.at": _mm(-MOST_MM),
    "shape.z": _mm(-MOST_MM),
    "zone.at": _mm(-MOST_MM),
    "zone.size": _mm(LEAST_MM),
    "zone.depth": _mm(LEAST_MM),
    "case.corner": _mm(0.0),
    "case.depths": _mm(1.0),
    "case.clearance": _mm(0.0, 1000.0),
    "case.limits.outside": _mm(1.0),
    "case.limits.linear": _mm(1.0, 60_000.0),
    "wall.thickness": _mm(0.5, 60.0),
    "wall.profile": _mm(LEAST_MM, 500.0),
    "wall.profile.play": _mm(0.0, 5.0),
    "wall.laminate": _mm(LEAST_MM, 5.0),
    "board.sheet": _mm(100.0),
    "shell.rings": _mm(1.0),
    "shell.door": _mm(1.0),
    "shell.planks": _mm(10.0, 2000.0),
    "shell.exit": _mm(5.0, 500.0),
    "mount.recess": _mm(-500.0, 5000.0),
    "mount.at": _mm(-MOST_MM),
    "mount.pattern": _mm(1.0, 2000.0),
    "mount.hole": _mm(1.0, 200.0),
    "mount.rail": _mm(1.0, 500.0),
    "mount.length": _mm(1.0),
    "mount.margin": _mm(0.0, 500.0),
    "mount.head": _mm(0.0, 50.0),
    "mount.behind": _mm(0.0, 2000.0),
    "cable.diameter": _mm(0.5, 100.0),
    "cable.length": _mm(10.0, 50_000.0),
    "cable.bend": _mm(1.0, 2000.0),
    "cable.plug": _mm(1.0, 500.0),
    "closing.tolerance": _mm(0.0, 50.0),
    "closing.keep": _mm(0.0, 200.0),
    "closing.drop": _mm(1.0, 10_000.0),
    "stiffness.span": _mm(50.0, 3000.0),
    "stiffness.width": _mm(5.0, 500.0),
    "stiffness.sag": _mm(0.05, 300.0),
    "hardware.size": _mm(1.0, 1000.0),
    "hardware.corner": _mm(0.0, 500.0),
    "hardware.depth": _mm(0.0, 300.0),
    "hardware.hole": _mm(0.5, 50.0),
    "hardware.at": _mm(-500.0, 500.0),
    "hardware.rivet": _mm(2.0, 7.0),
    "hardware.pitch": _mm(10.0, 500.0),
    "stock.bars": _mm(100.0),
    "stock.offcuts": _mm(10.0),
    "stock.trim": _mm(0.0, 200.0),
    "stock.kerf": _mm(0.0, 20.0),
    "stock.gap": _mm(0.0, 50.0),
    "stock.keep": _mm(0.0),
    "foam.sheets": _mm(1.0),
    "foam.tool": _mm(0.5, 50.0),
    "foam.allowance": _mm(-5.0, 20.0),
    "foam.accent": _mm(1.0, 100.0),
    "foam.notch": _mm(5.0, 200.0),
}

NUMBERS: dict[str, Numbers] = {
    "item.power": Numbers(least=0.0, most=10_000.0, unit="watts"),
    "item.fragility": Numbers(least=1.0, most=1000.0, unit="G"),
    "wall.kg_per_m2": Numbers(least=0.1, most=200.0, unit="kilograms per square metre"),
    "wall.laminate": Numbers(least=0.05, most=20.0, unit="kilograms per square metre and face"),
    "wall.kg_per_m": Numbers(least=0.01, most=20.0, unit="kilograms per metre"),
    "mount.kg_per_m": Numbers(least=0.01, most=50.0, unit="kilograms per metre"),
    "cable.bend": Numbers(least=0.5, most=100.0, unit="diameters of the cable"),
    "closing.load": Numbers(least=0.0, most=20_000.0, unit="newtons"),
    "closing.shock": Numbers(least=1.0, most=1000.0, unit="G"),
    "hardware.spares": Numbers(least=0.0, most=1.0, unit="a share (0.1 is one in ten)"),
    "foam.density": Numbers(least=5.0, most=500.0, unit="kilograms per cubic metre"),
}

COUNTS: dict[str, int] = {
    "item.count": 500,
    "case.tiers": 9,
    "shape.sides": 120,
    "hardware.count": 40,
    "hardware.holes": 40,
    "shell.rings": 6,
    "shell.planks": 30,
    "shell.exits": 8,
    "mount.holes": 40,
    "cable.count": 200,
    "stock.bars": 12,
    "stock.offcuts": 200,
}
"""Most of what is counted from 1."""

LEAST_SIDES = 3
MOST_NAME = 60
MOST_MASS_KG = 5000.0
MOST_DRAFT_DEG = 30.0
