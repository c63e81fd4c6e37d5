"""Light from the sky and from what the sun strikes, gathered at the middle of every pixel.

Each pixel sends out a few rays over the half-sphere above its surface. A ray that gets away brings
in sky; one that meets something brings in the sunlight (and a share of skylight) that thing sends
back, once. Neighbouring pixels send different rays of one set that repeats every four pixels,
so that averaging over four by four pixels of one plane leaves hardly any noise.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cladmodel.views.arrays import Ints, Singles
from cladmodel.views.bands import BAND, in_bands
from cladmodel.views.staging import CLEAR, Stage, Tracer

BLOCK = 4  # pixels on a side that share one set of rays
# What light a surface met by a ray stands in, on the average. By eye. [-]
SHARE = 0.55  # of the open sky's
UNDERLIGHT = 0.10  # of the sun's, from sunlit ground, on what faces down


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Gathered:
    """Light gathered at the middle of every pixel; rows times columns is n.

    Attributes
    ----------
    triangle : (n,) int
        What is seen, -1 for sky.
    plane : (n,) int
        Plane of it, -1 for sky.
    light : (n, 4) float
        Red, green, blue light on the surface; and the share of the sky it sees.
    """

    triangle: Ints
    plane: Ints
    light: Singles


def half_sphere(count: int) -> Singles:
    """Directions over a half-sphere, as many as fall on a matt surface from each side.

    Parameters
    ----------
    count : int

    Returns
    -------
    (count, 3) float
        Third component away from the surface, at most 1; each a unit vector. [-]
    """
    k = np.arange(count)
    radius = np.sqrt((k + 0.5) / count)
    golden = np.pi * (3.0 - np.sqrt(5.0))
    turn = k * golden
    out = np.stack([radius * np.cos(turn), radius * np.sin(turn), np.sqrt(1.0 - radius**2)], axis=1)
    return out.astype(np.float32)


def frames(normal: Singles) -> Singles:
    """Two directions in each surface, and its normal.

    Parameters
    ----------
    normal : (m, 3) float

    Returns
    -------
    (m, 3, 3) float
        Rows are the three unit vectors.
    """
    helper = np.where(np.abs(normal[:, :1]) < 0.9, [[1.0, 0.0, 0.0]], [[0.0, 1.0, 0.0]])
    u = np.cross(helper, normal)
    u /= np.linalg.norm(u, axis=1, keepdims=True)
    return np.stack([u, np.cross(normal, u), normal], axis=1).astype(np.float32)


class Skylight:
    """Gathers light on the surfaces of one stage.

    Parameters
    ----------
    stage : Stage
    tracer : Tracer
        Of everything that stops light.
    albedo : (pieces, 3) float
        Mean colour of each piece, for light sent back.
    sun : two (3,) float
        Direction towards it, and its light.
    sky : callable
        Brightness seen in (k, 3) directions.
    rays : int
        Sent out from each point.
    """

    def __init__(
        self,
        stage: Stage,
        tracer: Tracer,
        *,
        albedo: Singles,
        sun: tuple[Singles, Singles],
        sky: Callable[[Singles], Singles],
        rays: int,
    ) -> None:
        self._stage, self._tracer, self._rays = stage, tracer, rays
        self._sun = sun[0].astype(np.float32)
        rounded = np.round(stage.normal * 1000).astype(np.int32)
        normals, which = np.unique(rounded, axis=0, return_inverse=True)
        units = (normals / np.linalg.norm(normals, axis=1, keepdims=True)).astype(np.float32)
        set_size = BLOCK * BLOCK * rays
        ways = np.einsum("kj,mji->mki", half_sphere(set_size), frames(units)).astype(np.float32)
        self._ways = ways.reshape(-1, 3)
        self._base = which.ravel() * set_size
        open_sky = (self._ways[:, 1:2] >= -0.02).astype(np.float32)
        self._bright = np.concatenate([sky(self._ways), open_sky], axis=1)
        # What a surface met by a ray sends back, in shade and (more) in the sun.
        self._facing = np.clip(stage.normal @ self._sun, 0, None)
        zenith = sky(half_sphere(64)[:, [0, 2, 1]]).mean(axis=0)
        self.open_light = zenith.astype(np.float32)
        upward = (0.5 + 0.5 * stage.normal[:, 1:2]).astype(np.float32)
        falls = SHARE * upward * zenith + UNDERLIGHT * (1 - upward) * sun[1]
        sends = albedo[stage.piece]
        self.shade = (sends * falls).astype(np.float32)
        self.sunlit = (sends * sun[1] * self._facing[:, None]).astype(np.float32)

    def collect(self, triangle: Ints, points: Singles, pattern: Ints) -> Singles:
        """Gather light at some points.

        Parameters
        ----------
        triangle : (n,) int
            That each point lies on.
        points : (n, 3) float
            [mm]
        pattern : (n,) int
            0 to 15: which share of the set of rays to send.

        Returns
        -------
        (n, 4) float
            Red, green, blue light on the surface; share of the half-sphere that is open sky.
        """
        start = points + np.float32(CLEAR) * self._stage.normal[triangle]
        first = self._base[triangle] + pattern
        total = np.zeros((len(triangle), 4), np.float32)
        for k in range(self._rays):
            entry = first + k * BLOCK * BLOCK
            ways = self._ways[entry]
            met, far = self._tracer.first(start, ways)
            away = met < 0
            free = np.flatnonzero(away)
            total[free] += self._bright[entry[free]]
            hit = np.flatnonzero(~away)
            total[hit, :3] += self._sent_back(met[hit], start[hit], ways[hit], far[hit])
        return np.asarray(total / np.float32(self._rays), np.float32)

    def _sent_back(self, there: Ints, start: Singles, ways: Singles, far: Singles) -> Singles:
        """Light that surfaces met by rays send back along them."""
        brought = self.shade[there]
        sunny = np.flatnonzero(self._facing[there] > 0)
        at = there[sunny]
        place = start[sunny] + ways[sunny] * far[sunny, None] + np.float32(CLEAR) * self._stage.normal[at]
        towards = np.broadcast_to(self._sun, place.shape).astype(np.float32)
        shone = ~self._tracer.blocked(place.astype(np.float32), towards)
        brought[sunny[shone]] += self.sunlit[at[shone]]
        return np.asarray(brought, np.float32)

    def over_picture(
        self, triangle: Ints, points: Singles, size: tuple[int, int], *, every: int = 1
    ) -> Gathered:
        """Gather at the middle of every pixel, and smooth.

        Parameters
        ----------
        triangle : (n,) int
            Seen there; -1 for sky.
        points : (n, 3) float
            Where. [mm]
        size : (2,) int
            Columns and rows; n is their product.
        every : int
            1 for every pixel; 2 for every other one each way, the rest taking their light from these.
        """
        y, x = np.divmod(np.arange(len(triangle)), size[0])
        seen = np.flatnonzero((triangle >= 0) & (y % every == 0) & (x % every == 0))
        light = np.zeros((len(triangle), 4), np.float32)

        def band(a: int) -> None:
            chosen = seen[a : a + BAND]
            block = BLOCK // every  # the set always repeats every four pixels, so that smoothing evens it out
            pattern = ORDER[y[chosen] // every % block, x[chosen] // every % block]
            light[chosen] = self.collect(triangle[chosen], points[chosen], pattern)

        in_bands(band, len(seen))
        plane = np.where(triangle >= 0, self._stage.plane[np.maximum(triangle, 0)], -1)
        known = np.zeros(len(triangle), np.float32)
        known[seen] = 1.0
        calm, known = smooth(light, plane, size, known)
        # Where no light has reached, none may be read: it will be gathered on the spot.
        return Gathered(triangle=triangle, plane=np.where(known > 0, plane, -1), light=calm)


# Which ray of each sixteen a pixel of the block starts from: neighbours are far apart in the set.
ORDER = np.array([[0, 8, 2, 10], [12, 4, 14, 6], [3, 11, 1, 9], [15, 7, 13, 5]])


def ray_pattern(pixels: Ints, columns: int) -> Ints:
    """Which share of the set of rays some pixels send, 0 to 15.

    Parameters
    ----------
    pixels : (n,) int
        Counted along the rows.
    columns : int
    """
    y, x = np.divmod(pixels, columns)
    return np.asarray(ORDER[y % BLOCK, x % BLOCK])


def smooth(light: Singles, plane: Ints, size: tuple[int, int], known: Singles) -> tuple[Singles, Singles]:
    """Average over the block of pixels about each, within one plane, down and across in turn.

    Parameters
    ----------
    light : (n, 4) float
    plane : (n,) int
    size : (2,) int
        Columns and rows.
    known : (n,) float
        1 where light was gathered, 0 where it is to be taken from the pixels about.

    Returns
    -------
    light : (n, 4) float
    known : (n,) float
        0 where there was none to take.
    """
    columns, rows = size
    field, planes = light.reshape(rows, columns, 4), plane.reshape(rows, columns)
    there = known.reshape(rows, columns)
    for axis in (0, 1, 1):
        field, there = _average(field, planes, axis, there)
    return field.reshape(-1, 4), there.ravel()


def _average(field: Singles, planes: NDArray[np.int64], axis: int, known: Singles) -> tuple[Singles, Singles]:
    weight = known.copy()
    total = field * weight[..., None]
    weighed = total.copy()
    for step, share in ((1, 1.0), (2, 0.5)):
        near = [slice(None), slice(None)]
        far = [slice(None), slice(None)]
        near[axis], far[axis] = slice(None, -step), slice(step, None)
        a, b = tuple(near), tuple(far)
        same = (planes[a] == planes[b]).astype(np.float32) * np.float32(share)
        total[a] += weighed[b] * same[..., None]
        total[b] += weighed[a] * same[..., None]
        weight[a] += same * known[b]
        weight[b] += same * known[a]
    light = total / np.maximum(weight, np.float32(1e-6))[..., None]
    return np.asarray(light, np.float32), (weight > 0).astype(np.float32)
