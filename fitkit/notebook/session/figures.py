"""Lengths and masses as the builder reads them: millimetres, or inches at a switch."""

from __future__ import annotations

from attrs import frozen

from fitkit.units import Units, length_text, mass_text, number_text

_PER_INCH_MM = 25.4


@frozen
class Figures:
    """How figures are shown on the board; nothing is measured or cut by them."""

    units: Units = "mm"

    def length(self, value_mm: float) -> str:
        """A length as a figure without its unit.

        >>> Figures().length(212.04), Figures("in").length(314.325)
        ('212', '12 3/8')
        """
        return length_text(value_mm, units=self.units).rpartition(" ")[0]

    def lengths(self, values_mm: tuple[float, ...]) -> str:
        """Sizes with crosses between them, and the unit.

        >>> Figures().lengths((480.0, 300.0))
        '480 × 300 mm'
        """
        return f"{' × '.join(self.length(value) for value in values_mm)} {self.units}"

    def gap(self, value_mm: float) -> str:
        """A gap as a figure: tenths of a millimetre, or hundredths of an inch.

        >>> Figures().gap(12.04), Figures("in").gap(12.7)
        ('12.0', '0.50')
        """
        return f"{value_mm / _PER_INCH_MM:.2f}" if self.units == "in" else f"{value_mm:.1f}"

    def step(self, value_mm: float) -> str:
        """A distance to move by, with its unit.

        >>> Figures().step(6.9), Figures("in").step(6.9)
        ('6.9 mm', '0.272 in')
        """
        if self.units == "in":
            return f"{number_text(value_mm / _PER_INCH_MM, places=3)} in"
        return f"{value_mm:.1f} mm"

    def mass(self, value_kg: float) -> str:
        """A mass with its unit."""
        return mass_text(value_kg, units=self.units)


MILLIMETRES = Figures()
"""As it is cut."""
