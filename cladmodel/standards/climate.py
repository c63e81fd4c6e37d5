"""The air a wall stands in: its driest and its wettest long spell, given or by a named climate.

The named climates are assumptions of this project, not published data; a job that matters gives its own air.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from cladmodel.standards.moisture import equilibrium_moisture
from cladmodel.standards.sources import Source, Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Air:
    """Steady air.

    Attributes
    ----------
    temperature_c : float
        [degC]
    humidity_percent : float
        [%]
    """

    temperature_c: float
    humidity_percent: float

    @property
    def moisture(self) -> float:
        """Moisture content it brings wood to. [%]"""
        return float(equilibrium_moisture(self.temperature_c, self.humidity_percent))


@dataclass(frozen=True, slots=True, kw_only=True)
class Climate:
    """The two ends of a year.

    Attributes
    ----------
    name : str
    driest, wettest : Air
        Spells long enough for a board to follow: weeks, not an afternoon or a shower.
    source : Source
    """

    name: str
    driest: Air
    wettest: Air
    source: Source


def _assumed(name: str, dry: tuple[float, float], wet: tuple[float, float], why: str) -> Climate:
    return Climate(
        name=name,
        driest=Air(temperature_c=dry[0], humidity_percent=dry[1]),
        wettest=Air(temperature_c=wet[0], humidity_percent=wet[1]),
        source=Source(name=f"climate '{name}'", place=why, standing=Standing.ASSUMED),
    )


_ALL = (
    _assumed("temperate", (20, 60), (5, 90), "long dry summer spell, damp winter"),
    _assumed("maritime", (18, 68), (8, 93), "damp the year round"),
    _assumed("continental", (28, 40), (0, 88), "hot dry summer, cold damp winter"),
    _assumed("sun-baked", (38, 30), (8, 88), "dark boards that face the sun"),
)

CLIMATES: Mapping[str, Climate] = MappingProxyType({climate.name: climate for climate in _ALL})
"""Every named climate."""
