"""What the sheet takes for granted of panels and profiles, in sentences."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from fitkit.payload.boards import wall_board
from fitkit.payload.model import Payload
from fitkit.payload.profile_in import MASSES, PROFILE
from fitkit.reference.panels import panels
from fitkit.sources import cited
from fitkit.units import length_text


def said_of_wall(payload: Payload, given: Mapping[str, object]) -> Iterable[str]:
    """A sentence for the panel, its thickness, its mass, its grain and the profile."""
    wall = payload.wall
    if "panel" not in given:
        yield f"Panel, not given: {wall.panel} (assumption)."
    yield from _board(payload, given)
    yield from _laminates(given)
    yield from _own_boards(payload, given)
    grained = [wall_board(wall).grain, *(choice.board.grain for choice in payload.workshop.panels)]
    if "grain" not in given and any(grained):
        yield "Grain, not given: it may run along either side of a panel (assumption)."
    yield from _profile(payload, _table(given, "profile"))


def _board(payload: Payload, given: Mapping[str, object]) -> Iterable[str]:
    """Thickness and mass of the wall's own board."""
    wall = payload.wall
    trade = panels().get(wall.panel)
    with_laminate = "" if wall.laminate is None else ", and its laminate"
    if "thickness" not in given and trade is not None:
        taken = _length(payload, wall.panel_mm)
        if trade.ranged:
            low, high = _length(payload, trade.min_mm), _length(payload, trade.max_mm)
            yield (
                f"Panel thickness, not measured: {taken}, the mean of "
                f"{low} to {high}{with_laminate} ({cited(trade.source)})."
            )
        else:
            yield (
                f"Panel thickness, not measured: {taken}, its name{with_laminate}; no source "
                f"says in which range it is sold ({trade.known})."
            )
    if wall.areal_kg_m2 is None:
        yield "Panel mass per square metre, not given: the panels count with no mass."
    elif "kg_per_m2" not in given and trade is not None:
        yield (
            f"Panel mass, not weighed: {wall.areal_kg_m2:g} kg/m2{with_laminate} "
            f"({cited(trade.source)})."
        )


def _laminates(given: Mapping[str, object]) -> Iterable[str]:
    """Laminates whose thickness or mass nobody measured."""
    own = _table(given, "panels").values()
    tables = [given, *(value for value in own if isinstance(value, Mapping))]
    silent = [
        key
        for key in ("thickness", "kg_per_m2")
        if any("laminate" in one and key not in _table(one, "laminate") for one in tables)
    ]
    words = {"thickness": "0.8 mm, the most that is usual", "kg_per_m2": "0.9 kg/m2, the middle"}
    if silent:
        said = ", ".join(words[key] for key in silent)
        yield f"Laminate, not measured, each face: {said} (from memory)."


def _own_boards(payload: Payload, given: Mapping[str, object]) -> Iterable[str]:
    """Boards for single panels that nobody measured or weighed."""
    own = _table(given, "panels")
    boards = {}
    for key, value in own.items():
        table = value if isinstance(value, Mapping) else {"panel": value}
        choice = next(
            (c for c in payload.workshop.panels if c.where.startswith(" ".join(key.split()))), None
        )
        if choice is not None:
            boards[choice.board.name] = (choice.board, table)
    thick = [
        f"{board.name} {_length(payload, board.thickness_mm)}"
        for board, table in boards.values()
        if "thickness" not in table
    ]
    if thick:
        yield f"Boards of single panels, not measured: {', '.join(thick)} (as the tables have it)."
    light = [board.name for board, _ in boards.values() if board.areal_kg_m2 is None]
    if light:
        yield f"Boards of single panels, not weighed: {', '.join(light)} count with no mass."


def _profile(payload: Payload, stated: Mapping[str, object]) -> Iterable[str]:
    profile = payload.wall.profile
    values = [
        f"{key.replace('_', ' ')} {_length(payload, getattr(profile, f'{key}_mm'))}"
        for key in PROFILE
        if key not in stated
    ]
    if "ends" not in stated:
        values.append(f"ends {profile.ends}")
    if "closing_ends" not in stated:
        values.append(f"closing ends {profile.closing_ends}")
    if values:
        yield (
            f"Profile, not measured: {', '.join(values)} (common practice, no source); "
            "measure your own."
        )
    unweighed = [key for key in MASSES if key not in stated]
    if unweighed:
        which = " and ".join(
            {"kg_per_m": "edge", "closing_kg_per_m": "closing"}[k] for k in unweighed
        )
        yield (
            f"Profile mass per metre, not given for {which} profiles: taken from their section at "
            "2700 kg/m3 (an estimate)."
        )


def _length(payload: Payload, value_mm: float) -> str:
    return length_text(value_mm, units=payload.units)


def _table(data: Mapping[str, object], key: str) -> Mapping[str, object]:
    value = data.get(key)
    return value if isinstance(value, Mapping) else {}
