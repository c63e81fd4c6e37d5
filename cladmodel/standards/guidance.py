"""Rules of thumb for boards and their nails, each with where it was read and what it disagrees with."""

from __future__ import annotations

from dataclasses import dataclass

from cladmodel.standards.sources import Source, Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Range:
    """A recommended range.

    Attributes
    ----------
    low, high : float
    unit : str
    source : Source
    """

    low: float
    high: float
    unit: str
    source: Source


WIDTH_TO_THICKNESS = Range(
    low=4.0,
    high=6.0,
    unit="-",
    source=Source(
        name="BS 8605-1",
        edition="2014",
        place="width to thickness, and width not over 150",
        standing=Standing.FOUND,
        note="read on a trade association's page; common feather-edge boards are wider for their thickness",
    ),
)
"""Width of a board over its thickness."""

WIDEST = 150.0
"""Widest board recommended (same source). [mm]"""

MOISTURE_AT_FIXING = Range(
    low=12.0,
    high=20.0,
    unit="%",
    source=Source(
        name="boards fixed at 16 +- 4 %", standing=Standing.MEMORY, note="16 to 19 by a found guide"
    ),
)
"""Moisture content at which boards should be hung."""

MOISTURE_AS_BOUGHT = Range(
    low=16.0,
    high=19.0,
    unit="%",
    source=Source(
        name="forestry training page on cladding", place="moisture content", standing=Standing.FOUND
    ),
)

NAIL_LENGTH_SMOOTH = 2.5
"""Nail length over board thickness (`NAIL_LENGTH`). [-]"""

NAIL_LENGTH_RINGED = 2.0
"""The same for an improved (ringed) nail. [-]"""

NAIL_LENGTH = Source(
    name="supplier's guide to cladding nails",
    standing=Standing.FOUND,
    note="its wording says penetration where the usual rule says length",
)

PILOT_HOLE = 0.7
"""Pilot hole over shank (`PILOT`). [-]"""

PILOT = Source(name="trade association's page on cladding fixings", standing=Standing.FOUND)

TWO_FIXINGS = Source(
    name="TRADA",
    edition="2022",
    place="p. 117",
    standing=Standing.FOUND,
    note="conflicts with the one-nail rule of feather-edge boards",
)
"""Wants two fixings in boards over 100 mm wide; feather-edge boards are nailed once all the same."""

RULE_OF_THUMB = Source(
    name="gov.scot timber cladding", place="p. 16: 1 % of width for 3 % of moisture", standing=Standing.FOUND
)


def rough_movement(width: float, before: float, after: float) -> float:
    """Movement by the rule of thumb (`RULE_OF_THUMB`): 1 % of the width for 3 % of moisture content. [mm]

    Parameters
    ----------
    width : float
        [mm]
    before, after : float
        [%]

    Examples
    --------
    >>> rough_movement(150.0, 19.0, 16.0)
    -1.5
    """
    return width * 0.01 * (after - before) / 3.0


def least_nail(thickness: float, *, ringed: bool) -> float:
    """Nail length for a board, by rule of thumb (`NAIL_LENGTH`). [mm]

    Parameters
    ----------
    thickness : float
        Of the board at its thickest. [mm]
    ringed : bool

    Examples
    --------
    >>> least_nail(22.0, ringed=True), least_nail(22.0, ringed=False)
    (44.0, 55.0)
    """
    return thickness * (NAIL_LENGTH_RINGED if ringed else NAIL_LENGTH_SMOOTH)
