"""Screen colours to amounts of light and back."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Singles = NDArray[np.float32]


def light_of(colour: str) -> Singles:
    """Amounts of red, green and blue light that a hex colour stands for.

    Source of the curve: IEC 61966-2-1:1999, from memory.

    Examples
    --------
    >>> light_of("#ffffff").tolist()
    [1.0, 1.0, 1.0]
    """
    encoded = np.array([int(colour[i : i + 2], 16) for i in (1, 3, 5)], np.float32) / np.float32(255)
    return np.where(encoded <= 0.04045, encoded / 12.92, ((encoded + 0.055) / 1.055) ** 2.4).astype(
        np.float32
    )


def encode(light: Singles) -> Singles:
    """Turn amounts of light, 0 to 1, into screen values, 0 to 1 (the same curve, the other way)."""
    safe = np.clip(light, 0.0, 1.0)
    return np.where(
        safe <= 0.0031308, safe * 12.92, 1.055 * np.power(np.maximum(safe, 1e-6), 1 / 2.4) - 0.055
    ).astype(np.float32)


def hex_of(light: Singles) -> str:
    """Hex colour of some amounts of light."""
    red, green, blue = (round(float(v) * 255) for v in encode(np.asarray(light, np.float32)))
    return f"#{red:02x}{green:02x}{blue:02x}"
