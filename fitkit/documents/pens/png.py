"""The PNG pen: the sheet as a PDF page, drawn by pdfium; no fonts of the machine are used."""

from __future__ import annotations

import io
from collections.abc import Mapping

from fitkit.documents.pens.pdf import pdf
from fitkit.documents.sheet import LIGHT, Role, Sheet

DOTS_PER_INCH = 160.0


def png(sheet: Sheet, *, dpi: float = DOTS_PER_INCH, colours: Mapping[Role, str] = LIGHT) -> bytes:
    """The sheet as a PNG picture with ``dpi`` dots per inch of paper."""
    return picture(pdf([sheet], title=sheet.title, colours=colours), dpi=dpi)


def picture(document: bytes, *, page: int = 0, dpi: float = DOTS_PER_INCH) -> bytes:
    """One page of a PDF as a PNG picture."""
    import pypdfium2

    opened = pypdfium2.PdfDocument(document)
    try:
        image = opened[page].render(scale=dpi / 72.0, rev_byteorder=True).to_pil().convert("RGB")
    finally:
        opened.close()
    out = io.BytesIO()
    image.save(out, "PNG", compress_level=6, dpi=(dpi, dpi))
    return out.getvalue()
