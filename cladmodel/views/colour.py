"""Screen colours to amounts of light and back."""

from __future__ import annotations

import re

import numpy as np

from cladmodel.errors import OutputError
from cladmodel.views.arrays import Floats, Singles

# White of daylight D65 under the 2 degree observer, and the primaries of a screen, linear sRGB to XYZ.
# Source: IEC 61966-2-1:1999, from memory.
WHITE = np.array([0.95047, 1.0, 1.08883])
PRIMARIES = np.array(
    [[0.4124564, 0.3575761, 0.1804375], [0.2126729, 0.7151522, 0.0721750], [0.0193339, 0.1191920, 0.9503041]]
)
SLOPE = 3 * (6 / 29) ** 2  # of CIE 1976 L*a*b* near black, from memory
ROOM = 0.004  # a colour this little outside what a screen can show is taken for the nearest it can [-]

_HEX = re.compile(r"#[0-9a-fA-F]{6}")
_LAB = re.compile(r"lab\(\s*([-+.\d]+)[\s,;]+([-+.\d]+)[\s,;]+([-+.\d]+)\s*\)", re.IGNORECASE)


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


def light_of_lab(lightness: float, a: float, b: float) -> Floats:
    """Amounts of red, green and blue light of a CIE 1976 L*a*b* colour (D65, 2 degree observer).

    Parameters
    ----------
    lightness, a, b : float
        L* from 0 to 100; a* and b*.

    Returns
    -------
    (3,) float
        Outside 0 to 1 where a screen cannot show it.
    """
    y = (lightness + 16.0) / 116.0
    root = np.array([y + a / 500.0, y, y - b / 200.0])
    share = np.where(root > 6 / 29, root**3, SLOPE * (root - 4 / 29))
    return np.asarray(np.linalg.solve(PRIMARIES, share * WHITE))


def is_colour(words: str) -> bool:
    """Whether some words are meant for a colour."""
    return words.startswith("#") or words.lower().startswith("lab(")


def in_words(colour: str) -> str:
    """A colour as a caption gives it.

    Examples
    --------
    >>> in_words("lab(62, -6, 5)")
    'L* 62 a* -6 b* 5'
    """
    found = _LAB.fullmatch(colour.strip())
    return "L* {} a* {} b* {}".format(*found.groups()) if found else colour.lower()


def colour_of(words: str) -> str:
    """Hex of a colour given as hex or as L*a*b*.

    Parameters
    ----------
    words : str
        ``#8f9d92`` or ``lab(62, -6, 5)``.

    Raises
    ------
    OutputError
        If it is no colour, or one that no screen can show.

    Examples
    --------
    >>> colour_of("#8F9D92")
    '#8f9d92'
    >>> colour_of("lab(100, 0, 0)")
    '#ffffff'
    """
    if _HEX.fullmatch(words):
        return words.lower()
    found = _LAB.fullmatch(words.strip())
    try:
        values = [float(part) for part in found.groups()] if found else []
    except ValueError:
        values = []
    if len(values) != 3 or not 0.0 <= values[0] <= 100.0:
        raise OutputError(f"colour = {words!r}: write it as '#8f9d92' or as 'lab(62, -6, 5)'")
    light = light_of_lab(*values)
    if light.min() < -ROOM or light.max() > 1.0 + ROOM:
        raise OutputError(f"colour = {words!r}: no screen can show it; bring a* and b* nearer to 0")
    return hex_of(np.clip(light, 0.0, 1.0).astype(np.float32))
