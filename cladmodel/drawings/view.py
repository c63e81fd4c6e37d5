"""One view of a vertical cut: places what is cut on the paper and draws it."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Protocol

import shapely
from shapely.geometry import Polygon, box

from cladmodel.drawings.materials import look
from cladmodel.drawings.primitives import (
    Angle,
    Dimension,
    Fill,
    Hatch,
    Layer,
    Line,
    Point,
    Polyline,
    Primitive,
)
from cladmodel.model import Kind
from cladmodel.schedules.profile import Cut, NailCut

SCALES = (1.0, 1.25, 2.0, 2.5, 4.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 40.0, 50.0, 75.0, 100.0)
"""Scales drawn to: those on a carpenter's scale rule (common practice, no source). [-]"""

PLAIN_FIGURE = 0.05
"""A figure within this of a whole millimetre is written without a decimal. [mm]"""

BREAK = 1.6
"""Half the height of a break line's zigzag. [mm on paper]"""

HAIR = 1e-6
"""Width of the band round a window's edge in which outlines are left out. [mm]"""


class Placed(Protocol):
    """Any view: a window of full size that is placed on the paper."""

    @property
    def window(self) -> Polygon:
        """[mm full size]"""

    def paper(self, point: Point) -> Point:
        """Turn a point of the window into paper x and y."""


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """A window onto a cut, at a scale, somewhere on the paper. Outside is on the left.

    Attributes
    ----------
    scale : float
        Full size over paper size. [-]
    at : Point
        Where the point (z = 0, y = 0) falls on the paper. [mm]
    inner, low, outer, high : float
        The window in z and y. [mm full size]
    """

    scale: float
    at: Point
    inner: float
    low: float
    outer: float
    high: float

    @property
    def window(self) -> Polygon:
        """The window in (z, y). [mm full size]"""
        return box(self.inner, self.low, self.outer, self.high)

    @property
    def left(self) -> float:
        """Left edge on paper. [mm]"""
        return self.at[0] - self.outer / self.scale

    @property
    def right(self) -> float:
        """Right edge on paper. [mm]"""
        return self.at[0] - self.inner / self.scale

    @property
    def bottom(self) -> float:
        """Bottom edge on paper. [mm]"""
        return self.at[1] + self.low / self.scale

    @property
    def top(self) -> float:
        """Top edge on paper. [mm]"""
        return self.at[1] + self.high / self.scale

    def paper(self, point: Point) -> Point:
        """Turn (z, y) into paper x and y."""
        return self.at[0] - point[0] / self.scale, self.at[1] + point[1] / self.scale

    def shows(self, point: Point) -> bool:
        """Whether a point (z, y) lies in the window."""
        return self.inner <= point[0] <= self.outer and self.low <= point[1] <= self.high

    def vertical(
        self,
        what: str,
        start: Point,
        end: Point,
        x: float,
        words: str = "",
        *,
        outside: int = 0,
        spill: int = 1,
        plate: bool = False,
    ) -> Dimension:
        """Plumb distance between two points (z, y), drawn at paper `x`."""
        return self._dimension(
            what, start, end, math.pi / 2, (x, 0.0), words, outside, spill, plate, extended=True
        )

    def level(
        self,
        what: str,
        start: Point,
        end: Point,
        y: float,
        words: str = "",
        *,
        outside: int = 0,
        spill: int = 1,
        plate: bool = False,
    ) -> Dimension:
        """Level distance between two points (z, y), drawn at paper height `y`."""
        return self._dimension(
            what, start, end, math.pi, (0.0, y), words, outside, spill, plate, extended=True
        )

    def slanting(
        self,
        what: str,
        start: Point,
        end: Point,
        along: Point,
        off: float,
        words: str = "",
        *,
        outside: int = 0,
        spill: int = 1,
        plate: bool = False,
    ) -> Dimension:
        """Distance along a direction (z, y), drawn `off` millimetres of paper beside the start.

        Parameters
        ----------
        what : str
        start, end : Point
            (z, y). [mm]
        along : Point
            Unit vector (z, y). [-]
        off : float
            To the left of that direction on paper; negative to the right. [mm]
        words : str
            What to write before the figure.
        outside, spill : int
            As in `Dimension`.
        plate : bool
        """
        angle = math.atan2(along[1], -along[0])
        x, y = self.paper(start)
        through = (x - math.sin(angle) * off, y + math.cos(angle) * off)
        return self._dimension(
            what, start, end, angle, through, words, outside, spill, plate, extended=off != 0
        )

    def _dimension(
        self,
        what: str,
        start: Point,
        end: Point,
        angle: float,
        through: Point,
        words: str,
        outside: int,
        spill: int,
        plate: bool,
        *,
        extended: bool,
    ) -> Dimension:
        along = (-math.cos(angle), math.sin(angle))
        value = abs((end[0] - start[0]) * along[0] + (end[1] - start[1]) * along[1])
        written = f"{words} {figure(value)}".strip()
        return Dimension(
            what=what,
            value=value,
            scale=self.scale,
            start=self.paper(start),
            end=self.paper(end),
            angle=angle,
            through=through,
            text=written,
            outside=outside,
            spill=spill,
            plate=plate,
            extended=extended,
        )

    def tilt(self, foot: Point, tilt: float, radius: float, plate: bool = False) -> Angle:
        """Lean of a back face from plumb, its arc `radius` millimetres of paper above its foot."""
        x, y = self.paper(foot)
        upright = math.pi / 2
        low, high = sorted((upright - tilt, upright))
        return Angle(
            what="tilt",
            value=tilt,
            centre=(x, y),
            radius=radius,
            start=low,
            end=high,
            text=f"tilt {math.degrees(tilt):.1f}°",
            text_at=(x, y + radius + 2.5),
            plate=plate,
        )


def figure(value: float) -> str:
    """Write millimetres: whole ones plain, others with one decimal."""
    whole = round(value)
    return f"{whole}" if abs(value - whole) < PLAIN_FIGURE else f"{value:.1f}"


def largest_scale(
    width: float, height: float, room_width: float, room_height: float, most: float = 1.0
) -> float:
    """The largest scale at which a full-size extent fits its room on paper.

    Parameters
    ----------
    width, height : float
        [mm full size]
    room_width, room_height : float
        [mm on paper]
    most : float
        No larger than this one: 2 for 1:2.
    """
    need = max(width / max(room_width, 1.0), height / max(room_height, 1.0), most)
    return next((scale for scale in SCALES if scale >= need - 1e-9), SCALES[-1])


def pieces(view: Placed, cuts: Iterable[Cut], hatched: bool = True) -> Iterator[Primitive]:
    """Draw everything cut that the window shows; outlines stop where the window cuts them.

    Parameters
    ----------
    view : Placed
    cuts : iterable of (Part, Polygon)
        In the view's own coordinates. [mm]
    hatched : bool
        False leaves the hatches out, for small scales.
    """
    window = view.window
    edge = window.boundary.buffer(HAIR)
    last = (Kind.MEMBRANE, Kind.FLASHING)
    for part, polygon in sorted(cuts, key=lambda cut: cut[0].kind in last):
        style = look(part)
        for shown in _polygons(polygon.intersection(window)):
            outline = tuple(view.paper(p) for p in shown.exterior.coords[:-1])
            holes = tuple(tuple(view.paper(p) for p in ring.coords[:-1]) for ring in shown.interiors)
            yield Fill(layer=Layer.CUT, outline=outline, holes=holes, colour=style.colour, outlined=False)
            if hatched and style.angle is not None:
                yield Hatch(
                    outline=outline,
                    holes=holes,
                    angle=style.angle,
                    spacing=style.spacing,
                    crossed=style.crossed,
                )
            layer = Layer.CUT if hatched else Layer.SEEN
            for line in shapely.get_parts(shapely.line_merge(shown.boundary.difference(edge))):
                yield Polyline(layer=layer, points=tuple(view.paper(p) for p in line.coords))


def _polygons(shape: shapely.Geometry) -> list[Polygon]:
    return [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon" and part.area > 0]


def nails(view: View, found: Iterable[NailCut]) -> Iterator[Primitive]:
    """Draw nails at their true size, head and shank."""
    for nail in found:
        if not view.shows(nail.head):
            continue
        (z0, y0), (z1, y1) = nail.head, nail.point
        length = math.dist(nail.head, nail.point)
        u = ((z1 - z0) / length, (y1 - y0) / length)
        n = (-u[1], u[0])
        r, rh = nail.diameter / 2, nail.head_diameter / 2

        def at(along: float, aside: float, start: Point = nail.head, u: Point = u, n: Point = n) -> Point:
            return view.paper(
                (start[0] + u[0] * along + n[0] * aside, start[1] + u[1] * along + n[1] * aside)
            )

        shank = (at(0, r), at(length - 2 * r, r), at(length, 0), at(length - 2 * r, -r), at(0, -r))
        head = (at(-1.0, rh), at(0, rh), at(0, -rh), at(-1.0, -rh))
        yield Fill(layer=Layer.SEEN, outline=shank, colour="#2b2b2b")
        yield Fill(layer=Layer.SEEN, outline=head, colour="#2b2b2b")


def air(view: View, points: Iterable[Point]) -> Polyline:
    """An arrow along the air's way, through points (z, y)."""
    return Polyline(layer=Layer.AIR, points=tuple(view.paper(p) for p in points), arrow=True)


def break_level(view: View, y: float, cuts: Iterable[Cut]) -> Iterator[Primitive]:
    """A level break line with a zigzag across what the window cuts off at height `y`."""
    spans = [
        polygon.bounds for _, polygon in cuts if polygon.bounds[1] < y - HAIR and polygon.bounds[3] > y + HAIR
    ]
    spans = [s for s in spans if s[2] > view.inner and s[0] < view.outer]
    if not spans:
        return
    low = max(min(s[0] for s in spans), view.inner)
    high = min(max(s[2] for s in spans), view.outer)
    (x0, level), (x1, _) = view.paper((high, y)), view.paper((low, y))
    middle = (x0 + x1) / 2
    yield Polyline(
        layer=Layer.SEEN,
        points=(
            (x0 - 2.5, level),
            (middle - 1.4, level),
            (middle - 0.7, level + BREAK),
            (middle + 0.7, level - BREAK),
            (middle + 1.4, level),
            (x1 + 2.5, level),
        ),
    )


def break_plumb(view: View, z: float, low: float, high: float) -> Polyline:
    """A plumb break line at `z` between two heights. [mm full size]"""
    (x, y0), (_, y1) = view.paper((z, low)), view.paper((z, high))
    middle = (y0 + y1) / 2
    return Polyline(
        layer=Layer.SEEN,
        points=(
            (x, y0 - 1.5),
            (x, middle - 1.4),
            (x + BREAK, middle - 0.7),
            (x - BREAK, middle + 0.7),
            (x, middle + 1.4),
            (x, y1 + 1.5),
        ),
    )


def ground(view: View, level: float, inner: float) -> Iterator[Primitive]:
    """Finished ground from the window's outer edge in to `inner`, hatched below."""
    (x0, y), (x1, _) = view.paper((view.outer, level)), view.paper((inner, level))
    yield Hatch(outline=((x0, y), (x1, y), (x1, y - 2.6), (x0, y - 2.6)), angle=math.radians(45), spacing=1.3)
    yield Line(layer=Layer.GROUND, start=(x0, y), end=(x1, y))


def soffit(view: View, level: float, inner: float, outer: float) -> Iterator[Primitive]:
    """Underside of the soffit between two distances out, hatched above."""
    (x0, y), (x1, _) = view.paper((outer, level)), view.paper((inner, level))
    yield Hatch(
        outline=((x0, y), (x1, y), (x1, y + 2.6), (x0, y + 2.6)), angle=math.radians(135), spacing=1.3
    )
    yield Line(layer=Layer.GROUND, start=(x0, y), end=(x1, y))
