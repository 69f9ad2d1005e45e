"""Numbers for the place of the chosen item."""

from __future__ import annotations

from pathlib import Path

import traitlets

from fitkit.notebook.board.told import Told, told_script


class Place(Told):
    """Sliders and numbers for the chosen item's x, y and turn.

    ``place`` is {id, x, y, turn}, each of the three {value, min, max, step, fixed}, or empty where
    nothing is chosen; ``move`` is as the board's.
    """

    _esm = told_script(Path(__file__).parent / "place.js")
    place = traitlets.Dict().tag(sync=True)
