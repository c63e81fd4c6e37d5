"""What is seen past the building: sky, high cloud and a distant hedge line, all made from numbers.

Those numbers are by eye; nothing is measured from them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cladmodel.views.arrays import Singles
from cladmodel.views.daylight import CLOUD, DUSK, Daylight, clear_sky
from cladmodel.views.grain import ramp

SIDE = 256  # texels of a noise tile
ROUND = 4096  # steps round the horizon


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Backdrop:
    """Noise that one picture's sky and hedges are read from.

    Attributes
    ----------
    light : Daylight
    clouds : (octaves, SIDE, SIDE) float
    hedges : (2, ROUND) float
        Heights of the far and the near line. [rad]
    leaves : (SIDE, SIDE) float
    """

    light: Daylight
    clouds: Singles
    hedges: Singles
    leaves: Singles

    def radiance(self, directions: Singles) -> Singles:
        """Brightness seen in some directions.

        Parameters
        ----------
        directions : (n, 3) float
            Unit vectors; those below the horizon count as on it. [-]

        Returns
        -------
        (n, 3) float
            [picture units]
        """
        sky = clear_sky(directions, self.light)
        return self._hedges(directions, self._clouded(directions, sky))

    def _clouded(self, directions: Singles, sky: Singles) -> Singles:
        up = directions[:, 1]
        flat = 1.0 / np.maximum(up + 0.10, 0.03)
        east, north = directions[:, 0] * flat, directions[:, 2] * flat
        amount = np.zeros(len(directions), np.float32)
        for tile, (scale, share) in zip(self.clouds, OCTAVES, strict=True):
            amount += share * _look_up(tile, east * (scale * 0.42) + 40.0, north * scale + 10.0)
        cover = ramp(0.35, 2.6, amount) * np.clip(up * 6.0, 0, 1) * self.light.cloud
        if self.light.overcast > 0.0:  # the cover itself is uneven
            sky = (
                sky
                * (1.0 + 0.07 * self.light.overcast * np.clip(amount, -1.5, 1.5) * np.clip(up * 6.0, 0, 1))[
                    :, None
                ]
            )
        cover *= 1.0 - self.light.overcast
        near = np.clip(directions @ self.light.direction, 0, 1)
        lit = CLOUD + (DUSK - CLOUD) * (0.6 * self.light.low)
        bright = lit * ((0.70 + 0.45 * near**2) * self.light.sky)[:, None]
        return np.asarray(sky + (bright - sky) * cover[:, None], np.float32)

    def _hedges(self, directions: Singles, sky: Singles) -> Singles:
        low = np.flatnonzero(directions[:, 1] < 0.09)
        if not len(low):
            return sky
        d = directions[low]
        altitude = np.arcsin(np.clip(d[:, 1], -1, 1))
        place = (np.arctan2(d[:, 0], d[:, 2]) / (2 * np.pi) + 0.5) * ROUND
        colour = sky[low]
        facing = 1.0 + 0.25 * (d @ self.light.direction)
        haze = np.array([0.50, 0.565, 0.60], np.float32) * self.light.sky
        for line, (tone, dimmed, crown) in zip(self.hedges, HEDGES, strict=True):
            step = place.astype(int)
            part = (place - step).astype(np.float32)
            top = line[step % ROUND] * (1 - part) + line[(step + 1) % ROUND] * part
            # Leaf in three sizes, each tile step the same angle up as along.
            rise = np.asarray(altitude * (ROUND / (2 * np.pi) / crown), np.float32)
            run = np.asarray(place / crown, np.float32)
            leaf = 0.55 * _look_up(self.leaves, rise * 3.0, run * 3.0)
            leaf += 0.50 * _look_up(self.leaves, rise * 9.0 + 31.0, run * 9.0)
            leaf += 0.40 * _look_up(self.leaves, rise * 25.0 + 77.0, run * 25.0)
            inside = ramp(-0.0007, 0.0007, top + 0.0009 * leaf - altitude)[:, None]
            height = np.clip(altitude / np.maximum(top, 1e-3), 0, 1)
            light = facing * (0.50 + 0.62 * height) * np.clip(1 + 0.30 * leaf, 0.25, 2.0)
            body = np.array(tone, np.float32) * light[:, None] * (1 - dimmed) * self.light.sky + haze * dimmed
            colour += (body - colour) * inside
        sky[low] = colour
        return sky


OCTAVES = ((7.0, 1.0), (16.0, 0.55), (37.0, 0.32), (80.0, 0.18), (170.0, 0.09))
# Colour, share of haze, and breadth of a crown (in steps round the horizon) of the far and near line. By eye.
HEDGES = (((0.135, 0.165, 0.085), 0.46, 7.0), ((0.125, 0.160, 0.068), 0.17, 11.0))
HEIGHTS = ((0.020, 0.0050), (0.0115, 0.0038))  # mean height and swing of each line [rad]


def backdrop(light: Daylight, seed: int) -> Backdrop:
    """Make the backdrop for one picture.

    Parameters
    ----------
    light : Daylight
    seed : int
    """
    rng = np.random.default_rng([seed, 77])
    clouds = np.stack([_tile(rng, 1.5) for _ in OCTAVES])
    lines = np.stack([mean + swing * _skyline(rng) for mean, swing in HEIGHTS])
    return Backdrop(light=light, clouds=clouds, hedges=lines.astype(np.float32), leaves=_tile(rng, 1.1))


def _tile(rng: np.random.Generator, size: float) -> Singles:
    from scipy.ndimage import gaussian_filter

    hills = gaussian_filter(rng.standard_normal((SIDE, SIDE)), size, mode="wrap")
    return np.asarray(hills / hills.std(), np.float32)


def _skyline(rng: np.random.Generator) -> NDArray[np.float64]:
    """Crowns of trees of several sizes, round the whole horizon."""
    from scipy.ndimage import gaussian_filter1d

    total = np.zeros(ROUND)
    for size, share in ((140, 0.35), (24, 0.35), (7, 0.5), (2.5, 0.25)):
        wave = gaussian_filter1d(rng.standard_normal(ROUND), size, mode="wrap")
        wave /= wave.std()
        total += share * (np.abs(wave) if size in (24, 7) else wave)
    return total


def _look_up(tile: Singles, rows: Singles, columns: Singles) -> Singles:
    """Read a repeating tile between its texels."""
    r0, c0 = np.floor(rows), np.floor(columns)
    fr, fc = (rows - r0).astype(np.float32), (columns - c0).astype(np.float32)
    r, c = r0.astype(np.int64) % SIDE, c0.astype(np.int64) % SIDE
    r1, c1 = (r + 1) % SIDE, (c + 1) % SIDE
    below = tile[r, c] * (1 - fc) + tile[r, c1] * fc
    above = tile[r1, c] * (1 - fc) + tile[r1, c1] * fc
    return np.asarray(below * (1 - fr) + above * fr, np.float32)
