"""Draw the reference pictures anew: ``python tests/browser/make_golden.py [NAME ...]``.

Look at every picture before you keep it; what looks wrong is put right in the code, not here.
"""

from __future__ import annotations

import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path[:0] = [str(ROOT), str(ROOT / "tests")]

from browser.pictures import GOLDEN, PICTURES, apart  # noqa: E402
from lab_server import browsing  # noqa: E402  # found by the line above

MOST_BYTES = 120_000


def main(names: list[str]) -> None:
    """Draw the pictures called ``names``, or all; those that are as before are left alone."""
    GOLDEN.mkdir(exist_ok=True)
    with browsing() as browser:
        for name in names or list(PICTURES):
            path = GOLDEN / f"{name}.png"
            picture = PICTURES[name](browser)
            if len(picture) > MOST_BYTES:
                raise SystemExit(f"{name} has {len(picture)} bytes: make it smaller")
            if path.is_file() and apart(path.read_bytes(), picture) == (0.0, 0.0):
                continue
            path.write_bytes(picture)
            sys.stdout.write(f"{path.name}: drawn anew, look at it\n")


if __name__ == "__main__":
    main(sys.argv[1:])
