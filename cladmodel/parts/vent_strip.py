"""Perforated vent strip: along every stretch of the foot, through the relieved posts, and over openings."""

from __future__ import annotations

import functools
import itertools
from collections.abc import Callable, Iterator

import numpy as np
import shapely

from cladmodel.model import CornerKind, Kind
from cladmodel.parts.piece import Piece
from cladmodel.scene.job import Scene
from cladmodel.settingout.battens import LEAST_BAY
from cladmodel.settingout.outline import Run
from cladmodel.settingout.setout import SetOut, between_battens
from cladmodel.solids.plates import Plate, frame

Span = tuple[float, float]
Perforated = Callable[[float, Span, float], shapely.Polygon]

SLOT_MARGIN = 4.0  # solid edge left along a perforated strip [mm] common practice, no source

# A strip is slid along to where each bay gets this share of the slots it would have by its width, if it can.
# [-] common practice, no source
FAIR = 0.5
SLIDES = 16  # places tried
LEAST_FREE = 12.0  # a strip that shows less between two battens has no room for a slot [mm]

# Shortest length of strip, if there are more: a post may stand on part. [mm] common practice, no source
LEAST = 300.0


def vent_strip_pieces(scene: Scene, done: SetOut) -> list[Piece]:
    """Make the vent strips of a wall.

    Parameters
    ----------
    scene : Scene
    done : SetOut

    Returns
    -------
    list of Piece
    """
    pieces = []
    # Most lengths are cut from whole stock and slotted alike.
    perforated = functools.cache(functools.partial(_perforated, scene))
    for number, (run, low, high) in enumerate(_lengths(scene, done)):
        pieces.append(_strip(scene, done, f"{done.letter}V{number + 1}", run, low, high, perforated))
    return pieces


def _lengths(scene: Scene, done: SetOut) -> Iterator[tuple[Run, float, float]]:
    """Each length of strip: the line it lies on, and its left and right end. [mm]"""
    first, last = strip_ends(scene, done)
    doors = [(o.left, o.right) for o in done.openings if o.door]
    for run in done.outline.foot_runs():
        low = first if run.left <= 0 else run.left
        high = last if run.right >= done.outline.length else run.right
        for left, right in without(doors, low, high):
            for a, b in _cut(left, right, scene.vent_strip.stock):
                yield run, a, b
    for opening in done.openings:
        level = opening.clear_top
        left, right = between_battens(done, opening, level, level + scene.vent_strip.thickness)
        over = Run(left=left, right=right, left_up=level, right_up=level)
        for a, b in _cut(left, right, scene.vent_strip.stock):
            yield over, a, b


def strip_ends(scene: Scene, done: SetOut) -> tuple[float, float]:
    """Where a wall's strip begins and ends, so that round every corner it lies once. [mm]

    Parameters
    ----------
    scene : Scene
    done : SetOut
    """
    cavity = scene.battens.thickness
    left = {CornerKind.END: -cavity, CornerKind.OUTSIDE: 0.0, CornerKind.INSIDE: cavity}[done.side.left]
    beyond = {CornerKind.END: cavity, CornerKind.OUTSIDE: cavity, CornerKind.INSIDE: 0.0}[done.side.right]
    return left, done.outline.length + beyond


def without(holes: list[tuple[float, float]], low: float, high: float) -> list[tuple[float, float]]:
    """Stretches that are left of a line when some are taken out. [mm]

    Parameters
    ----------
    holes : list of (left, right)
    low, high : float
    """
    spans = [(low, high)]
    for left, right in holes:
        spans = [s for a, b in spans for s in ((a, min(b, left)), (max(a, right), b))]
    return [(a, b) for a, b in spans if b - a > 1.0]


def _cut(low: float, high: float, stock: float) -> list[tuple[float, float]]:
    cuts = [*np.arange(low, high - 1.0, stock), high]
    if len(cuts) > 2:  # the last would else be a scrap without a slot
        cuts[-2] = min(cuts[-2], max(high - LEAST, cuts[-3] + LEAST))
    return [(float(a), float(b)) for a, b in itertools.pairwise(cuts)]


def _strip(
    scene: Scene, done: SetOut, mark: str, run: Run, left: float, right: float, perforated: Perforated
) -> Piece:
    """One length: lying flat; or along a sloping foot, and flat again where it is under a post."""
    cavity = scene.battens.thickness
    # Where a slope meets the flat the strip is cut back by what its thickness leans over.
    back = scene.vent_strip.thickness * abs(run.slope)
    if run.level:
        bodies = [_body(scene, done, run, left, right, perforated)]
    else:
        ends = max(left, run.left) + back, min(right, run.right) - back
        bodies = [_body(scene, done, run, *ends, perforated)]
        for up, low, high in ((run.left_up, left, run.left), (run.right_up, run.right, right)):
            if high > low:
                under = Run(left=low, right=high, left_up=up, right_up=up)
                bodies.append(_body(scene, done, under, low, high, perforated))
    return Piece(
        mark=mark,
        kind=Kind.VENT_STRIP,
        wall=done.name,
        bodies=tuple(bodies),
        section=f"{cavity:g} x {scene.vent_strip.thickness:g} perforated",
        cut_length_mm=(right - left) * run.stretch,
        material="plastic",
    )


def _body(scene: Scene, done: SetOut, run: Run, left: float, right: float, perforated: Perforated) -> Plate:
    stretch = run.stretch
    cos, sin = 1.0 / stretch, run.slope / stretch
    # Slots keep clear of the corners, where the strip is under a post.
    free = (max(left, 0.0) - left) * stretch, (min(right, done.outline.length) - left) * stretch
    bays = _bays(done, run, max(left, 0.0), min(right, done.outline.length))
    bays = [((a - left) * stretch, (b - left) * stretch) for a, b in bays]
    free = free[0] + SLOT_MARGIN, free[1] - SLOT_MARGIN
    return Plate(
        polygon=perforated((right - left) * stretch, free, _first_slot(scene, free, bays)),
        thickness=scene.vent_strip.thickness,
        frame=frame((left, run.up(left), 0.0), (-cos, -sin, 0.0), (0.0, 0.0, 1.0)),
    )


def _bays(done: SetOut, run: Run, left: float, right: float) -> list[Span]:
    """Bays between the battens that stand on a strip. [mm]"""
    on_top = max(run.up(left), run.up(right)) + LEAST_BAY
    edges = [b.edges_at(on_top) for b in done.battens if b.foot < on_top < b.head]
    standing = sorted(edge for edge in edges if left < edge[1] and edge[0] < right)
    ends = [left, *(b for _, b in standing)], [*(a for a, _ in standing), right]
    return [(a, b) for a, b in zip(*ends, strict=True) if b - a > LEAST_FREE]


def _slots(scene: Scene, free: Span, first: float) -> int:
    """How many slots a strip has from the first of them on."""
    strip = scene.vent_strip
    return max(int((free[1] - first + strip.slot_spacing - strip.slot_length) // strip.slot_spacing), 0)


def _first_slot(scene: Scene, free: Span, bays: list[Span]) -> float:
    """Where the first slot begins: the slots in the middle of the strip, or where no bay goes short. [mm]"""
    strip = scene.vent_strip
    count = _slots(scene, free, free[0])
    middle = free[0] + (free[1] - free[0] - (count - 1) * strip.slot_spacing - strip.slot_length) / 2
    if not bays or not count:
        return middle
    left, right = np.array(bays)[:, :, None].transpose(1, 0, 2)

    def fair(first: float) -> float:
        start = first + strip.slot_spacing * np.arange(_slots(scene, free, first))
        open_ = np.minimum(start + strip.slot_length, right) - np.maximum(start, left)
        own = np.where(open_ >= strip.slot_width, open_, 0.0).sum(axis=1) / (right - left)[:, 0]
        return min(float(own.min()) * strip.slot_spacing / strip.slot_length, FAIR)

    slid = (free[0] + strip.slot_spacing * n / SLIDES for n in range(SLIDES))
    return middle if fair(middle) == FAIR else max((middle, *slid), key=fair)


def _perforated(scene: Scene, length: float, free: Span, begin: float) -> shapely.Polygon:
    """A strip in its own plane (s from -length to 0, y = z of the wall), slotted right through."""
    strip, cavity = scene.vent_strip, scene.battens.thickness
    count = _slots(scene, free, begin)
    pitch = cavity / strip.rows
    starts = begin + strip.slot_spacing * np.arange(count)
    middles = -cavity + pitch * (np.arange(strip.rows) + 0.5)
    half, long = strip.slot_width / 2, strip.slot_length
    slots = np.empty((count, strip.rows, 5, 2))
    slots[..., 0] = -starts[:, None, None] + np.array([0.0, 0.0, -long, -long, 0.0])
    slots[..., 1] = middles[:, None] + np.array([-half, half, half, -half, -half])
    shell = shapely.linearrings([(0.0, -cavity), (0.0, 0.0), (-length, 0.0), (-length, -cavity)])
    return shapely.polygons(shell, holes=shapely.linearrings(slots.reshape(-1, 5, 2)))
