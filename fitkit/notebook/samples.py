"""Where the samples are that come with fitkit."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path


def samples_folder() -> Path:
    """In the installed package, or beside it in a checkout."""
    package = Path(str(files("fitkit")))
    installed = package / "_share" / "sample_payloads"
    return installed if installed.is_dir() else package.parent / "sample_payloads"
