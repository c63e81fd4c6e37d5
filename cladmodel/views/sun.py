"""Daylight for a picture: by place, date and hour, or by a plain word."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta, timezone

import numpy as np

from cladmodel.errors import OutputError
from cladmodel.model import Model
from cladmodel.views.cameras import facing
from cladmodel.views.daylight import CLEAR_ALTITUDE, CLEAR_SUN, Daylight

LOWEST = 1.0  # a sun lower than this lights nothing worth drawing [deg]
# How fast red, green and blue are lost on the way through one atmosphere; by eye, for clear country air.
LOST = np.array([0.095, 0.140, 0.230])


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where on earth the building stands.

    Attributes
    ----------
    latitude, longitude : float
        North and east of Greenwich above 0. [deg]
    height : float
        Above the sea. [m]
    """

    latitude: float
    longitude: float
    height: float = 0.0

    def __post_init__(self) -> None:
        """Refuse places that are nowhere."""
        if not -90.0 <= self.latitude <= 90.0:
            raise OutputError(f"latitude = {self.latitude:g}: from -90 (south) to 90 (north)")
        if not -180.0 <= self.longitude <= 180.0:
            raise OutputError(f"longitude = {self.longitude:g}: from -180 (west) to 180 (east)")


def moment(day: date, hour: float, place: Place, ahead: float | None = None) -> datetime:
    """Turn a date and an hour of the clock into a moment.

    Parameters
    ----------
    day : date
    hour : float
        0 to 24; 9.5 is half past nine.
    place : Place
    ahead : float, optional
        How many hours the clock is ahead of UTC. Left out, the hour is that of the mean sun at the place.

    Raises
    ------
    OutputError
        If there is no such hour, or no clock so far ahead.

    Examples
    --------
    >>> moment(date(2024, 6, 21), 9.5, Place(latitude=52, longitude=0), 1).isoformat()
    '2024-06-21T09:30:00+01:00'
    """
    if not 0.0 <= hour <= 24.0:
        raise OutputError(f"hour = {hour:g}: from 0 to 24, half past nine is 9.5")
    offset = place.longitude / 15.0 if ahead is None else ahead
    if not -14.0 <= offset <= 14.0:
        raise OutputError(f"ahead = {offset:g}: no clock is more than 14 hours from UTC")
    zone = timezone(timedelta(seconds=round(offset * 3600.0)))
    return datetime(day.year, day.month, day.day, tzinfo=zone) + timedelta(hours=hour)


def sun_position(place: Place, when: datetime, *, refraction: bool = True) -> tuple[float, float]:
    """Where the sun stands, worked out by the `astral` library (good to about 0.02 degrees).

    Parameters
    ----------
    place : Place
    when : datetime
        With its time zone.
    refraction : bool
        As seen through the air, a little higher than it is.

    Returns
    -------
    bearing, altitude : float
        Clockwise from true north; above the level horizon. [deg]

    Raises
    ------
    OutputError
        If the time has no zone.
    """
    from astral import Observer
    from astral.sun import azimuth, elevation

    if when.tzinfo is None:
        raise OutputError("time of day: say how far the clock is ahead of UTC")
    observer = Observer(latitude=place.latitude, longitude=place.longitude, elevation=place.height)
    return azimuth(observer, when), elevation(observer, when, with_refraction=refraction)


def daylight_at(place: Place, when: datetime, *, faces: float = 180.0, cloud: float = 0.75) -> Daylight:
    """Clear daylight at a place and time.

    Parameters
    ----------
    place : Place
    when : datetime
        With its time zone.
    faces : float
        Bearing that the plan's south side looks to, or a lone wall: 180 if the plan is drawn true. [deg]
    cloud : float
        Share of high cloud, 0 to 1.

    Raises
    ------
    OutputError
        If the sun is down.
    """
    bearing, altitude = sun_position(place, when)
    if altitude < LOWEST:
        raise OutputError(
            f"{when:%Y-%m-%d %H:%M}: the sun stands at {altitude:.1f} deg there, too low to draw by. "
            "Name another hour."
        )
    azimuth = np.pi - np.radians(bearing - (faces - 180.0))
    return clear_daylight(float(azimuth), float(np.radians(altitude)), cloud=cloud)


def clear_daylight(azimuth: float, altitude: float, *, cloud: float = 0.75) -> Daylight:
    """Clear daylight with the sun anywhere: the lower, the weaker and the warmer.

    Parameters
    ----------
    azimuth, altitude : float
        As in `Daylight`. [rad]
    cloud : float
    """
    lost = LOST * (air_mass(altitude) - air_mass(float(CLEAR_ALTITUDE)))
    red, green, blue = (np.array(CLEAR_SUN) * np.exp(-lost)).tolist()
    high = np.sqrt(max(np.sin(altitude), 0.0) / np.sin(CLEAR_ALTITUDE))
    sky = float(np.clip(0.35 + 0.65 * high, 0.35, 1.08))  # by eye
    return Daylight(azimuth=azimuth, altitude=altitude, sun=(red, green, blue), sky=sky, cloud=cloud)


def air_mass(altitude: float) -> float:
    """How many times the air overhead sunlight comes through: Kasten and Young 1989, from memory.

    Parameters
    ----------
    altitude : float
        Above 0. [rad]

    Examples
    --------
    >>> round(air_mass(np.pi / 2), 2), round(air_mass(np.radians(30)), 2)
    (1.0, 1.99)
    """
    degrees = max(float(np.degrees(altitude)), 0.0)
    return float(1.0 / (np.sin(altitude) + 0.50572 * (degrees + 6.07995) ** -1.6364))


# Sun to the left (below 0) or right of one who stands before the first wall and looks away from it, and its
# altitude. By eye. [deg]
WORDS: Mapping[str, tuple[float, float]] = {
    "clear": (36.0, 41.0),
    "morning": (-46.0, 27.0),
    "noon": (14.0, 56.0),
    "low evening": (52.0, 9.0),
    "overcast": (0.0, 50.0),
}


def daylight_in_words(word: str, model: Model) -> Daylight:
    """Daylight by a word, set so that it suits the first wall.

    Parameters
    ----------
    word : str
        One of `WORDS`.
    model : Model

    Raises
    ------
    OutputError
        If there is no such word.
    """
    if word not in WORDS:
        raise OutputError(f"light = {word!r}: use one of {', '.join(WORDS)}, or give a place, date and hour")
    aside, altitude = WORDS[word]
    azimuth = float(facing(model.walls[0]) + np.radians(aside))
    if word == "overcast":
        return Daylight(
            azimuth=azimuth, altitude=np.radians(altitude), sun=(0.0, 0.0, 0.0), sky=1.0, overcast=1.0
        )
    return clear_daylight(azimuth, float(np.radians(altitude)))
