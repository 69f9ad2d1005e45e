"""The kit on paper, for every sample."""

from __future__ import annotations

import pytest

from fitkit.errors import BadInput
from fitkit.notebook.kit import kit, sample
from fitkit.notebook.samples import samples_folder


def test_every_sample_is_found_and_shown() -> None:
    """Each sample sheet is read by name, and its table names every item."""
    names = [path.name for path in samples_folder().glob("*.toml")]
    assert "tideline.toml" in names
    for name in names:
        payload = sample(name)
        table = kit(payload).children[1].value
        assert all(item.name in table for item in payload.items)


def test_an_unknown_sample_lists_those_that_there_are() -> None:
    """The refusal helps to the right name."""
    with pytest.raises(BadInput, match=r"tideline\.toml"):
        sample("tidelines.toml")
