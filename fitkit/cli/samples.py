"""The samples that travel with the package."""

from __future__ import annotations

import contextlib
import tempfile
from pathlib import Path

import fitkit
from fitkit.cli.terminal import output
from fitkit.errors import BadInput, Fault


def shared(name: str) -> Path:
    """The folder ``name`` of what travels with the package: installed, or beside a checkout."""
    package = Path(fitkit.__file__).parent
    for folder in (package / "_share" / name, package.parent / name):
        if folder.is_dir():
            return folder
    raise BadInput([Fault(name, f"is not beside the package at {package}", "install fitkit again")])


def copy_samples(folder: Path) -> int:
    """Copy every sample to ``folder``; nothing that is there already is overwritten."""
    out = output()
    faults = folder_faults(folder)
    if faults:
        raise BadInput(faults)
    source = shared("sample_payloads")
    kept = 0
    for path in sorted(path for path in source.rglob("*") if path.is_file()):
        target = folder / path.relative_to(source)
        target.parent.mkdir(parents=True, exist_ok=True)
        try:
            with target.open("xb") as file:
                file.write(path.read_bytes())
        except FileExistsError:
            kept += 1
            out.print(f"kept    {target} (there already)", style="quiet")
        else:
            out.print(f"copied  {target}")
    if kept:
        out.print("Files that were there already stay as they are.", style="quiet")
    first = folder / "tideline.toml"
    out.print(f"Next: fitkit plan {first} -o build/")
    return 0


def folder_faults(folder: Path) -> list[Fault]:
    """What would go wrong with writing to ``folder``; afterwards all is as it was.

    A folder that is not there is made for the trial and taken away again.
    """
    place = str(folder)
    remedy = "give a folder that you may write to"
    made: list[Path] = []
    try:
        for part in reversed([folder, *folder.parents]):
            if not part.exists():
                part.mkdir()
                made.append(part)
        with tempfile.TemporaryFile(dir=folder):
            return []
    except (FileExistsError, NotADirectoryError):
        return [Fault(place, "a file stands where the folder would be", "give another folder")]
    except OSError as error:
        return [Fault(place, f"cannot be written ({error.strerror or error})", remedy)]
    except ValueError as error:  # a path with a null character
        return [Fault(repr(place), f"is no path ({error})", remedy)]
    finally:
        for part in reversed(made):
            with contextlib.suppress(OSError):  # something was put there meanwhile: it stays
                part.rmdir()
