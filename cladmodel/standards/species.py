"""Timbers for boards: how much each shrinks, what it does to metal, and which figures are stand-ins.

Scots pine, European larch, Norway spruce and European oak are not in the tables: they borrow a relative's
figures and every output says so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike

from cladmodel.standards.moisture import (
    LINEAR,
    MOVEMENT_LINEAR,
    MOVEMENT_WIDE,
    SATURATION,
    Floats,
    movement_linear,
    movement_wide,
)
from cladmodel.standards.sources import OutsideStandardError, Source, Standing


class Sawn(StrEnum):
    """How a board was cut from the log, which says which way it moves most."""

    FLAT = "flat"
    QUARTER = "quarter"


def _handbook(place: str, standing: Standing, note: str = "") -> Source:
    return Source(name="Wood Handbook", place=place, standing=standing, note=note)


_TABLE_4_3 = _handbook("table 4-3", Standing.FOUND)
_TABLE_4_3_MEMORY = _handbook("table 4-3", Standing.MEMORY)
_TABLE_13_5 = _handbook("table 13-5", Standing.FOUND)
_TABLE_13_5_MEMORY = _handbook("table 13-5", Standing.MEMORY, "agrees with the table's own identity")
_ACIDS = Source(
    name="timbers whose acids eat or stain with plain and zinc-coated steel", standing=Standing.MEMORY
)
_SPLITS = Source(
    name="EN 1995-1-1",
    place="8.3.1.2(7), species that split easily",
    standing=Standing.MEMORY,
    note="the list is each country's",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Species:
    """What a board's timber does.

    Attributes
    ----------
    name : str
    shrink_radial, shrink_tangential : float
        From green to oven-dry. [%]
    per_percent_radial, per_percent_tangential : float
        Dimensional change coefficients. [1/%]
    shrinkage, coefficients : Source
    starts_at : float
        Moisture content below which it begins to shrink. [%]
    acidic : bool
        Whether it wants stainless fixings.
    acidity : Source
    splits : bool
        Whether it is among those that split easily.
    splitting : Source
    stands_in : str
        The species whose figures these are; empty when they are its own.
    """

    name: str
    shrink_radial: float
    shrink_tangential: float
    per_percent_radial: float
    per_percent_tangential: float
    shrinkage: Source
    coefficients: Source
    starts_at: float = SATURATION
    acidic: bool = False
    acidity: Source = _ACIDS
    splits: bool = False
    splitting: Source = _SPLITS
    stands_in: str = ""

    @property
    def label(self) -> str:
        """Name, saying whose figures are used.

        Examples
        --------
        >>> SPECIES["Scots pine"].label
        "Scots pine (stand-in: red pine's figures; its own are not in the tables)"
        """
        if not self.stands_in:
            return self.name
        return f"{self.name} (stand-in: {self.stands_in}'s figures; its own are not in the tables)"

    def strain(self, before: ArrayLike, after: ArrayLike, *, tangential: bool) -> Floats:
        """Change of size per unit size from one moisture content to another.

        Eq. 13-2 where both are within 6 to 14 %, else eq. 13-3; above where the species starts to shrink
        nothing moves.

        Parameters
        ----------
        before, after : array_like
            [%]
        tangential : bool
            Along the growth rings, or (False) across them.

        Returns
        -------
        ndarray of float
            Below 0 when it shrinks. [-]

        Raises
        ------
        OutsideStandardError
            If a moisture content is below 0.
        """
        start, end = np.asarray(before, np.float64), np.asarray(after, np.float64)
        if min(start.min(), end.min()) < 0:
            raise OutsideStandardError(f"moisture content {before!r} to {after!r} %: not below 0")
        start, end = np.minimum(start, self.starts_at), np.minimum(end, self.starts_at)
        if self.is_linear(start, end):
            own = self.per_percent_tangential if tangential else self.per_percent_radial
            return movement_linear(1.0, start, end, own)
        own = self.shrink_tangential if tangential else self.shrink_radial
        return movement_wide(1.0, start, end, own, self.starts_at)

    def is_linear(self, before: ArrayLike, after: ArrayLike) -> bool:
        """Whether eq. 13-2 serves: all moisture contents within 6 to 14 %."""
        values = np.concatenate([np.ravel(before), np.ravel(after)])
        return bool((values >= LINEAR[0]).all() and (values <= LINEAR[1]).all())

    def sources(self, before: ArrayLike, after: ArrayLike) -> tuple[Source, ...]:
        """What `strain` rests on between two moisture contents."""
        if self.is_linear(before, after):
            return MOVEMENT_LINEAR, self.coefficients
        return MOVEMENT_WIDE, self.shrinkage


def _stand_in(name: str, of: Species, *, acidic: bool = False, splits: bool = False) -> Species:
    note = f"{of.name}'s figures stand in for {name}"
    borrowed = [
        Source(name=s.name, edition=s.edition, place=s.place, standing=Standing.ASSUMED, note=note)
        for s in (of.shrinkage, of.coefficients)
    ]
    return Species(
        name=name,
        shrink_radial=of.shrink_radial,
        shrink_tangential=of.shrink_tangential,
        per_percent_radial=of.per_percent_radial,
        per_percent_tangential=of.per_percent_tangential,
        shrinkage=borrowed[0],
        coefficients=borrowed[1],
        starts_at=of.starts_at,
        acidic=acidic,
        splits=splits,
        stands_in=of.name,
    )


_WESTERN_LARCH = Species(
    name="western larch",
    shrink_radial=4.5,
    shrink_tangential=9.1,
    per_percent_radial=0.00155,
    per_percent_tangential=0.00323,
    shrinkage=_handbook("table 4-3", Standing.MEMORY, "tangential found, radial from memory"),
    coefficients=_TABLE_13_5_MEMORY,
    acidic=True,
)
_RED_SPRUCE = Species(
    name="red spruce",
    shrink_radial=3.8,
    shrink_tangential=7.8,
    per_percent_radial=0.00130,
    per_percent_tangential=0.00274,
    shrinkage=_TABLE_4_3_MEMORY,
    coefficients=_TABLE_13_5_MEMORY,
)
_RED_PINE = Species(
    name="red pine",
    shrink_radial=3.8,
    shrink_tangential=7.2,
    per_percent_radial=0.00130,
    per_percent_tangential=0.00252,
    shrinkage=_TABLE_4_3_MEMORY,
    coefficients=_TABLE_13_5_MEMORY,
)
_WHITE_OAK = Species(
    name="white oak",
    shrink_radial=5.6,
    shrink_tangential=10.5,
    per_percent_radial=0.00180,
    per_percent_tangential=0.00365,
    shrinkage=_handbook("table 4-3, Quercus alba", Standing.FOUND),
    coefficients=_handbook(
        "table 13-5, commercial white oak", Standing.FOUND, "a group of species: obeys no identity"
    ),
    acidic=True,
)

_ALL = (
    Species(
        name="white fir",
        shrink_radial=3.3,
        shrink_tangential=7.0,
        per_percent_radial=0.00112,
        per_percent_tangential=0.00245,
        shrinkage=_TABLE_4_3,
        coefficients=_TABLE_13_5,
        splits=True,
    ),
    Species(
        name="Douglas-fir",
        shrink_radial=4.8,
        shrink_tangential=7.6,
        per_percent_radial=0.00165,
        per_percent_tangential=0.00267,
        shrinkage=_TABLE_4_3,
        coefficients=_handbook("table 13-5", Standing.MEMORY, "coast type; tangential found, radial not"),
        acidic=True,
        splits=True,
    ),
    Species(
        name="Douglas-fir, interior north",
        shrink_radial=3.8,
        shrink_tangential=6.9,
        per_percent_radial=0.00130,
        per_percent_tangential=0.00241,
        shrinkage=_TABLE_4_3,
        coefficients=_TABLE_13_5_MEMORY,
        acidic=True,
        splits=True,
    ),
    _WESTERN_LARCH,
    Species(
        name="western redcedar",
        shrink_radial=2.4,
        shrink_tangential=5.0,
        per_percent_radial=0.00111,
        per_percent_tangential=0.00234,
        shrinkage=_TABLE_4_3,
        coefficients=_TABLE_13_5_MEMORY,
        starts_at=22.0,
        acidic=True,
    ),
    Species(
        name="yellow cedar",
        shrink_radial=2.8,
        shrink_tangential=6.0,
        per_percent_radial=0.00095,
        per_percent_tangential=0.00208,
        shrinkage=_TABLE_4_3,
        coefficients=_TABLE_13_5_MEMORY,
        acidic=True,
    ),
    Species(
        name="Sitka spruce",
        shrink_radial=4.3,
        shrink_tangential=7.5,
        per_percent_radial=0.00148,
        per_percent_tangential=0.00263,
        shrinkage=_TABLE_4_3_MEMORY,
        coefficients=_TABLE_13_5_MEMORY,
    ),
    _RED_SPRUCE,
    _RED_PINE,
    _WHITE_OAK,
    _stand_in("Scots pine", _RED_PINE),
    _stand_in("Norway spruce", _RED_SPRUCE, splits=True),
    _stand_in("European larch", _WESTERN_LARCH, acidic=True),
    _stand_in("European oak", _WHITE_OAK, acidic=True),
)

SPECIES: Mapping[str, Species] = MappingProxyType({species.name: species for species in _ALL})
"""Every timber by name."""
