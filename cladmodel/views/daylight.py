"""Where the sun stands and how bright the sky is.

Light is counted so that a matt surface sends back albedo times the light falling on it: no pi is
carried along. Directions point from the scene towards the light, in building axes with y up.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cladmodel.views.arrays import Singles

SUN_RADIUS = np.radians(0.2666)  # apparent radius of the sun's disc; from memory, 0.533 degrees across

CLEAR_SUN = (2.10, 1.98, 1.80)  # square to the sun on a clear day with the sun at 41 degrees, by eye
CLEAR_ALTITUDE = np.radians(41.0)
# How much a wall's light owes to sun and to sky, and how far eye and camera make up for less of it. By eye.
SUN_SHARE, SKY_SHARE, ADAPTED = 0.62, 0.55, 0.75


@dataclass(frozen=True, slots=True, kw_only=True)
class Daylight:
    """Sun and sky for one picture.

    Attributes
    ----------
    azimuth : float
        Of the sun, about y from the building's +z towards its +x. [rad]
    altitude : float
        Of the sun above the horizon. [rad]
    sun : (3,) float
        Light on a surface square to the sun. [picture units]
    sky : float
        Brightness of the sky against a clear day. [-]
    cloud : float
        Share of high cloud, 0 to 1. [-]
    overcast : float
        0 for an open sky, 1 for one covered all over. [-]
    """

    azimuth: float = np.radians(36.0)
    altitude: float = CLEAR_ALTITUDE
    sun: tuple[float, float, float] = CLEAR_SUN
    sky: float = 1.0
    cloud: float = 0.75
    overcast: float = 0.0

    @property
    def direction(self) -> Singles:
        """(3,) float: towards the sun."""
        return sun_vector(self.azimuth, self.altitude)

    @property
    def exposure(self) -> float:
        """How much longer a camera would be left open than on a clear day. [-]"""
        usual = SUN_SHARE * float(np.mean(CLEAR_SUN)) + SKY_SHARE
        sky = self.sky * (1.0 + 0.5 * self.overcast)
        found = SUN_SHARE * float(np.mean(self.sun)) + SKY_SHARE * sky
        return float((usual / found) ** ADAPTED)

    @property
    def low(self) -> float:
        """How low the sun stands: 0 from 24 degrees up, 1 at the horizon; by eye. [-]"""
        return float(np.clip(1.0 - np.degrees(self.altitude) / 24.0, 0.0, 1.0)) * (1.0 - self.overcast)


def sun_vector(azimuth: float, altitude: float) -> Singles:
    """Turn the sun's place in the sky into a unit vector.

    Parameters
    ----------
    azimuth : float
        About y, from +z towards +x. [rad]
    altitude : float
        Above the horizon. [rad]

    Returns
    -------
    (3,) float
        Towards the sun; y is up. [-]

    Examples
    --------
    >>> sun_vector(0.0, 0.0).tolist()
    [0.0, 0.0, 1.0]
    """
    level = np.cos(altitude)
    vector = [np.sin(azimuth) * level, np.sin(altitude), np.cos(azimuth) * level]
    return np.asarray(vector, np.float32)


# Colours of a clear sky after a photographer's white balance (the shade a little cool, not blue).
# By eye. [picture units, red green blue]
ZENITH = np.array([0.175, 0.300, 0.545], np.float32)
HORIZON = np.array([0.720, 0.815, 0.920], np.float32)
GLOW = np.array([1.00, 0.90, 0.76], np.float32)
HAZE = np.array([0.105, 0.090, 0.065], np.float32)
CLOUD = np.array([0.99, 0.98, 0.97], np.float32)
DUSK = np.array([1.08, 0.80, 0.56], np.float32)  # horizon under a low sun
GREY = np.array([0.74, 0.77, 0.80], np.float32)  # mean of a covered sky


def clear_sky(directions: Singles, light: Daylight) -> Singles:
    """Brightness of the cloudless sky, without the sun's disc.

    Parameters
    ----------
    directions : (n, 3) float
        Unit vectors; below the horizon counts as the horizon. [-]
    light : Daylight

    Returns
    -------
    (n, 3) float
        [picture units]
    """
    up = np.clip(directions[:, 1], 0.0, 1.0)
    near = np.clip(directions @ light.direction, -1.0, 1.0)
    low = np.exp(-4.0 * up)[:, None]
    dusk = (light.low * (0.35 + 0.65 * np.clip(near, 0.0, 1.0)))[:, None]
    colour = ZENITH * (1.0 - low) + (HORIZON + (DUSK - HORIZON) * dusk) * low
    colour *= (1.0 + 0.22 * near**2)[:, None]
    glow = 0.30 * np.exp(9.0 * (near - 1.0)) + 0.9 * np.exp(60.0 * (near - 1.0))
    colour += glow[:, None] * GLOW
    colour += np.exp(-14.0 * up)[:, None] * HAZE
    if light.overcast > 0.0:
        # Three times as bright overhead as at the horizon: CIE standard overcast sky, from memory.
        grey = GREY * ((9.0 / 7.0) * (1.0 + 2.0 * up) / 3.0)[:, None]
        colour += (grey - colour) * light.overcast
    return np.asarray(colour * light.sky, np.float32)
