"""Follow rays from the camera through every pixel, and gather what they bring back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cladmodel.views.arrays import Bools, Ints, Singles
from cladmodel.views.backdrop import Backdrop
from cladmodel.views.bands import BAND, in_bands
from cladmodel.views.cameras import Camera
from cladmodel.views.daylight import Daylight
from cladmodel.views.palette import TILED, Palette
from cladmodel.views.shading import Setting, shade
from cladmodel.views.skylight import Skylight
from cladmodel.views.staging import Stage, Tracer

EDGE = 0.09  # neighbours that differ by more than this (square roots of light) are looked at again
# Eight more places in such a pixel, one in each row and each column of a grid of eight; or four, of four.
EDGE_PLACES = tuple(((k + 0.5) / 8, (turn + 0.5) / 8) for k, turn in enumerate((0, 4, 2, 6, 1, 5, 3, 7)))
QUICK_PLACES = ((0.125, 0.375), (0.375, 0.875), (0.625, 0.125), (0.875, 0.625))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Picture:
    """A finished rendering, before tone and lettering.

    Attributes
    ----------
    light : (rows, columns, 3) float
        [picture units]
    cover : (rows, columns) float
        Share of each pixel that is not sky.
    triangle : (rows, columns) int
        Seen at the middle of each pixel; -1 for sky.
    """

    light: Singles
    cover: Singles
    triangle: Ints


def render(
    stage: Stage,
    palette: Palette,
    camera: Camera,
    size: tuple[int, int],
    *,
    daylight: Daylight,
    backdrop: Backdrop,
    supersample: int,
    rays: int,
    plain: tuple[float, float, float] | None = None,
    unseen: Bools | None = None,
    quick: bool = False,
) -> Picture:
    """Make one picture.

    Parameters
    ----------
    stage : Stage
    palette : Palette
    camera : Camera
    size : (2,) int
        Columns and rows.
    daylight : Daylight
    backdrop : Backdrop
        Lights the stage, and is seen behind it unless `plain` is given.
    supersample : int
        Rays through each pixel, squared.
    rays : int
        Rays gathering skylight at each pixel.
    plain : (3,) float, optional
        A plain background instead, which paper takes too where nothing shades it. [picture units]
    unseen : (p,) bool, optional
        Pieces that light the others but are cut out of the picture, as the sky then is too: light is 0 there,
        and what is partly covered has its share of light alone.
    quick : bool
        Skylight at a quarter of the pixels only, and edges looked at again with fewer rays.
    """
    is_glass = np.array([m == "glass" for m in stage.material])[stage.piece]
    opaque = np.flatnonzero(~is_glass)
    panes = np.flatnonzero(is_glass)
    solid = Tracer(stage.corners[opaque], opaque)
    glass = Tracer(stage.corners[panes], panes) if len(panes) else None
    skylight = Skylight(
        stage,
        solid,
        albedo=palette.mean,
        sun=(daylight.direction, np.asarray(daylight.sun, np.float32)),
        sky=backdrop.radiance,
        rays=rays,
    )
    columns, rows = size
    grid_y, grid_x = np.divmod(np.arange(columns * rows), columns)
    middle_x, middle_y = (grid_x + 0.5).astype(np.float32), (grid_y + 0.5).astype(np.float32)
    eye = np.asarray(camera.eye, np.float32)
    triangle = np.empty(columns * rows, np.int64)
    points = np.empty((columns * rows, 3), np.float32)

    def look(a: int) -> None:
        b = a + BAND
        ways = camera.rays(middle_x[a:b], middle_y[a:b], size)
        triangle[a:b], far = solid.first(np.broadcast_to(eye, ways.shape).copy(), ways)
        points[a:b] = eye + ways * far[:, None]

    in_bands(look, columns * rows)
    gathered = skylight.over_picture(triangle, points, size, every=2 if quick else 1)
    sky = _sky(triangle, camera, size, backdrop, plain)
    scene = Setting(
        stage=stage,
        palette=palette,
        camera=camera,
        size=size,
        daylight=daylight,
        backdrop=backdrop,
        solid=solid,
        glass=glass,
        skylight=skylight,
        gathered=gathered,
        sky=sky,
        supersample=supersample,
        plain=plain,
        unseen=unseen,
    )
    light = sky.copy() if unseen is None else np.zeros_like(sky)
    cover = np.zeros(columns * rows, np.float32)
    active = np.flatnonzero(_grown(triangle >= 0, size))

    before = 0
    for places in (_places(supersample), QUICK_PLACES if quick else EDGE_PLACES):
        before = _add(scene, active, places, light, cover, before)
        active = active[_edges(scene, light, triangle)[active]]
    return Picture(
        light=light.reshape(rows, columns, 3),
        cover=cover.reshape(rows, columns),
        triangle=triangle.reshape(rows, columns),
    )


def _add(
    scene: Setting,
    pixels: Ints,
    places: Sequence[tuple[float, float]],
    light: Singles,
    cover: Singles,
    before: int,
) -> int:
    """Look through more places in some pixels, and average with what was there; how many in all."""
    total = before + len(places)

    def fill(a: int) -> None:
        mine = pixels[a : a + BAND]
        found = [shade(scene, mine, place, k / len(places)) for k, place in enumerate(places)]
        kept = np.float32(before / total)
        light[mine] = light[mine] * kept + sum(value for value, _ in found) / np.float32(total)
        cover[mine] = cover[mine] * kept + sum(met for _, met in found) / np.float32(total)

    in_bands(fill, len(pixels))
    return total


def _edges(scene: Setting, light: Singles, triangle: Ints) -> Bools:
    """Pixels that differ sharply from a neighbour: outlines and edges of shadow, not gravel or grass."""
    columns, rows = scene.size
    bright = np.sqrt(np.minimum(light, 1.0).sum(axis=1)).reshape(rows, columns)
    seen = np.maximum(triangle, 0)
    plane = np.where(triangle >= 0, scene.stage.plane[seen], -1).reshape(rows, columns)
    mottled = ((triangle >= 0) & (scene.palette.way[scene.stage.piece[seen]] == TILED)).reshape(rows, columns)
    out = np.zeros((rows, columns), np.bool_)
    for a, b in ((np.s_[1:], np.s_[:-1]), (np.s_[:, 1:], np.s_[:, :-1])):
        sharp = np.abs(bright[a] - bright[b]) > EDGE
        sharp &= ~(mottled[a] & (plane[a] == plane[b]))
        out[a] |= sharp
        out[b] |= sharp
    return out.ravel()


def _grown(mask: Bools, size: tuple[int, int]) -> Bools:
    """Some pixels and those beside, above and below them."""
    field = mask.reshape(size[1], size[0])
    out = field.copy()
    out[1:] |= field[:-1]
    out[:-1] |= field[1:]
    out[:, 1:] |= field[:, :-1]
    out[:, :-1] |= field[:, 1:]
    return out.ravel()


def _places(supersample: int) -> list[tuple[float, float]]:
    """Places in a pixel, one in each cell of a grid, no two in one row or column of a finer grid."""
    n = supersample
    return [((i + (j + 0.5) / n) / n, (j + (n - 1 - i + 0.5) / n) / n) for j in range(n) for i in range(n)]


def _sky(
    triangle: Ints,
    camera: Camera,
    size: tuple[int, int],
    backdrop: Backdrop,
    plain: tuple[float, float, float] | None,
) -> Singles:
    """Background of every pixel that might show some."""
    columns, rows = size
    out = np.zeros((columns * rows, 3), np.float32)
    if plain is not None:
        out[:] = plain
        return out
    chosen = np.flatnonzero(_grown(triangle < 0, size))

    def fill(a: int) -> None:
        mine = chosen[a : a + BAND]
        y, x = np.divmod(mine, columns)
        ways = camera.rays((x + 0.5).astype(np.float32), (y + 0.5).astype(np.float32), size)
        out[mine] = backdrop.radiance(ways)

    in_bands(fill, len(chosen))
    return out
