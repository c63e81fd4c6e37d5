"""Dividing a height into equal courses."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from cladmodel.errors import SettingOutError

# A height that is a whole number of gauges to within float noise gets no extra course. [courses]
WHOLE = 1e-9


def butt_lines(foot: float, head: float, largest_gauge: float) -> NDArray[np.float64]:
    """Divide a height into the fewest equal courses none of which shows more than the largest gauge.

    Parameters
    ----------
    foot, head : float
        Where the lowest butt starts and the top course finishes. [mm]
    largest_gauge : float
        Board width less the least lap. [mm]

    Returns
    -------
    (courses + 1,) float
        Rod marks from foot to head, rising evenly. [mm]

    Raises
    ------
    SettingOutError
        If the gauge is not above 0 or head is not above foot.

    Notes
    -----
    Equal division: the remainder is spread over the whole height (Griffith, *Carpentry*, section 57).

    Examples
    --------
    >>> len(butt_lines(0, 2400, 135)) - 1
    18
    """
    _sound(foot, head, largest_gauge)
    courses = max(1, math.ceil((head - foot) / largest_gauge - WHOLE))
    return np.linspace(foot, head, courses + 1)


def butt_lines_nearest(foot: float, head: float, wanted_gauge: float) -> NDArray[np.float64]:
    """Divide a height into equal courses as near to a wanted gauge as whole courses allow.

    Parameters
    ----------
    foot, head : float
        [mm]
    wanted_gauge : float
        [mm]

    Returns
    -------
    (courses + 1,) float
        Rod marks from foot to head. [mm]

    Raises
    ------
    SettingOutError
        If the gauge is not above 0 or head is not above foot.

    Notes
    -----
    The count is the nearest whole number of wanted gauges, as in NAVEDTRA 14044, fig. 4-3:
    61 in at 10 in gives six courses of 10 1/6 in.

    Examples
    --------
    >>> float(butt_lines_nearest(0, 61, 10)[1])
    10.166666666666666
    """
    _sound(foot, head, wanted_gauge)
    courses = max(1, math.floor((head - foot) / wanted_gauge + 0.5))
    return np.linspace(foot, head, courses + 1)


def _sound(foot: float, head: float, gauge: float) -> None:
    if not gauge > 0:
        raise SettingOutError(f"gauge {gauge:g} mm: must be above 0; make the board wider or the lap less")
    if not head > foot:
        raise SettingOutError(f"head {head:g} mm is not above foot {foot:g} mm; measure them again")
