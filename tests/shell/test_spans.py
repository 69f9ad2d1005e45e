"""Spans that are left, and the place nearest to a wish: against a scan of every half millimetre."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from fitkit.shell.spans import free, mirrored, nearest

spans = st.lists(
    st.tuples(st.integers(-20, 120), st.integers(0, 60)).map(
        lambda one: (float(one[0]), float(one[0] + one[1]))
    ),
    max_size=6,
)


def _open(place: float, blocked: list[tuple[float, float]]) -> bool:
    return not any(low < place < high for low, high in blocked)


@given(spans, st.integers(0, 50), st.integers(0, 60))
def test_a_place_is_free_when_nothing_blocks_it(
    blocked: list[tuple[float, float]], low: int, length: int
) -> None:
    """Every half millimetre of the side is in a free span exactly if no blocked one covers it."""
    found = free(float(low), float(low + length), blocked=blocked)
    for step in range(2 * length + 1):
        place = low + step / 2
        inside = any(start <= place <= end for start, end in found)
        assert inside == _open(place, blocked), place


@given(spans, st.integers(0, 50), st.integers(0, 60), st.integers(-20, 130))
def test_no_free_place_is_nearer(
    blocked: list[tuple[float, float]], low: int, length: int, wanted: int
) -> None:
    """The place found is free, and none on a half-millimetre grid lies nearer to the wish."""
    found = nearest(float(wanted), free(float(low), float(low + length), blocked=blocked))
    grid = [low + step / 2 for step in range(2 * length + 1)]
    open_ones = [place for place in grid if _open(place, blocked)]
    if found is None:
        assert not open_ones
    else:
        assert _open(found, blocked)
        assert low <= found <= low + length
        assert abs(found - wanted) <= min(abs(place - wanted) for place in open_ones)


@given(spans, st.integers(0, 100))
def test_a_mirror_twice_is_the_same(blocked: list[tuple[float, float]], about: int) -> None:
    """Mirrored twice every span is where it was; once, it is as far on the other side."""
    once = mirrored(blocked, about_mm=float(about))
    assert list(mirrored(once, about_mm=float(about))) == blocked
    for (low, high), (start, end) in zip(blocked, once, strict=True):
        assert about - low == end - about
        assert about - high == start - about
