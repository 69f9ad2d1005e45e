"""What the builder wishes for: the case, its wall and its foam, read strictly."""

from __future__ import annotations

from pathlib import Path
from typing import Any, cast

from attrs import evolve

from fitkit.errors import BadInput
from fitkit.payload.boards_in import BOARD, read_wall_board
from fitkit.payload.bounds import COUNTS, LENGTHS, MOST_DRAFT_DEG, NUMBERS
from fitkit.payload.model import (
    CaseWishes,
    Clearance,
    Cutting,
    FoamWishes,
    Form,
    Limits,
    Notch,
    Objective,
    Rank,
    ReadyMade,
    Standing,
    Wall,
)
from fitkit.payload.profile_in import read_profile
from fitkit.payload.reading import Table
from fitkit.payload.ready_made import read_ready_made
from fitkit.reference.foams import METHODS

FORMS: tuple[Form, ...] = ("box", "pair", "tray")
OBJECTIVES: tuple[Objective, ...] = ("volume", "plan", "longest", "linear", "first")
STANDINGS: tuple[Standing, ...] = ("deep", "shallow", "any")
RANKS: tuple[Rank, ...] = ("volume", "mass", "price")
CASE = (
    "form", "objective", "tiers", "depths", "half", "clearance", "limits", "corner", "draft",
    "ready_made", "rank", "several",
)  # fmt: skip
CLEARANCES = ("item", "wall", "floor", "lid", "tier")
WALL = (*BOARD, "profile", "panels")
_LATER_OBJECTIVE = {"mass": 'use "volume" for now: the smallest case is mostly the lightest'}


def read_case(sheet: Table) -> CaseWishes:
    """The wishes for the case; defaults where the sheet is silent."""
    plain = CaseWishes()
    table = sheet.table("case")
    if table is None:
        return plain
    table.only(CASE)
    form = table.choice("form", FORMS)
    objective = table.choice("objective", OBJECTIVES, later=_LATER_OBJECTIVE)
    tiers = table.whole("tiers", most=COUNTS["case.tiers"])
    half = table.choice("half", STANDINGS)
    if half is not None and form == "tray":
        table.fault("half", "a tray has one part only", "take it out")
    corner = table.length("corner", **LENGTHS["case.corner"])
    draft = table.angle("draft", most_deg=MOST_DRAFT_DEG)
    rank = table.choice("rank", RANKS)
    several = table.flag("several")
    return CaseWishes(
        form=plain.form if form is None else cast(Form, form),
        objective=plain.objective if objective is None else cast(Objective, objective),
        tiers=plain.tiers if tiers is None else tiers,
        depths_mm=_depths(table, form or plain.form),
        half=None if half is None else cast(Standing, half),
        clearance=_clearance(table),
        limits=_limits(table),
        corner_mm=plain.corner_mm if corner is None else corner,
        draft_deg=plain.draft_deg if draft is None else draft,
        ready_made=_ready_made(table, form or plain.form),
        rank=plain.rank if rank is None else cast(Rank, rank),
        several=bool(several),
    )


def _ready_made(table: Table, form: str) -> tuple[ReadyMade, ...]:
    """The builder's own list of cases, from the file that the sheet names; empty without one."""
    if "ready_made" not in table:
        if "rank" in table:
            table.fault("rank", "there is no list to rank", 'name one: ready_made = "cases.csv"')
        return ()
    if form != "box":
        table.fault(
            "ready_made",
            f"a ready-made case is a base with a lid, not a {form}",
            'write form = "box", or take the list out',
        )
    for key in ("depths", "corner", "draft", "objective"):
        if key in table and not (key == "depths" and table.data[key] in (["free"], ["free"] * 2)):
            table.fault(
                key,
                f"{key} and ready_made contradict each other",
                "take one of them out: "
                + ("the list is ranked by rank" if key == "objective" else "the list says it"),
            )
    if table.data.get("several") is True:
        table.fault(
            "several",
            "several and ready_made do not go together in this version",
            "take one of them out",
        )
    named = table.text("ready_made")
    if named is None:
        return ()
    if not named.strip():
        table.fault("ready_made", "the name of the list is empty", 'write "cases.csv"')
        return ()
    path = Path(table.notes.name).parent / named
    try:
        cases = read_ready_made(path, units=table.notes.units)
    except BadInput as refused:
        if path.exists():
            table.notes.others(("case", "ready_made"), refused.faults)
        else:  # what is wrong then stands in the sheet
            for fault in refused.faults:
                table.fault("ready_made", f"{fault.found}: {fault.place}", fault.remedy)
        return ()
    if table.data.get("rank") in ("mass", "price"):
        key = str(table.data["rank"])
        if all(getattr(case, "mass_kg" if key == "mass" else "price") is None for case in cases):
            table.fault(
                "rank", f"the list gives no {key}", f'fill in its column {key}, or rank = "volume"'
            )
    return cases


def _depths(table: Table, form: str) -> tuple[float | None, float | None]:
    if "depths" not in table:
        return (None, None)
    sizes = (1, 2) if form == "tray" else (2,)
    read = table.lengths("depths", sizes=sizes, **LENGTHS["case.depths"], free=True)
    if read is None:
        return (None, None)
    deep, shallow = read if len(read) == 2 else (read[0], None)
    if form == "pair":
        if deep is not None and shallow is not None and deep != shallow:
            say = table.notes.say
            table.fault(
                "depths",
                f"halves of {say(deep)} and {say(shallow)} are no pair",
                'give both halves of a pair the same depth, or form = "box"',
            )
        same = deep if deep is not None else shallow
        return (same, same)
    if form == "tray" and shallow is not None:
        table.fault("depths", "a tray has one part only", "give one depth")
    return (deep, shallow)


def _clearance(table: Table) -> Clearance:
    inner = table.table("clearance")
    if inner is None:
        return Clearance()
    inner.only(CLEARANCES)
    given = {f"{key}_mm": inner.length(key, **LENGTHS["case.clearance"]) for key in CLEARANCES}
    return evolve(Clearance(), **{key: value for key, value in given.items() if value is not None})


def _limits(table: Table) -> Limits:
    inner = table.table("limits")
    if inner is None:
        return Limits()
    inner.only(("outside", "linear", "mass"))
    outside = inner.lengths("outside", sizes=(3,), **LENGTHS["case.limits.outside"], free=True)
    linear = inner.length("linear", **LENGTHS["case.limits.linear"], free=True)
    mass = inner.mass("mass", free=True)
    return Limits(
        outside_mm=(None, None, None) if outside is None else (outside[0], outside[1], outside[2]),
        linear_mm=linear,
        mass_kg=mass,
    )


def read_wall(sheet: Table) -> Wall:
    """The wall: a panel by its trade name or by its measured thickness, and the profile.

    Boards for single panels are read with the workshop: they need the form of the case.
    """
    table = sheet.table("wall")
    if table is None:
        return Wall()
    table.only(WALL)
    return evolve(read_wall_board(table), profile=read_profile(table))


def read_foam(sheet: Table) -> FoamWishes:
    """The foam on the shelf and how it is cut."""
    plain = FoamWishes()
    table = sheet.table("foam")
    if table is None:
        return plain
    table.only(("sheets", "cutting", "tool", "allowance", "notch", "accent", "density"))
    sheets = table.lengths("sheets", sizes=range(1, 31), **LENGTHS["foam.sheets"])
    cutting = table.choice("cutting", METHODS)
    tool = table.length("tool", **LENGTHS["foam.tool"])
    allowance = table.length("allowance", **LENGTHS["foam.allowance"])
    accent = table.length("accent", **LENGTHS["foam.accent"])
    density = table.number("density", **NUMBERS["foam.density"])
    given: dict[str, Any] = {
        "sheets_mm": None
        if sheets is None
        else tuple(sorted({s for s in sheets if s is not None})),
        "cutting": None if cutting is None else cast(Cutting, cutting),
        "tool_mm": tool,
        "allowance_mm": allowance,
        "accent_mm": accent,
        "density_kg_m3": density,
    }
    wishes = evolve(plain, **{key: value for key, value in given.items() if value is not None})
    return evolve(wishes, notch=_notch(table))


def _notch(table: Table) -> Notch | None:
    value = table.data.get("notch")
    if value is None:
        return Notch()
    if value is False:
        return None
    if value is True:
        table.fault(
            "notch", "true where a size or false belongs", "give notch = { width = 24, depth = 22 }"
        )
        return None
    inner = table.table("notch")
    if inner is None:
        return None
    inner.only(("width", "depth"))
    width = inner.length("width", **LENGTHS["foam.notch"])
    depth = inner.length("depth", **LENGTHS["foam.notch"])
    plain = Notch()
    return Notch(
        plain.width_mm if width is None else width, plain.depth_mm if depth is None else depth
    )
