"""Square maps that repeat both ways: grass, gravel, concrete, slates, panel.

Colours, sizes and shares are by eye; nothing is measured from them.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from cladmodel.views import cache
from cladmodel.views.arrays import Singles
from cladmodel.views.colour import light_of

SIDE = 512  # texels
COUNT = 5
GRASS, GRAVEL, CONCRETE, SLATES, STRANDS = range(COUNT)
PITCH = (5.0, 1.3, 3.0, 4.0, 2.0)  # size of a texel of each [mm]


RECIPE = 1  # part of the cache's name: raise it when anything below changes


@lru_cache(maxsize=COUNT)
def tile_of(tile: int, seed: int = 3) -> Singles:
    """One tile from the user's cache, or painted now and kept for next time.

    Parameters
    ----------
    tile : int
    seed : int

    Returns
    -------
    (4, SIDE, SIDE) float
        As `paint` gives it, to the nearest of 256 steps.
    """
    file = cache.file_of("tile", f"{RECIPE} {tile} {seed} {SIDE}")
    kept = cache.read(file, {"light": (3, SIDE, SIDE)})
    if kept is None:
        root = np.sqrt(np.clip(paint(tile, seed)[:3], 0, 1))
        kept = {"light": np.asarray(root * 255 + 0.5, np.uint8)}
        cache.write(file, kept)
    light = (kept["light"].astype(np.float32) * np.float32(1 / 255)) ** 2
    return np.concatenate([light, np.zeros((1, SIDE, SIDE), np.float32)])


def paint(tile: int, seed: int = 3) -> Singles:
    """Paint one tile.

    Parameters
    ----------
    tile : int
        `GRASS`, `GRAVEL`, `CONCRETE`, `SLATES` or `STRANDS`.
    seed : int

    Returns
    -------
    (4, SIDE, SIDE) float
        Red, green, blue light; slope (none).
    """
    rng = np.random.default_rng([seed, tile])
    light = (_grass, _gravel, _concrete, _slates, _strands)[tile](rng)
    return np.concatenate([light, np.zeros((1, SIDE, SIDE), np.float32)])


def wrapped_noise(rng: np.random.Generator, size: float | tuple[float, float]) -> Singles:
    """Hills that repeat both ways; mean 0, standard deviation 1. `size` in texels."""
    from scipy.ndimage import gaussian_filter

    hills = gaussian_filter(rng.standard_normal((SIDE, SIDE)).astype(np.float32), size, mode="wrap")
    return np.asarray(hills / hills.std(), np.float32)


def _blend(amount: Singles, *colours: str) -> Singles:
    """Run through some colours as the amount goes from 0 to 1."""
    stops = np.stack([light_of(c) for c in colours])
    at = np.linspace(0.0, 1.0, len(colours))
    return np.stack([np.interp(amount, at, stops[:, c]) for c in range(3)]).astype(np.float32)


def _grass(rng: np.random.Generator) -> Singles:
    blades = 0.6 * wrapped_noise(rng, (2.2, 0.6)) + 0.5 * wrapped_noise(rng, 0.7)
    tufts = 0.5 * wrapped_noise(rng, 3.0) + 0.25 * wrapped_noise(rng, 9) + 0.15 * wrapped_noise(rng, 30)
    green = _blend(np.clip(0.5 + 0.17 * blades + 0.09 * tufts, 0, 1), "#2f3721", "#58643a", "#8d9263")
    dry = np.clip(0.10 * wrapped_noise(rng, 4) + 0.08, 0, 0.45)
    return np.asarray(green * (1 - dry) + light_of("#8c8361")[:, None, None] * dry, np.float32)


def _gravel(rng: np.random.Generator) -> Singles:
    from scipy.spatial import KDTree

    stones = 2600
    centres = rng.random((stones, 2))
    y, x = (np.mgrid[0:SIDE, 0:SIDE] + 0.5) / SIDE
    found, which = KDTree(centres, boxsize=1.0).query(np.stack([y, x], -1).reshape(-1, 2), k=2)
    edge = np.clip((found[:, 1] - found[:, 0]).reshape(SIDE, SIDE) / 0.008, 0, 1)
    which = which[:, 0].reshape(SIDE, SIDE)
    kinds = np.stack(
        [light_of(c) for c in ("#b3a792", "#a09683", "#8b867c", "#c4baa5", "#98876f", "#736d65")]
    )
    tone = kinds[rng.integers(len(kinds), size=stones)] * rng.uniform(0.8, 1.15, (stones, 1))
    # A stone is rounded: brighter on the side towards the light than in the gaps.
    body = (0.22 + 0.78 * edge**0.6) * (1 + 0.05 * wrapped_noise(rng, 1.0))
    return np.asarray(np.moveaxis(tone[which] * body[..., None], -1, 0), np.float32)


def _concrete(rng: np.random.Generator) -> Singles:
    stain = 0.03 * wrapped_noise(rng, 0.7) + 0.045 * wrapped_noise(rng, 5) + 0.05 * wrapped_noise(rng, 40)
    return np.asarray(light_of("#a9a49a")[:, None, None] * (1 + stain), np.float32)


def _slates(rng: np.random.Generator) -> Singles:
    """Slates 256 wide in rows of 205, in broken bond, each its own grey."""
    y, x = (np.mgrid[0:SIDE, 0:SIDE] + 0.5) / SIDE
    rows, columns = 10, 8
    row = np.floor(y * rows).astype(int)
    across = x * columns + 0.5 * (row % 2)
    column = np.floor(across).astype(int) % columns
    fx, fy = across % 1.0, (y * rows) % 1.0
    tone = rng.random((rows, columns))[row, column]
    grey = _blend(
        np.clip(0.15 + 0.7 * tone + 0.05 * wrapped_noise(rng, 2), 0, 1), "#4a4f55", "#595e64", "#64676a"
    )
    gap = np.minimum(fx, 1 - fx) / 0.012
    tail = np.clip(fy / 0.06, 0, 1)  # shadow under the row above
    return np.asarray(grey * (0.45 + 0.55 * np.clip(gap, 0, 1)) * (0.55 + 0.45 * tail), np.float32)


def _strands(rng: np.random.Generator) -> Singles:
    """Structural panel: flakes of wood pressed flat, each at its own angle."""
    tone = np.full((SIDE, SIDE), 0.5, np.float32)
    for _ in range(900):
        cx, cy = rng.uniform(0, SIDE, 2)
        turn = rng.normal(0.0, 0.55)
        half_long, half_wide = rng.uniform(14, 34), rng.uniform(2.5, 8)
        box = int(half_long) + 9
        rows = (np.arange(-box, box + 1) + int(cy)) % SIDE
        columns = (np.arange(-box, box + 1) + int(cx)) % SIDE
        dy, dx = np.mgrid[-box : box + 1, -box : box + 1].astype(np.float32)
        u, v = dx * np.cos(turn) + dy * np.sin(turn), dy * np.cos(turn) - dx * np.sin(turn)
        inside = (np.abs(u) < half_long) & (np.abs(v) < half_wide)
        streak = rng.uniform(0.15, 0.85) + 0.08 * np.sin(v * rng.uniform(1.5, 3.0))
        block = tone[np.ix_(rows, columns)]
        tone[np.ix_(rows, columns)] = np.where(inside, streak - 0.25 * (np.abs(v) > half_wide - 1), block)
    return _blend(np.clip(tone, 0, 1), "#8a6a40", "#bb9660", "#dcbd8a")
