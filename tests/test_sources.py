"""Sources are named once and written out in words."""

from __future__ import annotations

from fitkit.sources import SOURCES, cited


def test_a_source_is_written_out() -> None:
    """An id becomes words, remarks stay, and what is no id is left as it is."""
    assert cited("CP; S20 (gases)") == (
        "common practice, no source; materials forbidden on lasers: lists of three universities "
        "and workshops, secondary (gases)"
    )
    assert cited("ISO 11228-1 (secondary)") == "ISO 11228-1 (secondary)"


def test_ids_are_their_own_keys() -> None:
    """Each record is found under its id and says how it was read."""
    assert all(key == source.id and source.what and source.read for key, source in SOURCES.items())
