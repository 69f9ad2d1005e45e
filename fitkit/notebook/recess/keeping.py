"""What was tried, written into the payload sheet: only what differs, the rest as it was typed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from fitkit.errors import FitkitError
from fitkit.notebook.form.sheet_file import SheetFile
from fitkit.notebook.recess.trying import TOLERANCES, Try
from fitkit.notebook.work import Work
from fitkit.payload.sheet import read_sheet
from fitkit.payload.sheet_edit import SheetText
from fitkit.plan import Plan
from fitkit.units import Units, number_text

_EXACT = 1e-6


def changes_of(plan: Plan, now: Try, planned: Try) -> tuple[tuple[str, Any], ...]:
    """What differs from the plan, as key of the sheet and value, in the sheet's order.

    ``recess ITEM`` stands for that item's mount. The thickness of the backs is not among them: a
    panel is more than its thickness, and is chosen in the sheet.
    """
    return tuple(_changes(plan, now, planned))


def _changes(plan: Plan, now: Try, planned: Try) -> Iterator[tuple[str, Any]]:
    units = plan.payload.units
    if not now.wishes.found and now.wishes.depths_mm != planned.wishes.depths_mm:
        yield "case.depths", [_length(depth, units) for depth in now.wishes.depths_mm]
    was = planned.wishes.recess_of
    for item, mm in now.wishes.recesses_mm:
        if abs(mm - was[item]) > _EXACT:
            yield f"recess {item}", _length(mm, units)
    for key in ("keep", "load", "drop", "shock"):
        value = now.value(key)
        if abs(value - planned.value(key)) > _EXACT:
            yield f"closing.{key}", _figure(key, value, units)
    for name in TOLERANCES:
        value = now.value(f"tolerance/{name}")
        if abs(value - planned.value(f"tolerance/{name}")) > _EXACT:
            yield f"closing.tolerances.{name}", _length(value, units)


def _figure(key: str, value: float, units: Units) -> Any:
    if key == "drop":
        return _length(value, units) if value else "free"
    return round(value, 3) if key == "load" or key == "shock" else _length(value, units)


def _length(mm: float, units: Units) -> Any:
    """A length as one types it into the sheet."""
    if units == "mm":
        tidy = round(mm, 3)
        return int(tidy) if tidy == int(tidy) else tidy
    return f"{number_text(mm, places=3)} mm"


def words_of(plan: Plan, now: Try, planned: Try) -> list[str]:
    """The changes as lines, for the page."""
    lines = [f"{key} = {value}" for key, value in changes_of(plan, now, planned)]
    if now.wishes.found and now.wishes.depths_mm != planned.wishes.depths_mm:
        lines.append("# depths stay free: the next plan finds the least again")
    return [line.replace("'", '"') for line in lines]


def keep_in_sheet(work: Work, plan: Plan, now: Try, planned: Try) -> str:
    """Write the changes into the sheet, checked by the reader before it is saved; a sentence.

    FitkitError where the sheet is gone, no longer names the item, or would be refused.
    """
    if not work.sheet.is_file():
        raise FitkitError(f"{work.sheet.name} is not there: write the lines into your own sheet.")
    file = SheetFile(work.sheet)
    sheet = file.saved
    changed = changes_of(plan, now, planned)
    for key, value in changed:
        sheet = _set(sheet, key, value)
    beside = work.sheet.with_name(f".{work.sheet.stem}.tried.toml")
    try:  # beside the sheet, so that the files which it names are found
        beside.write_text(sheet.text, encoding="utf-8")
        read_sheet(beside)
    finally:
        beside.unlink(missing_ok=True)
    file.save(sheet)
    what = "one figure" if len(changed) == 1 else f"{len(changed)} figures"
    return f"Wrote {what} into {work.sheet.name}. Plan again on the fit page to have it all follow."


def _set(sheet: SheetText, key: str, value: Any) -> SheetText:
    if not key.startswith("recess "):
        path: tuple[str | int, ...] = tuple(key.split("."))
        if value == "free" or (key == "closing.shock" and not value):
            return sheet.remove(path) if sheet.has(path) else sheet
        return sheet.set(path, value)
    name = key.removeprefix("recess ")
    mounts = sheet.get(("mount",), [])
    for k, mount in enumerate(mounts):
        if str(mount.get("item", "")).casefold() == name.casefold():
            return sheet.set(("mount", k, "recess"), value)
    raise FitkitError(f'The sheet has no mount for "{name}" any more: load the page again.')
