"""The payload sheet as a page: items on the left, one of them drawn as it is typed."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from fitkit.documents.item_view import item_sheet
from fitkit.documents.pens.svg import svg
from fitkit.documents.sheet import LIGHT, Role
from fitkit.notebook.form.acts import items_named
from fitkit.notebook.form.sheet_file import SheetFile
from fitkit.notebook.form.sheet_form import SheetForm
from fitkit.payload.sketch import sketched
from fitkit.units import Units

_VARIABLES = {"zone": "soft", "cut": "fails", "mark": "ok", "note": "quiet"}
COLOURS: dict[Role, str] = {role: f"var(--fk-{_VARIABLES.get(role, role)})" for role in LIGHT}
"""The palette by its variables, so that a picture follows the notebook's theme."""


class Measure(SheetForm):
    """The payload sheet at ``path`` as a form, with its items drawn; a sample's name will do.

    A name ending in .toml that is not there starts a new sheet, its plain numbers in ``units``.
    Edits are kept beside the sheet until they are saved, and come back after a crash. BadInput
    for a file that cannot be read.
    """

    layout = "page"

    def __init__(self, path: str | Path = "tideline.toml", *, units: Units = "mm") -> None:
        """Open the sheet."""
        file = SheetFile(path, units=units)
        super().__init__(file.saved, str(file.path), file=file)

    def _more(self) -> dict[str, Any]:
        return {"items": self._items(), "picture": self._picture()}

    def _items(self) -> list[dict[str, Any]]:
        """The list of items: name, copies and mass, and whether anything is wrong with one."""
        rows = []
        wrong: set[str | int] = set()
        for fault in self.faults:
            if fault.path[:1] == ("item",) and len(fault.path) > 1:
                wrong.add(fault.path[1])
            elif fault.path[:1] == ("mount",) and len(fault.path) > 1:  # wrong with its item
                wrong.update(items_named(self.sheet, self.sheet.get((*fault.path[:2], "item"))))
        for index, entry in enumerate(self.sheet.get(("item",), [])):
            one = entry if isinstance(entry, dict) else {}
            count = one.get("count", 1)
            facts = [f"{count} of them"] if isinstance(count, int) and count != 1 else []
            mass = one.get("mass")
            facts.append(str(mass) if mass is not None else "not weighed")
            rows.append(
                {
                    "name": str(one.get("name", "")) or "no name",
                    "facts": ", ".join(facts),
                    "wrong": index in wrong,
                }
            )
        return rows

    def _picture(self) -> dict[str, str] | None:
        """The chosen item, as far as it can be drawn."""
        if self.item is None:
            return None
        entry = self.sheet.get(("item", self.item), {})
        units = "in" if self.sheet.get(("units",)) == "in" else "mm"
        sketch = sketched(entry, units=units) if isinstance(entry, dict) else None
        if sketch is None:
            return {"title": "Nothing to draw yet: give the item a shape.", "svg": ""}
        chosen = self.focus[3] if self.focus[:3] == ("item", self.item, "body") else None
        chosen = chosen if isinstance(chosen, int) else None
        sheet = item_sheet(sketch, units=self.units, chosen=chosen)
        drawn = svg(sheet, colours=COLOURS, inline=True, ground=False, ids=f"item{self._serial}")
        return {"title": f"{sketch.item.name}, sizes in {self.units}", "svg": drawn}
