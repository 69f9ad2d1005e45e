"""How stiff boards are: moduli of elasticity, along and across the grain, or a rigidity."""

from __future__ import annotations

from functools import cache

from attrs import frozen

from fitkit.reference.rows import known, number_or_none, rows
from fitkit.sources import Known


@frozen
class Modulus:
    """How stiff a board or a bar is.

    ``along_mpa`` and ``across_mpa`` are the moduli in bending along and across the grain [MPa];
    where a board is layered from unlike stuff they are None and ``rigidity_nmm`` is its bending
    rigidity for each mm of width [N mm]. ``shear_mpa`` is the shear modulus in the board's plane
    (None: alike every way, half of the modulus). ``core_mm`` is the mean thickness of such a board
    when bare: what of a laminated one is counted (None: its whole thickness).
    """

    name: str
    along_mpa: float | None
    across_mpa: float | None
    shear_mpa: float | None
    rigidity_nmm: float | None
    core_mm: float | None
    source: str
    known: Known


@cache
def moduli() -> dict[str, Modulus]:
    """Every known modulus by the name of its board, or of its stuff.

    >>> moduli()["birch plywood 6.5"].along_mpa, moduli()["birch plywood 6.5"].known
    (12737.0, 'from memory')
    """
    found = {}
    for row in rows("moduli.csv"):
        one = Modulus(
            name=row["name"],
            along_mpa=number_or_none(row["along_mpa"], least=100, most=250000),
            across_mpa=number_or_none(row["across_mpa"], least=100, most=250000),
            shear_mpa=number_or_none(row["shear_mpa"], least=10, most=100000),
            rigidity_nmm=number_or_none(row["rigidity_nmm"], least=1000, most=1e8),
            core_mm=number_or_none(row["core_mm"], least=1, most=50),
            source=row["source"],
            known=known(row["known"]),
        )
        if (one.rigidity_nmm is None) != (None not in (one.along_mpa, one.across_mpa)):
            raise ValueError(f"{one.name}: either two moduli or a rigidity")
        found[one.name] = one
    return found


def modulus_of(board: str, *, wood: bool = False) -> Modulus | None:
    """The row for a board by its name, with or without a laminate; None where no row fits.

    The exact name comes first ("birch plywood 9"; of a laminated board, its core's), then the stuff
    before a thickness ("ABS 6"). Plywood that no row knows, and any other board that is ``wood``,
    counts as the setting "plywood".

    >>> modulus_of("laminated plywood 9").name, modulus_of("ABS 6").name
    ('birch plywood 9', 'ABS')
    >>> modulus_of("our faced plywood").known, modulus_of("twin-wall polypropylene 6")
    ('assumption', None)
    """
    table = moduli()
    bare = board.partition(", laminated")[0].replace("laminated plywood", "birch plywood")
    if bare in table:
        return table[bare]
    stuff, _, size = bare.rpartition(" ")
    if stuff in table and size.replace(".", "", 1).isdigit() and table[stuff].core_mm is None:
        return table[stuff]
    if wood or "plywood" in bare.casefold():
        return table["plywood"]
    return None


@frozen
class Rigidity:
    """Bending rigidity of a board for each mm of width [N mm].

    ``along`` and ``across`` the grain; ``twist`` is H, what it sets against being twisted.
    """

    along_nmm: float
    across_nmm: float
    twist_nmm: float

    @property
    def softest(self) -> Rigidity:
        """The same board where nothing says which way its grain runs: the softer way both ways."""
        least = min(self.along_nmm, self.across_nmm)
        return Rigidity(least, least, min(self.twist_nmm, least))


def rigidity_of(board: str, thickness_mm: float, *, wood: bool = False) -> Rigidity | None:
    """How stiff a board of that thickness is; None where nothing is known of it.

    ``D = E t3 / 12`` along and across, ``H = G t3 / 6``. Poisson's ratio is left out (then H = D
    for a board that is alike every way), so that flex is never counted too small: with 0.3 a plate
    is 10 % stiffer. Of a laminated board only the core counts. ValueError for a thickness of
    nothing or less.

    >>> ply = rigidity_of("birch plywood 6.5", 6.4)
    >>> round(ply.along_nmm), round(ply.across_nmm), round(ply.twist_nmm)
    (278244, 104049, 27088)
    """
    if thickness_mm <= 0:
        raise ValueError("a board is thicker than nothing")
    row = modulus_of(board, wood=wood)
    if row is None:
        return None
    if row.along_mpa is None or row.across_mpa is None:
        rigidity = row.rigidity_nmm or 0.0
        return Rigidity(rigidity, rigidity, rigidity)
    laminated = "laminated" in board and row.core_mm is not None
    thick_mm = min(thickness_mm, row.core_mm or thickness_mm) if laminated else thickness_mm
    cube = thick_mm**3
    shear = row.along_mpa / 2 if row.shear_mpa is None else row.shear_mpa
    return Rigidity(row.along_mpa * cube / 12, row.across_mpa * cube / 12, shear * cube / 6)
