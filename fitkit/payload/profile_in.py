"""The extrusions as measured: every length of their section, and what cannot be built of it."""

from __future__ import annotations

from typing import Any

from attrs import evolve

from fitkit.payload.bounds import LENGTHS, NUMBERS
from fitkit.payload.model import Profile
from fitkit.payload.reading import Table
from fitkit.payload.workshop import Ends

PROFILE = (
    "outer_leaf", "slot", "inner_leaf", "slot_web", "leg", "corner", "closing_leaf", "play",
    "tongue_rim", "groove_rim", "tongue", "groove", "engagement", "corner_reach",
)  # fmt: skip
"""Keys that give a length."""

ENDS: tuple[Ends, ...] = ("square", "mitred", "butt")
CLOSING_ENDS: tuple[Ends, ...] = ("mitred", "butt")
MASSES = ("kg_per_m", "closing_kg_per_m")

LEAST_FLOOR_MM = 1.0
"""Least material between a groove and the slot behind it [mm] (common practice, no source)."""

_NONE_MM = 1e-9


def read_profile(wall: Table) -> Profile:
    """The profile of the table [wall]; placeholders where the sheet is silent."""
    inner = wall.table("profile")
    if inner is None:
        return Profile()
    inner.only((*PROFILE, "ends", "closing_ends", *MASSES))
    read: dict[str, Any] = {}
    for key in PROFILE:
        bounds = "wall.profile.play" if key == "play" else "wall.profile"
        read[f"{key}_mm"] = inner.length(key, **LENGTHS[bounds])
    for key in MASSES:
        read[key] = inner.number(key, **NUMBERS["wall.kg_per_m"])
    read["ends"] = inner.choice("ends", ENDS)
    read["closing_ends"] = inner.choice("closing_ends", CLOSING_ENDS)
    given = {key: value for key, value in read.items() if value is not None}
    if "leg_mm" in given and "corner" not in inner:
        given["corner_mm"] = max(given["leg_mm"], Profile().corner_mm)  # legs must not collide
    profile = evolve(Profile(), **given)
    if not any(key in inner and read[_name(key)] is None for key in PROFILE):
        _judge(profile, inner)
    return profile


def _name(key: str) -> str:
    return f"{key}_mm"


def _judge(profile: Profile, table: Table) -> None:
    """Lengths that contradict each other, each said once, at a key that was typed."""
    say = table.notes.say

    def short(less: float, more: float) -> bool:
        return less < more - _NONE_MM

    p = profile
    if p.ends == "square" and short(p.corner_mm, p.leg_mm):
        _at(
            table, ("corner", "leg"),
            f"a corner of {say(p.corner_mm)} lets the legs collide",
            f"give the leg or more: {say(p.leg_mm)}",
        )  # fmt: skip
    if short(p.groove_mm, p.tongue_mm):
        _at(
            table, ("groove", "tongue"),
            f"a tongue of {say(p.tongue_mm)} does not go into a groove of {say(p.groove_mm)}",
            f"the groove must be {say(p.tongue_mm - p.groove_mm)} deeper: measure both again",
        )  # fmt: skip
    floor = p.groove_rim_mm - p.groove_mm
    if short(floor, LEAST_FLOOR_MM):
        least = p.groove_mm + LEAST_FLOOR_MM
        _at(
            table, ("groove_rim", "groove"),
            f"a groove of {say(p.groove_mm)} in a rim of {say(p.groove_rim_mm)} leaves "
            f"{say(max(floor, 0.0))} before the slot",
            f"groove_rim is slot bottom to closing plane: {say(least)} or more; measure again",
        )  # fmt: skip
    if not short(2 * p.play_mm, p.engagement_mm):
        _at(
            table, ("engagement", "play"),
            f"with {say(p.play_mm)} of play a panel slips out of a slot "
            f"{say(p.engagement_mm)} deep",
            f"give an engagement of more than {say(2 * p.play_mm)}",
        )  # fmt: skip
    for key in ("tongue_rim", "groove_rim"):
        rim: float = getattr(p, _name(key))
        if not short(rim, p.closing_leaf_mm):
            _at(
                table, (key, "closing_leaf"),
                f"a rim of {say(rim)} is as wide as the closing leaf of {say(p.closing_leaf_mm)}: "
                "the panel has no leaf before it",
                "measure both again, from the closing plane",
            )  # fmt: skip


def _at(table: Table, keys: tuple[str, ...], found: str, remedy: str) -> None:
    """A fault at the first of these keys that was typed, at the table where none was."""
    table.fault(next((key for key in keys if key in table), None), found, remedy)
