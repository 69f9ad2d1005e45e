"""A sheet as the form shows it: groups of fields as plain data, each fault beside its field."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from attrs import define, field, frozen

from fitkit.errors import Fault
from fitkit.notebook.form.fields import (
    Spec,
    key_of,
)
from fitkit.notebook.form.typed import in_units, text_of
from fitkit.notebook.form.ways import WAYS
from fitkit.notebook.form.ways import shown as way_shown
from fitkit.payload.bounds import MOST_MM
from fitkit.payload.cables import Cable, Connector
from fitkit.payload.model import FACES, Body, Item, Payload
from fitkit.payload.mounts import Mount
from fitkit.payload.sheet_edit import SheetText
from fitkit.payload.toml_lines import Path
from fitkit.units import Units, number_text

_BY_PAYLOAD = ("title", "wall.thickness", "wall.kg_per_m2", "wall.profile.corner")
"""Defaults that follow from other keys: shown as the last valid payload has them."""

_WITHIN = ("item", "mount", "cable", "closing")
"""Parts of the sheet all of whose faults stand in their own section."""


@define
class Beside:
    """The faults of a sheet, each shown once: beside its field, at its part, or on top."""

    faults: Sequence[Fault]
    _left: list[Fault] = field(init=False)

    def __attrs_post_init__(self) -> None:
        """All faults are still to be shown."""
        self._left = list(self.faults)

    def take(self, path: Path, *, exact: bool = False) -> list[Fault]:
        """The faults at ``path``, and within it unless ``exact``; they count as shown."""
        size = len(path)
        mine = [
            one
            for one in self._left
            if (one.path == path if exact else one.path[:size] == path and one.path)
        ]
        taken = set(map(id, mine))
        self._left = [one for one in self._left if id(one) not in taken]
        return mine

    def rest(self) -> list[str]:
        """What has no place of its own, with its place in words."""
        return [str(one) for one in self._left]


@frozen
class View:
    """What the form looks at: the sheet, the units shown, the last valid payload, the faults."""

    sheet: SheetText
    units: Units
    payload: Payload | None
    beside: Beside

    @property
    def sheet_units(self) -> Units:
        """The units of the sheet's plain numbers."""
        return "in" if self.sheet.get(("units",)) == "in" else "mm"

    def section(
        self,
        name: str,
        title: str,
        specs: Iterable[Spec],
        *,
        at: Path = (),
        inner: Sequence[dict[str, Any]] = (),
        actions: Sequence[dict[str, str]] = (),
        folded: bool = False,
        whole: bool = False,
    ) -> dict[str, Any]:
        """A group of fields; a fault of the table ``at`` itself stands under its title.

        Of items, mounts, cables and the closing gap so does what has no field within it.
        """
        fields = [self.field(spec, title) for spec in specs]
        fault = fault_words(self.beside.take(at, exact=at[0] not in _WITHIN)) if at else ""
        return {
            "id": name,
            "title": title,
            "open": not folded,
            "fields": fields,
            "sections": list(inner),
            "actions": list(actions),
            "fault": fault,
            "whole": whole,
        }

    def field(self, spec: Spec, group: str) -> dict[str, Any]:
        """One field as plain data."""
        odd = str(spec.path[-1]).startswith("=")
        path = spec.path[:-1] if odd else spec.path
        value = self._shown(spec)
        if spec.beside is None:
            found = self.beside.take(path, exact=odd)
        else:
            found = [one for place in spec.beside for one in self.beside.take(place, exact=True)]
        given = value is not None
        parts: list[str] | None = None
        if spec.names:
            parts = self._parts(spec, value)
        length = spec.kind in ("length", "lengths", "points")
        bounds = spec.edges()
        if bounds is not None and length:
            bounds = (in_units(bounds[0], units=self.units), in_units(bounds[1], units=self.units))
        return {
            "key": key_of(spec.path),
            "path": list(spec.path),
            "group": group,
            "label": spec.label,
            "kind": spec.kind,
            "unit": self.units if length else spec.unit,
            "value": value if isinstance(value, str | int | float | bool) else None,
            "text": "" if parts is not None else self._text(spec, value),
            "texts": parts,
            "names": list(spec.names),
            "min": None if bounds is None else round(bounds[0], 4),
            "max": None if bounds is None else round(bounds[1], 4),
            "step": (1 if self.units == "mm" else 0.0625) if length else 1,
            "choices": [list(choice) for choice in spec.choices],
            "help": spec.help + self._edges_text(spec, bounds),
            "fault": fault_words(found),
            "assumed": not given and not spec.needed,
            "needed": spec.needed,
            "default": "" if spec.needed else self._default(spec),
        }

    # ---- one field

    def _shown(self, spec: Spec) -> Any:
        if spec.path[-1] == "=kind":
            shape = self.sheet.get(spec.path[:-1], {})
            known = [choice for choice, _ in spec.choices]
            return next((one for one in known if isinstance(shape, dict) and one in shape), None)
        if spec.path[-1] == "=notch":
            value = self.sheet.get(("foam", "notch"))
            return None if value is None else value is not False
        if spec.path[-1] in WAYS:
            return way_shown(self.sheet, spec.path)
        value = self.sheet.get(spec.path)
        if spec.kind == "choice" and isinstance(value, list):
            pair = sorted(map(str, value))
            known = [choice for choice, _ in spec.choices if sorted(choice.split(",")) == pair]
            return known[0] if known else ",".join(map(str, value))
        if spec.kind == "choices" and value in ("any", "as measured"):
            return list(FACES) if value == "any" else ["top"]
        return value

    def _text(self, spec: Spec, value: Any) -> str:
        return text_of(value, spec.kind, units=self.units, sheet_units=self.sheet_units)

    def _parts(self, spec: Spec, value: Any) -> list[str]:
        if isinstance(value, list) and len(value) == len(spec.names):
            return [
                text_of(one, "length", units=self.units, sheet_units=self.sheet_units)
                for one in value
            ]
        if value is None:
            return ["" for _ in spec.names]
        if isinstance(value, list):
            given = [
                text_of(one, "length", units=self.units, sheet_units=self.sheet_units)
                for one in value[: len(spec.names)]
            ]
            return given + [""] * (len(spec.names) - len(given))
        return [str(value), *[""] * (len(spec.names) - 1)]

    def _default(self, spec: Spec) -> str:
        """What stands in where the sheet is silent."""
        record: Any = Payload(title="", items=())
        if spec.path[0] == "item":
            record = Item(name="", body=Body(()))
        elif spec.path[0] == "mount":
            record = Mount()
        elif spec.path[0] == "cable":
            record = Cable(name="", start=Connector("", FACES[0]), to=None, diameter_mm=0.0)
        elif key_of(spec.path) in _BY_PAYLOAD and self.payload is not None:
            record = self.payload
        if spec.path[-1] == "=notch":
            return "yes"
        value: Any = spec.stands_in
        for name in spec.plain.split(".") if spec.plain else ():
            value = getattr(record, name)
            record = value
        if value is None:
            return spec.silent
        if isinstance(value, bool):
            return "yes" if value else "no"
        if isinstance(value, str):
            return dict(spec.choices).get(value, value)
        if isinstance(value, tuple):
            return ", ".join(one if isinstance(one, str) else self._figure(one) for one in value)
        return self._figure(value) if spec.kind == "length" else number_text(value, places=3)

    def _figure(self, length_mm: float) -> str:
        return text_of(length_mm, "length", units=self.units, sheet_units="mm")

    def _edges_text(self, spec: Spec, bounds: tuple[float, float] | None) -> str:
        edges = spec.edges()
        if bounds is None or edges is None or spec.kind == "points" or edges[1] >= MOST_MM:
            return ""
        least, most = (number_text(edge, places=3) for edge in bounds)
        unit = f" {self.units}" if spec.kind in ("length", "lengths") else f" {spec.unit}".rstrip()
        return f" From {least} to {most}{unit}."


def fault_words(faults: Iterable[Fault]) -> str:
    """Faults in words, without their place: they stand there."""
    return "\n".join(f"{one.found}; {one.remedy}" for one in faults)
