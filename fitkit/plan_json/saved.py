"""Plans as JSON: exact there and back, strict on the way in.

The file's keys stand in a fixed order (see :func:`dumps`); lengths are mm, masses kg, angles
degrees. Floats are written in full, so a loaded plan equals the saved one to the last bit, and
documents made from it again are the same. Numbers that JSON lacks are written as the texts
"inf", "-inf" and "nan".
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterable
from os import PathLike, fspath
from pathlib import Path, PurePath
from typing import Any, Protocol

import attrs

from fitkit import __version__
from fitkit.checks.finding import Finding
from fitkit.errors import BadInput, Fault
from fitkit.fit.layout import Fit, Half, Interior, Placement
from fitkit.fit.ready_made import Answer
from fitkit.foam.model import Foam
from fitkit.payload.model import Payload
from fitkit.plan import Choices, Mass, Plan
from fitkit.plan_json.codec import Json, dumped, fields, laid_out, loaded, shown
from fitkit.shell.model import Shell
from fitkit.stock.model import Stock

FORMAT = "fitkit-plan"
VERSION = 1
"""Version of the file's layout. A newer one is refused, an older one upgraded."""

UPGRADES: dict[int, Callable[[dict[str, Any]], dict[str, Any]]] = {}
"""From each older version to the next one. Version 1 is the first: there is none yet."""

_KEYS = (
    "format",
    "version",
    "fitkit",
    "payload",
    "choices",
    "fit",
    "interior_mm",
    "halves",
    "outside_mm",
    "placements",
    "foam",
    "shell",
    "stock",
    "mass",
    "findings",
    "ready_made",
    "written",
)
_MAY_LACK = ("shell", "stock", "ready_made")
"""Keys that a plan has only where there is something to say."""


class WrittenFile(Protocol):
    """A file that was written: its path within the folder, and its SHA-256 in hexadecimal."""

    @property
    def path(self) -> str | PurePath:
        """Path of the file, relative to the folder of the plan."""

    @property
    def sha256(self) -> str:
        """The file's SHA-256, 64 hexadecimal digits."""


@attrs.frozen
class Listed:
    """A file that a saved plan lists as written."""

    path: str
    sha256: str


def dumps(plan: Plan, *, written: Iterable[WrittenFile] = ()) -> str:
    """The plan as JSON text, ending in a line feed.

    Keys in this order: format, version, fitkit, payload, choices, fit, interior_mm, halves,
    outside_mm, placements, foam, shell, stock (these two not for a
    ready-made case), mass, findings, ready_made (only where the sheet names a list of
    ready-made cases), written. ``fit.room`` holds what the interior has beside its size (corner
    radius, draft, floors). A polygon is a list of rings, the outer one first, each closed; a
    cut-out's polygon is called ``rings``.
    """
    fit = dumped(plan.fit)
    fit["room"] = dumped(plan.fit.interior)
    values: dict[str, Json] = {
        "format": FORMAT,
        "version": VERSION,
        "fitkit": __version__,
        "payload": dumped(plan.payload),
        "choices": dumped(plan.choices),
        "fit": fit,
        "interior_mm": dumped(plan.fit.interior.size_mm),
        "halves": dumped(plan.fit.interior.halves),
        "outside_mm": dumped(plan.outside_mm),
        "placements": dumped(plan.fit.placements),
        "foam": dumped(plan.foam),
        **({} if plan.shell is None else {"shell": dumped(plan.shell)}),
        **({} if plan.stock is None else {"stock": dumped(plan.stock)}),
        "mass": dumped(plan.mass),
        "findings": dumped(plan.findings),
        **({} if plan.ready_made is None else {"ready_made": dumped(plan.ready_made)}),
        "written": [
            {"file": PurePath(file.path).as_posix(), "sha256": file.sha256} for file in written
        ],
    }
    return laid_out(values, "") + "\n"


def loads(text: str, *, place: str = "plan.json") -> Plan:
    """The plan that :func:`dumps` wrote.

    BadInput, with every fault and its place, for a text that is no plan, is cut short, was
    changed into something impossible, or is of a newer version.
    """
    return _plan(_document(text, place), place)


def read_plan(path: str | PathLike[str]) -> Plan:
    """The plan saved in the file at ``path``.

    BadInput as for :func:`loads`, or if the file cannot be read.
    """
    return loads(_text(path), place=fspath(path))


def read_written(path: str | PathLike[str]) -> tuple[Listed, ...]:
    """The files that the saved plan at ``path`` lists, with their SHA-256."""
    place = fspath(path)
    faults: list[Fault] = []
    rows = _document(_text(path), place).get("written", [])
    listed = []
    for k, row in enumerate(rows if isinstance(rows, list) else []):
        at = f"{place}: written[{k}]"
        if isinstance(row, dict) and set(row) == {"file", "sha256"}:
            listed.append(
                Listed(
                    loaded(str, row["file"], f"{at}.file", faults),
                    loaded(str, row["sha256"], f"{at}.sha256", faults),
                )
            )
        else:
            faults.append(Fault(at, shown(row), 'a "file" and its "sha256" belong here'))
    if faults:
        raise BadInput(faults)
    return tuple(listed)


def _text(path: str | PathLike[str]) -> str:
    place = fspath(path)
    try:
        return Path(path).read_text(encoding="utf-8")
    except UnicodeDecodeError as error:
        raise BadInput(
            [Fault(place, "is not text in UTF-8", "give the path of a saved plan.json")]
        ) from error
    except (OSError, ValueError) as error:  # ValueError: a path with a null character
        reason = getattr(error, "strerror", None) or str(error)
        raise BadInput(
            [Fault(place, f"cannot be read ({reason})", "give the path of a saved plan.json")]
        ) from error


def _document(text: str, place: str) -> dict[str, Json]:
    """The JSON object of a plan, of this version; BadInput otherwise."""
    again = "save the plan again with `fitkit plan`"
    try:
        data = json.loads(text)
    except json.JSONDecodeError as error:
        raise BadInput(
            [Fault(f"{place} line {error.lineno}", f"is not whole JSON ({error.msg})", again)]
        ) from error
    except RecursionError as error:
        raise BadInput([Fault(place, "is nested too deeply to be a plan", again)]) from error
    if not isinstance(data, dict) or data.get("format") != FORMAT:
        found = data.get("format") if isinstance(data, dict) else data
        raise BadInput(
            [Fault(place, f"is not a fitkit plan (format {shown(found)})", "give a plan.json")]
        )
    version = data.get("version")
    if not isinstance(version, int) or isinstance(version, bool) or version < 1:
        raise BadInput([Fault(f"{place}: version", shown(version), again)])
    if version > VERSION:
        raise BadInput(
            [
                Fault(
                    f"{place}: version",
                    f"{version}, written by fitkit {data.get('fitkit', 'of unknown version')}",
                    f"this fitkit ({__version__}) reads up to version {VERSION}: update it",
                )
            ]
        )
    plan: dict[str, Json] = data
    while version < VERSION:
        plan = UPGRADES[version](plan)
        version += 1
    return plan


def _plan(data: dict[str, Json], place: str) -> Plan:
    faults: list[Fault] = []
    for key in data:
        if key not in _KEYS:
            faults.append(Fault(f"{place}: {key}", "is no part of a plan", "take it out"))
    missing = [key for key in _KEYS if key not in data and key not in _MAY_LACK]
    if missing:
        faults += [Fault(f"{place}: {key}", "is missing", "save the plan again") for key in missing]
        raise BadInput(faults)

    def load(kind: Any, key: str) -> Any:
        return loaded(kind, data[key], f"{place}: {key}", faults)

    payload = load(Payload, "payload")
    choices = load(Choices, "choices")
    halves = load(tuple[Half, ...], "halves")
    inside = load(tuple[float, float, float], "interior_mm")
    outside = load(tuple[float, float, float], "outside_mm")
    placements = load(tuple[Placement, ...], "placements")
    foam = load(Foam, "foam")
    mass = load(Mass, "mass")
    findings = load(tuple[Finding, ...], "findings")
    ready_made = load(Answer, "ready_made") if "ready_made" in data else None
    shell = load(Shell, "shell") if "shell" in data else None
    stock = load(Stock, "stock") if "stock" in data else None
    room, answer = _room_and_fit(data["fit"], f"{place}: fit", faults)
    if faults:
        raise BadInput(faults)
    interior = Interior(length_mm=inside[0], width_mm=inside[1], halves=halves, **room)
    faults += _agreement(payload, placements, interior, inside, foam, place)
    if faults:
        raise BadInput(faults)
    fit = Fit(interior=interior, placements=placements, **answer)
    return Plan(payload, choices, fit, outside, foam, mass, findings, ready_made, shell, stock)


def _room_and_fit(
    data: Json, place: str, faults: list[Fault]
) -> tuple[dict[str, Any], dict[str, Any]]:
    if not isinstance(data, dict):
        faults.append(Fault(place, shown(data), "a table belongs here"))
        return {}, {}
    answer = {key: value for key, value in data.items() if key != "room"}
    return (
        fields(Interior, data.get("room", {}), f"{place}.room", faults),
        fields(Fit, answer, place, faults),
    )


def _agreement(
    payload: Payload,
    placements: tuple[Placement, ...],
    interior: Interior,
    inside: tuple[float, float, float],
    foam: Foam,
    place: str,
) -> list[Fault]:
    """What no record alone can tell: names that must be known, sums that must agree."""
    faults = []
    counts = {item.name: item.count for item in payload.items}
    halves = {half.name for half in interior.halves}
    again = "save the plan again"
    if not halves:
        faults.append(Fault(f"{place}: halves", "is empty", again))
    if min(inside) <= 0 or not all(map(math.isfinite, inside)):
        faults.append(Fault(f"{place}: interior_mm", str(list(inside)), "sizes are above 0"))
    elif not math.isclose(inside[2], interior.height_mm, abs_tol=1e-6):
        faults.append(
            Fault(f"{place}: interior_mm[2]", f"{inside[2]:g}", "the halves' depths add up to it")
        )
    for k, one in enumerate(placements):
        if not 1 <= one.copy <= counts.get(one.item, 0):
            faults.append(
                Fault(
                    f"{place}: placements[{k}]",
                    f"no copy {one.copy} of {one.item!r} is in the payload",
                    again,
                )
            )
        if one.half not in halves:
            faults.append(Fault(f"{place}: placements[{k}].half", repr(one.half), again))
    for k, layer in enumerate(foam.layers):
        if layer.half not in halves:
            faults.append(Fault(f"{place}: foam.layers[{k}].half", repr(layer.half), again))
    return faults
