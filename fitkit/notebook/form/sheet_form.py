"""A payload sheet worked on in a form: what is typed, undone, saved, and said about it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from attrs import frozen

from fitkit.errors import BadInput, Fault, FitkitError
from fitkit.notebook.closing import put_away
from fitkit.notebook.form.edits import done, label_of, typed
from fitkit.notebook.form.fields import GROUPS
from fitkit.notebook.form.groups import groups_of
from fitkit.notebook.form.sections import Beside, View
from fitkit.notebook.form.sheet_file import SheetFile
from fitkit.notebook.form.widget import Form
from fitkit.payload.model import Payload
from fitkit.payload.sheet import parse_sheet
from fitkit.payload.sheet_edit import SheetText
from fitkit.units import Units

Changed = Callable[[Payload, str], object]


@frozen
class _Step:
    """A state of the sheet that undo comes back to, and what was done to get there."""

    sheet: SheetText
    what: str = ""
    item: int | None = 0
    session: str = ""


class SheetForm:
    """The form of a payload sheet; show it by its ``panel``, or by its name at a cell's end.

    ``sheet_text`` is the sheet's text, ``name`` what messages call it (its path, if it has one).
    ``groups`` are the groups to show. ``on_change`` hears each sheet that has no fault, with its
    text; ``on_units`` hears "mm" or "in" when the switch is turned. An error in either is shown in
    the form. ``file`` adds the button that saves. BadInput for a text that is no TOML.
    """

    layout = "side"

    def __init__(
        self,
        sheet_text: str | SheetText,
        name: str,
        *,
        groups: Sequence[str] = GROUPS,
        on_change: Changed | None = None,
        on_units: Callable[[Units], object] | None = None,
        file: SheetFile | None = None,
        item: int | None = 0,
    ) -> None:
        """Show the sheet."""
        sheet = SheetText(sheet_text) if isinstance(sheet_text, str) else sheet_text
        self.name = name
        self.groups = tuple(groups)
        self.file = file
        self.payload: Payload | None = None
        self.faults: tuple[Fault, ...] = ()
        self.note = "" if file is None else file.note
        self.trouble = ""
        self.asks = False
        self._changed, self._turned = on_change, on_units
        self._past: list[_Step] = []
        self._future: list[_Step] = []
        self._now = _Step(sheet, item=item if sheet.get(("item",)) else None)
        self._heard: dict[str, int] = {}
        self._serial = 0
        self.focus: tuple[str | int, ...] = ()
        self._read()
        self.units: Units = "in" if sheet.get(("units",)) == "in" else "mm"
        if file is not None and file.restored is not None:
            self._do(file.restored[0], "the edits that were not saved")
        self.panel = Form()
        self.panel.observe(self._on_acts, "acts")
        self._show("start")

    @classmethod
    def at(
        cls,
        path: str | Path,
        *,
        groups: Sequence[str] = GROUPS,
        on_change: Changed | None = None,
        on_units: Callable[[Units], object] | None = None,
    ) -> SheetForm:
        """The form of the sheet at ``path``, with a button that saves it. BadInput if bad."""
        file = SheetFile(path)
        return cls(
            file.saved, str(file.path), groups=groups, on_change=on_change, on_units=on_units,
            file=file,
        )  # fmt: skip

    def _ipython_display_(self) -> None:
        """Show the form."""
        from IPython.display import display

        display(self.panel)

    # ---- what others ask for

    @property
    def sheet(self) -> SheetText:
        """The sheet as it stands, faults and all."""
        return self._now.sheet

    @property
    def text(self) -> str:
        """The sheet's text as it stands."""
        return self._now.sheet.text

    @property
    def item(self) -> int | None:
        """Which item is shown, by its place in the sheet; None for none."""
        return self._now.item

    @property
    def unsaved(self) -> bool:
        """Whether there are edits that the file does not have."""
        return self.file is not None and (self.file.is_new or self.text != self.file.saved.text)

    def show_item(self, name: str) -> None:
        """Show the fields of the item called ``name``; nothing changes if there is none."""
        for index, one in enumerate(self.sheet.get(("item",), [])):
            if isinstance(one, dict) and one.get("name") == name and index != self.item:
                self._now = _Step(self._now.sheet, self._now.what, index)
                self._show("choose")

    def undo(self) -> None:
        """Take the last edit back, without limit."""
        if self._step("undo"):
            self._show("undo")

    def redo(self) -> None:
        """Make the edit again that was taken back last."""
        if self._step("redo"):
            self._show("redo")

    def replace(self, sheet: SheetText, what: str) -> None:
        """Put another text in place; ``what`` says so on the undo button."""
        self._do(sheet, what)
        self._read()
        self._edited()
        self._show("do")

    def save(self, *, over: bool = False) -> None:
        """Save the sheet; unless ``over``, a file that was changed meanwhile is left alone."""
        file = self.file
        if file is None:
            return
        if file.changed_outside() and not over:
            self.asks = True
            self.note = (
                f"{file.path.name} was changed on disk meanwhile, so nothing was written. "
                "Save over it, or load what is there."
            )
        else:
            file.save(self.sheet)
            self.asks = False
            many = len(self.faults)
            still = "" if not many else f", with {many} fault{'s' if many > 1 else ''} still in it"
            self.note = f"{file.path.name} is saved{still}."
        self._show("save")

    def close(self) -> None:
        """Free the widget."""
        self.panel.unobserve_all()
        put_away(self.panel)

    # ---- what the browser tells

    def _on_acts(self, change: dict[str, Any]) -> None:
        cause = ""
        for act in change["new"]:
            view, number = str(act.get("view")), int(act.get("n", 0))
            if number <= self._heard.get(view, 0):
                continue
            self._heard[view] = number
            self.trouble = ""
            try:
                cause = self._act(act) or cause or "heard"
            except FitkitError as refused:
                self.trouble, cause = str(refused), "refused"
            except Exception as error:  # noqa: BLE001  # shown in the form, whatever it is
                self.trouble, cause = f"{type(error).__name__}: {error}", "refused"
        if cause:
            self._show(cause)

    def _act(self, act: dict[str, Any]) -> str:
        """One act of the builder; what it was, for the form's script."""
        kind, key = act["kind"], str(act.get("key", ""))
        if kind == "set":
            part = act.get("part")
            part = None if part is None else int(part)
            made = typed(self.sheet, key, str(act["text"]), part=part, units=self.units)
            if made.text != self.text:
                session = f"{act.get('view')} {act.get('session')} {key} {part}"
                self._do(made, label_of(self.sheet, key), session=session)
                self._edited()
            return "do" if "=" in key else "set"
        if kind == "focus":
            before, self.focus = (
                self.focus,
                tuple(int(word) if word.isdigit() else word for word in key.split(".")),
            )
            return "focus" if before[:4] != self.focus[:4] else ""
        if kind == "choose":
            self._now = _Step(self.sheet, self._now.what, int(act["item"]))
            self.focus = ()
            return "choose"
        return self._press(str(act["do"]), key)

    def _press(self, does: str, key: str) -> str:
        """A button was pressed."""
        if does in ("undo", "redo"):
            # shown once, by the one who asked: a second answer would come after the next letter
            self._step(does)
            return does
        if does in ("mm", "in"):
            self.units = "in" if does == "in" else "mm"
            if self._turned is not None:
                self._turned(self.units)
            return "units"
        if does == "save":
            self.save()
        elif does == "save over":
            self.save(over=True)
        elif does == "load" and self.file is not None:
            there = self.file.load()
            self._do(there, "what was on disk")
            self.asks = False
            self.note = f"This is {self.file.path.name} as it is on disk. “undo” brings yours back."
            self._edited()
        else:
            edited = done(self.sheet, does, key, item=self.item)
            if edited is not None:
                self._do(edited.sheet, edited.what, item=edited.item)
                self._edited()
        return "do"

    # ---- keeping

    def _do(self, sheet: SheetText, what: str, *, session: str = "", item: int | None = -1) -> None:
        """A new state of the sheet; typing on in one field is one step for undo."""
        shown = self._now.item if item == -1 else item
        many = len(sheet.get(("item",), []))
        shown = None if not many else min(shown or 0, many - 1)
        if not (session and session == self._now.session):
            self._past.append(self._now)
        self._future.clear()
        self._now = _Step(sheet, what, shown, session)
        self._read()

    def _step(self, does: str) -> bool:
        """One step back ("undo") or forward again, not shown yet; false if there is none."""
        source, target = self._past, self._future
        if does == "redo":
            source, target = target, source
        if not source:
            return False
        target.append(self._now)
        self._now = source.pop()
        self._read()
        self._edited()
        return True

    def _edited(self) -> None:
        """Keep the edits, and tell who listens."""
        if self.file is not None:
            if not self.asks and "not saved" not in self.note:
                self.note = ""
            self.file.keep(self.sheet)
        if self._changed is not None and self.payload is not None and not self.faults:
            self._changed(self.payload, self.text)

    def _read(self) -> None:
        try:
            self.payload, self.faults = parse_sheet(self.text, name=self.name), ()
        except BadInput as refused:
            self.faults = refused.faults

    # ---- showing

    def _show(self, cause: str) -> None:
        if not hasattr(self, "panel"):
            return
        self._serial += 1
        beside = Beside(self.faults)
        view = View(self.sheet, self.units, self.payload, beside)
        groups = groups_of(view, self.groups, self.item)
        self.panel.state = {
            "n": self._serial,
            "cause": cause,
            "layout": self.layout,
            "units": self.units,
            "heard": dict(self._heard),
            "groups": groups,
            "item": self.item,
            "faults": beside.rest(),
            "note": self.note,
            "trouble": self.trouble,
            "undo": self._now.what if self._past else None,
            "redo": self._future[-1].what if self._future else None,
            "save": None if self.file is None else self._saving(),
            **self._more(),
        }

    def _saving(self) -> dict[str, Any]:
        """What the line beside the save button says."""
        assert self.file is not None  # asked for only where there is one
        name = self.file.path.name
        if self.file.is_new:
            said = f"{name} is not there yet: saving makes it"
        elif self.unsaved:
            said = f"{name}: unsaved edits"
        else:
            said = f"{name}: saved"
        return {"text": said, "unsaved": self.unsaved, "asks": self.asks}

    def _more(self) -> dict[str, Any]:
        """What a larger form shows besides."""
        return {}
