"""Plans as JSON: exact there and back, strict on the way in."""

from fitkit.plan_json.saved import (
    FORMAT,
    VERSION,
    Listed,
    WrittenFile,
    dumps,
    loads,
    read_plan,
    read_written,
)

__all__ = [
    "FORMAT",
    "VERSION",
    "Listed",
    "WrittenFile",
    "dumps",
    "loads",
    "read_plan",
    "read_written",
]
