"""Colour maps, and how a pixel of any shape is averaged from them without moire.

Every map is kept at all halvings along and across, each on its own (a ripmap), so that a pixel that is
long along the grain and narrow across it takes the right average. Texels hold the square roots of
red, green, blue light and, as the fourth, the slope of the surface across the grain.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cladmodel.views import grain
from cladmodel.views.arrays import Ints, Singles
from cladmodel.views.bands import side_by_side
from cladmodel.views.coats import Coat
from cladmodel.views.colour import light_of
from cladmodel.views.grain import Masks

Texels = NDArray[np.uint32]

HALVINGS = 6  # sizes kept on each axis: 1, 2, .. 32 texels
STEEPEST = 0.5  # slope that the fourth byte can hold [-]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Ripmap:
    """Maps of one size, at every halving.

    Attributes
    ----------
    texels : (n,) uint32
        All maps at all halvings, end to end.
    starts : (HALVINGS, HALVINGS) int
        Where each halving begins: first along, then across.
    count, rows, columns : int
        How many maps, and their size. [-, texels]
    pitch : (count,) float
        Size of a texel of each map. [mm]
    wrap : bool
        True if maps repeat across as well as along.
    """

    texels: Texels
    starts: Ints
    count: int
    rows: int
    columns: int
    pitch: Singles
    wrap: bool

    def sample(
        self,
        index: Ints,
        along: Singles,
        across: Singles,
        size_along: Singles,
        size_across: Singles,
        dither: Singles,
    ) -> Singles:
        """Average some pixels.

        Parameters
        ----------
        index : (n,) int
            Which map.
        along, across : (n,) float
            Place on it. [mm]
        size_along, size_across : (n,) float
            Size of the pixel on the surface. [mm]
        dither : (n,) float
            0 to 1, to blend neighbouring halvings.

        Returns
        -------
        (n, 4) float
            Red, green, blue light; slope.
        """
        pitch = self.pitch[index]
        top = HALVINGS - 1
        i = np.clip(np.log2(size_along / pitch) + dither, 0, top).astype(np.int64)
        j = np.clip(np.log2(size_across / pitch) + dither, 0, top).astype(np.int64)
        columns, rows = self.columns >> i, self.rows >> j
        x = along / pitch * np.exp2(-i).astype(np.float32) - np.float32(0.5)
        y = across / pitch * np.exp2(-j).astype(np.float32) - np.float32(0.5)
        x0, y0 = np.floor(x), np.floor(y)
        fx, fy = (x - x0).astype(np.float32), (y - y0).astype(np.float32)
        left = x0.astype(np.int64) % columns
        right = (left + 1) % columns
        low, high = y0.astype(np.int64), y0.astype(np.int64) + 1
        if self.wrap:
            low, high = low % rows, high % rows
        else:
            low, high = np.clip(low, 0, rows - 1), np.clip(high, 0, rows - 1)
        base = self.starts[i, j] + index * rows * columns
        below, above = base + low * columns, base + high * columns
        value = self._take(below + left) * ((1 - fx) * (1 - fy))[:, None]
        value += self._take(below + right) * (fx * (1 - fy))[:, None]
        value += self._take(above + left) * ((1 - fx) * fy)[:, None]
        value += self._take(above + right) * (fx * fy)[:, None]
        value *= np.float32(1 / 255)
        value[:, :3] *= value[:, :3]
        value[:, 3] = (value[:, 3] - np.float32(128 / 255)) * np.float32(2 * STEEPEST)
        return np.asarray(value, np.float32)

    def _take(self, where: Ints) -> Singles:
        return self.texels.take(where).view(np.uint8).reshape(-1, 4).astype(np.float32)


def ripmap(
    paint: Callable[[int], Singles], count: int, shape: tuple[int, int], pitch: Sequence[float], *, wrap: bool
) -> Ripmap:
    """Build a ripmap one map at a time.

    Parameters
    ----------
    paint : callable
        Gives map k as (4, rows, columns) float: red, green, blue light, slope.
    count : int
    shape : (2,) int
        Rows and columns. [texels]
    pitch : sequence of float
        Size of a texel of each map. [mm]
    wrap : bool
        True if maps repeat across as well.
    """
    rows, columns = shape
    sizes = np.array([[(columns >> i) * (rows >> j) for j in range(HALVINGS)] for i in range(HALVINGS)])
    ends = np.cumsum(sizes.ravel() * count)
    starts = (ends - sizes.ravel() * count).reshape(HALVINGS, HALVINGS)
    texels = np.empty(ends[-1], np.uint32)

    def fill(k: int) -> None:
        longwise = paint(k)
        for i in range(HALVINGS):
            crosswise = longwise
            for j in range(HALVINGS):
                size = int(sizes[i, j])
                start = int(starts[i, j]) + k * size
                texels[start : start + size] = _pack(crosswise)
                if j < HALVINGS - 1:
                    crosswise = (crosswise[:, 0::2] + crosswise[:, 1::2]) * np.float32(0.5)
            longwise = (longwise[:, :, 0::2] + longwise[:, :, 1::2]) * np.float32(0.5)

    side_by_side(fill, range(count))
    return Ripmap(
        texels=texels,
        starts=starts,
        count=count,
        rows=rows,
        columns=columns,
        pitch=np.asarray(pitch, np.float32),
        wrap=wrap,
    )


def _pack(value: Singles) -> Texels:
    packed = np.empty((*value.shape[1:], 4), np.uint8)
    for channel in range(3):
        packed[..., channel] = np.sqrt(np.clip(value[channel], 0, 1)) * np.float32(255) + np.float32(0.5)
    packed[..., 3] = np.clip(value[3] * np.float32(127 / STEEPEST) + np.float32(128), 0, 255)
    return packed.view(np.uint32).ravel()


def coat_strip(masks: Masks, strip: int, coat: Coat) -> Singles:
    """Colour one strip of grain.

    Parameters
    ----------
    masks : Masks
    strip : int
    coat : Coat

    Returns
    -------
    (4, WIDTH, LENGTH) float
        Red, green, blue light, slope.
    """

    def share(name: str) -> Singles:
        return np.asarray(getattr(masks, name)[strip] * np.float32(1 / 255), np.float32)

    def signed(name: str) -> Singles:
        return np.asarray((getattr(masks, name)[strip] - np.float32(128)) * np.float32(1 / 32), np.float32)

    rings, fibre, streaks = share("rings"), signed("fibre"), signed("streaks")
    knot = np.clip(0.30 * share("halo") + 0.95 * share("knots"), 0, 1) * np.float32(coat.knots)
    streak = np.clip(0.5 * coat.streaks * streaks, -0.6, 0.6)
    pale, dull = np.clip(streak, 0, None), 1.0 + 0.35 * np.clip(streak, None, 0)
    shade = 1.0 + 1.3 * coat.fibre * fibre + 0.012 * coat.saw * signed("saw")
    checks = share("checks")
    shade *= (1.0 - 0.75 * coat.checks * checks) * dull
    out = np.empty((4, *rings.shape), np.float32)
    colours = [light_of(c) for c in (coat.early, coat.late, coat.streak, coat.knot)]
    for channel in range(3):
        early, late, pale_to, knot_to = (float(c[channel]) for c in colours)
        value = early + (late - early) * coat.rings * rings
        value += (pale_to - value) * pale
        value += (knot_to - value) * knot
        out[channel] = value * shade
    height = coat.relief * (rings + 0.25 * fibre) - 0.6 * coat.checks * checks
    out[3] = np.gradient(height, axis=0)
    return out


def coat_end(masks: Masks, coat: Coat) -> Singles:
    """Colour the cut ends: darker than the face, since end grain drinks more.

    Returns
    -------
    (4, 2 END, 2 END) float
    """
    a = masks.ends.astype(np.float32) * np.float32(1 / 255)
    rings = np.block([[a[0], a[1]], [a[2], a[3]]])
    early, late = light_of(coat.early) * 0.72, light_of(coat.late) * 0.62
    out = np.zeros((4, *rings.shape), np.float32)
    for channel in range(3):
        out[channel] = early[channel] + (late[channel] - early[channel]) * rings
    return out


def coarser(masks: Masks) -> Masks:
    """Masks at half their size, for pictures that show nothing finer."""

    def halved(layer: NDArray[np.uint8]) -> NDArray[np.uint8]:
        rows = layer[:, 0::2].astype(np.uint16) + layer[:, 1::2]
        return ((rows[:, :, 0::2] + rows[:, :, 1::2]) >> 2).astype(np.uint8)

    return Masks(
        rings=halved(masks.rings),
        fibre=halved(masks.fibre),
        streaks=halved(masks.streaks),
        knots=halved(masks.knots),
        halo=halved(masks.halo),
        checks=halved(masks.checks),
        saw=halved(masks.saw),
        ends=masks.ends,
    )


def wood_ripmap(masks: Masks, plan: Sequence[tuple[Coat, int]]) -> Ripmap:
    """Ripmap of some coats on some strips of the masks.

    Parameters
    ----------
    masks : Masks
    plan : sequence of (Coat, int)
        For each map, its coat and which strip it takes.
    """
    rows, columns = masks.rings.shape[1:]
    return ripmap(
        lambda k: coat_strip(masks, plan[k][1], plan[k][0]),
        len(plan),
        (rows, columns),
        [grain.WIDTH / rows] * len(plan),
        wrap=False,
    )
