"""What one place of a picture sends towards the camera: timber, ground, roof, glass.

Strengths of haze, gloss and mirror images are by eye where nothing else is said.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cladmodel.views.arrays import Bools, Ints, Singles
from cladmodel.views.backdrop import Backdrop
from cladmodel.views.cameras import Camera
from cladmodel.views.daylight import SUN_RADIUS, Daylight
from cladmodel.views.grain import ramp
from cladmodel.views.palette import PAPER, TILED, WOOD, Palette
from cladmodel.views.skylight import Gathered, Skylight, ray_pattern
from cladmodel.views.staging import CLEAR, Stage, Tracer

HAZE_AWAY = 3.0e5  # distance at which the lawn is two thirds haze [mm]
ROOM = (0.30, 0.28, 0.25)  # light in the room behind a window, by eye [picture units]
GLASS_BACK = 0.20  # light a coated double pane sends back when looked at squarely; from memory, 0.12 to 0.30
GLASS_THROUGH = 0.80
SUN_INDOORS = 0.3  # of the sun's patches in rooms, which else outshine everything behind a pane; by eye
TUFTS = 11.3  # patches in the lawn are this many times coarser than its blades


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Setting:
    """Everything that shading reads."""

    stage: Stage
    palette: Palette
    camera: Camera
    size: tuple[int, int]
    daylight: Daylight
    backdrop: Backdrop | None
    solid: Tracer
    glass: Tracer | None
    skylight: Skylight
    gathered: Gathered
    sky: Singles
    supersample: int
    plain: tuple[float, float, float] | None
    unseen: Bools | None = None


def _noise(pixels: Ints, columns: int) -> Singles:
    """Even noise from 0 to 1 that differs most between neighbours (interleaved gradient noise)."""
    y, x = np.divmod(pixels, columns)
    value = 0.06711056 * x + 0.00583715 * y
    return np.asarray((52.9829189 * (value % 1.0)) % 1.0, np.float32)


def shade(scene: Setting, pixels: Ints, place: tuple[float, float], share: float) -> tuple[Singles, Singles]:
    """Look through one place in each of some pixels.

    Parameters
    ----------
    scene : Setting
    pixels : (n,) int
    place : (2,) float
        In the pixel, from its left and from its top, 0 to 1.
    share : float
        0 to 1: which point of the sun's disc this place looks at.

    Returns
    -------
    light : (n, 3) float
        [picture units]
    met : (n,) float
        1 where anything is there, 0 for sky.
    """
    dx, dy = place
    columns = scene.size[0]
    y, x = np.divmod(pixels, columns)
    ways = scene.camera.rays((x + dx).astype(np.float32), (y + dy).astype(np.float32), scene.size)
    eye = np.broadcast_to(np.asarray(scene.camera.eye, np.float32), ways.shape).copy()
    triangle, far = scene.solid.first(eye, ways)
    met = triangle >= 0
    out = scene.sky[pixels].copy()
    at = np.flatnonzero(met)
    pane, pane_far = np.full(len(pixels), -1), np.zeros_like(far)
    if scene.glass is not None:
        pane, pane_far = scene.glass.first(eye, ways)
    through = (pane >= 0) & (~met | (pane_far < far))
    points = eye[at] + ways[at] * far[at, None]
    light = _skylight(scene, pixels[at], triangle[at], points, dx, dy)
    inside = np.flatnonzero(through[at])
    light[inside] = _room_light(
        scene.stage.normal[triangle[at[inside]]], far[at[inside]] - pane_far[at[inside]], ways[at[inside]]
    )
    noise = _noise(pixels, columns)
    sunny = np.where(through[at], np.float32(SUN_INDOORS), np.float32(1))
    out[at] = _surface(scene, triangle[at], points, ways[at], far[at], light, noise[at], share, sunny)
    seen = np.flatnonzero(through)
    if len(seen):
        out[seen] = _pane(
            scene, pane[seen], eye[seen] + ways[seen] * pane_far[seen, None], ways[seen], out[seen]
        )
    shown = met | through
    if scene.unseen is not None:
        shown &= through | ~scene.unseen[scene.stage.piece[np.maximum(triangle, 0)]]
        out[~shown] = 0.0
    return out, shown.astype(np.float32)


def _room_light(normal: Singles, depth: Singles, ways: Singles) -> Singles:
    """Light behind a window: strongest near it and on what faces it."""
    facing = np.clip(-np.einsum("ij,ij->i", normal, ways), 0, 1)
    strength = (0.40 + 0.60 * facing) * 1500.0 / (1200.0 + depth) * (1.0 + 0.35 * normal[:, 1])
    return np.concatenate([strength[:, None] * np.array(ROOM), np.zeros((len(normal), 1))], axis=1).astype(
        np.float32
    )


def _skylight(scene: Setting, pixels: Ints, triangle: Ints, points: Singles, dx: float, dy: float) -> Singles:
    """Skylight at some points, read from the nearest pixels that lie in the same plane.

    Where none does (an edge thinner than a pixel), it is gathered on the spot.
    """
    columns, rows = scene.size
    plane = scene.stage.plane[triangle]
    y, x = np.divmod(pixels, columns)
    step_x, step_y = (1 if dx >= 0.5 else -1), (1 if dy >= 0.5 else -1)
    part_x, part_y = abs(dx - 0.5), abs(dy - 0.5)
    total = np.zeros((len(pixels), 4), np.float32)
    weight = np.zeros(len(pixels), np.float32)
    for ox, wx in ((0, 1 - part_x), (step_x, part_x)):
        for oy, wy in ((0, 1 - part_y), (step_y, part_y)):
            there = np.clip(y + oy, 0, rows - 1) * columns + np.clip(x + ox, 0, columns - 1)
            share = (scene.gathered.plane[there] == plane) * np.float32(wx * wy)
            total += scene.gathered.light[there] * share[:, None]
            weight += share
    lost = np.flatnonzero(weight < 1e-6)
    weight[lost] = 1.0
    total /= weight[:, None]
    if len(lost):
        pattern = ray_pattern(pixels[lost], columns)
        total[lost] = scene.skylight.collect(triangle[lost], points[lost], pattern)
    return total


def _surface(
    scene: Setting,
    triangle: Ints,
    points: Singles,
    ways: Singles,
    far: Singles,
    light: Singles,
    noise: Singles,
    share: float,
    sunny: Singles,
) -> Singles:
    """Light that surfaces send towards the camera; `sunny` is the share of the sun let through to them."""
    stage = scene.stage
    normal = stage.normal[triangle]
    colour, slope, gloss = _colour(scene, triangle, points, ways, far, light[:, 3], noise)
    # The sun is a disc: each place looks at one point of it.
    sun = scene.daylight.direction
    side = np.cross(sun, [0.0, 1.0, 0.0]).astype(np.float32)
    side /= np.linalg.norm(side)
    over = np.cross(side, sun).astype(np.float32)
    turn = (noise + np.float32(share)) * np.float32(2 * np.pi)
    spread = np.full_like(noise, SUN_RADIUS * np.sqrt(0.5))
    to_sun = sun + (spread * np.cos(turn))[:, None] * side + (spread * np.sin(turn))[:, None] * over
    facing = normal @ sun
    lit = np.flatnonzero(facing > 0)
    start = points[lit] + np.float32(CLEAR) * normal[lit]
    lit = lit[~scene.solid.blocked(start, to_sun[lit].astype(np.float32))]
    strength = np.zeros(len(triangle), np.float32)
    leaning = facing[lit] - slope[lit] * (stage.across[triangle[lit]] @ sun)
    strength[lit] = np.clip(leaning, 0, None) * sunny[lit]
    sunlight = np.asarray(scene.daylight.sun, np.float32)
    falls = light[:, :3] + strength[:, None] * sunlight
    out = colour * falls
    shiny = np.flatnonzero(gloss > 0.03)
    if len(shiny):
        out[shiny] += _gloss(
            normal[shiny], ways[shiny], gloss[shiny], strength[shiny] > 0, sun, sunlight, light[shiny, :3]
        )
    paper = np.flatnonzero(scene.palette.way[stage.piece[triangle]] == PAPER)
    if len(paper) and scene.plain is not None:
        openly = scene.skylight.open_light + sun[1] * sunlight
        lit_share = np.clip(1.02 * falls[paper].sum(axis=1) / openly.sum(), 0, 1)
        out[paper] = lit_share[:, None] * np.asarray(scene.plain, np.float32)
    hazy = np.flatnonzero(far > 2.0e4) if scene.plain is None else paper[:0]
    if len(hazy):
        veil = (1.0 - np.exp(-(far[hazy] - 2.0e4) / HAZE_AWAY))[:, None].astype(np.float32)
        haze = np.array([0.47, 0.53, 0.55], np.float32) * scene.daylight.sky
        out[hazy] += (haze - out[hazy]) * veil * np.float32(0.6)
    return np.asarray(out, np.float32)


def _gloss(
    normal: Singles,
    ways: Singles,
    gloss: Singles,
    lit: Bools,
    sun: Singles,
    sunlight: Singles,
    around: Singles,
) -> Singles:
    """Sheen: a soft highlight of the sun, and the sky at a glancing angle."""
    facing = np.clip(-np.einsum("ij,ij->i", normal, ways), 0, 1)
    back = 0.04 + 0.96 * (1.0 - facing) ** 5  # Schlick's approximation, from memory
    half = sun - ways
    half /= np.linalg.norm(half, axis=1, keepdims=True)
    power = 6.0 + 70.0 * gloss**1.5
    spot = np.clip(np.einsum("ij,ij->i", normal, half), 0, 1) ** power * (power + 8.0) / 60.0
    sheen = (back * spot * lit * 0.5)[:, None] * sunlight
    return np.asarray((sheen + (0.8 * back)[:, None] * around) * gloss[:, None], np.float32)


def _colour(
    scene: Setting,
    triangle: Ints,
    points: Singles,
    ways: Singles,
    far: Singles,
    open_sky: Singles,
    noise: Singles,
) -> tuple[Singles, Singles, Singles]:
    """Colour, slope across the grain, and gloss, at some points."""
    stage, palette = scene.stage, scene.palette
    piece = stage.piece[triangle]
    colour = palette.tint[piece]
    slope = np.zeros(len(piece), np.float32)
    gloss = palette.gloss[piece]
    way = palette.way[piece]
    end = stage.end[triangle] & (palette.end[piece] >= 0)
    gloss = np.where(end, np.float32(0.0), gloss)
    pixel = _pixel_angle(scene) * far
    for kind, maps in ((WOOD, palette.wood), (TILED, palette.tiled)):
        chosen = np.flatnonzero(((way == kind) & ~end) if kind == WOOD else ((way == kind) | end))
        if not len(chosen):
            continue
        t, p = triangle[chosen], piece[chosen]
        along, across = stage.along[t], stage.across[t]
        u: Singles = np.einsum("ij,ij->i", points[chosen], along) + stage.shift[t, 0]
        v: Singles = np.einsum("ij,ij->i", points[chosen], across) + stage.shift[t, 1]
        u *= palette.flip[p]
        size = pixel[chosen]
        wide, tall = _pixel_on_surface(scene, stage.normal[t], along, across, ways[chosen], size)
        which = np.where(end[chosen], palette.end[p], palette.map[p])
        value = maps.sample(which, u, v, wide, tall, noise[chosen])
        colour[chosen] *= value[:, :3]
        slope[chosen] = value[:, 3]
        if kind == TILED:
            grass = np.flatnonzero(which == palette.grass)
            if len(grass):  # tufts and paler patches far larger than the tile
                far_off = np.float32(1 / TUFTS)
                again = maps.sample(
                    which[grass],
                    v[grass] * far_off,
                    u[grass] * far_off,
                    tall[grass] * far_off,
                    wide[grass] * far_off,
                    noise[chosen[grass]],
                )
                patch = again[:, 1] / palette.mean_of_grass
                colour[chosen[grass]] *= (0.7 + 0.3 * np.clip(patch, 0.3, 2.0))[:, None]
    sheltered = palette.shelter[piece]
    bare = np.flatnonzero(sheltered[:, 0] + sheltered[:, 2] != 2.0)
    if len(bare):
        weathered = ramp(0.10, 0.34, open_sky[bare])[:, None]
        colour[bare] *= sheltered[bare] + (1.0 - sheltered[bare]) * weathered
    return colour, slope, gloss


def _pixel_angle(scene: Setting) -> np.float32:
    """Angle between two neighbouring rays. [rad]"""
    left, right, _, _ = scene.camera.window
    return np.float32((right - left) / scene.size[0] / scene.supersample)


def _pixel_on_surface(
    scene: Setting, normal: Singles, along: Singles, across: Singles, ways: Singles, size: Singles
) -> tuple[Singles, Singles]:
    """How far one pixel reaches along and across the surface it falls on. [mm]"""
    right, up, _ = scene.camera.axes.astype(np.float32)
    tilt = np.einsum("ij,ij->i", normal, ways)
    tilt = np.where(np.abs(tilt) < 0.02, np.float32(0.02), tilt)
    reach = []
    for direction in (along, across):
        slide = np.einsum("ij,ij->i", ways, direction) / tilt
        sideways = np.abs(direction @ right - slide * (normal @ right))
        upward = np.abs(direction @ up - slide * (normal @ up))
        reach.append(np.maximum(np.maximum(sideways, upward) * size, 1e-3).astype(np.float32))
    return reach[0], reach[1]


def _pane(scene: Setting, pane: Ints, points: Singles, ways: Singles, behind: Singles) -> Singles:
    """What glass shows: the room through it, and the world it faces in it."""
    normal = scene.stage.normal[pane].copy()
    normal *= -np.sign(np.einsum("ij,ij->i", normal, ways))[:, None]
    # Panes are never quite flat.
    ripple = 0.0035 * np.sin(points[:, :1] / 95.0 + 1.7 * np.sin(points[:, 1:2] / 140.0))
    normal = normal + ripple * np.array([0.3, 1.0, 0.0], np.float32)
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    facing = np.clip(-np.einsum("ij,ij->i", normal, ways), 0, 1)
    mirror = (ways + 2 * facing[:, None] * normal).astype(np.float32)
    met, _ = scene.solid.first((points + np.float32(1.0) * normal).astype(np.float32), mirror)
    seen = scene.backdrop.radiance(mirror) if scene.backdrop is not None else np.ones_like(mirror)
    hit = np.flatnonzero(met >= 0)
    seen[hit] = scene.skylight.shade[met[hit]] + 0.6 * scene.skylight.sunlit[met[hit]]
    back = GLASS_BACK + (1 - GLASS_BACK) * (1 - facing) ** 5
    return np.asarray(behind * (GLASS_THROUGH * (1 - back))[:, None] + seen * back[:, None], np.float32)
