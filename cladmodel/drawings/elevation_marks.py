"""Lettering of an elevation: every board's mark, and what each opening is."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

import numpy as np
from shapely import STRtree, get_parts, intersects
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from cladmodel.drawings.covers import shown_polygons
from cladmodel.drawings.flat_view import FlatView
from cladmodel.drawings.lettering import DESCENT, LINE_PITCH, body, text_box, text_width
from cladmodel.drawings.primitives import SMALLEST_LETTERS, Across, Leader, Point, Primitive, Text
from cladmodel.drawings.strokes import texts
from cladmodel.drawings.view import figure
from cladmodel.model import Floats, Opening, Part, Wall

_SLIT = 0.4
"""Half of the widest slit that is no place for letters. [mm on paper]"""
_AIR = 1.0
"""Kept clear round lettering outside the boards. [mm on paper]"""
_UP = 2.6
"""From the soffit to the first row of marks above it. [mm on paper]"""
_ROWS = 4
"""How many rows of marks may stand above a wall."""


def name_openings(view: FlatView, wall: Wall) -> Iterator[Text]:
    """Write each opening's name, size and heights in it, if there is room.

    Parameters
    ----------
    view : FlatView
    wall : Wall
    """
    for opening in wall.openings:
        room = _clear(view, opening)
        name, *figures = _words(opening)
        short = (name, ", ".join(figures))
        for lines, angle in (((name, *figures), 0.0), ((name, *figures), math.pi / 2), (short, math.pi / 2)):
            written = list(_stacked(lines, room, angle))
            if all(box(*room).contains(text_box(text)) for text in written):
                yield from written
                break


def _stacked(lines: Sequence[str], room: tuple[float, float, float, float], angle: float) -> Iterator[Text]:
    """Lines under each other in the middle of a room, level or upright."""
    x, y = (room[0] + room[2]) / 2, (room[1] + room[3]) / 2
    pitch = LINE_PITCH * SMALLEST_LETTERS
    for n, line in enumerate(lines):
        down = (n + 0.8 - len(lines) / 2) * pitch
        at = (x + down * math.sin(angle), y - down * math.cos(angle))
        yield Text(at=at, text=line, across=Across.MIDDLE, angle=angle, bold=n == 0)


def _words(opening: Opening) -> tuple[str, ...]:
    size = f"{figure(opening.right - opening.left)} x {figure(opening.head - opening.sill)}"
    if opening.door:
        return opening.name, size, f"head {figure(opening.head)}"
    return opening.name, size, f"sill {figure(opening.sill)}", f"head {figure(opening.head)}"


def _clear(view: FlatView, opening: Opening) -> tuple[float, float, float, float]:
    """Inside of an opening, on paper."""
    (x0, y0), (x1, y1) = view.paper((opening.left, opening.sill)), view.paper((opening.right, opening.head))
    return x0 + _AIR, y0 + _AIR, x1 - _AIR, y1 - _AIR


def mark_boards(
    view: FlatView,
    wall: Wall,
    covers: Iterable[tuple[Part, BaseGeometry]],
    drawn: Sequence[Primitive],
) -> tuple[list[Primitive], list[str]]:
    """Letter every board: inside what shows of it, or else from an opening or from above the wall.

    Parameters
    ----------
    view : FlatView
    wall : Wall
    covers : iterable of (Part, geometry)
        From `visible_covers`.
    drawn : sequence of Primitive
        Whose lettering must be left alone.

    Returns
    -------
    marks : list of Primitive
    missing : list of str
        Marks for which there is no room.
    """
    marks: list[Primitive] = []
    narrow: list[tuple[Part, Polygon]] = []
    missing: list[str] = []
    for part, shape in covers:
        largest = max(shown_polygons(shape), key=lambda p: p.area, default=None)
        text = None if largest is None else _inside(view, part, largest)
        if text is not None:
            marks.append(text)
        elif largest is not None:
            narrow.append((part, largest))
        else:
            missing.append(part.mark)
    taken = _Taken([text_box(text) for text in texts([*drawn, *marks])])
    for part, polygon in narrow:
        point = polygon.representative_point()
        leader = _beside(view, wall, part.mark, view.paper((point.x, point.y)), taken)
        if leader is None:
            missing.append(part.mark)
            continue
        marks.append(leader)
        taken.add([*(text_box(text) for text in texts([leader])), LineString(leader.points)])
    return marks, missing


def _inside(view: FlatView, part: Part, polygon: Polygon) -> Text | None:
    paper = Polygon([view.paper((x, y)) for x, y in polygon.exterior.coords])
    # The slit between two boards above shows this one up to its top: left out by a small opening.
    paper = max(shown_polygons(paper.buffer(-_SLIT).buffer(_SLIT)), key=lambda p: p.area, default=paper)
    for x, y in _places(paper):
        for down in (SMALLEST_LETTERS, SMALLEST_LETTERS - DESCENT * body(SMALLEST_LETTERS)):
            text = Text(at=(x, y - down / 2), text=part.mark, across=Across.MIDDLE, plate=True)
            if paper.contains(text_box(text)):
                return text
    return None


_LATEST = 64
"""Shapes that are looked at one by one before they go into the tree: only speed depends on it."""

_TRIED = 17
"""How many places along a board are tried for its mark."""


def _places(paper: Polygon) -> Iterator[Point]:
    """The middle, a point inside, and the middle of what shows at places along, the widest first."""
    x0, y0, x1, y1 = paper.bounds
    yield (x0 + x1) / 2, (y0 + y1) / 2
    point = paper.representative_point()
    yield point.x, point.y
    spans = []
    for x in np.linspace(x0, x1, _TRIED + 2)[1:-1].tolist():
        shown = paper.intersection(LineString([(x, y0 - 1), (x, y1 + 1)]))
        longest = max(get_parts(shown), key=lambda line: line.length, default=None)
        if longest is not None and longest.length > 0:
            spans.append((-longest.length, abs(x - (x0 + x1) / 2), (x, longest.centroid.y)))
    for _, _, place in sorted(spans):
        yield place


class _Taken:
    """What must be left alone, as it grows: a tree of most of it, and a list of the latest."""

    def __init__(self, shapes: Sequence[BaseGeometry]) -> None:
        self._tree, self._shapes = STRtree(shapes), list(shapes)
        self._latest: list[BaseGeometry] = []

    def add(self, shapes: Sequence[BaseGeometry]) -> None:
        self._latest += shapes
        if len(self._latest) > _LATEST:
            self._shapes += self._latest
            self._tree, self._latest = STRtree(self._shapes), []

    def meets(self, room: BaseGeometry) -> bool:
        """Whether anything taken is in a place."""
        if self._tree.query(room, predicate="intersects").size:
            return True
        return bool(intersects(np.array(self._latest, np.object_), room).any())


def _beside(view: FlatView, wall: Wall, mark: str, target: Point, taken: _Taken) -> Leader | None:
    """A leader from a board to its mark where there is nothing else, as short as can be."""
    roof = _under_soffit(view, wall)
    places = [(leader, False) for leader in _in_openings(view, wall, mark, target)]
    places += [(leader, True) for leader in _above(view, wall, mark, target)]
    for leader, above in sorted(places, key=lambda one: math.dist(one[0].points[0], one[0].points[-1])):
        (text,) = texts([leader])
        letters = text_box(text)
        if above and roof.intersects(letters):
            continue
        if not taken.meets(letters.buffer(_AIR / 2).union(LineString(leader.points))):
            return leader
    return None


def _in_openings(view: FlatView, wall: Wall, mark: str, target: Point) -> Iterator[Leader]:
    wide = text_width(mark, SMALLEST_LETTERS, bold=True) + 3.0
    for opening in wall.openings:
        x0, y0, x1, y1 = _clear(view, opening)
        if x1 - x0 < wide or x0 < target[0] < x1:
            continue
        for shift in (0.0, 4.4, -4.4, 8.8, -8.8):
            y = target[1] + shift
            if not y0 + SMALLEST_LETTERS < y < y1 - SMALLEST_LETTERS:
                continue
            if target[0] < x0:
                yield Leader(points=(target, (x0 + 1.0, y)), lines=(mark,))
            else:
                yield Leader(points=(target, (x1 - 1.0, y)), lines=(mark,), across=Across.RIGHT)


def _under_soffit(view: FlatView, wall: Wall) -> BaseGeometry:
    """All that is below a wall's soffit, on paper, and some way beyond its ends."""
    line = _soffit(view, wall)
    return box(-1e4, -1e4, 1e4, 1e4).intersection(
        Polygon([(line[0, 0] - 60, -1e4), (line[0, 0] - 60, line[0, 1]), *line.tolist(),
                 (line[-1, 0] + 60, line[-1, 1]), (line[-1, 0] + 60, -1e4)])
    )  # fmt: skip


def _soffit(view: FlatView, wall: Wall) -> Floats:
    return np.array([view.paper((float(x), float(y))) for x, y in wall.top_line])


def _above(view: FlatView, wall: Wall, mark: str, target: Point) -> Iterator[Leader]:
    """Places over the soffit: up to so many rows, ever further to both sides."""
    line = _soffit(view, wall)
    wide = text_width(mark, SMALLEST_LETTERS, bold=True)
    for row in range(_ROWS):
        for aside in (0.0, 4.0, -4.0, 8.0, -8.0, 13.0, -13.0, 18.0, -18.0):
            x = target[0] + aside
            base = max(float(np.interp(at, line[:, 0], line[:, 1])) for at in (x, x + wide + 1.5))
            y = base + _UP + SMALLEST_LETTERS / 2 + row * SMALLEST_LETTERS * LINE_PITCH
            yield Leader(points=(target, (x, y)), lines=(mark,))
