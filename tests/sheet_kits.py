"""Sheets to try out readers on: a screen that may be mounted, a recorder with connectors."""

from __future__ import annotations

import pytest

from fitkit.errors import BadInput, Fault
from fitkit.payload.model import Payload
from fitkit.payload.sheet import parse_sheet

SCREEN = """
[[item]]
name = "field screen"
count = 2
body = [ { rectangle = [420, 260], z = [0, 40] } ]

  [[item.zone]]
  kind = "connector"
  face = "left"
  at = [130, 18]
  size = [60, 12]
  depth = 45
"""

RECORDER = """
[[item]]
name = "recorder"
body = [ { rectangle = [200, 150], z = [0, 60] } ]

  [[item.zone]]
  kind = "connector"
  face = "back"
  at = [40, 30]
  size = [16, 14]
  depth = 40

  [[item.zone]]
  kind = "connector"
  face = "back"
  at = [160, 30]
  size = [16, 14]
  depth = 40

  [[item.zone]]
  kind = "connector"
  face = "front"
  at = [100, 30]
  size = [16, 14]
  depth = 40
"""


def sheet(*parts: str, case: str = 'form = "pair"') -> str:
    """A sheet of one case with those parts after it."""
    return f"[case]\n{case}\n" + "\n".join(parts)


def read(*parts: str, case: str = 'form = "pair"') -> Payload:
    """The payload of such a sheet."""
    return parse_sheet(sheet(*parts, case=case), name="kit.toml")


def faults(*parts: str, case: str = 'form = "pair"') -> tuple[Fault, ...]:
    """What is wrong with such a sheet."""
    with pytest.raises(BadInput) as caught:
        read(*parts, case=case)
    return caught.value.faults


def only_fault(*parts: str, case: str = 'form = "pair"') -> str:
    """The one thing that is wrong with such a sheet: place, found and remedy."""
    found = faults(*parts, case=case)
    assert len(found) == 1, [str(fault) for fault in found]
    return str(found[0])
