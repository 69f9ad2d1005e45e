"""The rivets of the outer corners: one on each face of each leg, or as the builder's corner has.

A corner lies over the ends of three profiles. Each of its legs reaches along an edge, on both
faces of that edge; the rivet sits in the middle between the profile's end and the leg's tip, in
line with the row of the profile. Six to a corner (common practice, no source); a corner of a flat
part, that has one panel only, gets two.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from attrs import frozen

from fitkit.payload.hardware import type_for
from fitkit.payload.model import Payload
from fitkit.payload.workshop import HardwareType, Side
from fitkit.shell.frame import from_face, out_of, to_bar, to_face, u_of
from fitkit.shell.leaves import Leaf
from fitkit.shell.model import Corner, Fitted, Hole, Trouble, called

_EPS = 1e-6


@frozen
class CornerLeg:
    """A corner's leg on one leaf, all along the bar from its start [mm].

    ``tip_mm`` is where the leg ends, ``rivet_mm`` where its rivet sits, ``sense`` +1 at the bar's
    start and -1 at its end; ``short_mm`` is how much room the rivet lacks (0 or less: none).
    """

    corner: Corner
    leaf: Leaf
    away_mm: float
    tip_mm: float
    rivet_mm: float
    sense: int
    short_mm: float


def named_corners(
    corners: Sequence[Corner], fitted: Sequence[Fitted], *, reach_mm: float
) -> dict[Corner, str]:
    """The outer corners that have a corner piece, and what it is called.

    Where pieces are fitted each one's name is its own; without any, every outer corner has one,
    called such as "corner deep bottom front left".
    """
    pieces = [one for one in fitted if one.kind == "corner"]
    found = {}
    for corner in corners:
        if corner.kind != "outer":
            continue
        if not pieces:
            found[corner] = f"corner {corner.part} {' '.join(corner.sides)}"
        for piece in pieces:
            away = [abs(a - b) for a, b in zip(piece.centre_mm, corner.at_mm, strict=True)]
            if max(away) <= reach_mm / 2 + _EPS and corner.part in piece.parts:
                found[corner] = piece.name
    return found


def legs_of(
    lines: Sequence[tuple[Leaf, float]],
    names: Mapping[Corner, str],
    *,
    reach_mm: float,
    rules_edge_mm: float,
) -> tuple[CornerLeg, ...]:
    """Every leg of every corner piece on every leaf that it lies on.

    ``reach_mm`` is how far the legs reach along the edges from the outer corner, ``rules_edge_mm``
    the least distance of a rivet from an edge.
    """
    found = []
    for corner in names:
        for leaf, away in lines:
            bar = leaf.bar
            if (
                bar.part != corner.part
                or bar.kind != "edge"
                or not set(bar.sides) <= {*corner.sides}
            ):
                continue
            at, _ = to_bar(bar, corner.at_mm, leaf.side)
            sense = 1 if at < bar.length_mm / 2 else -1
            start, end = leaf.ends_mm(away)
            near, far = (start, end) if sense > 0 else (end, start)
            tip = at + sense * reach_mm
            stop = sense * min(sense * tip, sense * far)
            room = sense * (stop - near)
            found.append(
                CornerLeg(
                    corner=corner,
                    leaf=leaf,
                    away_mm=away,
                    tip_mm=tip,
                    rivet_mm=(near + stop) / 2,
                    sense=sense,
                    short_mm=2 * rules_edge_mm - room,
                )
            )
    return tuple(found)


LEAST_RIVETS = 4
"""With so many rivets a corner holds without the others (assumption: two legs of three)."""


def corner_holes(
    payload: Payload,
    *,
    legs: Sequence[CornerLeg],
    names: Mapping[Corner, str],
    leaves: Sequence[Leaf],
    hole_mm: float,
) -> tuple[tuple[Hole, ...], tuple[Trouble, ...]]:
    """The corners' holes, and what is missing where a leg is too short for its rivet."""
    kind = type_for(payload, "corner")
    if kind.holes:
        return _own_holes(kind, names=names, leaves=leaves), ()
    holes = tuple(
        Hole(
            side=leg.leaf.side,
            at_mm=leg.leaf.point(leg.rivet_mm, leg.away_mm),
            diameter_mm=hole_mm,
            use=kind.fixing,
            owner=names[leg.corner],
            pieces=(leg.leaf.bar.name, leg.leaf.panel.name),
        )
        for leg in legs
        if leg.short_mm <= _EPS
    )
    worst: dict[str, float] = {}
    riveted = Counter(leg.corner for leg in legs if leg.short_mm <= _EPS)
    loose: set[str] = set()
    for leg in legs:
        if leg.short_mm > _EPS:
            worst[leg.corner.part] = max(leg.short_mm, worst.get(leg.corner.part, 0.0))
            if riveted[leg.corner] < LEAST_RIVETS:
                loose.add(leg.corner.part)
    return holes, tuple(
        Trouble(
            f"corners of {called(part)}",
            "a corner's leg covers too little of a profile for a rivet clear of both ends"
            + ("" if part in loose else "; its other legs hold it"),
            short,
            "corners with longer legs, less corner allowance, a deeper part, or thinner rivets",
            "fails" if part in loose else "tight",
        )
        for part, short in worst.items()
    )


def _own_holes(
    kind: HardwareType, *, names: Mapping[Corner, str], leaves: Sequence[Leaf]
) -> tuple[Hole, ...]:
    """Holes as the builder's corner has them, on each of its faces that has a panel.

    They are measured on a face whose lower left corner it covers, and mirrored for the others.
    """
    wide, tall = kind.flange_mm
    found = []
    for corner, name in names.items():
        for side in corner.sides:
            mine = [leaf for leaf in leaves if leaf.bar.part == corner.part and leaf.side == side]
            if not mine:
                continue
            u, v = to_face(side, corner.at_mm)
            across, upward = _inwards(corner, side)
            plane = corner.at_mm[out_of(side)[0]]
            for hole in kind.holes:
                at = from_face(
                    side,
                    (
                        u + across * (wide / 2 + hole.x_mm),
                        v + upward * (tall / 2 + hole.y_mm),
                    ),
                    plane,
                )
                pieces = [leaf.bar.name for leaf in mine if _over(leaf, at)]
                found.append(
                    Hole(
                        side=side,
                        at_mm=at,
                        diameter_mm=hole.diameter_mm,
                        use=kind.fixing,
                        owner=name,
                        pieces=(*pieces, mine[0].panel.name),
                    )
                )
    return tuple(found)


def _inwards(corner: Corner, side: Side) -> tuple[int, int]:
    """Which way u and v run from a corner into one of its faces."""
    found = []
    for axis, sense in (u_of(side), (1 if out_of(side)[0] == 2 else 2, 1)):
        out = next(one for one in corner.sides if out_of(one)[0] == axis)
        found.append(-sense * out_of(out)[1])
    return (found[0], found[1])


def _over(leaf: Leaf, at_mm: tuple[float, float, float]) -> bool:
    """Whether a point of the face lies on the leaf."""
    place, away = to_bar(leaf.bar, at_mm, leaf.side)
    start = away if leaf.mitred[0] else 0.0
    end = leaf.bar.length_mm - (away if leaf.mitred[1] else 0.0)
    return 0 <= away <= leaf.leg_mm and start <= place <= end
