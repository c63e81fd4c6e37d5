"""Where the board nails go: one per board per batten, just above the board underneath."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from cladmodel.settingout.tilt import Hung, Profile

# Battens whose clear distance is less than this carry a board as one: a single nail serves.
# Common practice, no source. [mm]
AS_ONE = 60.0
# ... and no more of them than this together, so that nails do not lie too far apart. [mm]
MOST_OF_ONE = 150.0


class Bearing(NamedTuple):
    """A batten as a board crosses it.

    Attributes
    ----------
    left, right : float
        Of the batten. [mm]
    low, high : float
        Where along it a nail may go: clear of the batten's edges and of the board's ends. [mm]
    """

    left: float
    right: float
    low: float
    high: float


class NailPlace(NamedTuple):
    """One board nail.

    Attributes
    ----------
    mark : str
        Of its board.
    x, up, out : float
        Along the wall, up from the foot, and out to where its head bears. [mm]
    """

    mark: str
    x: float
    up: float
    out: float


def nail_heights(profile: Profile, hung: Sequence[Hung], clear: float, diameter: float) -> tuple[float, ...]:
    """Height of each course's nails.

    Parameters
    ----------
    profile : Profile
    hung : sequence of Hung
        From the foot.
    clear : float
        From the top of the board below up to the nail's underside. [mm]
    diameter : float
        Of the nail. [mm]

    Returns
    -------
    tuple of float
        One a course; course 1, with no board below, is nailed as far up as course 2. [mm]
    """
    heights = [below.edge_up(profile) + clear + diameter / 2 for below in hung[:-1]]
    first = heights[0] - hung[1].butt_line if heights else profile.width / 3
    return (hung[0].butt_line + first, *heights)


def nail_places(bearings: Sequence[Bearing]) -> tuple[float, ...]:
    """Where along one board piece the nails go.

    Parameters
    ----------
    bearings : sequence of Bearing
        Battens behind it at the nails' height.

    Returns
    -------
    tuple of float
        One for each batten or close group of battens, as near a batten's centre as may be. [mm]
    """
    places = []
    best: tuple[float, float] | None = None
    start = end = -math.inf
    for left, right, low, high in sorted(bearings):
        if left - end >= AS_ONE or right - start >= MOST_OF_ONE:
            if best is not None:
                places.append(best[1])
            best, start = None, left
        end = right
        if low <= high:
            centre = (left + right) / 2
            place = min(max(centre, low), high)
            way = (round(abs(place - centre), 6), place)
            best = way if best is None else min(best, way)
    if best is not None:
        places.append(best[1])
    return tuple(places)
