"""The DXF pen: R2000 with arcs as bulges in millimetres, or R12 in straight edges."""

from __future__ import annotations

import io
import logging
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, Literal

from fitkit.documents.lettering import CAP_SHARE
from fitkit.documents.sheet import Circle, Contour, Path, Sheet, Text
from fitkit.geometry.arcs import ring_of

DxfVersion = Literal["R2000", "R12"]

R12_CHORD_MM = 0.005
"""Largest distance of R12's straight edges from the curve [mm]; cutters accept up to 0.05."""

MILLIMETRES = 4
"""Code of the millimetre in $INSUNITS; $MEASUREMENT becomes 1 with it."""

ACI: dict[str, int] = {"CUT": 1, "DRILL": 3, "SINK": 6, "MARK": 5, "NOTE": 8}
"""Colour number per kind of operation: red, green, magenta, blue, grey (common practice)."""


def dxf(
    sheet: Sheet, *, version: DxfVersion = "R2000", left_mm: float = 0.0, low_mm: float = 0.0
) -> bytes:
    """The paths and texts of a sheet as a DXF, one DXF layer per operation.

    Millimetres, 1:1, contours closed; the file's origin is the sheet's point
    (``left_mm``, ``low_mm``). The same sheet gives the same bytes.
    """
    import ezdxf
    from ezdxf.enums import TextEntityAlignment

    align = {
        "start": TextEntityAlignment.LEFT,
        "middle": TextEntityAlignment.CENTER,
        "end": TextEntityAlignment.RIGHT,
    }
    with _pinned():
        document = ezdxf.new(version, units=MILLIMETRES)
        drawn = [m for m in sheet.marks if isinstance(m, Path | Circle | Text)]
        for operation in dict.fromkeys(mark.operation for mark in drawn):
            document.layers.add(_layer(operation, version), color=_colour(operation))
        space = document.modelspace()
        for mark in drawn:
            layer = _layer(mark.operation, version)
            if isinstance(mark, Path):
                for contour in mark.contours:
                    _polyline(space, contour, layer, version, left_mm, low_mm)
            elif isinstance(mark, Circle):
                space.add_circle(
                    (mark.x_mm - left_mm, mark.y_mm - low_mm),
                    mark.diameter_mm / 2,
                    dxfattribs={"layer": layer},
                )
            else:
                text = space.add_text(
                    " ".join(mark.text.split()),
                    height=mark.size_mm * CAP_SHARE,
                    rotation=mark.turn_deg,
                    dxfattribs={"layer": layer},
                )
                at = (mark.x_mm - left_mm, mark.y_mm - low_mm)
                text.set_placement(at, align=align[mark.anchor])
        out = io.StringIO()
        document.write(out)
    return out.getvalue().encode(document.output_encoding, errors="dxfreplace")


def _layer(operation: str, version: DxfVersion) -> str:
    """An operation as a layer's name; R12 knows letters, figures, "-", "_" and "$" only."""
    return operation.replace(".", "-") if version == "R12" else operation


def _colour(operation: str) -> int:
    """The colour of an operation, or of the kind of operation that its name starts with."""
    kind = next((kind for kind in ACI if operation.startswith(kind)), "")
    return ACI.get(kind, 7)


def _polyline(
    space: Any, contour: Contour, layer: str, version: DxfVersion, left: float, low: float
) -> None:
    where = {"layer": layer}
    if version == "R12":
        points = ring_of(contour.vertices, chord_mm=R12_CHORD_MM)
        space.add_polyline2d(
            [(x - left, y - low) for x, y in points], close=contour.closed, dxfattribs=where
        )
        return
    space.add_lwpolyline(
        [(x - left, y - low, bulge) for x, y, bulge in contour.vertices],
        format="xyb",
        close=contour.closed,
        dxfattribs=where,
    )


@contextmanager
def _pinned() -> Iterator[None]:
    """Dates and identifiers in the file's head are fixed; R12's lack of units is known."""
    import ezdxf

    logger = logging.getLogger("ezdxf")
    before, level = ezdxf.options.write_fixed_meta_data_for_testing, logger.level
    ezdxf.options.write_fixed_meta_data_for_testing = True
    logger.setLevel(logging.ERROR)
    try:
        yield
    finally:
        ezdxf.options.write_fixed_meta_data_for_testing = before
        logger.setLevel(level)
