"""What a kit in several cases leaves beside their plans: which copy goes where, and the files.

Keys in this order: format "fitkit-cases", version, fitkit, title, least, bound_name, proven,
seconds, cases [{folder, items: [{item, copies}], outside_mm, mass_kg, misses}], written [{file,
sha256}]. Copies are those of the sheet; each case's own plan numbers its copies from 1.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from pathlib import Path, PurePath
from typing import Any

from fitkit import __version__
from fitkit.errors import BadInput, Fault
from fitkit.fit.several import copies_in
from fitkit.payload.model import Payload
from fitkit.plan_json.codec import dumped, laid_out
from fitkit.plan_json.saved import Listed, WrittenFile
from fitkit.plan_several import Cases

CASES_FORMAT = "fitkit-cases"
CASES_VERSION = 1
CASES_FILE = "cases.json"


def folder_of(number: int) -> str:
    """The folder of a case, counted from 1."""
    return f"case-{number}"


def dumps_cases(cases: Cases, payload: Payload, *, written: Iterable[WrittenFile] = ()) -> str:
    """The sharing out as JSON text, ending in a line feed; ``payload`` is the whole kit."""
    several = cases.several
    rows = [
        {
            "folder": folder_of(number),
            "items": [
                {"item": item.name, "copies": list(copies_in(several.shares, number - 1, k))}
                for k, item in enumerate(payload.items)
                if share.counts[k]
            ],
            "outside_mm": dumped(plan.outside_mm),
            "mass_kg": dumped(plan.mass.total_kg),
            "misses": list(share.misses),
        }
        for number, (share, plan) in enumerate(
            zip(several.shares, cases.plans, strict=True), start=1
        )
    ]
    values: dict[str, Any] = {
        "format": CASES_FORMAT,
        "version": CASES_VERSION,
        "fitkit": __version__,
        "title": payload.title,
        "least": several.least,
        "bound_name": several.bound_name,
        "proven": several.proven,
        "seconds": several.seconds,
        "cases": rows,
        "written": [
            {"file": PurePath(file.path).as_posix(), "sha256": file.sha256} for file in written
        ],
    }
    return laid_out(values, "") + "\n"


def read_cases_written(path: Path) -> tuple[Listed, ...]:
    """The files that a saved sharing out lists; BadInput where it is none, or was changed."""
    remedy = "plan the kit again with --several"
    try:
        data = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError) as error:
        raise BadInput([Fault(str(path), f"cannot be read ({error})", remedy)]) from error
    rows = data.get("written") if isinstance(data, dict) else None
    known = isinstance(data, dict) and data.get("format") == CASES_FORMAT
    if not known or not isinstance(rows, list):
        raise BadInput([Fault(str(path), "is no list of cases that fitkit wrote", remedy)])
    listed = []
    for row in rows:
        if not isinstance(row, dict) or not all(
            isinstance(row.get(key), str) for key in ("file", "sha256")
        ):
            raise BadInput([Fault(f"{path}: written", "is not as it was written", remedy)])
        listed.append(Listed(row["file"], row["sha256"]))
    return tuple(listed)
