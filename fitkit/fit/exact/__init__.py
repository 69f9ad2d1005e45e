"""The least box for blocks, with its proof: rectangles in the plane, boxes in space."""

from __future__ import annotations

from fitkit.fit.exact.least import LeastBox, least_box
from fitkit.fit.exact.rectangles import BOUND_NAME, boxes, prove, rectangles_of

__all__ = ["BOUND_NAME", "LeastBox", "boxes", "least_box", "prove", "rectangles_of"]
