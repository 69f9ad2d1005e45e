"""The sheet on disk: read, saved by a file beside it, and unsaved edits kept against a crash."""

from __future__ import annotations

import time
from pathlib import Path

from fitkit.errors import BadInput, Fault
from fitkit.notebook.work import Work
from fitkit.payload.sheet_edit import SheetText
from fitkit.payload.starting import starting_sheet
from fitkit.payload.text_in import read_text
from fitkit.units import Units


class SheetFile:
    """A payload sheet's file, as it was when it was last read or saved.

    ``text`` is what stood there; ``is_new`` when there is no file yet. ``restored`` are edits that
    were not saved before a crash, with the time of day when they were made.
    """

    def __init__(self, path: str | Path, *, units: Units = "mm") -> None:
        """Read the sheet at ``path``; a name ending in .toml that is not there starts a new one.

        A sample's name is found as every notebook finds it. BadInput for a file that cannot be
        read or is no TOML, and for a missing file of another kind.
        """
        self.path = Work.at(path).sheet
        self.is_new = not self.path.exists() and self.path.suffix == ".toml"
        if self.is_new:
            self.text = starting_sheet(self.path.stem.replace("_", " "), units=units)
        else:
            self.text = self._read()
        self.line_end = "\r\n" if "\r\n" in self.text else "\n"
        self.saved = SheetText(self.text)
        self.restored: tuple[SheetText, str] | None = None
        self.note = self._restore()

    @property
    def unsaved_path(self) -> Path:
        """Where edits are kept until they are saved."""
        return self.path.with_name(f".{self.path.name}.unsaved")

    def keep(self, sheet: SheetText) -> None:
        """Keep edits beside the sheet; nothing is kept that the sheet says already."""
        if sheet.text == self.saved.text and not self.is_new:
            self.unsaved_path.unlink(missing_ok=True)
            return
        self._put(self.unsaved_path, sheet.text)

    def forget(self) -> None:
        """Let unsaved edits go."""
        self.unsaved_path.unlink(missing_ok=True)

    def changed_outside(self) -> bool:
        """Whether the file says something else than when it was last read or saved here."""
        if not self.path.exists():
            return False
        return self.is_new or self._read() != self.text

    def save(self, sheet: SheetText) -> None:
        """Write the sheet, by a file beside it that is renamed. BadInput where that fails."""
        text = sheet.text.replace("\n", self.line_end)
        self._put(self.path, text)
        self.text, self.saved, self.is_new = text, sheet, False
        self.unsaved_path.unlink(missing_ok=True)

    def load(self) -> SheetText:
        """What is on disk now, which counts as read. BadInput if it is no TOML."""
        text = self._read()
        sheet = SheetText(text)
        self.text, self.saved, self.is_new = text, sheet, False
        return sheet

    def _read(self) -> str:
        text = read_text(
            self.path,
            kind="sheet",
            ending=".toml",
            missing="check the name; a new sheet's name ends in .toml",
            save="save the sheet as UTF-8 in your editor",
        )
        if "\r\n" in text:
            return text
        return text.replace("\r", "\n")

    def _restore(self) -> str:
        """Find edits that were not saved; the word to say about them."""
        if not self.unsaved_path.is_file():
            return ""
        try:
            found = SheetText(self.unsaved_path.read_text(encoding="utf-8"))
        except (BadInput, OSError, UnicodeDecodeError):
            aside = self.unsaved_path.with_suffix(".kept")
            self.unsaved_path.replace(aside)
            return f"Unsaved edits could not be read back; they lie in {aside.name}."
        if found.text == self.saved.text:
            return ""
        made = self.unsaved_path.stat().st_mtime
        when = time.strftime("%H:%M", time.localtime(made))
        self.restored = (found, when)
        since = ""
        if not self.is_new and self.path.stat().st_mtime > made:
            since = f" {self.path.name} itself was changed since then."
        return f"Your unsaved edits from {when} are back; “undo” shows the saved sheet.{since}"

    def _put(self, path: Path, text: str) -> None:
        beside = path.with_name(f".{path.name.lstrip('.')}.part")
        try:
            path.parent.mkdir(parents=True, exist_ok=True)
            beside.write_bytes(text.encode("utf-8"))
            beside.replace(path)
        except OSError as error:
            what = f"cannot be written ({error.strerror or error})"
            fault = Fault(str(path), what, "choose a folder that you may write to")
            raise BadInput([fault]) from error
