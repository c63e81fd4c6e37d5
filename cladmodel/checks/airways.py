r"""Every way air takes into and out of a bay, measured on the solids.

Upright cut through the head of a bay: the boards are one side of the way, soffit and fillet the other::

    membrane  |          soffit
              |  cavity  ------------+
              |    /|   <- gap ->  | fillet |
              |   / |              +--------+
              |  /  |  boards

At the foot a perforated strip lies across the cavity: its slots are measured in plan.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from cladmodel.checks import bays as grid
from cladmodel.checks.bays import BEHIND, INSIDE, Bay
from cladmodel.checks.finding import Point, point
from cladmodel.checks.rules import TOUCH
from cladmodel.checks.shadows import plan
from cladmodel.checks.slots import free_slots
from cladmodel.model import Kind, Layer, Model, Part, Wall
from cladmodel.solids.measure import Floats, Ints, bounds, gather
from cladmodel.solids.sections import section_polygons

COLUMNS = 5
"""Least upright cuts across one bay. [-]"""

NEAR = 200.0
"""Trims this near a stretch's end are what it ends at; openings are set out further apart. [mm]"""

FAR = 1000.0
"""Depth of the half-plane that stands for a soffit. [mm]"""

_BOARDS = (Kind.BOARD, Kind.STARTER)
_ENDS = (Kind.FILLET, Kind.SILL, Kind.FLASHING, Kind.HEAD_TRIM)
_OPENING_HEAD = (Kind.FLASHING, Kind.HEAD_TRIM)


class Place(StrEnum):
    """Where a way opens."""

    FOOT = "foot"
    HEAD = "head"
    SILL = "sill"
    OPENING = "opening head"


@dataclass(frozen=True, slots=True, kw_only=True)
class Airway:
    """One opening of one bay.

    Attributes
    ----------
    wall : str
    place : Place
    left, right : float
        Of the bay. [mm]
    area : float
        Free, at the narrowest. [mm2]
    narrowest : float
        Width of the way there: of the widest slot of a strip, else of the gap. [mm]
    where : (x, y, z)
        [mm]
    beside : str
        Mark of what narrows it; ``soffit`` for the soffit.
    hole : float
        Widest hole an insect finds. [mm]
    stripped : bool
        Whether a perforated strip lies across it.
    """

    wall: str
    place: Place
    left: float
    right: float
    area: float
    narrowest: float
    where: Point
    beside: str
    hole: float
    stripped: bool


@lru_cache(maxsize=2)
def _bays(model: Model, wall: str) -> tuple[Bay, ...]:
    return tuple(grid.bays(model, wall))


def airways(model: Model, wall: str) -> list[Airway]:
    """Measure both ends of every stretch of every bay of a wall.

    Parameters
    ----------
    model : Model
    wall : str

    Returns
    -------
    list of Airway
        Bay by bay from the left, lower end first.
    """
    behind = (*BEHIND, Layer.POSTS)
    parts = [p for p in model.parts if p.wall == wall and p.layer not in behind]
    strips = [(p, plan(p)) for p in parts if p.kind is Kind.VENT_STRIP]
    solid = [p for p in parts if p.kind is not Kind.VENT_STRIP]
    place = model.wall_by_name[wall]
    start, end = (bound[:, 0] for bound in bounds(gather(solid)))
    found: list[Airway] = []
    for bay in _bays(model, wall):
        left, right = float(bay.x[0]) - INSIDE, float(bay.x[-1]) + INSIDE
        at = _across_bay(left, right, np.concatenate([start, end]))
        met = [np.flatnonzero((start < x) & (x < end)) for x, _ in at]
        cuts = [section_polygons([solid[i] for i in own], x=x) for (x, _), own in zip(at, met, strict=True)]
        clad = [clad_between(place, x) for x, _ in at]
        runs = _stretches(bay)
        for number, rows in enumerate(runs):
            low, high = float(bay.y[rows[0]]), float(bay.y[rows[-1]])
            # Rows are level: where foot or soffit is not, the run goes on to it at each cut.
            ends = [
                (
                    min(low, foot) if number == 0 and not _over_opening(cut, low) else low,
                    max(high, top) if number == len(runs) - 1 else high,
                )
                for cut, (foot, top) in zip(cuts, clad, strict=True)
            ]
            sides = [_sides(cut, *end, top) for cut, end, (_, top) in zip(cuts, ends, clad, strict=True)]
            inside = [solid[i] for i in np.flatnonzero((start < right) & (end > left))]
            under = [(a, b) for a, b, _ in sides]
            foot = min(lowest for lowest, _ in ends), low
            found.append(_lower(bay, (left, right), foot, at, under, strips, inside, wall))
            found.append(_upper((left, right), high, at, [(a, t) for a, _, t in sides], wall))
    return found


Cut = tuple[float, float]
"""Where a bay is cut upright [mm], and the share of its width that the cut stands for."""


def _across_bay(left: float, right: float, ends: Floats) -> list[Cut]:
    """Cuts in the middle of every stretch between the ends of pieces, long stretches parted evenly."""
    inside = ends[(ends > left + INSIDE) & (ends < right - INSIDE)]
    edges = np.unique(np.round(np.concatenate([[left, right], inside]), 3))
    cuts: list[Cut] = []
    for low, high in zip(edges[:-1].tolist(), edges[1:].tolist(), strict=True):
        parts = math.ceil((high - low) / (right - left) * COLUMNS)
        step = (high - low) / parts
        cuts += [(low + (i + 0.5) * step, step / (right - left)) for i in range(parts)]
    return cuts


def _stretches(bay: Bay) -> list[Ints]:
    """Runs of rows with membrane behind, or a flashing's upstand (with its strip before it) in its place."""
    instead = (Kind.FLASHING, Kind.VENT_STRIP)
    upstand = np.array([p.kind in instead for p in bay.parts] + [False])[bay.hit]
    row = np.flatnonzero((bay.backed | upstand).all(axis=1))
    return [r for r in np.split(row, np.flatnonzero(np.diff(row) > 1) + 1) if len(r)]


def _over_opening(cut: Sequence[tuple[Part, Polygon]], low: float) -> bool:
    """Whether what begins at a height begins over a head trim: a door leaves its bays no foot."""
    return any(
        part.kind in _OPENING_HEAD and polygon.bounds[1] < low + NEAR and polygon.bounds[3] > low - NEAR
        for part, polygon in cut
    )


Piece = tuple[str, Kind | None, Polygon]
"""Mark, kind and cut of one piece; the soffit has no kind."""


def _sides(
    cut: Sequence[tuple[Part, Polygon]], low: float, high: float, soffit: float
) -> tuple[list[Piece], list[Piece], list[Piece]]:
    """Boards of a stretch with what touches them, what ends it below, and what ends it above."""
    pieces: list[Piece] = [(part.mark, part.kind, polygon) for part, polygon in cut]
    shapes = np.array([polygon for _, polygon in cut], np.object_)
    _, bottom, _, top = shapely.bounds(shapes).T
    near = (top >= low - NEAR) & (bottom <= high + NEAR)
    half_way = (bottom + top) / 2
    inside = (low - NEAR / 2 < half_way) & (half_way < high + NEAR / 2)
    board = np.array([part.kind in _BOARDS for part, _ in cut], np.bool_)
    stack, others = np.flatnonzero(near & board & inside), np.flatnonzero(near & ~board)
    held = []
    for i in others:
        beside = stack[(bottom[stack] <= top[i] + TOUCH) & (top[stack] >= bottom[i] - TOUCH)]
        if pieces[i][1] not in _ENDS and _thin(shapes[i]):
            held += [i] if (shapely.distance(shapes[beside], shapes[i]) < TOUCH).any() else []
    own = [pieces[i] for i in (*stack, *held)]
    rest = [pieces[i] for i in others if i not in held]
    middle = (low + high) / 2
    # Trims beside the bay reach into it half-way up; only what stands near an end narrows it.
    below = [r for r in rest if r[2].centroid.y < middle and r[2].bounds[1] < low + NEAR]
    above = [r for r in rest if r[2].centroid.y >= middle and r[2].bounds[3] > high - NEAR]
    if not any(kind is Kind.SILL for _, kind, _ in above):
        above.append(("soffit", None, shapely.box(-FAR, soffit, FAR, soffit + FAR)))
    return own, below, above


def _thin(polygon: Polygon) -> bool:
    """Whether a piece stays in front of the battens' faces, as packers do: it narrows no cavity."""
    return bool(polygon.bounds[0] > -TOUCH)


def clad_between(wall: Wall, x: float) -> tuple[float, float]:
    """Foot and soffit at a place along a wall, from its outline.

    Parameters
    ----------
    wall : Wall
    x : float
        [mm]

    Returns
    -------
    foot, soffit : float
        [mm]
    """
    low, high = wall.outline[:, 1].min(), wall.outline[:, 1].max()
    upright = shapely.LineString([(x, low - 1.0), (x, high + 1.0)])
    crossed = upright.intersection(Polygon(wall.outline))
    if crossed.is_empty:
        return float(low), float(wall.head)
    return float(crossed.bounds[1]), float(crossed.bounds[3])


def _gap(one: Sequence[Piece], other: Sequence[Piece]) -> tuple[float, tuple[float, float], str]:
    """Narrowest way between two sides of a cut: its width, its middle (z, y), and what narrows it."""
    if not one or not other:
        return float("inf"), (0.0, 0.0), ""
    a, b = (np.array([polygon for _, _, polygon in side], np.object_) for side in (one, other))
    width = shapely.distance(a[:, None], b)
    row, column = np.unravel_index(int(width.argmin()), width.shape)
    z, y = shapely.get_coordinates(shapely.shortest_line(a[row], b[column])).mean(axis=0)
    return float(width[row, column]), (float(z), float(y)), other[int(column)][0]


def _upper(
    bay: tuple[float, float],
    high: float,
    at: Sequence[Cut],
    sides: Sequence[tuple[list[Piece], list[Piece]]],
    wall: str,
) -> Airway:
    gaps = [_gap(own, above) for own, above in sides]
    sill = any(kind is Kind.SILL for _, above in sides for _, kind, _ in above)
    return _between(bay, Place.SILL if sill else Place.HEAD, gaps, at, high, wall)


def _between(
    bay: tuple[float, float],
    place: Place,
    gaps: Sequence[tuple[float, tuple[float, float], str]],
    at: Sequence[Cut],
    height: float,
    wall: str,
) -> Airway:
    """An open gap between two sides: its free area over the bay, its least width and where."""
    widths = [width for width, _, _ in gaps]
    least = int(np.argmin(widths))
    width, (z, y), beside = gaps[least]
    left, right = bay
    if not np.isfinite(width):
        # Nothing on one side of it: open as far as the bay reaches.
        return Airway(wall=wall, place=place, left=left, right=right, area=FAR * (right - left),
                      narrowest=FAR, where=point(at[least][0], height, 0.0), beside="nothing", hole=FAR,
                      stripped=False)  # fmt: skip
    return Airway(
        wall=wall,
        place=place,
        left=left,
        right=right,
        area=sum(width * share for width, (_, share) in zip(widths, at, strict=True)) * (right - left),
        narrowest=width,
        where=point(at[least][0], y, z),
        beside=beside,
        hole=float(max(widths)),
        stripped=False,
    )


def _lower(
    bay: Bay,
    span: tuple[float, float],
    foot: tuple[float, float],
    at: Sequence[Cut],
    sides: Sequence[tuple[list[Piece], list[Piece]]],
    strips: Sequence[tuple[Part, BaseGeometry]],
    inside: Sequence[Part],
    wall: str,
) -> Airway:
    """The foot of a stretch: through a strip in plan and, over an opening, the gap below the boards too.

    The foot is lowest and highest where it slopes.
    """
    low = foot[1]
    over = [piece for _, below in sides for piece in below if piece[1] in _OPENING_HEAD]
    place = Place.OPENING if over else Place.FOOT
    across = [(p, plan) for p, plan in strips if _lies_across(p, span, foot, over)]
    gaps = [_gap(own, [b for b in below if b[1] in _OPENING_HEAD]) for own, below in sides]
    open_gap = _between(span, place, gaps, at, low, wall) if over else None
    if not across:
        return open_gap or _open_foot(bay, span, low, wall)
    through = _through(bay, span, across, inside, place, wall)
    return open_gap if open_gap is not None and open_gap.area < through.area else through


def _lies_across(
    strip: Part, span: tuple[float, float], foot: tuple[float, float], over: Sequence[Piece]
) -> bool:
    a, b = strip.vertices.min(axis=0), strip.vertices.max(axis=0)
    if a[0] >= span[1] or b[0] <= span[0]:
        return False
    base = min((piece[2].bounds[1] for piece in over), default=foot[0])
    return bool(min(base, foot[0]) - NEAR < b[1] and a[1] < foot[1] + NEAR)


def _through(
    bay: Bay,
    span: tuple[float, float],
    across: Sequence[tuple[Part, BaseGeometry]],
    inside: Sequence[Part],
    place: Place,
    wall: str,
) -> Airway:
    rest = [p for p in inside if p.kind not in _OPENING_HEAD]
    slots = free_slots(across, rest, span, bay.face)
    # Where two strips meet in a bay, the one whose slot is the widest is the one to name.
    there = [s for s, _ in across if s.vertices[:, 0].min() < slots.middle[0] < s.vertices[:, 0].max()]
    strip = there[0] if there else across[0][0]
    return Airway(
        wall=wall,
        place=place,
        left=span[0],
        right=span[1],
        area=slots.area,
        narrowest=slots.widest,
        where=point(slots.middle[0], strip.vertices[:, 1].max(), slots.middle[1]),
        beside=strip.mark,
        hole=slots.widest,
        stripped=True,
    )


def _open_foot(bay: Bay, span: tuple[float, float], low: float, wall: str) -> Airway:
    """No strip: the whole depth of the cavity, to the battens' faces, is open."""
    depth = -bay.face
    return Airway(
        wall=wall,
        place=Place.FOOT,
        left=span[0],
        right=span[1],
        area=depth * (span[1] - span[0]),
        narrowest=depth,
        where=point(sum(span) / 2, low, bay.face / 2),
        beside="nothing",
        hole=depth,
        stripped=False,
    )


def cavity_narrowest(model: Model, wall: str) -> Iterator[tuple[float, float, float, float, str]]:
    """Least clear depth of each bay: depth, then x, y, z of it and the mark of what is in front.

    Parameters
    ----------
    model : Model
    wall : str
    """
    ends = (*_ENDS, Kind.SIDE_TRIM, Kind.VENT_STRIP, Kind.BATTEN)
    for bay in _bays(model, wall):
        ending = np.array([p.kind in ends for p in bay.parts] + [True])[bay.hit]
        depth = np.where(bay.backed & ~ending & (bay.hit >= 0), bay.depth, np.inf)
        row, column = np.unravel_index(int(depth.argmin()), depth.shape)
        if np.isfinite(depth[row, column]):
            mark = bay.parts[bay.hit[row, column]].mark
            clear = float(depth[row, column])
            yield clear, float(bay.x[column]), float(bay.y[row]), bay.face + clear, mark
