"""The type that documents are set in: DejaVu Sans, embedded, and how wide a text runs in it."""

from __future__ import annotations

from functools import lru_cache
from importlib.resources import as_file, files

MM_PER_PT = 25.4 / 72.0
CAP_SHARE = 0.729
"""Height of capitals and figures as a share of the type size (DejaVu Sans, its OS/2 table)."""

NAMES = {False: "fitkit-sans", True: "fitkit-sans-bold"}
_FILES = {False: "DejaVuSans.ttf", True: "DejaVuSans-Bold.ttf"}


@lru_cache(maxsize=1)
def registered() -> dict[bool, str]:
    """Names under which the plain (False) and bold (True) type are known to reportlab."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    for bold, name in NAMES.items():
        with as_file(files("fitkit.documents") / "fonts" / _FILES[bold]) as path:
            pdfmetrics.registerFont(TTFont(name, str(path)))
    return NAMES


@lru_cache(maxsize=2)
def _widths(bold: bool) -> tuple[dict[int, float], float]:
    from reportlab.pdfbase import pdfmetrics

    face = pdfmetrics.getFont(registered()[bold]).face
    return dict(face.charWidths), float(face.defaultWidth)


@lru_cache(maxsize=16384)
def width_of(text: str, *, size_mm: float, bold: bool = False) -> float:
    """How wide ``text`` runs [mm] at a type size [mm].

    >>> round(width_of("100", size_mm=3.0), 2)
    5.73
    """
    widths, other = _widths(bold)
    return sum(widths.get(ord(letter), other) for letter in text) * size_mm / 1000.0


def printable(text: str) -> str:
    """``text`` with letters that the embedded type lacks shown as a hollow square.

    >>> printable("probe 2, \u6d77")
    'probe 2, □'
    """
    widths, _ = _widths(False)
    return "".join(letter if ord(letter) in widths else "□" for letter in text)


def cut_to(text: str, *, width_mm: float, size_mm: float, bold: bool = False) -> str:
    """``text``, or as much of it as fits into ``width_mm``, with an ellipsis.

    >>> cut_to("hydrophone box", width_mm=12.0, size_mm=3.0)
    'hydro…'
    """
    if width_of(text, size_mm=size_mm, bold=bold) <= width_mm:
        return text
    while text and width_of(text.rstrip() + "…", size_mm=size_mm, bold=bold) > width_mm:
        text = text[:-1]
    return text.rstrip() + "…"


def wrapped(text: str, *, width_mm: float, size_mm: float, bold: bool = False) -> list[str]:
    """``text`` broken at blanks into lines of at most ``width_mm``."""
    lines: list[str] = []
    for word in text.split():
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and width_of(longer, size_mm=size_mm, bold=bold) <= width_mm:
            lines[-1] = longer
        else:
            lines.append(word)
    return [cut_to(line, width_mm=width_mm, size_mm=size_mm, bold=bold) for line in lines]
