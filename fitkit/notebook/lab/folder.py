"""The folder that a builder works in: the notebooks in it are the builder's own copies."""

from __future__ import annotations

import os
import shutil
from importlib.resources import files
from pathlib import Path

from attrs import frozen

from fitkit.errors import BadInput, Fault

ORDER = ("measure.ipynb", "fit.ipynb", "recess.ipynb", "foam.ipynb", "build.ipynb")
"""The notebooks by the order of the work."""

OWN_FOLDER = "fitkit-notebooks"
"""Where the notebooks go when no folder is named, in the current one."""


@frozen
class Prepared:
    """A folder to work in, and the notebooks that were put there now."""

    folder: Path
    copied: tuple[str, ...]

    @property
    def words(self) -> str:
        """What is said to the builder."""
        if not self.copied:
            return f"Your notebooks are in {self.folder}."
        return f"Put {', '.join(self.copied)} into {self.folder}; they are yours to change."

    @property
    def first(self) -> str | None:
        """The notebook to open first, None where the folder has none."""
        return first_in(self.folder)


def prepare(folder: Path | None = None) -> Prepared:
    """The folder to work in, with a copy of every notebook that it lacks.

    Without ``folder``: the current one if it holds one of our notebooks already, else
    ``fitkit-notebooks`` in it. A named folder is made where it is missing. A file that is there
    stays as it is, and nothing is ever written into the installed package. BadInput where the
    folder is a file, or it cannot be written.
    """
    place = _chosen() if folder is None else folder
    if place.exists() and not place.is_dir():
        raise BadInput([Fault(str(place), "is a file", "name a folder for your notebooks")])
    source = notebooks_folder()
    if place.resolve() == source.resolve():  # the checkout's own folder
        return Prepared(place.resolve(), ())
    copied = []
    try:
        place.mkdir(parents=True, exist_ok=True)
        for path in in_order(source):
            if not (place / path.name).exists():
                _copy(path, place / path.name)
                copied.append(path.name)
    except OSError as error:
        reason = error.strerror or str(error)
        if place.is_dir() and first_in(place) is not None:
            return Prepared(place.resolve(), tuple(copied))  # read-only, but there is work in it
        raise BadInput(
            [
                Fault(
                    str(place),
                    f"cannot be written ({reason})",
                    "name a folder that you may write to: fitkit lab FOLDER",
                )
            ]
        ) from error
    return Prepared(place.resolve(), tuple(copied))


def _chosen() -> Path:
    here = Path.cwd()
    return here if any((here / name).is_file() for name in ORDER) else here / OWN_FOLDER


def _copy(source: Path, target: Path) -> None:
    """Copy beside and link into place, so that a file that appears meanwhile is not lost."""
    beside = target.with_name(f".{target.name}.{os.getpid()}.part")
    shutil.copyfile(source, beside)
    try:
        os.link(beside, target)
    except FileExistsError:  # it appeared meanwhile: it is the builder's
        return
    except OSError:  # a file system without links
        beside.rename(target)
    finally:
        beside.unlink(missing_ok=True)


def in_order(folder: Path) -> list[Path]:
    """The notebooks of a folder: ours by the order of the work, then others by name."""
    there = {path.name: path for path in sorted(folder.glob("*.ipynb"))}
    ours = [there.pop(name) for name in ORDER if name in there]
    return [*ours, *there.values()]


def first_in(folder: Path) -> str | None:
    """The name of the notebook to open first; None where there is none."""
    return next((path.name for path in in_order(folder)), None)


def notebooks_folder() -> Path:
    """Where fitkit's notebooks are: in the installed package, or beside it in a checkout."""
    package = Path(str(files("fitkit")))
    installed = package / "_share" / "notebooks"
    return installed if installed.is_dir() else package.parent / "notebooks"
