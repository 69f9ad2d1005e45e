"""Which of the builder's own cases hold the kit: bounds first, then a layout within each room."""

from fitkit.fit.ready_made.answer import Answer, Missing, Tried, Verdict, ranked
from fitkit.fit.ready_made.choose import choose
from fitkit.fit.ready_made.room import inside_of, volume_mm3

__all__ = [
    "Answer",
    "Missing",
    "Tried",
    "Verdict",
    "choose",
    "inside_of",
    "ranked",
    "volume_mm3",
]
