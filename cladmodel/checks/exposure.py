"""What a wall is up against: air, moisture, wind, and what its timber and fixings are.

Nothing here has a default that could be wrong for a job: what is not given is None, and the check that
needs it says "not assessed" and names it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from enum import StrEnum

from cladmodel.checks.finding import Finding, Verdict
from cladmodel.checks.rules import COMMON, Limit
from cladmodel.standards.climate import Climate
from cladmodel.standards.guidance import MOISTURE_AT_FIXING, WIDEST, Range
from cladmodel.standards.nails import GAMMA_CONNECTION, Duration, Timber
from cladmodel.standards.species import Sawn, Species
from cladmodel.standards.ventilation import OPENING_RULES, OpeningRule
from cladmodel.standards.wind import National, Terrain

INSECTS = Limit(value=4.0, basis=f"mesh of 3 to 4 mm, {COMMON}; NZ E2/AS1 takes slots of 3 to 5")
DRY_LAP = Limit(
    value=25.0, basis="Ontario building code 9.27.6, 25 mm for lapped bevel siding, held here when dry too"
)
WET_CLEARANCE = Limit(value=0.5, basis=f"a swollen board must not press on the nail above, {COMMON}")
DRY_LEVEL = Limit(
    value=1.5,
    basis="boards of one course nailed at different heights, as over an opening, dry apart by as much: "
    f"not seen as a step, {COMMON}",
)
DRY_GAP = Limit(value=1.5, basis=f"rain is blown through wider gaps, {COMMON}")
WIDE = Limit(value=WIDEST, basis="BS 8605-1:2014, boards not over 150, as read on a trade association's page")


class Drilled(StrEnum):
    """Which nail holes are drilled before the nail is driven."""

    NONE = "none"
    ENDS = "ends"
    ALL = "all"


class Heart(StrEnum):
    """Which way the heart side of a board faces."""

    OUT = "out"
    IN = "in"


@dataclass(frozen=True, slots=True, kw_only=True)
class Mesh:
    """Insect mesh behind the gaps that have no perforated strip.

    Attributes
    ----------
    aperture : float
        [mm]
    open_share : float
        Part of its face that is open; its maker says. [-]
    """

    aperture: float
    open_share: float = 0.6


@dataclass(frozen=True, slots=True, kw_only=True)
class WindInputs:
    """What wind suction is worked out from.

    Attributes
    ----------
    velocity : float or None
        Fundamental basic wind velocity from the national map. [m/s]
    terrain : Terrain or None
    pressure : float or None
        Peak velocity pressure read from a national chart: stands in for velocity and terrain. [N/m2]
    height : float or None
        Top of the building above the ground. [m]
    breadth : float or None
        Of the building, square to the wall. [m]
    direction, season, probability, orography : float
        Factors of EN 1991-1-4; 1 is the safe side of the first two. [-]
    national : National
    behind : float
        Pressure coefficient taken in the cavity, above 0 pushing out. 0 is still air, an assumption. [-]
    load_factor : float
        gamma_Q, 1.5 by EN 1990. [-]
    """

    velocity: float | None = None
    terrain: Terrain | None = None
    pressure: float | None = None
    height: float | None = None
    breadth: float | None = None
    direction: float = 1.0
    season: float = 1.0
    probability: float = 1.0
    orography: float = 1.0
    national: National = field(default_factory=National)
    behind: float = 0.0
    load_factor: float = 1.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Exposure:
    """Everything the checks of air, moisture, wind and fixings want to know beyond the solids.

    Attributes
    ----------
    climate : Climate or None
    species : Species or None
        Of the boards.
    sawn : Sawn
        Flat-sawn boards move most across their width: the safe side when it is not known.
    fixing_moisture : float or None
        Moisture content of the boards on the day they are hung. [%]
    fixing_range : Range
        Within which boards should be hung.
    treated : bool or None
        Whether boards or battens are preservative treated.
    board_timber, batten_timber : Timber or None
        Strength classes, for the nails.
    drilled : Drilled or None
    heart : Heart or None
    cut_ends_treated : bool or None
        Whether ends cut on site are brushed with preservative or end seal.
    wind : WindInputs
    f_ax, f_head : float or None
        Declared strengths of the board nail (EN 14592); without them those of smooth nails are taken. [N/mm2]
    service_class : int
        3 for cladding in the weather.
    duration : str
        Of a gust: EN 1995-1-1 table 2.2 calls wind short-term; some annexes call it instantaneous.
    gamma_m : float
        Partial factor of the connection. [-]
    openings : OpeningRule
        What the cavity's openings are held to.
    mesh : Mesh or None
        Behind gaps at head and sill.
    insects : Limit
        Widest hole that keeps insects out.
    dry_lap : Limit
        Least lap at the driest.
    wet_clearance : Limit
        Least height of a nail's underside over the board below at the wettest.
    dry_gap : Limit
        Most gap at a butt at the driest.
    dry_level : Limit
        Most that the butts of one course differ in height at the driest.
    wide : Limit
        Widest board that one nail at each batten holds flat.
    """

    climate: Climate | None = None
    species: Species | None = None
    sawn: Sawn = Sawn.FLAT
    fixing_moisture: float | None = None
    fixing_range: Range = MOISTURE_AT_FIXING
    treated: bool | None = None
    board_timber: Timber | None = None
    batten_timber: Timber | None = None
    drilled: Drilled | None = None
    heart: Heart | None = None
    cut_ends_treated: bool | None = None
    wind: WindInputs = field(default_factory=WindInputs)
    f_ax: float | None = None
    f_head: float | None = None
    service_class: int = 3
    duration: Duration = "short"
    gamma_m: float = GAMMA_CONNECTION
    openings: OpeningRule = OPENING_RULES["New Zealand"]
    mesh: Mesh | None = None
    insects: Limit = INSECTS
    dry_lap: Limit = DRY_LAP
    wet_clearance: Limit = WET_CLEARANCE
    dry_gap: Limit = DRY_GAP
    dry_level: Limit = DRY_LEVEL
    wide: Limit = WIDE


def missing(**wanted: object) -> list[str]:
    """What was not given, in plain words.

    Parameters
    ----------
    **wanted : object
        Name, with underscores for spaces, and value.

    Examples
    --------
    >>> missing(climate=None, species="larch")
    ['climate']
    """
    return [name.replace("_", " ") for name, value in wanted.items() if value is None]


def not_assessed(check: str, wall: str, what: str, needs: Iterable[str]) -> Finding:
    """Say that something could not be judged, and for want of what.

    Parameters
    ----------
    check, wall : str
    what : str
        Such as ``Movement of the boards``.
    needs : iterable of str
    """
    return Finding(
        check=check,
        verdict=Verdict.NOT_ASSESSED,
        wall=wall,
        text=f"{what}: not assessed: needs {', '.join(needs)}.",
        remedy="Give it in the scene.",
    )
