"""Nails in timber by EN 1995-1-1: pulled out, pulled through, pre-drilled, and how near an edge.

Lengths in mm, strengths in N/mm2, densities in kg/m3, forces in N.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from cladmodel.standards.sources import OutsideStandardError, Source, Standing


def _ec5(place: str, standing: Standing = Standing.SECOND_HAND, note: str = "") -> Source:
    return Source(name="EN 1995-1-1", edition="2004+A1+A2", place=place, standing=standing, note=note)


STRENGTHS = _ec5("eq. 8.25, 8.26")
AXIAL_RINGED = _ec5("eq. 8.23")
AXIAL_SMOOTH = _ec5("eq. 8.24")
SHORT_PENETRATION = _ec5("8.3.2(7)", note="also taken off the headside shank, where sources disagree")
DRYING = _ec5("8.3.2(8)", Standing.MEMORY)
PRE_DRILLING = _ec5("eq. 8.18")
PRE_DRILLING_SPLITS = _ec5("eq. 8.19")
TABLE_8_2 = _ec5("table 8.2")
SERVICE = _ec5("table 3.1")
SAFETY = _ec5("table 2.3", note="connections from memory")
RINGED_ASSUMED = Source(
    name="strength of smooth nails taken for ringed ones",
    standing=Standing.ASSUMED,
    note="a ringed nail's own comes from its declaration, EN 14592",
)
NOT_LASTING = _ec5("8.3.2(1)P, smooth nails not for permanent or long-term pull", Standing.FOUND)

GAMMA_CONNECTION = 1.3
"""Partial factor of a connection, gamma_M (`SAFETY`). [-]"""

DRYING_FACTOR = 2 / 3
"""On both strengths in timber near fibre saturation that will dry under load (`DRYING`). [-]"""

Duration = Literal["permanent", "long", "medium", "short", "instantaneous"]

K_MOD: Mapping[int, Mapping[Duration, float]] = MappingProxyType(
    {
        **{
            service: MappingProxyType[Duration, float](
                {"permanent": 0.60, "long": 0.70, "medium": 0.80, "short": 0.90, "instantaneous": 1.10}
            )
            for service in (1, 2)
        },
        3: MappingProxyType[Duration, float](
            {"permanent": 0.50, "long": 0.55, "medium": 0.65, "short": 0.70, "instantaneous": 0.90}
        ),
    }
)
"""Solid timber: service class, then load duration (`SERVICE`). [-]"""


EN_338 = Source(name="EN 338", place="table 1", standing=Standing.SECOND_HAND)


@dataclass(frozen=True, slots=True, kw_only=True)
class Timber:
    """A strength class.

    Attributes
    ----------
    name : str
    density : float
        Characteristic. [kg/m3]
    mean : float
        [kg/m3]
    source : Source
    """

    name: str
    density: float
    mean: float
    source: Source = EN_338


_TIMBERS = (
    Timber(name="C16", density=310.0, mean=370.0),
    Timber(name="C18", density=320.0, mean=380.0),
    Timber(name="C24", density=350.0, mean=420.0),
    Timber(name="D30", density=530.0, mean=640.0),
)
TIMBERS: Mapping[str, Timber] = MappingProxyType({timber.name: timber for timber in _TIMBERS})
"""Strength classes by name."""


def withdrawal_strength(density: float) -> float:
    """f_ax,k of a smooth nail driven at least 12 d (eq. 8.25). [N/mm2]

    Parameters
    ----------
    density : float
        Characteristic, of the timber that holds the point. [kg/m3]
    """
    return 20e-6 * density**2


def head_strength(density: float) -> float:
    """f_head,k of a smooth nail driven at least 12 d (eq. 8.26). [N/mm2]

    Parameters
    ----------
    density : float
        Characteristic, of the timber under the head. [kg/m3]
    """
    return 70e-6 * density**2


def may_be_pulled(duration: Duration, *, ringed: bool) -> bool:
    """Whether a nail may hold a pull of some duration at all: smooth ones not a lasting one (`NOT_LASTING`).

    Parameters
    ----------
    duration : str
    ringed : bool
    """
    return ringed or duration not in ("permanent", "long")


@dataclass(frozen=True, slots=True, kw_only=True)
class Pull:
    """What one nail holds against being pulled, characteristic.

    Attributes
    ----------
    out : float
        Of the point out of the timber behind. [N]
    through : float
        Of the head through the timber in front. [N]
    reduction : float
        By which a short penetration cut the withdrawal; 0 where it holds nothing. [-]
    """

    out: float
    through: float
    reduction: float

    @property
    def holds(self) -> float:
        """The lesser. [N]"""
        return min(self.out, self.through)

    @property
    def governs(self) -> Literal["point", "head"]:
        """Which of the two gives way first."""
        return "point" if self.out <= self.through else "head"

    def design(self, k_mod: float, gamma: float = GAMMA_CONNECTION) -> float:
        """Design value. [N]

        Parameters
        ----------
        k_mod, gamma : float
            [-]
        """
        return self.holds * k_mod / gamma


LEAST_DEPTH_RINGED, LEAST_DEPTH_SMOOTH = 6.0, 8.0
"""Penetration below which a nail holds nothing, in diameters (`SHORT_PENETRATION`). [d]"""


def penetration_factor(penetration: float, diameter: float, *, ringed: bool) -> float:
    """Reduction for a short point (8.3.2(7)). [-]

    Parameters
    ----------
    penetration, diameter : float
        [mm]
    ringed : bool

    Examples
    --------
    >>> round(penetration_factor(28.0, 2.65, ringed=False), 4)
    0.6415
    """
    depth = penetration / diameter
    if ringed:
        return 0.0 if depth < LEAST_DEPTH_RINGED else min(depth / 2 - 3, 1.0)
    return 0.0 if depth < LEAST_DEPTH_SMOOTH else min(depth / 4 - 2, 1.0)


def pull(
    *,
    diameter: float,
    head: float,
    penetration: float,
    thickness: float,
    f_ax: float,
    f_head: float,
    ringed: bool,
    f_ax_front: float | None = None,
    drying: bool = False,
) -> Pull:
    """What one nail holds (eq. 8.23 for ringed nails, eq. 8.24 for smooth ones).

    Parameters
    ----------
    diameter, head : float
        Of shank and head; a headless pin's head is its shank. [mm]
    penetration : float
        Of the point in the timber behind; for a ringed nail the ringed length there. [mm]
    thickness : float
        Of the timber in front, along the nail. [mm]
    f_ax, f_head : float
        `withdrawal_strength` of the timber behind, `head_strength` of that in front, or declared. [N/mm2]
    ringed : bool
    f_ax_front : float, optional
        Withdrawal strength in the timber in front, on which a smooth shank rubs; `f_ax` if left out. [N/mm2]
    drying : bool
        Whether the timber is near fibre saturation and will dry under load.

    Raises
    ------
    OutsideStandardError
        If the head is smaller than the shank.
    """
    if head < diameter:
        raise OutsideStandardError(
            f"head {head:g} mm on a shank of {diameter:g} mm: not smaller than the shank"
        )
    factor = penetration_factor(penetration, diameter, ringed=ringed)
    wet = DRYING_FACTOR if drying else 1.0
    through = f_head * head**2
    if not ringed:
        rubbing = f_ax if f_ax_front is None else f_ax_front
        through += factor * rubbing * diameter * thickness
    return Pull(out=factor * f_ax * diameter * penetration * wet, through=through * wet, reduction=factor)


def least_undrilled(diameter: float, density: float, *, splits: bool = False) -> float:
    """Thickness below which timber is to be pre-drilled (eq. 8.18; 8.19 if it splits easily). [mm]

    Parameters
    ----------
    diameter : float
        [mm]
    density : float
        Characteristic. [kg/m3]
    splits : bool

    Examples
    --------
    >>> round(least_undrilled(2.8, 350.0), 2)
    19.6
    """
    if splits:
        return max(14 * diameter, (13 * diameter - 30) * density / 200)
    return max(7 * diameter, (13 * diameter - 30) * density / 400)


@dataclass(frozen=True, slots=True, kw_only=True)
class Distances:
    """Least spacings and distances of table 8.2.

    Attributes
    ----------
    along, across : float
        a1 and a2: between nails along and across the grain. [mm]
    end_loaded, end : float
        a3,t and a3,c: to an end that the nail pushes against, and to one it does not. [mm]
    edge_loaded, edge : float
        a4,t and a4,c: to an edge that the nail pushes against, and to one it does not. [mm]
    """

    along: float
    across: float
    end_loaded: float
    end: float
    edge_loaded: float
    edge: float


DENSEST = 500.0  # table 8.2's undrilled columns end here [kg/m3]


def distances(diameter: float, density: float, *, pre_drilled: bool, angle: float = 0.0) -> Distances:
    """Table 8.2 for one nail.

    Parameters
    ----------
    diameter : float
        [mm]
    density : float
        Characteristic. [kg/m3]
    pre_drilled : bool
    angle : float
        Between force and grain. [rad]

    Raises
    ------
    OutsideStandardError
        If timber over 500 kg/m3 is not pre-drilled: the table has no column for it.
    """
    cos, sin = math.cos(angle), math.sin(angle)
    thick = diameter >= 5
    if pre_drilled:
        times = (4 + abs(cos), 3 + abs(sin), 7 + 5 * cos, 7, 3 + (4 if thick else 2) * sin, 3)
    elif density <= 420:
        a1 = 5 + (7 if thick else 5) * abs(cos)
        times = (a1, 5, 10 + 5 * cos, 10, 5 + (5 if thick else 2) * sin, 5)
    elif density <= DENSEST:
        times = (7 + 8 * abs(cos), 7, 15 + 5 * cos, 15, 7 + (5 if thick else 2) * sin, 7)
    else:
        raise OutsideStandardError(
            f"density {density:g} kg/m3: over {DENSEST:g} table 8.2 wants pre-drilled holes"
        )
    along, across, end_loaded, end, edge_loaded, edge = (t * diameter for t in times)
    return Distances(
        along=along, across=across, end_loaded=end_loaded, end=end, edge_loaded=edge_loaded, edge=edge
    )
