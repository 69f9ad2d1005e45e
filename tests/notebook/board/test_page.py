"""The stand-alone page as text; what it does in a browser is tried there."""

from __future__ import annotations

from typing import Any

import pytest

from browser.board_fixture import six
from fitkit.notebook.board.page import board_page


def written(shown: dict[str, Any], **more: Any) -> str:
    """The page of one level."""
    options = {"placements": [], "pairs": [], "title": "t", "plan": "4f2c9a"} | more
    return board_page({"deep/1": shown}, clearance_mm=20.0, follows=True, **options)


def test_it_says_what_it_cannot_know() -> None:
    """What is not checked on the page is said on it."""
    assert "Heights, foam, zones and rounded corners are checked when" in written(six())


def test_no_text_breaks_out_of_it() -> None:
    """Names and titles stay texts, whatever is in them."""
    shown = six()
    shown["items"][1]["name"] = "</script><b>A & B"
    text = written(shown, title="<Tideline>")
    assert text.count("</script>") == 2
    assert "<title>&lt;Tideline&gt;: the board</title>" in text
    assert "<b>A" not in text


def test_it_asks_for_nothing_from_outside() -> None:
    """The page names no address, and forbids itself all requests."""
    text = written(six())
    assert "default-src 'none'" in text
    assert "://" not in text.replace("http://www.w3.org/2000/svg", "")


def test_what_is_not_on_the_board_is_refused() -> None:
    """A pair or a placement without its item, and a page without a level, are errors."""
    with pytest.raises(ValueError, match="not on the board: mast/1"):
        written(six(), pairs=[("mast/1", "float/5", 1.0)])
    with pytest.raises(ValueError, match="not on the board: mast/2"):
        written(six(), placements=[{"item": "mast", "copy": 2}])
    with pytest.raises(ValueError, match="at least one level"):
        board_page({}, title="t", plan="p", placements=[], pairs=[], clearance_mm=1.0, follows=True)
