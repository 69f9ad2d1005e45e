"""The rivets that hold panels, profiles and corners together: where each hole goes.

Along every leaf of every profile runs one row, in the middle of what panel and inner leaf share,
so that the rivet clamps leaf, panel and inner leaf. A row has n = ceil((c - 2 e) / pitch) + 1
rivets, at least two (common practice, no source); e is two diameters from the bar's end, or what
a corner's leg covers there. Rows keep clear of hardware's flanges and of openings; how wide the
gap then is, :func:`fitkit.shell.fasteners.fasteners_of` says.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

import shapely
from attrs import frozen
from shapely import LineString
from shapely.affinity import translate
from shapely.geometry.base import BaseGeometry

from fitkit.payload.hardware import type_for, type_named
from fitkit.payload.model import Payload
from fitkit.payload.workshop import Side
from fitkit.reference.rivets import (
    EDGE_DIAMETERS,
    LEAST_EDGE_DIAMETERS,
    SPACING_DIAMETERS,
    rivet_sizes,
)
from fitkit.shell.corner_rivets import CornerLeg, corner_holes, legs_of, named_corners
from fitkit.shell.frame import to_face
from fitkit.shell.leaves import Leaf, leaves_of
from fitkit.shell.model import (
    Assembly,
    Bar,
    Corner,
    Fitted,
    Hole,
    Opening,
    Panel,
    Trouble,
)
from fitkit.shell.row_spacing import Span, spread

HEAD_GAP_MM = 1.0
"""Between a rivet's head and a flange beside it [mm] (assumption)."""

_EPS = 1e-6


@frozen
class RivetRules:
    """Distances that rivets of one diameter keep [mm]."""

    d_mm: float
    hole_mm: float
    head_mm: float
    pitch_mm: float

    @property
    def edge_mm(self) -> float:
        """Wished distance from a rivet's middle to an edge."""
        return EDGE_DIAMETERS * self.d_mm

    @property
    def least_edge_mm(self) -> float:
        """Least distance from a rivet's middle to an edge."""
        return LEAST_EDGE_DIAMETERS * self.d_mm

    @property
    def spacing_mm(self) -> float:
        """Least distance between two rivets."""
        return SPACING_DIAMETERS * self.d_mm

    @property
    def beside_mm(self) -> float:
        """Least distance from a rivet's middle to the edge of what lies on the face beside it."""
        return self.head_mm / 2 + HEAD_GAP_MM


def rivet_rules(payload: Payload) -> RivetRules:
    """The rules for the rivets that the builder wishes for.

    A diameter that no table knows gets a hole 0.1 mm wider and a head of two diameters;
    :func:`fitkit.shell.fasteners.fasteners_of` says that it is not known.

    >>> rivet_rules(Payload("kit", ())).edge_mm
    8.0
    """
    wishes = payload.workshop.hardware
    size = rivet_sizes().get(wishes.rivet_mm)
    return RivetRules(
        d_mm=wishes.rivet_mm,
        hole_mm=size.least_hole_mm if size else round(wishes.rivet_mm + 0.1, 3),
        head_mm=size.head_mm if size else 2 * wishes.rivet_mm,
        pitch_mm=wishes.pitch_mm,
    )


def rivets_of(
    payload: Payload,
    *,
    assembly: Assembly,
    panels: Sequence[Panel],
    bars: Sequence[Bar],
    corners: Sequence[Corner],
    fitted: Sequence[Fitted] = (),
    openings: Sequence[Opening] = (),
) -> tuple[tuple[Hole, ...], tuple[Trouble, ...]]:
    """The holes for the case's own rivets, and where there is no room for one.

    Rows along both leaves of every edge profile and along the wall's leaf of every closing
    profile; six rivets to each outer corner, one on each face of each of its legs (or those that
    the builder's corner has). Each hole is d + 0.1 wide and names the bar and the panel that it
    goes through; its fastener is chosen by :func:`fitkit.shell.fasteners.fasteners_of`.
    """
    rules = rivet_rules(payload)
    profile = payload.wall.profile
    leaves = leaves_of(assembly, panels=panels, bars=bars, profile=profile)
    reach = max(type_for(payload, "corner").flange_mm)
    lines = [(leaf, line_mm(leaf, rules)) for leaf in leaves]
    troubles: list[Trouble] = _narrow(lines, rules)
    placed = [(leaf, line) for leaf, line in lines if line is not None]
    in_way = _in_way(payload, rules, panels, fitted, openings)
    names = named_corners(corners, fitted, reach_mm=reach)
    legs = legs_of(placed, names, reach_mm=reach, rules_edge_mm=rules.least_edge_mm)
    own, faults = corner_holes(
        payload, legs=legs, names=names, leaves=leaves, hole_mm=rules.hole_mm
    )
    troubles += faults
    troubles += _covered(own, fitted, rules)
    holes = list(own)
    bare: dict[str, float] = {}
    for leaf, away in placed:
        row, short = _row(leaf, away, rules, legs, in_way)
        holes += row
        if short > 0:
            bare[f"{leaf.bar.part} {leaf.bar.kind}"] = max(
                short, bare.get(f"{leaf.bar.part} {leaf.bar.kind}", 0.0)
            )
    troubles += [
        Trouble(
            where,
            "a profile is too short for a rivet clear of its ends and of what lies on it",
            short,
            "a deeper part, thinner rivets, or hardware further away",
        )
        for where, short in bare.items()
    ]
    return tuple(holes), tuple(troubles)


def line_mm(leaf: Leaf, rules: RivetRules) -> float | None:
    """How far from the outer line a leaf's row runs [mm]; None where it is too narrow for one.

    In the middle of what panel, inner and outer leaf share, if that leaves one and a half
    diameters to each side; else beyond the inner leaf, where the tail bears on the panel.
    """
    least = rules.least_edge_mm
    low, high = leaf.panel_mm, min(leaf.leg_mm, leaf.inner_mm)
    if high - low >= 2 * least - _EPS:
        return (low + high) / 2
    low, high = max(leaf.panel_mm + least, leaf.inner_mm + rules.head_mm / 2), leaf.leg_mm - least
    return (low + high) / 2 if high >= low - _EPS else None


def _narrow(lines: Sequence[tuple[Leaf, float | None]], rules: RivetRules) -> list[Trouble]:
    """One trouble for each kind of profile whose leaves are too narrow for the rivet."""
    found = {}
    for leaf, line in lines:
        if line is None:
            kind = "edge profiles" if leaf.bar.kind == "edge" else "closing profiles"
            wide = min(leaf.leg_mm, leaf.inner_mm) - leaf.panel_mm
            short = 2 * rules.least_edge_mm - wide
            found[kind] = Trouble(
                kind,
                f"panel and leaves share {max(wide, 0.0):.1f} mm: too little for a rivet of "
                f"{rules.d_mm:g} mm",
                short,
                "thinner rivets, or a profile with longer leaves",
            )
    return list(found.values())


def _in_way(
    payload: Payload,
    rules: RivetRules,
    panels: Sequence[Panel],
    fitted: Sequence[Fitted],
    openings: Sequence[Opening],
) -> dict[tuple[str, Side], list[BaseGeometry]]:
    """By part and face: where no rivet's middle may be, as shapes on the face."""
    found: dict[tuple[str, Side], list[BaseGeometry]] = {}
    for one in fitted:
        if one.kind != "corner":
            beside = max(rules.beside_mm, rules.spacing_mm - _inset_mm(payload, one))
            for part in one.parts:
                shape = flange_on_face(one).buffer(beside, join_style="mitre")
                found.setdefault((part, one.side), []).append(shape)
    by_name = {panel.name: panel for panel in panels}
    for opening in openings:
        panel = by_name[opening.panel]
        u, v = to_face(panel.side, panel.centre_mm)
        # beside a corner that is cut off the leaf is taken away square, not along the slope
        square = opening.owner.startswith("exit ")
        cut: BaseGeometry = opening.shape.envelope if square else opening.shape
        taken = translate(cut, u - panel.length_mm / 2, v - panel.width_mm / 2)
        found.setdefault((panel.part, panel.side), []).append(
            taken.buffer(rules.edge_mm, join_style="mitre")
        )
    return found


def _inset_mm(payload: Payload, one: Fitted) -> float:
    """How far the holes of a piece of hardware lie inside its flange at least [mm]."""
    kind = type_named(payload, one.kind, one.type)
    wide, tall = kind.flange_mm
    insets = [min(wide / 2 - abs(hole.x_mm), tall / 2 - abs(hole.y_mm)) for hole in kind.holes]
    return max(0.0, min(insets, default=math.inf))


def flange_on_face(one: Fitted) -> shapely.Polygon:
    """The flange of a piece of hardware as it lies on its face, in u and v."""
    u, v = to_face(one.side, one.centre_mm)
    wide, tall = one.size_mm
    return shapely.box(u - wide / 2, v - tall / 2, u + wide / 2, v + tall / 2)


def _covered(
    holes: Sequence[Hole], fitted: Sequence[Fitted], rules: RivetRules
) -> Iterator[Trouble]:
    """Corners' rivets that other hardware lies over."""
    said = set()
    for one in fitted:
        if one.kind == "corner":
            continue
        flange = flange_on_face(one)
        for hole in holes:
            if hole.side != one.side:
                continue
            point = shapely.Point(to_face(hole.side, hole.at_mm))
            inside = -flange.exterior.distance(point) if flange.contains(point) else None
            gap = flange.distance(point) if inside is None else inside
            if gap < rules.beside_mm - _EPS and (one.name, hole.owner) not in said:
                said.add((one.name, hole.owner))
                yield Trouble(
                    one.name,
                    f"it lies over a rivet of the {hole.owner}",
                    rules.beside_mm - gap,
                    "move it away from the corner",
                )


def _row(
    leaf: Leaf,
    away_mm: float,
    rules: RivetRules,
    legs: Sequence[CornerLeg],
    in_way: dict[tuple[str, Side], list[BaseGeometry]],
) -> tuple[list[Hole], float]:
    """One row of holes, and by how much it is too short where there is no rivet at all."""
    mine = [leg for leg in legs if leg.leaf is leaf]
    low, high = _room(leaf, away_mm, rules.edge_mm, mine, rules)
    if high - low < rules.spacing_mm:
        low, high = _room(leaf, away_mm, rules.least_edge_mm, mine, rules)
    blocked = _blocked(leaf, away_mm, low, high, in_way.get((leaf.bar.part, leaf.side), []))
    places = spread(low, high, pitch_mm=rules.pitch_mm, least_mm=rules.spacing_mm, blocked=blocked)
    if not places and not mine and not blocked:
        return [], low - high
    return [
        Hole(
            side=leaf.side,
            at_mm=leaf.point(place, away_mm),
            diameter_mm=rules.hole_mm,
            use="rivet",
            owner=leaf.bar.name,
            pieces=(leaf.bar.name, leaf.panel.name),
        )
        for place in places
    ], 0.0


def _room(
    leaf: Leaf, away_mm: float, edge_mm: float, legs: Sequence[CornerLeg], rules: RivetRules
) -> Span:
    """From where to where the row may run: clear of the bar's ends and of corners' legs."""
    start, end = leaf.ends_mm(away_mm)
    low, high = start + edge_mm, end - edge_mm
    for leg in legs:
        if leg.sense > 0:
            low = max(low, leg.tip_mm + rules.beside_mm, leg.rivet_mm + rules.spacing_mm)
        else:
            high = min(high, leg.tip_mm - rules.beside_mm, leg.rivet_mm - rules.spacing_mm)
    return (low, high)


def _blocked(
    leaf: Leaf, away_mm: float, low: float, high: float, shapes: Sequence[BaseGeometry]
) -> list[Span]:
    """What of the row lies under something, along the bar."""
    if not shapes or high <= low:
        return []
    ends = [to_face(leaf.side, leaf.point(place, away_mm)) for place in (low, high)]
    line = LineString(ends)
    met = line.intersection(shapely.union_all(shapes))
    found = []
    for part in () if met.is_empty else shapely.get_parts(met):
        spots = [line.project(shapely.Point(xy)) for xy in part.coords]
        found.append((low + min(spots), low + max(spots)))
    return found
