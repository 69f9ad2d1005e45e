"""Lower bounds: how small the interior can be at the very best.

A first one is there at once (:func:`lower_bound`, areas per level under every set of heights); it
is raised while the search runs (:func:`raise_bound`).
"""

from fitkit.fit.bounds.areas import BOUND_NAME, lower_bound
from fitkit.fit.bounds.raising import raise_bound
from fitkit.fit.bounds.shares import GRID_MM, Share, objective_value, share

__all__ = [
    "BOUND_NAME",
    "GRID_MM",
    "Share",
    "lower_bound",
    "objective_value",
    "raise_bound",
    "share",
]
