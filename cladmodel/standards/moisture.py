"""Wood and moisture: what moisture content air brings wood to, and how far wood then moves.

Formulas of the Wood Handbook (USDA Forest Products Laboratory, GTR-190 and GTR-282), in degC and percent.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from cladmodel.standards.sources import OutsideStandardError, Source, Standing

Floats = NDArray[np.float64]

SATURATION = 30.0
"""Moisture content above which wood does not move: "neither MI nor MF should exceed 30%" (Wood Handbook,
ch. 13, p. 308 of the stored page). [%]"""

LINEAR = (6.0, 14.0)
"""Range of moisture content for which eq. 13-2 holds. [%]"""

SET_AT = 10.0
"""Moisture content to which the dimensional change coefficient is referred: the identity
C = S / (3000 - 20 S) follows from it. [%]"""

EMC = Source(
    name="Wood Handbook",
    edition="FPL-GTR-282",
    place="eq. 4-5, degC",
    standing=Standing.SECOND_HAND,
    note="the book calls 0.1 % precision not meaningful",
)
MOVEMENT_LINEAR = Source(
    name="Wood Handbook", edition="FPL-GTR-190", place="eq. 13-2, 6-14 %", standing=Standing.FOUND
)
MOVEMENT_WIDE = Source(
    name="Wood Handbook",
    edition="FPL-GTR-190",
    place="eq. 13-3, outside 6-14 %",
    standing=Standing.MEMORY,
)
IDENTITY = Source(
    name="Wood Handbook", place="C = S/(3000 - 20 S), start 30 %", standing=Standing.SECOND_HAND
)
IDENTITY_22 = Source(name="Wood Handbook", place="C = S/(2200 - 12 S), start 22 %", standing=Standing.MEMORY)


def equilibrium_moisture(temperature_c: ArrayLike, humidity_percent: ArrayLike) -> Floats:
    """Moisture content that wood comes to in steady air (eq. 4-5).

    Parameters
    ----------
    temperature_c : array_like
        [degC]
    humidity_percent : array_like
        Relative humidity, 0 to 100. Broadcasts with the temperature. [%]

    Returns
    -------
    ndarray of float
        Parts of water to a hundred of dry wood, by mass. [%]

    Raises
    ------
    OutsideStandardError
        If a humidity is not within 0 to 100.

    Examples
    --------
    >>> round(float(equilibrium_moisture(21.1, 65.0)), 2)
    11.96
    """
    t, h = np.broadcast_arrays(
        np.asarray(temperature_c, np.float64), np.asarray(humidity_percent, np.float64)
    )
    if not ((h >= 0) & (h <= 100)).all():
        raise OutsideStandardError(f"relative humidity {humidity_percent!r} %: give 0 to 100")
    h = h / 100.0
    w = 349 + 1.29 * t + 0.0135 * t**2
    k = 0.805 + 0.000736 * t - 0.00000273 * t**2
    k1 = 6.27 - 0.00938 * t - 0.000303 * t**2
    k2 = 1.91 + 0.0407 * t - 0.000293 * t**2
    kh = k * h
    one = k1 * kh
    two = k1 * k2 * kh**2
    return np.asarray(1800 / w * (kh / (1 - kh) + (one + 2 * two) / (1 + one + two)), np.float64)


def coefficient(shrinkage_percent: float, starts_at: float = SATURATION) -> float:
    """Dimensional change coefficient that belongs to a total shrinkage (`IDENTITY`, `IDENTITY_22`).

    Parameters
    ----------
    shrinkage_percent : float
        From green to oven-dry, radial or tangential. [%]
    starts_at : float
        Moisture content below which the species begins to shrink: 30, or 22 for a few. [%]

    Returns
    -------
    float
        Change of size per percent of moisture content. [1/%]

    Examples
    --------
    >>> round(coefficient(7.0), 5), round(coefficient(5.0, 22.0), 5)
    (0.00245, 0.00234)
    """
    return shrinkage_percent / (100 * starts_at - (starts_at - SET_AT) * shrinkage_percent)


def movement_linear(width: ArrayLike, before: ArrayLike, after: ArrayLike, per_percent: float) -> Floats:
    """Change of a width within 6 to 14 % (eq. 13-2).

    Parameters
    ----------
    width : array_like
        At `before`. [mm]
    before, after : array_like
        Moisture contents. [%]
    per_percent : float
        Dimensional change coefficient. [1/%]

    Returns
    -------
    ndarray of float
        Below 0 when it shrinks. [mm]

    Raises
    ------
    OutsideStandardError
        If a moisture content is outside 6 to 14 %.
    """
    d, start, end = (np.asarray(v, np.float64) for v in (width, before, after))
    if min(start.min(), end.min()) < LINEAR[0] or max(start.max(), end.max()) > LINEAR[1]:
        raise OutsideStandardError(
            f"{before!r} to {after!r} %: eq. 13-2 holds within 6 to 14 %; use eq. 13-3"
        )
    return np.asarray(d * per_percent * (end - start), np.float64)


def movement_wide(
    width: ArrayLike,
    before: ArrayLike,
    after: ArrayLike,
    shrinkage_percent: float,
    starts_at: float = SATURATION,
) -> Floats:
    """Change of a width between any moisture contents up to where shrinking starts (eq. 13-3).

    Parameters
    ----------
    width : array_like
        At `before`. [mm]
    before, after : array_like
        Moisture contents. [%]
    shrinkage_percent : float
        From green to oven-dry. [%]
    starts_at : float
        30; for species that start at 22 % the same derivation with 22 (own arithmetic). [%]

    Returns
    -------
    ndarray of float
        Below 0 when it shrinks. [mm]

    Raises
    ------
    OutsideStandardError
        If a moisture content is below 0 or above `starts_at`.
    """
    d, start, end = (np.asarray(v, np.float64) for v in (width, before, after))
    if min(start.min(), end.min()) < 0 or max(start.max(), end.max()) > starts_at:
        raise OutsideStandardError(
            f"{before!r} to {after!r} %: neither moisture content may be below 0 or exceed {starts_at:g} %"
        )
    return np.asarray(
        d * (end - start) / (starts_at * 100 / shrinkage_percent - starts_at + start), np.float64
    )
