"""A kit shared out over several cases, where one would break a limit."""

from fitkit.fit.several.answer import Counts, Several, Share, copies_in, part_of
from fitkit.fit.several.least import Least, least_cases
from fitkit.fit.several.split import Weigh, share_out

__all__ = [
    "Counts",
    "Least",
    "Several",
    "Share",
    "Weigh",
    "copies_in",
    "least_cases",
    "part_of",
    "share_out",
]
