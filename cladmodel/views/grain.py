"""Grain made from numbers: what a saw finds in a softwood log, strip by strip.

A strip is a stretch of one board's face, 1 mm to the texel, that repeats along its length. Growth rings
are circles round a pith line that wanders; the face cuts them, so flat-sawn strips show flames and
quarter-sawn ones lines. Knots push the rings aside. Nothing depends on a finish; finishes colour the masks.
Sizes and shares are by eye; nothing is measured from them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from cladmodel.views import cache
from cladmodel.views.arrays import Bytes, Singles

if TYPE_CHECKING:
    from scipy.sparse import csr_array


STRIPS = 14
WIDTH = 256  # texels across the grain, 1 mm each: wider than any board of the trade
LENGTH = 3072  # texels along the grain, 1 mm each
END = 256  # texels of a square end-grain tile, 0.5 mm each
ENDS = 4
RECIPE = 3  # part of the cache's name: raise it when anything below changes


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Masks:
    """How much of each feature shows, 0 to 255.

    Attributes
    ----------
    rings, fibre, streaks, knots, halo, checks, saw : (strips, WIDTH, LENGTH) uint8
        Fibre, streaks and saw are 128 where they change nothing.
    ends : (ENDS, END, END) uint8
        Rings on a cut end.
    """

    rings: Bytes
    fibre: Bytes
    streaks: Bytes
    knots: Bytes
    halo: Bytes
    checks: Bytes
    saw: Bytes
    ends: Bytes


NAMES = ("rings", "fibre", "streaks", "knots", "halo", "checks", "saw", "ends")


@lru_cache(maxsize=1)
def masks(seed: int = 11) -> Masks:
    """Grain masks from the user's cache, or made now and kept for next time.

    A cache that cannot be read or written is done without.

    Parameters
    ----------
    seed : int
        Another seed is another log.
    """
    file = _cache_file(seed)
    kept = _read(file)
    if kept is not None:
        return kept
    made = make_masks(seed)
    _write(file, made)
    return made


def make_masks(seed: int, strips: int = STRIPS, length: int = LENGTH) -> Masks:
    """Saw some strips out of imagined logs.

    Parameters
    ----------
    seed : int
    strips, length : int
        How many, and how long. [-, texels]
    """
    rng = np.random.default_rng(seed)
    layers = [_strip(rng, length) for _ in range(strips)]
    stacked = [np.stack([layer[k] for layer in layers]) for k in range(len(NAMES) - 1)]
    ends = np.stack([_end(rng) for _ in range(ENDS)])
    return Masks(**dict(zip(NAMES, [*stacked, ends], strict=True)))


def _cache_file(seed: int) -> Path | None:
    return cache.file_of("grain", f"{RECIPE} {seed} {STRIPS} {WIDTH} {LENGTH}")


def _read(file: Path | None) -> Masks | None:
    """Masks from a file, or None if it is missing, damaged or of another shape."""
    shapes: dict[str, tuple[int, ...]] = dict.fromkeys(NAMES[:-1], (STRIPS, WIDTH, LENGTH))
    found = cache.read(file, shapes | {"ends": (ENDS, END, END)})
    return None if found is None else Masks(**found)


def _write(file: Path | None, made: Masks) -> None:
    """Keep masks for next time, whole or not at all."""
    cache.write(file, {n: getattr(made, n) for n in NAMES})


def smooth_noise(rng: np.random.Generator, shape: tuple[int, int], across: float, along: float) -> Singles:
    """Random hills that repeat along the second axis.

    Parameters
    ----------
    rng : Generator
    shape : (2,) int
    across, along : float
        Size of a hill on each axis. [texels]

    Returns
    -------
    shape float
        Mean 0, standard deviation 1.
    """
    rows, columns = shape
    knots_across = max(4, int(np.ceil(rows / across)) + 3)
    knots_along = max(4, round(columns / along))
    grid = rng.standard_normal((knots_across, knots_along)).astype(np.float32)
    down = _spline(rows, knots_across, repeat=False)
    over = _spline(columns, knots_along, repeat=True)
    hills = down @ (over @ grid.T).T
    hills -= hills.mean()
    return np.asarray(hills / (hills.std() + 1e-9), np.float32)


@lru_cache(maxsize=64)
def _spline(count: int, knots: int, *, repeat: bool) -> csr_array:
    """Cubic B-spline weights of `knots` control values at `count` places, sparse."""
    from scipy.sparse import csr_array

    places = np.arange(count) / count * (knots if repeat else knots - 3) + (0 if repeat else 1)
    base = np.floor(places).astype(int)
    f = (places - base).astype(np.float32)
    weights = np.stack(
        [(1 - f) ** 3, 3 * f**3 - 6 * f**2 + 4, -3 * f**3 + 3 * f**2 + 3 * f + 1, f**3], axis=1
    ) / np.float32(6)
    columns = base[:, None] + np.arange(-1, 3)
    columns = columns % knots if repeat else np.clip(columns, 0, knots - 1)
    rows = np.repeat(np.arange(count), 4)
    return csr_array((weights.ravel(), (rows, columns.ravel())), shape=(count, knots))


def ramp(low: float | Singles, high: float | Singles, value: Singles) -> Singles:
    """Smooth step: 0 below `low`, 1 above `high`."""
    t = np.clip((value - low) / (high - low), 0.0, 1.0)
    return np.asarray(t * t * (3.0 - 2.0 * t), np.float32)


def _strip(rng: np.random.Generator, length: int) -> list[Bytes]:
    """One strip's masks in the order of `NAMES`, without the ends."""
    shape = (WIDTH, length)
    y = np.arange(WIDTH, dtype=np.float32)[:, None]
    rings_at = y + np.zeros(shape, np.float32)
    knots, halo = _knots(rng, rings_at)
    spacing = rng.uniform(3.0, 5.5)  # ring width of slow to fast softwood [mm]
    if rng.random() < 0.2:  # near quarter-sawn: the pith is beside the board
        pith_y, pith_z = rng.uniform(-160.0, -60.0), rng.uniform(2.0, 20.0)
    else:
        pith_y, pith_z = rng.uniform(-30.0, 240.0), rng.uniform(10.0, 120.0)
    wander_y = _wander(rng, length, 9.0)
    wander_z = _wander(rng, length, 12.0)
    radius = np.sqrt((rings_at - pith_y - wander_y) ** 2 + (pith_z + wander_z) ** 2)
    radius += 0.8 * smooth_noise(rng, shape, 60, 500) + 0.16 * smooth_noise(rng, shape, 10, 200)
    phase = _ring_phase(rng, radius, spacing)
    late = _late_wood(rng, phase) * (1.0 - knots)
    fine = smooth_noise(rng, shape, 1.2, 70)
    fibre = 0.6 * fine + 0.5 * smooth_noise(rng, shape, 2.4, 160) + 0.25 * smooth_noise(rng, shape, 1.2, 10)
    streaks = 0.7 * smooth_noise(rng, shape, 14, 900) + 0.6 * smooth_noise(rng, shape, 45, 420)
    where = ramp(0.2, 1.2, smooth_noise(rng, shape, 30, 260) + 0.3)
    checks = ramp(2.1, 2.9, smooth_noise(rng, shape, 1.4, 220)) * where
    return [
        _share(late),
        _signed(fibre),
        _signed(streaks),
        _share(knots),
        _share(halo),
        _share(checks),
        _signed(_saw_marks(rng, shape)),
    ]


def _share(value: Singles) -> Bytes:
    return np.asarray(np.clip(value, 0.0, 1.0) * 255.0 + 0.5, np.uint8)


def _signed(value: Singles) -> Bytes:
    """Map -4..4 to 0..255, so that 128 is (nearly) none."""
    return np.asarray(np.clip(value * 32.0 + 128.0, 0.0, 255.0), np.uint8)


def _wander(rng: np.random.Generator, length: int, size: float) -> Singles:
    """How far the pith strays from a straight line along the strip. [mm]"""
    return (
        size * smooth_noise(rng, (4, length), 4, 1000)[:1] + 1.6 * smooth_noise(rng, (4, length), 4, 280)[:1]
    )


def _knots(rng: np.random.Generator, rings_at: Singles) -> tuple[Singles, Singles]:
    """Set some knots in a strip; `rings_at` is bent round them in place.

    Returns
    -------
    knots, halo : (WIDTH, length) float
        Dark heart, and the stained grain about it. [0 to 1]
    """
    length = rings_at.shape[1]
    knots, halo = np.zeros_like(rings_at), np.zeros_like(rings_at)
    x = np.arange(length, dtype=np.float32)[None]
    y = np.arange(WIDTH, dtype=np.float32)[:, None]
    for _ in range(rng.poisson(length / 620.0)):  # about one and a half to the metre, by eye
        at_x, at_y = rng.uniform(0, length), rng.uniform(8, WIDTH - 8)
        size = rng.uniform(2.5, 5.5) if rng.random() < 0.55 else rng.uniform(5.5, 12.0)
        long, wobble = rng.uniform(1.0, 1.5), rng.uniform(0, 2 * np.pi)
        off = (x - at_x + length / 2) % length - length / 2
        near = np.abs(off[0]) < 14 * size
        dx, dy = off[:, near], y - at_y
        bent = rings_at[:, near]
        from_knot = bent - at_y
        push = np.exp(-((dx / (3.2 * size)) ** 2)) * np.tanh(from_knot / (0.35 * size))
        rings_at[:, near] = bent - 1.15 * size * push * np.exp(-np.abs(from_knot) / (3.5 * size))
        away = np.sqrt((dx / long) ** 2 + dy**2) * (1 + 0.05 * np.sin(3 * np.arctan2(dy, dx) + wobble))
        heart = 1.0 - ramp(0.92 * size, 1.06 * size, away)
        ring = 0.5 + 0.5 * np.sin(away * rng.uniform(2.2, 3.5))
        rim = np.exp(-(((away - size) / (0.10 * size + 0.5)) ** 2))
        knots[:, near] = np.maximum(knots[:, near], heart * (0.55 + 0.2 * ring) + 0.5 * rim)
        halo[:, near] = np.maximum(
            halo[:, near], np.exp(-((np.clip(away - size, 0, None) / (0.9 * size)) ** 2))
        )
    return np.clip(knots, 0, 1), halo


def _ring_phase(rng: np.random.Generator, radius: Singles, spacing: float) -> Singles:
    """Count rings outward from the pith, some years wide and some narrow."""
    reach = np.linspace(0.0, 560.0, 2240, dtype=np.float32)
    years = np.exp(np.interp(reach, np.linspace(0, 560, 146), rng.normal(0.0, 0.38, 146)))
    count = np.cumsum(years) * (reach[1] - reach[0]) / spacing / years.mean()
    return np.asarray(np.interp(radius, reach, count), np.float32)


def _late_wood(rng: np.random.Generator, phase: Singles) -> Singles:
    """Dark share of each ring: a slow rise and a sharp end, softened where rings crowd."""
    ring = np.floor(phase)
    part = np.asarray(phase - ring, np.float32)
    years = np.asarray(rng.uniform(0.55, 1.0, 600), np.float32)
    strength: Singles = years[np.clip(ring, 0, 599).astype(int)]
    crowd = np.hypot(np.gradient(phase, axis=0), np.gradient(phase, axis=1)).clip(0, 0.5)
    edge = np.asarray(1.0 - np.maximum(1.4 * crowd, 0.07), np.float32)
    dark = ramp(0.25, 0.86, part) ** 1.6 * (1.0 - ramp(edge, 1.0, part)) * strength
    keep = np.clip(1.0 - 4.0 * (crowd - 0.25), 0.0, 1.0)
    return np.asarray(dark * keep + 0.3 * (1.0 - keep), np.float32)


def _saw_marks(rng: np.random.Generator, shape: tuple[int, int]) -> Singles:
    """Faint band-saw strokes across the grain, a little askew and uneven in strength."""
    rows, columns = shape
    stroke = smooth_noise(rng, (4, columns), 4, 2.4)[0]
    lean = rng.uniform(-0.08, 0.08)
    shift = np.round((np.arange(rows) - rows / 2) * lean).astype(int)
    marks = stroke[(np.arange(columns)[None] + shift[:, None]) % columns]
    return np.asarray(marks * (0.6 + 0.4 * np.clip(smooth_noise(rng, shape, 60, 130), -1.2, 1.5)), np.float32)


def _end(rng: np.random.Generator) -> Bytes:
    """Rings on a cut end: arcs about a pith that is off the piece."""
    y, x = np.mgrid[0:END, 0:END].astype(np.float32) * np.float32(0.5)
    pith = rng.uniform(-60, 40), rng.uniform(-80, -10)
    radius = np.hypot(x - pith[0], y - pith[1]) + 0.7 * smooth_noise(rng, (END, END), 40, 40)
    dark = _late_wood(rng, _ring_phase(rng, radius, rng.uniform(3.0, 5.0)))
    rays = 0.08 * smooth_noise(rng, (END, END), 3, 3)
    return _share(dark * 0.8 + 0.1 + rays)
