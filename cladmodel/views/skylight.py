"""Light from the sky and from what the sun strikes, gathered at the middle of every pixel.

Each pixel sends out a few rays over the half-sphere above its surface. A ray that gets away brings
in sky; one that meets something brings in the sunlight (and a share of skylight) that thing sends
back, once. Neighbouring pixels send different rays of one set of 256 that repeats every four pixels,
so that averaging over four by four pixels of one plane leaves hardly any noise.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cladmodel.views.staging import CLEAR, Ints, Singles, Stage, Tracer

BLOCK = 4  # pixels on a side that share one set of rays
RAYS = 256  # rays in the set
BAND = 400_000  # pixels worked on at once
THREADS = 2
SHARE = 0.55  # of a clear sky's light reaches a surface met by a ray, on the average. By eye.


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
    # The order is shuffled by the bits of k so that every run of rays is spread over the half-sphere.
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


def gather(
    stage: Stage,
    tracer: Tracer,
    triangle: Ints,
    points: Singles,
    size: tuple[int, int],
    *,
    rays: int,
    albedo: Singles,
    sun: tuple[Singles, Singles],
    sky: Callable[[Singles], Singles],
) -> Gathered:
    """Gather light at the middle of every pixel.

    Parameters
    ----------
    stage : Stage
    tracer : Tracer
        Of everything that stops light.
    triangle : (n,) int
        Seen at the middle of each pixel; -1 for sky.
    points : (n, 3) float
        Where. [mm]
    size : (2,) int
        Columns and rows; n is their product.
    rays : int
        Sent out from each pixel; at most 16 make sense.
    albedo : (pieces, 3) float
        Mean colour of each piece, for light sent back.
    sun : two (3,) float
        Direction towards it, and its light.
    sky : callable
        Brightness seen in (k, 3) directions.
    """
    columns, rows = size
    seen = np.flatnonzero(triangle >= 0)
    normals, which = np.unique(
        np.round(stage.normal * 1000).astype(np.int32), axis=0, return_inverse=True
    )
    units = normals / np.linalg.norm(normals, axis=1, keepdims=True)
    table = np.einsum("kj,mji->mki", half_sphere(RAYS), frames(units.astype(np.float32))).astype(np.float32)
    bright = sky(table.reshape(-1, 3)).reshape(*table.shape[:2], 3).astype(np.float32)
    table_flat, bright_flat = table.reshape(-1, 3), bright.reshape(-1, 3)
    which = which.ravel()
    above = table[:, :, 1] >= -0.02
    facing = np.clip(stage.normal @ sun[0], 0, None)
    # Skylight on a surface met: half of it for an upright one.
    zenith = sky(half_sphere(64)[:, [0, 2, 1]]).mean(axis=0)
    upward = (0.5 + 0.5 * stage.normal[:, 1]).astype(np.float32)
    second = (SHARE * upward[:, None] * zenith).astype(np.float32)
    second += np.float32(0.10) * (1 - upward[:, None]) * sun[1]  # sunlit ground under it
    sends = albedo[stage.piece]
    shadowed = (sends * second).astype(np.float32)
    lit = (sends * sun[1] * facing[:, None]).astype(np.float32)
    light = np.zeros((len(triangle), 4), np.float32)
    pattern = _pattern(columns, rows)
    per = RAYS // (BLOCK * BLOCK)

    def band(chosen: Ints) -> None:
        mine = triangle[chosen]
        start = points[chosen] + np.float32(CLEAR) * stage.normal[mine]
        base = which[mine] * RAYS
        total = np.zeros((len(chosen), 4), np.float32)
        for k in range(rays):
            # Rays of one pixel: spread over the set; of the block: all of it.
            entry = base + pattern[chosen] + (k * per // rays) * BLOCK * BLOCK
            ways = table_flat[entry]
            met, far = tracer.first(start, ways)
            away = met < 0
            free = np.flatnonzero(away)
            total[free, :3] += bright_flat[entry[free]]
            total[free, 3] += above.ravel()[entry[free]]
            hit = np.flatnonzero(~away)
            there = met[hit]
            brought = shadowed[there]
            sunny = np.flatnonzero(facing[there] > 0)
            at = there[sunny]
            place = start[hit[sunny]] + ways[hit[sunny]] * far[hit[sunny], None]
            place += np.float32(CLEAR) * stage.normal[at]
            towards = np.broadcast_to(sun[0], place.shape).astype(np.float32)
            open_to_sun = ~tracer.blocked(place.astype(np.float32), towards)
            brought[sunny[open_to_sun]] += lit[at[open_to_sun]]
            total[hit, :3] += brought
        light[chosen] = total / np.float32(rays)

    bands = [seen[i : i + BAND] for i in range(0, len(seen), BAND)]
    with ThreadPoolExecutor(THREADS) as pool:
        list(pool.map(band, bands))
    plane = np.where(triangle >= 0, stage.plane[np.maximum(triangle, 0)], -1)
    light = smooth(light, plane, size)
    return Gathered(triangle=triangle, plane=plane, light=light)


def _pattern(columns: int, rows: int) -> Ints:
    """Which ray of each sixteen a pixel starts from: neighbours far apart in the set."""
    order = np.array([[0, 8, 2, 10], [12, 4, 14, 6], [3, 11, 1, 9], [15, 7, 13, 5]])
    return np.tile(order, (rows // BLOCK + 1, columns // BLOCK + 1))[:rows, :columns].ravel()


def smooth(light: Singles, plane: Ints, size: tuple[int, int]) -> Singles:
    """Average over the block of pixels about each, within one plane, down and across in turn.

    Parameters
    ----------
    light : (n, 4) float
    plane : (n,) int
    size : (2,) int
        Columns and rows.
    """
    columns, rows = size
    field = light.reshape(rows, columns, 4)
    planes = plane.reshape(rows, columns)
    for axis in (0, 1, 1):
        field = _average(field, planes, axis)
    return field.reshape(-1, 4)


def _average(field: Singles, planes: NDArray[np.int64], axis: int) -> Singles:
    total = field.copy()
    weight = np.ones(planes.shape, np.float32)
    for step, share in ((1, 1.0), (2, 0.5)):
        near = [slice(None), slice(None)]
        far = [slice(None), slice(None)]
        near[axis], far[axis] = slice(None, -step), slice(step, None)
        a, b = tuple(near), tuple(far)
        same = (planes[a] == planes[b]).astype(np.float32) * np.float32(share)
        total[a] += field[b] * same[..., None]
        total[b] += field[a] * same[..., None]
        weight[a] += same
        weight[b] += same
    return np.asarray(total / weight[..., None], np.float32)
