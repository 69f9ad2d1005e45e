"""What the notebooks share: a payload sheet, and the plan in the folder beside it.

The sheet ``tideline.toml`` has its folder ``tideline/`` with ``plan.json`` in it. Each notebook
takes the sheet's path, so that all of them work on the same kit.
"""

from __future__ import annotations

import os
import shutil
from pathlib import Path
from typing import TYPE_CHECKING

from attrs import frozen

from fitkit.errors import BadInput, Fault
from fitkit.notebook.samples import samples_folder
from fitkit.payload.model import Payload
from fitkit.payload.sheet import read_sheet
from fitkit.plan import Choices, Plan, make_plan
from fitkit.plan_json import read_plan

if TYPE_CHECKING:
    from fitkit.documents.files import Written

BUDGET_S = 10.0
"""How long the first search of a notebook may take [s]."""


@frozen
class Work:
    """A sheet, its folder, and how long a search may take when a notebook needs a plan [s]."""

    sheet: Path
    folder: Path
    budget_s: float = BUDGET_S

    @classmethod
    def at(cls, path: str | Path = "tideline.toml") -> Work:
        """The work on a sheet, or on the sheet that a saved plan belongs to.

        A sample's name that is not in the working folder is copied there, with the files that it
        names. BadInput where there is neither a file nor such a sample, and for a FITKIT_BUDGET
        that is not a number of seconds.
        """
        given = Path(path).expanduser()
        if given.suffix == ".json":
            folder = given.parent
            return cls(folder.with_suffix(".toml"), folder, _budget_s())
        if not given.exists() and given.parent == Path("."):
            _copy_sample(given)
        return cls(given, given.with_suffix(""), _budget_s())

    @property
    def plan_path(self) -> Path:
        """Where the plan is saved."""
        return self.folder / "plan.json"

    def payload(self) -> Payload:
        """What the sheet says now, or the saved plan's where the sheet is gone. BadInput if bad."""
        if not self.sheet.exists() and self.has_plan():
            return read_plan(self.plan_path).payload
        return read_sheet(self.sheet)

    def has_plan(self) -> bool:
        """Whether a plan was saved."""
        return self.plan_path.is_file()

    def plan(self) -> Plan:
        """The saved plan; or one made now, which takes ``budget_s``, and saved. BadInput if bad."""
        if self.has_plan():
            return read_plan(self.plan_path)
        plan = make_plan(self.payload(), choices=Choices(budget_s=self.budget_s))
        self.keep(plan)
        return plan

    def is_stale(self, plan: Plan) -> bool:
        """Whether the sheet says something else than the payload that ``plan`` was made of."""
        return self.sheet.exists() and read_sheet(self.sheet) != plan.payload

    def keep(self, plan: Plan) -> None:
        """Save the plan alone, by a file beside it that is renamed; the other files stay.

        BadInput if the folder cannot be written.
        """
        from fitkit.documents.files import keep_plan

        keep_plan(plan, self.folder)

    def save(self, plan: Plan) -> tuple[Written, ...]:
        """Write the plan and all that belongs to it into the folder."""
        from fitkit.documents.files import write_all

        return write_all(plan, self.folder)


def _copy_sample(target: Path) -> None:
    folder = samples_folder()
    if not (folder / target.name).is_file():
        return
    needs = [one for one in folder.glob("*.csv") if one.name in (folder / target.name).read_text()]
    for source in (folder / target.name, *needs):
        if not (target.parent / source.name).exists():
            shutil.copyfile(source, target.parent / source.name)


def _budget_s() -> float:
    text = os.environ.get("FITKIT_BUDGET", "")
    if not text:
        return BUDGET_S
    try:
        value = float(text)
    except ValueError:
        value = 0.0
    if not 0.0 < value < 1e5:
        fault = Fault("FITKIT_BUDGET", f'"{text}"', "a number of seconds above 0")
        raise BadInput([fault])
    return value
