"""Dimensions of an elevation: along the wall, up the wall, and the rod beside it."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence

import numpy as np

from cladmodel.drawings.flat_view import FlatView
from cladmodel.drawings.primitives import SMALLEST_LETTERS, Across, Layer, Line, Primitive, Text
from cladmodel.drawings.view import figure
from cladmodel.model import Model, Opening, Part, Wall
from cladmodel.schedules.rod import rod

_CHAIN = 7.0
"""Between two chains of dimensions. [mm on paper]"""
_FIRST = 7.0
"""From what is drawn to the first chain. [mm on paper]"""
_FIGURE = 10.0
"""Room that a figure of four digits takes on its line. [mm on paper]"""
_ROD = 26.0
"""From the wall's left edge to the far side of the course numbers. [mm on paper]"""
_SAME = 0.05
"""Heights this near each other are one. [mm]"""


def dimensions(view: FlatView, wall: Wall, boards: Sequence[Part]) -> list[Primitive]:
    """Chains below the wall and beside it.

    Parameters
    ----------
    view : FlatView
    wall : Wall
    boards : sequence of Part
        Of this wall.
    """
    # The lowest row first: figures of upper rows stand on top of its extension lines.
    return [*reversed(list(_along(view, wall, boards))), *_up(view, wall)]


def _along(view: FlatView, wall: Wall, boards: Sequence[Part]) -> Iterable[Primitive]:
    ends = [float(f(part.vertices[:, 0])) for f in (np.min, np.max) for part in boards]
    left, right = min(ends), max(ends)
    row = view.paper((0.0, wall.ground))[1] - _FIRST
    ground = wall.ground
    for openings in _rows(wall.openings):
        edges = [x for o in openings for x in (o.left, o.right)]
        chain = _apart([left, *edges, right], view.scale)
        for a, b in itertools.pairwise(chain):
            yield view.level("along the wall", (a, ground), (b, ground), row, plate=True)
        row -= _CHAIN
    turns = sorted({round(float(x), 3) for x, _ in (*wall.top_line[1:-1], *wall.foot_line[1:-1])})
    if turns:
        for a, b in itertools.pairwise(_apart([left, *turns, right], view.scale)):
            yield view.level("ridge or step", (a, ground), (b, ground), row, plate=True)
        row -= _CHAIN
    yield view.level("boards between the posts", (left, ground), (right, ground), row, plate=True)
    low, high = (view.low[0], ground), (view.high[0], ground)
    yield view.level("overall", low, high, row - _CHAIN)


def _rows(openings: Iterable[Opening]) -> list[list[Opening]]:
    """Openings in chains: one chain's stand beside each other, never one above another."""
    rows: list[list[Opening]] = []
    for opening in sorted(openings, key=lambda o: (o.head, o.left)):
        home = next((row for row in rows if all(_beside(opening, other) for other in row)), None)
        if home is None:
            rows.append([opening])
        else:
            home.append(opening)
    return [sorted(row, key=lambda o: o.left) for row in rows]


def _beside(a: Opening, b: Opening) -> bool:
    return (a.right <= b.left or b.right <= a.left) and (a.sill < b.head and b.sill < a.head)


def _apart(marks: list[float], scale: float) -> list[float]:
    """Leave out marks between the first and last that leave no room for a figure."""
    kept = marks[:1]
    for mark in marks[1:-1]:
        if (mark - kept[-1]) / scale >= _FIGURE and (marks[-1] - mark) / scale >= _FIGURE:
            kept.append(mark)
    return [*kept, marks[-1]]


def _up(view: FlatView, wall: Wall) -> Iterable[Primitive]:
    """Heights at the right-hand end; the left end's if they differ; and the highest of all."""
    x = view.high[0]
    beside = view.paper((x, 0.0))[0] + 5.0
    foot, top = float(wall.foot_line[-1, 1]), float(wall.top_line[-1, 1])
    levels = {(o.sill, o.head) for o in wall.openings if not o.door}
    line = beside
    if len(levels) == 1:
        ((sill, head),) = levels
        if foot < sill and head < top:
            chain = _apart([foot, sill, head, top], view.scale)
            for a, b in itertools.pairwise(chain):
                yield view.upright("up the wall", (x, a), (x, b), line)
            line += _CHAIN
    yield view.upright("foot to soffit", (x, foot), (x, top), line)
    yield view.upright("ground clearance", (x, foot - wall.clearance), (x, foot), line, spill=-1)
    if wall.head > max(top, float(wall.top_line[0, 1])) + _SAME:
        yield view.upright("foot to ridge", (x, foot), (x, wall.head), line + _CHAIN)
    left_foot, left_top = float(wall.foot_line[0, 1]), float(wall.top_line[0, 1])
    if abs(left_foot - foot) > _SAME or abs(left_top - top) > _SAME:
        # Its extension lines begin beyond the rod's figures.
        x = view.low[0] - _ROD * view.scale
        line = view.paper((x, 0.0))[0] - 6.0
        yield view.upright("foot to soffit", (x, left_foot), (x, left_top), line)


def rod_column(view: FlatView, model: Model, wall: Wall) -> Iterable[Primitive]:
    """Course numbers and butt lines beside the wall; every second or fifth where they would touch.

    Parameters
    ----------
    view : FlatView
    model : Model
    wall : Wall
    """
    marks = rod(model, wall)
    if not marks:
        return
    pitch = min((mark.gauge for mark in marks if mark.gauge), default=wall.head) / view.scale
    every = next((n for n in (1, 2, 5, 10) if n * pitch >= SMALLEST_LETTERS * 1.5), 20)
    x = view.paper(view.low)[0] - 3.0
    foot, head = (view.paper((0.0, y))[1] for y in (marks[0].from_foot, wall.head))
    yield Line(layer=Layer.DIMENSION, start=(x, foot), end=(x, head))
    for mark in marks:
        y = view.paper((0.0, mark.from_foot))[1]
        yield Line(layer=Layer.DIMENSION, start=(x - 1.5, y), end=(x + 1.5, y))
        if (mark.course - marks[0].course) % every == 0:
            yield _figure(x, y, figure(mark.from_foot))
            yield Text(at=(x - 17.0, y - 1.0), text=f"{mark.course}", across=Across.RIGHT, bold=True)
    yield Line(layer=Layer.DIMENSION, start=(x - 1.5, head), end=(x + 1.5, head))
    if head - view.paper((0.0, marks[-1].from_foot))[1] >= SMALLEST_LETTERS * 1.5:
        yield _figure(x, head, figure(wall.head))


def _figure(x: float, y: float, text: str) -> Text:
    return Text(layer=Layer.DIMENSION, at=(x - 2.5, y - 1.0), text=text, across=Across.RIGHT)
