"""Where the sun stands and how bright the sky is.

Light is counted so that a matt surface sends back albedo times the light falling on it: no pi is
carried along. Directions point from the scene towards the light, in building axes with y up.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Singles = NDArray[np.float32]

SUN_RADIUS = np.radians(0.2666)  # apparent radius of the sun's disc; from memory, 0.533 degrees across


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
    """

    azimuth: float = np.radians(36.0)
    altitude: float = np.radians(41.0)
    sun: tuple[float, float, float] = (2.10, 1.98, 1.80)
    sky: float = 1.0
    cloud: float = 0.75

    @property
    def direction(self) -> Singles:
        """(3,) float: towards the sun."""
        return sun_vector(self.azimuth, self.altitude)


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
    colour = ZENITH * (1.0 - low) + HORIZON * low
    colour *= (1.0 + 0.22 * near**2)[:, None]
    glow = 0.30 * np.exp(9.0 * (near - 1.0)) + 0.9 * np.exp(60.0 * (near - 1.0))
    colour += glow[:, None] * GLOW
    colour += np.exp(-14.0 * up)[:, None] * HAZE
    return np.asarray(colour * light.sky, np.float32)
