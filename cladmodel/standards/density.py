"""Density of wood from its specific gravity, and specific gravities as published.

Two kinds are in use and must not be mixed: dry mass over the volume at some moisture content, and dry mass
over dry volume.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from cladmodel.standards.sources import Source, Standing

WATER = 1000.0  # density of water [kg/m3]

DENSITY = Source(
    name="wood density, a state forestry page", place="rho = 1000 G (1 + x/100)", standing=Standing.FOUND
)
DENSITY_OVEN = Source(
    name="engineering table of wood density",
    place="rho = 1000 G/(1 + 0.009 G M) (1 + M/100)",
    standing=Standing.FOUND,
)

GRAVITY_AT_12: Mapping[str, float] = MappingProxyType(
    {"Douglas-fir": 0.48, "western larch": 0.52, "western redcedar": 0.32}
)
"""Dry mass over volume at 12 % (`GRAVITIES_AT_12`). [-]"""

GRAVITIES_AT_12 = Source(
    name="Wood Handbook", place="metric table of strength, as restated on two pages", standing=Standing.FOUND
)

GRAVITY_OVEN_DRY: Mapping[str, float] = MappingProxyType(
    {"Douglas Fir-Larch": 0.50, "Sitka Spruce": 0.43, "Western Cedars": 0.36, "White Oak": 0.73}
)
"""Dry mass over dry volume of commercial groups (`GRAVITIES_OVEN_DRY`). [-]"""

GRAVITIES_OVEN_DRY = Source(name="NDS", edition="2018", place="table 12.3.3A", standing=Standing.SECOND_HAND)


def density_at(gravity: float, moisture_percent: float) -> float:
    """Density from the specific gravity at the same moisture content: mass dry, volume as it is (`DENSITY`).

    Parameters
    ----------
    gravity : float
        Oven-dry mass over volume at `moisture_percent`, relative to water. [-]
    moisture_percent : float
        [%]

    Returns
    -------
    float
        [kg/m3]

    Examples
    --------
    >>> round(density_at(0.40, 12.0), 1)
    448.0
    """
    return WATER * gravity * (1 + moisture_percent / 100)


def density_from_oven_dry(gravity: float, moisture_percent: float) -> float:
    """Density from the oven-dry specific gravity: mass and volume both dry (`DENSITY_OVEN`).

    Parameters
    ----------
    gravity : float
        [-]
    moisture_percent : float
        [%]

    Returns
    -------
    float
        [kg/m3]
    """
    return WATER * gravity / (1 + 0.009 * gravity * moisture_percent) * (1 + moisture_percent / 100)
