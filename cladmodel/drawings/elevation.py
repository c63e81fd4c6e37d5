"""The elevation sheet: every board with its mark, joints, battens, nails, openings and the rod."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np
from shapely.geometry import Polygon

from cladmodel.drawings.covers import IN_FRONT, front_outline, shown_polygons, visible_covers
from cladmodel.drawings.layout import DRAWING, heading, surround
from cladmodel.drawings.lettering import DESCENT, body, text_box
from cladmodel.drawings.primitives import (
    A3,
    SMALLEST_LETTERS,
    Across,
    Dimension,
    Fill,
    Hatch,
    Layer,
    Line,
    Point,
    Primitive,
    Sheet,
    Text,
)
from cladmodel.drawings.section_parts import HEADING_ROOM, Margins
from cladmodel.drawings.view import figure, largest_scale
from cladmodel.model import Kind, Model, Part, Use, Wall
from cladmodel.schedules.rod import rod

_MARGINS = Margins(left=40.0, bottom=22.0, right=24.0, top=3.0)
_CHAIN = 7.0
"""Between two chains of dimensions. [mm on paper]"""
_FIGURE = 10.0
"""Room that a figure of four digits takes on its line. [mm on paper]"""
_NAIL = 0.3
"""Radius of the dot that stands for a nail. [mm on paper]"""
_SLIT = 0.4
"""Half of the widest slit that is no place for letters. [mm on paper]"""
_BOARD = "#f3e3c4"
_TRIM = "#dfc398"
_METAL = "#8d939a"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Front:
    """Places wall x and y on the paper."""

    scale: float
    at: Point

    def paper(self, x: float, y: float) -> Point:
        return self.at[0] + x / self.scale, self.at[1] + y / self.scale

    def fill(self, polygon: Polygon, colour: str, layer: Layer) -> Fill:
        rings = [
            tuple(self.paper(x, y) for x, y, *_ in ring.coords[:-1])
            for ring in (polygon.exterior, *polygon.interiors)
        ]
        return Fill(layer=layer, outline=rings[0], holes=tuple(rings[1:]), colour=colour)

    def level(self, what: str, x0: float, x1: float, y: float, line: float) -> Dimension:
        return Dimension(
            what=what,
            value=abs(x1 - x0),
            scale=self.scale,
            start=self.paper(x0, y),
            angle=0.0,
            end=self.paper(x1, y),
            through=(0.0, line),
            text=figure(abs(x1 - x0)),
        )

    def upright(self, what: str, y0: float, y1: float, x: float, line: float) -> Dimension:
        return Dimension(
            what=what,
            value=abs(y1 - y0),
            scale=self.scale,
            start=self.paper(x, y0),
            end=self.paper(x, y1),
            angle=math.pi / 2,
            through=(line, 0.0),
            text=figure(abs(y1 - y0)),
        )


def elevation_sheet(model: Model, wall: str) -> Sheet:
    """Draw one wall seen square on from outside, on A3.

    Parameters
    ----------
    model : Model
    wall : str
        Its name.
    """
    return _sheet(model, model.wall_by_name[wall])


def _sheet(model: Model, wall: Wall) -> Sheet:
    shown = [part for part in model.parts if part.wall == wall.name and part.kind in (*IN_FRONT, Kind.BOARD)]
    low, high = _bounds(shown, wall)
    d = DRAWING
    wide = d.width - _MARGINS.left - _MARGINS.right
    tall = d.height - HEADING_ROOM - _MARGINS.top - _MARGINS.bottom
    scale = largest_scale(high[0] - low[0], high[1] - low[1], wide, tall)
    spare = (wide - (high[0] - low[0]) / scale) / 2
    down = (tall - (high[1] - low[1]) / scale) / 2
    front = _Front(
        scale=scale,
        at=(
            d.left + _MARGINS.left + spare - low[0] / scale,
            d.top - HEADING_ROOM - _MARGINS.top - down - high[1] / scale,
        ),
    )

    covers = visible_covers(model, wall)
    drawn: list[Primitive] = [*heading(d, "", "Elevation from outside", scale)]
    for part in model.of_kind(Kind.FLASHING, wall=wall.name):
        drawn += [front.fill(polygon, _METAL, Layer.SEEN) for polygon in shown_polygons(front_outline(part))]
    for _, shape in covers:
        drawn += [front.fill(polygon, _BOARD, Layer.CUT) for polygon in shown_polygons(shape)]
    drawn += _battens(front, model, wall)
    drawn += _nails(front, model, wall)
    for part in sorted(
        (p for p in shown if p.kind is not Kind.BOARD), key=lambda p: float(p.vertices[:, 2].max())
    ):
        drawn += [front.fill(polygon, _TRIM, Layer.CUT) for polygon in shown_polygons(front_outline(part))]
    drawn += _ground(front, wall, low[0], high[0])
    missing = _marks(front, covers, drawn)
    drawn += _rod(front, model, wall, low[0])
    drawn += _dimensions(front, wall, shown, low, high)
    facts = [
        f"{len(covers)} boards; dashed: battens; dots: nails",
        "Rod: course and butt line above the foot, read off the boards",
    ]
    if missing:
        facts[0] = f"{len(covers)} boards, {missing} too small to letter: see the cut list"
    drawn += surround(model.title, f"Wall {wall.name}: elevation", facts, scale)
    return Sheet(
        title=f"{model.title}, wall {wall.name}, elevation",
        width=A3[0],
        height=A3[1],
        primitives=tuple(drawn),
    )


def _bounds(parts: Iterable[Part], wall: Wall) -> tuple[tuple[float, float], tuple[float, float]]:
    corners = np.concatenate([part.vertices[:, :2] for part in parts])
    low, high = corners.min(axis=0), corners.max(axis=0)
    return (float(low[0]), min(float(low[1]), wall.ground)), (float(high[0]), max(float(high[1]), wall.head))


def _battens(front: _Front, model: Model, wall: Wall) -> Iterable[Primitive]:
    for batten in model.of_kind(Kind.BATTEN, wall=wall.name):
        (x0, y0, _), (x1, y1, _) = batten.vertices.min(axis=0), batten.vertices.max(axis=0)
        for x in (float(x0), float(x1)):
            yield Line(layer=Layer.HIDDEN, start=front.paper(x, float(y0)), end=front.paper(x, float(y1)))


def _nails(front: _Front, model: Model, wall: Wall) -> Iterable[Primitive]:
    turns = np.linspace(0, 2 * math.pi, 8, endpoint=False)
    for group in model.fixings_for(Use.BOARD, wall.name):
        for x, y, _ in group.heads.tolist():
            px, py = front.paper(x, y)
            dot = tuple((px + _NAIL * math.cos(a), py + _NAIL * math.sin(a)) for a in turns)
            yield Fill(layer=Layer.SEEN, outline=dot, colour="#1d1d1b", outlined=False)


def _ground(front: _Front, wall: Wall, left: float, right: float) -> Iterable[Primitive]:
    (x0, y), (x1, _) = front.paper(left, wall.ground), front.paper(right, wall.ground)
    x0, x1 = x0 - 6, x1 + 6
    yield Hatch(outline=((x0, y), (x1, y), (x1, y - 2.6), (x0, y - 2.6)), angle=math.radians(45), spacing=1.3)
    yield Line(layer=Layer.GROUND, start=(x0, y), end=(x1, y))


def _marks(front: _Front, covers: Iterable[tuple[Part, object]], drawn: list[Primitive]) -> int:
    """Letter every board inside what shows of it; return how many have no room."""
    missing = 0
    for part, shape in covers:
        text = _fitting_mark(front, part, max(shown_polygons(shape), key=lambda p: p.area, default=None))
        if text is None:
            missing += 1
        else:
            drawn.append(text)
    return missing


def _fitting_mark(front: _Front, part: Part, polygon: Polygon | None) -> Text | None:
    if polygon is None:
        return None
    paper = Polygon([front.paper(x, y) for x, y in polygon.exterior.coords])
    # The slit between two boards above shows this one up to its top: left out by a small opening.
    paper = max(shown_polygons(paper.buffer(-_SLIT).buffer(_SLIT)), key=lambda p: p.area, default=paper)
    x0, y0, x1, y1 = paper.bounds
    point = paper.representative_point()
    for x, y in (((x0 + x1) / 2, (y0 + y1) / 2), (point.x, point.y)):
        for down in (SMALLEST_LETTERS, SMALLEST_LETTERS - DESCENT * body(SMALLEST_LETTERS)):
            text = Text(at=(x, y - down / 2), text=part.mark, across=Across.MIDDLE, plate=True)
            if paper.contains(text_box(text)):
                return text
    return None


def _rod(front: _Front, model: Model, wall: Wall, left: float) -> Iterable[Primitive]:
    """Course numbers and butt lines beside the wall; every second or fifth where they would touch."""
    marks = rod(model, wall)
    if not marks:
        return
    pitch = min((mark.gauge for mark in marks if mark.gauge), default=wall.head) / front.scale
    every = next((n for n in (1, 2, 5, 10) if n * pitch >= SMALLEST_LETTERS * 1.5), 20)
    edge = front.paper(left, 0.0)[0]
    x = edge - 3.0
    (_, foot), (_, head) = front.paper(left, marks[0].from_foot), front.paper(left, wall.head)
    yield Line(layer=Layer.DIMENSION, start=(x, foot), end=(x, head))
    for mark in marks:
        y = front.paper(left, mark.from_foot)[1]
        yield Line(layer=Layer.DIMENSION, start=(x - 1.5, y), end=(x + 1.5, y))
        if (mark.course - 1) % every == 0:
            yield Text(
                layer=Layer.DIMENSION, at=(x - 2.5, y - 1.0), text=figure(mark.from_foot), across=Across.RIGHT
            )
            yield Text(at=(x - 17.0, y - 1.0), text=f"{mark.course}", across=Across.RIGHT, bold=True)
    yield Line(layer=Layer.DIMENSION, start=(x - 1.5, head), end=(x + 1.5, head))
    if head - front.paper(left, marks[-1].from_foot)[1] >= SMALLEST_LETTERS * 1.5:
        yield Text(
            layer=Layer.DIMENSION, at=(x - 2.5, head - 1.0), text=figure(wall.head), across=Across.RIGHT
        )


def _dimensions(
    front: _Front, wall: Wall, parts: Iterable[Part], low: tuple[float, float], high: tuple[float, float]
) -> Iterable[Primitive]:
    boards = np.concatenate([part.vertices for part in parts if part.kind is Kind.BOARD])
    left, right = float(boards[:, 0].min()), float(boards[:, 0].max())
    foot = float(boards[:, 1].min())
    base = front.paper(0.0, wall.ground)[1] - 4.0
    edges = sorted({x for o in wall.openings for x in (o.left, o.right)})
    if edges:
        chain = _apart([left, *edges, right], front.scale)
        for a, b in itertools.pairwise(chain):
            yield front.level("along the wall", a, b, wall.ground, base - 3.0)
    yield front.level(
        "boards between the posts", left, right, wall.ground, base - 3.0 - (_CHAIN if edges else 0.0)
    )
    yield front.level("overall", low[0], high[0], wall.ground, base - 3.0 - (2 if edges else 1) * _CHAIN)
    beside = front.paper(high[0], 0.0)[0]
    inside = sorted({y for o in wall.openings for y in (o.sill, o.head) if foot < y < wall.head})
    heights = _apart([foot, *inside, wall.head], front.scale)
    for a, b in itertools.pairwise(heights):
        if len(heights) > 2:
            yield front.upright("up the wall", a, b, high[0], beside + 5.0)
    line = beside + 5.0 + (_CHAIN if len(heights) > 2 else 0.0)
    yield front.upright("foot to soffit", foot, wall.head, high[0], line)
    yield replace(front.upright("ground clearance", wall.ground, foot, high[0], line), spill=-1)


def _apart(marks: list[float], scale: float) -> list[float]:
    """Leave out marks between the first and last that leave no room for a figure."""
    kept = marks[:1]
    for mark in marks[1:-1]:
        if (mark - kept[-1]) / scale >= _FIGURE and (marks[-1] - mark) / scale >= _FIGURE:
            kept.append(mark)
    return [*kept, marks[-1]]
