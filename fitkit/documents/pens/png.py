"""The PNG pen: the sheet as a PDF page, drawn by pdfium; no fonts of the machine are used."""

from __future__ import annotations

import struct
import zlib
from collections.abc import Mapping

from fitkit.documents.pens.pdf import pdf
from fitkit.documents.sheet import LIGHT, Role, Sheet

DOTS_PER_INCH = 160.0


def png(sheet: Sheet, *, dpi: float = DOTS_PER_INCH, colours: Mapping[Role, str] = LIGHT) -> bytes:
    """The sheet as a PNG picture with ``dpi`` dots per inch of paper."""
    return picture(pdf([sheet], title=sheet.title, colours=colours), dpi=dpi)


def picture(document: bytes, *, page: int = 0, dpi: float = DOTS_PER_INCH) -> bytes:
    """One page of a PDF as a PNG picture."""
    import numpy as np
    import pypdfium2

    opened = pypdfium2.PdfDocument(document)
    try:
        pixels = opened[page].render(scale=dpi / 72.0, rev_byteorder=True).to_numpy()
        rgb = np.ascontiguousarray(pixels[:, :, :3])
    finally:
        opened.close()
    height, width = rgb.shape[:2]
    # each row led by 0: no filter, which suits flat colours best
    rows = np.zeros((height, 1 + 3 * width), dtype=np.uint8)
    rows[:, 1:] = rgb.reshape(height, 3 * width)
    per_metre = round(dpi / 0.0254)
    return b"".join(
        (
            b"\x89PNG\r\n\x1a\n",
            _chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)),
            _chunk(b"pHYs", struct.pack(">IIB", per_metre, per_metre, 1)),
            _chunk(b"IDAT", zlib.compress(rows.tobytes(), 5)),
            _chunk(b"IEND", b""),
        )
    )


def _chunk(kind: bytes, data: bytes) -> bytes:
    """A chunk of a PNG file (PNG specification, section 5.3): length, kind, data, checksum."""
    return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
