"""Outlines like those of real gear, drawn from a seed: for benches and tests of layouts."""

from __future__ import annotations

import random

import shapely
from shapely import Polygon

from fitkit.geometry.shapes import circle, moved, rectangle
from fitkit.payload.model import Body, Item, Section, Turn


def gear_like(count: int, *, seed: int, turn: Turn | None = None) -> tuple[Item, ...]:
    """``count`` items, 15 to 240 mm long: boxes, angles, handled rounds, tapered probes.

    They may be turned by quarters or freely (drawn), unless ``turn`` says how.
    """
    rng = random.Random(seed)
    makers = (_box, _angle, _handled, _probe, _box, _can)
    made = []
    for k in range(count):
        outline = makers[k % len(makers)](rng)
        body = Body((Section(_at_origin(outline), 0.0, float(rng.randint(30, 60))),))
        drawn: Turn = rng.choice(("quarter", "quarter", "free"))
        made.append(Item(f"gear {k + 1}", body, turn=turn or drawn))
    return tuple(made)


def _at_origin(outline: Polygon) -> Polygon:
    whole = Polygon(outline.exterior)
    return shapely.normalize(moved(whole, by=(-whole.bounds[0], -whole.bounds[1])))


def _box(rng: random.Random) -> Polygon:
    """A box with rounded corners."""
    return rectangle(
        float(rng.randint(60, 220)), float(rng.randint(40, 150)), corner_mm=rng.choice((2.0, 6.0))
    )


def _angle(rng: random.Random) -> Polygon:
    """An angle: two bars at right angles."""
    length, depth = float(rng.randint(110, 220)), float(rng.randint(90, 180))
    a, b = float(rng.randint(30, 60)), float(rng.randint(30, 60))
    both = shapely.box(0, 0, length, a).union(shapely.box(0, 0, b, depth))
    assert isinstance(both, Polygon)
    return both


def _handled(rng: random.Random) -> Polygon:
    """A round chamber with a handle."""
    radius = float(rng.randint(25, 50))
    handle = shapely.box(0, -12, radius + rng.randint(70, 130), 12)
    both = circle(radius).union(handle)
    assert isinstance(both, Polygon)
    return both


def _probe(rng: random.Random) -> Polygon:
    """A tapered probe."""
    length = float(rng.randint(140, 240))
    wide, slim = float(rng.randint(30, 50)) / 2, float(rng.randint(8, 16)) / 2
    neck = length * rng.uniform(0.3, 0.5)
    return Polygon(
        [(0, -wide), (neck, -wide), (length, -slim), (length, slim), (neck, wide), (0, wide)]
    )


def _can(rng: random.Random) -> Polygon:
    """Something round."""
    return circle(float(rng.randint(20, 45)))
