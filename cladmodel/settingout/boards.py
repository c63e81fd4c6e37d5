"""Board pieces as polygons on their own back faces: notched, ripped and cut at joints."""

from __future__ import annotations

import functools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from cladmodel.settingout.openings import OpeningLines
from cladmodel.settingout.outline import FAR, Outline
from cladmodel.settingout.rectangles import Box, less
from cladmodel.settingout.rod import PENCIL
from cladmodel.settingout.strips import Ring, Strips, ring_of
from cladmodel.settingout.tilt import Hung, Profile

# Anything smaller than this is what is left of a cut, not a board. [mm2] about a thumbnail
CRUMB = 400.0
# No board is sawn or notched by less than this along its butt. [mm] common practice, no source
LEAST_CUT = 1.0
NOISE = 1e-9  # share of its area by which a rectangle's may be off its sides' product [-]


@dataclass(frozen=True, kw_only=True, eq=False)
class BoardPiece:
    """One board of one course; what is read off its polygon is read once.

    Attributes
    ----------
    course : int
        1 at the foot.
    letter : str
        a, b, ... from left to right.
    polygon : shapely.Polygon
        s along the wall, y up the board's back face. [mm]
    plain : bool
        Whether it is a plain rectangle.
    """

    course: int
    letter: str
    polygon: shapely.Polygon
    plain: bool

    @functools.cached_property
    def ring(self) -> Ring:
        """Corners, counter-clockwise, the first again at the end. [mm]"""
        return ring_of(self.polygon)

    @property
    def ends(self) -> tuple[float, float]:
        """Left and right end, where it is longest. [mm]"""
        return self._bounds[0], self._bounds[2]

    @property
    def edges(self) -> tuple[float, float]:
        """Lowest and highest y. [mm]"""
        return self._bounds[1], self._bounds[3]

    def height_over(self, left: float, right: float) -> tuple[float, float] | None:
        """Lowest and highest y that it keeps over a whole width; see `Strips.height_over`.

        Parameters
        ----------
        left, right : float
            [mm]
        """
        return self._strips.height_over(left, right)

    @functools.cached_property
    def _bounds(self) -> tuple[float, float, float, float]:
        low, bottom, high, top = self.polygon.bounds
        return float(low), float(bottom), float(high), float(top)

    @functools.cached_property
    def _strips(self) -> Strips:
        return Strips.of(self.ring)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Clad:
    """Where boards may be on a wall, and what of them is seen, in its x and y.

    Attributes
    ----------
    area : shapely.Geometry
        The wall less the gaps at its posts and stops and under its soffit. [mm]
    showing : shapely.Geometry
        What the cover fillet leaves of it to be seen. [mm]
    hides_from : float
        The fillet's lowest point. [mm]
    """

    area: shapely.Geometry
    showing: shapely.Geometry
    hides_from: float


def clad_area(
    outline: Outline,
    *,
    left: float,
    right: float,
    lean: float,
    fitting_gap: float,
    head_gap: float,
) -> shapely.Geometry:
    """Where boards may be: the wall less the gaps at its posts and under its soffit.

    Parameters
    ----------
    outline : Outline
    left, right : float
        Faces of the corner posts that boards stop against, at height 0. [mm]
    lean : float
        How far the right-hand post runs out per rise. [-]
    fitting_gap, head_gap : float
        [mm]

    Returns
    -------
    shapely.Geometry
        In the wall's x and y.
    """
    low, high = outline.lowest - 1.0, outline.highest + 1.0
    between = shapely.Polygon(
        [
            (left + fitting_gap, low),
            (right + lean * low - fitting_gap, low),
            (right + lean * high - fitting_gap, high),
            (left + fitting_gap, high),
        ]
    )
    return between.intersection(outline.raised(0.0)).intersection(outline.lowered(head_gap))


def course_polygons(
    clad: Clad,
    openings: Sequence[OpeningLines],
    profile: Profile,
    course: Hung,
    lap: float,
    next_line: float | None,
    hidden: Sequence[tuple[float, float]],
    *,
    level: bool,
) -> list[shapely.Polygon]:
    """Cut one course out of the clad area, on the board's own back face.

    Parameters
    ----------
    clad : Clad
        A piece that the cover fillet hides whole is left out.
    openings : sequence of OpeningLines
    profile : Profile
    course : Hung
    lap : float
        How much of the board below, and of the packer over it, stands behind this one, along the back.
        A strip no wider than this under a sill or a soffit hides next to nothing and cannot be held: it
        is left out. [mm]
    next_line : float or None
        Butt line of the course above; a strip over a head that it hides is left out. [mm]
    hidden : sequence of (left, right)
        Where the foot is so high that the course above hides this one whole. [mm]
    level : bool
        Whether notches are cut level in the wall instead of square to the board.

    Returns
    -------
    list of shapely.Polygon
        From left to right; s along the wall, y up the back. [mm]
    """
    cos = math.cos(course.tilt)

    def on_the_board(shape: shapely.Geometry) -> shapely.Geometry:
        return shapely.transform(shape, lambda points: (points - (0.0, course.butt_line)) / (1.0, cos))

    width = min(course.width, profile.width)
    # A level notch is that much less deep at the face; one that would vanish there is not cut.
    least = PENCIL + (profile.butt * math.tan(course.tilt) if level else 0.0)
    holes: list[Box] = [(low, -FAR, high, FAR) for low, high in hidden]
    for opening in openings:
        low = course.up_back(opening.clear_bottom) if math.isfinite(opening.clear_bottom) else -FAR
        high = course.up_back(opening.clear_top)
        if low <= lap:
            low = -FAR
        if next_line is not None and opening.clear_top >= next_line - PENCIL:
            high = FAR
        if low < width - PENCIL and high > least:
            holes.append((opening.clear_left, low, opening.clear_right, high))
    if is_plain(clad.area):
        left, low, right, high = clad.area.bounds
        left_over = less(
            (left, max(0.0, course.up_back(low)), right, min(width, course.up_back(high))), holes
        )
    else:
        whole = on_the_board(clad.area).intersection(shapely.box(-FAR, 0.0, FAR, width))
        left_over = [whole.difference(shapely.union_all([shapely.box(*hole) for hole in holes]))]
    pieces = [p for shape in left_over for p in _sound_polygons(shape) if p.bounds[3] > lap]
    if pieces and course.back_top > clad.hides_from:
        seen = on_the_board(clad.showing)
        pieces = [p for p in pieces if p.intersection(seen).area > CRUMB]
    return sorted(pieces, key=lambda p: p.bounds[0]) if len(pieces) > 1 else pieces


def _sound_polygons(shape: shapely.Geometry) -> list[shapely.Polygon]:
    if shape.geom_type == "Polygon":
        return [shape] if shape.area > CRUMB else []
    return [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon" and part.area > CRUMB]


def is_plain(polygon: shapely.Polygon) -> bool:
    """Whether a polygon is a rectangle with level and plumb sides.

    Parameters
    ----------
    polygon : shapely.Polygon
    """
    low, bottom, high, top = polygon.bounds
    return bool(abs((high - low) * (top - bottom) - polygon.area) < NOISE * polygon.area)


def are_plain(polygons: Sequence[shapely.Polygon]) -> list[bool]:
    """As `is_plain`, for many polygons at once.

    Parameters
    ----------
    polygons : sequence of shapely.Polygon
    """
    low, bottom, high, top = shapely.bounds(polygons).reshape(-1, 4).T
    area = shapely.area(polygons)
    plain: list[bool] = (np.abs((high - low) * (top - bottom) - area) < NOISE * area).tolist()
    return plain


def cut_at(polygon: shapely.Polygon, joints: Iterable[float], gap: float) -> list[shapely.Polygon]:
    """Cut a run at its joints.

    Parameters
    ----------
    polygon : shapely.Polygon
    joints : iterable of float
        Joint lines. [mm]
    gap : float
        Left open between two boards. [mm]

    Returns
    -------
    list of shapely.Polygon
        From left to right.
    """
    lines = list(joints)
    if not lines:
        return [polygon]
    starts = [-FAR, *(c + gap / 2 for c in lines)]
    ends = [*(c - gap / 2 for c in lines), FAR]
    if is_plain(polygon):
        low, bottom, high, top = polygon.bounds
        spans = [(max(a, low), min(b, high)) for a, b in zip(starts, ends, strict=True)]
        return [shapely.box(a, bottom, b, top) for a, b in spans if (b - a) * (top - bottom) > CRUMB]
    pieces = [
        piece
        for start, end in zip(starts, ends, strict=True)
        for piece in _sound_polygons(polygon.intersection(shapely.box(start, -FAR, end, FAR)))
    ]
    return sorted(pieces, key=lambda p: p.bounds[0])
