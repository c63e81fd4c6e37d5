"""From light to screen values."""

from __future__ import annotations

import numpy as np

from cladmodel.views.arrays import Singles

KNEE = 0.62  # up to here screen values follow light exactly


def undevelop(value: float, exposure: float) -> float:
    """Light that `develop` turns into a value below 1."""
    room = 1 - KNEE
    light = value if value <= KNEE else KNEE - room * float(np.log(1 - (value - KNEE) / room))
    return light / exposure


def develop(light: Singles, exposure: float) -> Singles:
    """Turn light into screen values: true up to a knee, then a soft shoulder.

    Parameters
    ----------
    light : (..., 3) float
        [picture units]
    exposure : float

    Returns
    -------
    (..., 3) float
        0 to 1, still as amounts of light.
    """
    knee = np.float32(KNEE)
    value = np.maximum(light * np.float32(exposure), 0)
    room = 1 - knee
    above = knee + room * (1 - np.exp(-(value - knee) / room))
    return np.asarray(np.where(value <= knee, value, above), np.float32)
