r"""Wind on walls by EN 1991-1-4: peak velocity pressure, zones along a wall, pressure coefficients.

Wind along a wall, seen from outside, e = min(b, 2h)::

        wind ->   |  A  |      B      |    C    |     d >= e
                  0    e/5            e         d

National annexes change much of this: air density, table 7.1, how coefficients vary with the loaded area.
Those choices are a `National`; pressures read from a national chart go in as a number instead.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Literal

from cladmodel.standards.sources import OutsideStandardError, Source, Standing

Zone = Literal["A", "B", "C", "D", "E"]

VELOCITY = Source(name="EN 1991-1-4", place="eq. 4.1-4.10", standing=Standing.SECOND_HAND)
TABLE_7_1 = Source(name="EN 1991-1-4", place="table 7.1", standing=Standing.SECOND_HAND)
ZONES = Source(name="EN 1991-1-4", place="fig. 7.5", standing=Standing.FOUND)
ZONES_SHORT = Source(name="EN 1991-1-4", place="fig. 7.5, walls shorter than e", standing=Standing.MEMORY)
AREA = Source(name="EN 1991-1-4", place="7.2.1, loaded area 1 to 10 m2", standing=Standing.MEMORY)

HIGHEST = 200.0  # the profile holds up to here [m] EN 1991-1-4 4.3.2
OPEN_COUNTRY = 0.05  # roughness length of terrain II, to which k_r is referred [m] EN 1991-1-4 eq. 4.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Terrain:
    """One terrain category (table 4.1).

    Attributes
    ----------
    name, what : str
    roughness : float
        Roughness length z_0. [m]
    lowest : float
        z_min: below it the wind is taken as at it. [m]
    """

    name: str
    what: str
    roughness: float
    lowest: float

    @property
    def factor(self) -> float:
        """Terrain factor k_r (eq. 4.5). [-]"""
        return 0.19 * math.pow(self.roughness / OPEN_COUNTRY, 0.07)


_TERRAINS = (
    Terrain(name="0", what="sea or coast open to the sea", roughness=0.003, lowest=1.0),
    Terrain(name="I", what="lakes, flat and bare land", roughness=0.01, lowest=1.0),
    Terrain(name="II", what="low vegetation, single trees and buildings", roughness=0.05, lowest=2.0),
    Terrain(name="III", what="villages, suburbs, woods", roughness=0.3, lowest=5.0),
    Terrain(name="IV", what="town with buildings over 15 m", roughness=1.0, lowest=10.0),
)
TERRAINS: Mapping[str, Terrain] = MappingProxyType({terrain.name: terrain for terrain in _TERRAINS})
"""Terrain categories by name."""

Pair = tuple[float, float]
"""c_pe,10 and c_pe,1. [-]"""

RECOMMENDED: Mapping[Zone, tuple[tuple[float, Pair], ...]] = MappingProxyType(
    {
        "A": ((0.25, (-1.2, -1.4)), (1.0, (-1.2, -1.4)), (5.0, (-1.2, -1.4))),
        "B": ((0.25, (-0.8, -1.1)), (1.0, (-0.8, -1.1)), (5.0, (-0.8, -1.1))),
        "C": ((0.25, (-0.5, -0.5)), (1.0, (-0.5, -0.5)), (5.0, (-0.5, -0.5))),
        "D": ((0.25, (0.7, 1.0)), (1.0, (0.8, 1.0)), (5.0, (0.8, 1.0))),
        "E": ((0.25, (-0.3, -0.3)), (1.0, (-0.5, -0.5)), (5.0, (-0.7, -0.7))),
    }
)
"""Table 7.1 as recommended: for each zone, h/d rising with c_pe,10 and c_pe,1."""


@dataclass(frozen=True, slots=True, kw_only=True)
class National:
    """What a national annex may choose.

    Attributes
    ----------
    name : str
    density : float
        Of air. [kg/m3]
    turbulence : float
        k_I. [-]
    coefficients : mapping
        Table 7.1 in the shape of `RECOMMENDED`.
    stepped : bool
        Whether c_pe,1 holds up to 1 m2 and c_pe,10 above, with nothing in between.
    source : Source
    """

    name: str = "recommended values"
    density: float = 1.25
    turbulence: float = 1.0
    coefficients: Mapping[Zone, tuple[tuple[float, Pair], ...]] = field(default_factory=lambda: RECOMMENDED)
    stepped: bool = False
    source: Source = TABLE_7_1


_GERMAN = dict(RECOMMENDED)
_GERMAN["A"] = ((0.25, (-1.2, -1.4)), (1.0, (-1.2, -1.4)), (5.0, (-1.4, -1.7)))

NATIONALS: Mapping[str, National] = MappingProxyType(
    {
        "recommended": National(),
        "Germany": National(
            name="Germany",
            coefficients=MappingProxyType(_GERMAN),
            source=Source(
                name="German national annex",
                place="table 7.1, zone A only",
                standing=Standing.SECOND_HAND,
                note="other zones as recommended; check the annex",
            ),
        ),
        "United Kingdom": National(
            name="United Kingdom",
            density=1.226,
            stepped=True,
            source=Source(
                name="UK national annex",
                place="air density found, stepped areas",
                standing=Standing.MEMORY,
                note="its own pressure charts are not here: give the peak pressure read from them",
            ),
        ),
    }
)
"""National choices by name; anything else is set field by field."""


def probability_factor(yearly: float, *, shape: float = 0.2, exponent: float = 0.5) -> float:
    """Factor on the wind speed for another yearly probability than 0.02 (c_prob, eq. 4.2).

    Parameters
    ----------
    yearly : float
        Probability of being exceeded in a year: 1 / return period. [-]
    shape, exponent : float
        K and n, as recommended. [-]

    Raises
    ------
    OutsideStandardError
        If the probability is not between 0 and 1.

    Examples
    --------
    >>> round(probability_factor(1 / 100), 5)
    1.03848
    """
    if not 0 < yearly < 1:
        raise OutsideStandardError(f"yearly probability {yearly}: give more than 0 and less than 1")

    def level(p: float) -> float:
        return 1 - shape * math.log(-math.log(1 - p))

    return float((level(yearly) / level(0.02)) ** exponent)


def basic_velocity(
    fundamental: float, *, direction: float = 1.0, season: float = 1.0, probability: float = 1.0
) -> float:
    """Basic wind velocity v_b (eq. 4.1). [m/s]

    Parameters
    ----------
    fundamental : float
        v_b,0 from the national map. [m/s]
    direction, season, probability : float
        Factors. [-]
    """
    return fundamental * direction * season * probability


def basic_pressure(velocity: float, national: National | None = None) -> float:
    """Basic velocity pressure q_b (eq. 4.10). [N/m2]

    Parameters
    ----------
    velocity : float
        v_b. [m/s]
    national : National, optional
    """
    return 0.5 * (national or National()).density * velocity**2


def roughness_factor(height: float, terrain: Terrain) -> float:
    """Roughness factor c_r (eq. 4.4). [-]

    Parameters
    ----------
    height : float
        Above the ground. [m]
    terrain : Terrain

    Raises
    ------
    OutsideStandardError
        Above 200 m, or not above the ground.
    """
    if not 0 < height <= HIGHEST:
        raise OutsideStandardError(f"height {height} m: the profile holds above 0 and up to {HIGHEST:g} m")
    return terrain.factor * math.log(max(height, terrain.lowest) / terrain.roughness)


def turbulence_intensity(
    height: float, terrain: Terrain, *, orography: float = 1.0, factor: float = 1.0
) -> float:
    """Turbulence intensity I_v (eq. 4.7). [-]

    Parameters
    ----------
    height : float
        [m]
    terrain : Terrain
    orography, factor : float
        c_o and k_I. [-]
    """
    return factor / (orography * math.log(max(height, terrain.lowest) / terrain.roughness))


def peak_pressure(
    velocity: float,
    height: float,
    terrain: Terrain,
    *,
    orography: float = 1.0,
    national: National | None = None,
) -> float:
    """Peak velocity pressure q_p (eq. 4.8). [N/m2]

    Parameters
    ----------
    velocity : float
        v_b. [m/s]
    height : float
        Reference height above the ground. [m]
    terrain : Terrain
    orography : float
        c_o: above 1 on hills and cliffs. [-]
    national : National, optional

    Examples
    --------
    >>> round(peak_pressure(26.0, 8.0, TERRAINS["III"]), 1)
    661.8
    """
    national = national or National()
    mean = roughness_factor(height, terrain) * orography * velocity
    gust = turbulence_intensity(height, terrain, orography=orography, factor=national.turbulence)
    return (1 + 7 * gust) * 0.5 * national.density * mean**2


def exposure_factor(height: float, terrain: Terrain, *, orography: float = 1.0) -> float:
    """Exposure factor c_e = q_p / q_b (eq. 4.9). [-]

    Parameters
    ----------
    height : float
        [m]
    terrain : Terrain
    orography : float
        [-]
    """
    return peak_pressure(1.0, height, terrain, orography=orography) / basic_pressure(1.0)


def reference_length(breadth: float, height: float) -> float:
    """E, by which zones are laid out: the lesser of breadth across the wind and twice the height. [m]

    Parameters
    ----------
    breadth, height : float
        b and h, in the same unit as the result.
    """
    return min(breadth, 2 * height)


def zones(length: float, e: float) -> tuple[tuple[Zone, float, float], ...]:
    """Zones along a wall that the wind blows along, from its windward end (fig. 7.5).

    Parameters
    ----------
    length : float
        d, along the wind.
    e : float
        `reference_length`, in the same unit.

    Returns
    -------
    tuple of (zone, start, end)
        In the unit of `length`.

    Examples
    --------
    >>> zones(60.0, 16.0)
    (('A', 0.0, 3.2), ('B', 3.2, 16.0), ('C', 16.0, 60.0))
    """
    if e >= 5 * length:
        return (("A", 0.0, length),)
    if e >= length:
        return ("A", 0.0, e / 5), ("B", e / 5, length)
    return ("A", 0.0, e / 5), ("B", e / 5, e), ("C", e, length)


def pressure_coefficient(
    zone: Zone, height_to_depth: float, area_m2: float, national: National | None = None
) -> float:
    """External pressure coefficient of a wall (table 7.1), below 0 for suction. [-]

    Between 1 and 10 m2 of loaded area it goes with the area's logarithm (`AREA`).

    Parameters
    ----------
    zone : {'A', 'B', 'C', 'D', 'E'}
    height_to_depth : float
        h / d.
    area_m2 : float
        Loaded area of the piece or fixing. [m2]
    national : National, optional

    Raises
    ------
    OutsideStandardError
        If h/d is over 5 or not above 0: the table ends there.

    Examples
    --------
    >>> round(pressure_coefficient("A", 0.5, 2.0), 3)
    -1.34
    """
    national = national or National()
    if not 0 < height_to_depth <= 5:
        raise OutsideStandardError(f"h/d = {height_to_depth:g}: table 7.1 ends at 5")
    ten, one = _at(national.coefficients[zone], height_to_depth)
    if area_m2 <= 1:
        return one
    if area_m2 >= 10 or national.stepped:
        return ten
    return one - (one - ten) * math.log10(area_m2)


def _at(rows: tuple[tuple[float, Pair], ...], ratio: float) -> Pair:
    """Both coefficients at an h/d: straight lines between rows, level before the first."""
    if ratio <= rows[0][0]:
        return rows[0][1]
    for (low, a), (high, b) in itertools.pairwise(rows):
        if ratio <= high:
            share = (ratio - low) / (high - low)
            return a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])
    return rows[-1][1]
