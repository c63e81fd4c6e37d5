"""A view that is no plumb section: an elevation (x right, y up) or a plan (x right, z down)."""

from __future__ import annotations

import math
from dataclasses import dataclass

from shapely.geometry import Polygon, box

from cladmodel.drawings.primitives import Dimension, Fill, Layer, Point
from cladmodel.drawings.view import figure


@dataclass(frozen=True, slots=True, kw_only=True)
class FlatView:
    """A window onto a flat picture, at a scale, somewhere on the paper.

    Attributes
    ----------
    scale : float
        Full size over paper size. [-]
    at : Point
        Where the point (0, 0) falls on the paper. [mm]
    low, high : Point
        Corners of the window: x and y of an elevation, x and z of a plan. [mm full size]
    plan : bool
        True for a plan seen from above: what is outside is at the foot of the sheet.
    """

    scale: float
    at: Point
    low: Point
    high: Point
    plan: bool = False

    @property
    def window(self) -> Polygon:
        """[mm full size]"""
        return box(*self.low, *self.high)

    def paper(self, point: Point) -> Point:
        """Turn a point of the picture into paper x and y."""
        up = -1 if self.plan else 1
        return self.at[0] + point[0] / self.scale, self.at[1] + up * point[1] / self.scale

    def fill(self, polygon: Polygon, colour: str, layer: Layer, outlined: bool = True) -> Fill:
        """Draw a polygon of the picture."""
        rings = [
            tuple(self.paper((x, y)) for x, y, *_ in ring.coords[:-1])
            for ring in (polygon.exterior, *polygon.interiors)
        ]
        return Fill(layer=layer, outline=rings[0], holes=tuple(rings[1:]), colour=colour, outlined=outlined)

    def level(
        self,
        what: str,
        start: Point,
        end: Point,
        line: float,
        words: str = "",
        *,
        outside: int = 0,
        spill: int = 1,
        plate: bool = False,
    ) -> Dimension:
        """Distance across the paper, drawn at paper height `line`."""
        value = abs(end[0] - start[0])
        return self._dimension(what, value, start, end, 0.0, (0.0, line), words, outside, spill, plate)

    def upright(
        self,
        what: str,
        start: Point,
        end: Point,
        line: float,
        words: str = "",
        *,
        outside: int = 0,
        spill: int = 1,
        plate: bool = False,
    ) -> Dimension:
        """Distance up the paper, drawn at paper x `line`."""
        value = abs(end[1] - start[1])
        return self._dimension(
            what, value, start, end, math.pi / 2, (line, 0.0), words, outside, spill, plate
        )

    def _dimension(
        self,
        what: str,
        value: float,
        start: Point,
        end: Point,
        angle: float,
        through: Point,
        words: str,
        outside: int,
        spill: int,
        plate: bool,
    ) -> Dimension:
        return Dimension(
            what=what,
            value=value,
            scale=self.scale,
            start=self.paper(start),
            end=self.paper(end),
            angle=angle,
            through=through,
            text=f"{words} {figure(value)}".strip(),
            outside=outside,
            spill=spill,
            plate=plate,
        )
