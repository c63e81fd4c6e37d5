r"""Turn dimensions, leaders, angles and hatches into plain lines, fills and texts.

start           end        Feet of the extension lines are the two points dropped square onto the
|              |         dimension line. Ticks lean 45 degrees to it; the figure stands on it,
|     131      |         readable from below or from the right.
--/--------------/--
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator

import numpy as np
import shapely
from shapely.geometry import MultiLineString, Polygon

from cladmodel.drawings.lettering import LINE_PITCH, text_width
from cladmodel.drawings.primitives import (
    PENS,
    Across,
    Angle,
    Dimension,
    Fill,
    Hatch,
    Leader,
    Line,
    Point,
    Polyline,
    Primitive,
    Simple,
    Text,
)

# Our own look, on paper. [mm]
TICK = 1.1  # half its length along the dimension line
LIFT = 0.9  # figure above its line
CLEAR = 1.0  # extension line off the piece
OVERSHOOT = 1.4  # extension line past the dimension line
TAIL = 2.0  # dimension line past its ticks when the figure stands outside
DOT = 0.45  # radius of a leader's dot
GAP = 1.2  # between a leader's end and its words
ARROW = 2.6  # length of an arrow head
ARC_STEP = math.radians(0.5)
_TURNS = np.linspace(0, 2 * math.pi, 12, endpoint=False)
_DOT = tuple((DOT * math.cos(turn), DOT * math.sin(turn)) for turn in _TURNS)


def strokes(primitives: Iterable[Primitive]) -> Iterator[Simple]:
    """Every primitive as lines, polylines, fills and texts, in drawing order.

    Parameters
    ----------
    primitives : iterable of Primitive
    """
    for one in primitives:
        match one:
            case Dimension():
                yield from _dimension(one)
            case Leader():
                yield from _leader(one)
            case Angle():
                yield from _angle(one)
            case Hatch():
                yield from _hatch(one)
            case Polyline(arrow=True):
                yield from _arrow(one)
            case Line() | Polyline() | Fill() | Text():
                yield one


def texts(primitives: Iterable[Primitive]) -> list[Text]:
    """Every text that the primitives put on the sheet."""
    return [s for s in strokes(p for p in primitives if not isinstance(p, Hatch)) if isinstance(s, Text)]


def _along(at: Point, direction: Point, distance: float) -> Point:
    return at[0] + direction[0] * distance, at[1] + direction[1] * distance


def _dimension(d: Dimension) -> Iterator[Simple]:
    u = (math.cos(d.angle), math.sin(d.angle))
    feet = []
    for point in (d.start, d.end):
        reach = (point[0] - d.through[0]) * u[0] + (point[1] - d.through[1]) * u[1]
        feet.append(_along(d.through, u, reach))
        if d.extended:
            yield from _extension(d, point, feet[-1])
    first, last = feet
    length = (last[0] - first[0]) * u[0] + (last[1] - first[1]) * u[1]
    if length < 0:
        u, length = (-u[0], -u[1]), -length

    width = text_width(d.text, d.height)
    line_start, line_end = first, last
    outside = d.outside or (d.spill if width > length - 1.0 else 0)
    if outside:
        line_start, line_end = _along(first, u, -TAIL), _along(last, u, TAIL)
    yield Line(layer=d.layer, start=line_start, end=line_end)
    diagonal = ((u[0] - u[1]), (u[0] + u[1]))
    for foot in feet:
        yield Line(layer=d.layer, start=_along(foot, diagonal, -TICK), end=_along(foot, diagonal, TICK))

    angle = readable(math.atan2(u[1], u[0]))
    normal = (-math.sin(angle), math.cos(angle))
    middle = _along(first, u, length / 2)
    if outside > 0:
        middle = _along(line_end, u, 0.6 + width / 2)
    elif outside < 0:
        middle = _along(line_start, u, -0.6 - width / 2)
    lift = -d.height / 2 if outside else LIFT
    yield Text(
        layer=d.layer,
        at=_along(middle, normal, lift),
        text=d.text,
        height=d.height,
        across=Across.MIDDLE,
        angle=angle,
        plate=d.plate,
    )


def readable(angle: float) -> float:
    """The angle or its reverse, whichever reads from below or from the right. [rad]

    Parameters
    ----------
    angle : float
        [rad]
    """
    angle = math.remainder(angle, 2 * math.pi)
    if angle <= -math.pi / 2 + 1e-9:
        return angle + math.pi
    if angle > math.pi / 2 + 1e-9:
        return angle - math.pi
    return angle


def _extension(d: Dimension, point: Point, foot: Point) -> Iterator[Simple]:
    reach = math.dist(point, foot)
    if reach <= CLEAR:
        return
    towards = ((foot[0] - point[0]) / reach, (foot[1] - point[1]) / reach)
    yield Line(layer=d.layer, start=_along(point, towards, CLEAR), end=_along(foot, towards, OVERSHOOT))


def _leader(leader: Leader) -> Iterator[Simple]:
    yield Polyline(layer=leader.layer, points=leader.points)
    x, y = leader.points[0]
    dot = tuple((x + across, y + up) for across, up in _DOT)
    yield Fill(layer=leader.layer, outline=dot, colour=PENS[leader.layer].colour)
    x, y = leader.points[-1]
    x += GAP if leader.across is Across.LEFT else -GAP
    for row, line in enumerate(leader.lines):
        below = y - leader.height / 2 - row * LINE_PITCH * leader.height
        yield Text(
            layer=leader.layer,
            at=(x, below),
            text=line,
            height=leader.height,
            across=leader.across,
            bold=row == 0,
        )


def _angle(a: Angle) -> Iterator[Simple]:
    steps = max(2, math.ceil((a.end - a.start) / ARC_STEP) + 1)
    turns = np.linspace(a.start, a.end, steps)
    cx, cy = a.centre
    arc = tuple((cx + a.radius * math.cos(t), cy + a.radius * math.sin(t)) for t in turns)
    yield Polyline(layer=a.layer, points=arc)
    for turn in (a.start, a.end):
        out = (math.cos(turn), math.sin(turn))
        yield Line(layer=a.layer, start=a.centre, end=_along(a.centre, out, a.radius + OVERSHOOT))
    yield Text(layer=a.layer, at=a.text_at, text=a.text, height=a.height, across=Across.MIDDLE, plate=a.plate)


def _arrow(line: Polyline) -> Iterator[Simple]:
    yield Polyline(layer=line.layer, points=line.points)
    (ax, ay), tip = line.points[-2:]
    turn = math.atan2(tip[1] - ay, tip[0] - ax)
    wings = [_along(tip, (math.cos(turn + w), math.sin(turn + w)), -ARROW) for w in (0.3, -0.3)]
    yield Fill(layer=line.layer, outline=(tip, wings[0], wings[1]), colour=PENS[line.layer].colour)


def _hatch(h: Hatch) -> Iterator[Simple]:
    area = Polygon(h.outline, h.holes)
    for angle in (h.angle, h.angle + math.pi / 2) if h.crossed else (h.angle,):
        rows = _rows(area, angle, h.spacing)
        clipped = shapely.intersection(rows, area)
        for piece in shapely.get_parts(clipped):
            if piece.geom_type == "LineString" and piece.length > 0:
                (x0, y0), (x1, y1) = piece.coords[0], piece.coords[-1]
                yield Line(layer=h.layer, start=(x0, y0), end=(x1, y1))


def _rows(area: Polygon, angle: float, spacing: float) -> MultiLineString:
    """Parallel lines over an area's whole extent, counted from the paper's origin so that they line up."""
    u, v = np.array([math.cos(angle), math.sin(angle)]), np.array([-math.sin(angle), math.cos(angle)])
    corners = np.asarray(area.exterior.coords)
    low, high = (corners @ u).min() - 1, (corners @ u).max() + 1
    first, last = math.ceil((corners @ v).min() / spacing), math.floor((corners @ v).max() / spacing)
    return MultiLineString(
        [[u * low + v * n * spacing, u * high + v * n * spacing] for n in range(first, last + 1)]
    )
