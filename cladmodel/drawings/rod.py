r"""The rod at full size, in strips to be cut out and stuck to a lath end to end.

|-- 12  1482.1 ----------|      Each strip is cut along its two sides and along its lower match
|                        |      line; the upper one has a tab, which goes under the next strip
|-- 11  1354.7 -- sill --|      until both halves of the diamond meet.
|- - - - - /\ - - - - - -|
|__________\/____________|
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from cladmodel.drawings.layout import HEADING_LETTERS, Room
from cladmodel.drawings.lettering import fit
from cladmodel.drawings.page import BODY, page
from cladmodel.drawings.primitives import (
    SMALLEST_LETTERS,
    Across,
    Layer,
    Line,
    Point,
    Polyline,
    Primitive,
    Sheet,
    Text,
)
from cladmodel.drawings.view import figure
from cladmodel.model import Model
from cladmodel.schedules.building_rod import building_rod

STRIP = 220.0
"""Length of rod on one strip. [mm]"""
TAB = 8.0
"""Left above the upper match line, to be stuck under the next strip. [mm]"""
ACROSS = 3
"""Strips on one page, the lowest on the left."""
_BELOW = 8.0
"""Left below the lower match line, to be cut off. [mm]"""
_GAP = 3.0
"""Between two strips. [mm]"""
_DIAMOND = 3.0
"""Half of a match mark's diagonal. [mm]"""
_COURSE_LETTERS = 4.0
_WORDS = 26.0
"""Room for words on the right of a strip. [mm]"""
_NEAR = 4.0
"""Heights nearer than this share one line of lettering. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class RodLine:
    """One line across the rod.

    Attributes
    ----------
    height : float
        Above the rod's 0. [mm]
    course : int or None
        Its butt line; None for lines that are no course's.
    words : str
    """

    height: float
    course: int | None
    words: str


def rod_lines(model: Model) -> tuple[RodLine, ...]:
    """Every line of the rod from the lowest up: butt lines off the boards, then sills, heads and soffits.

    Parameters
    ----------
    model : Model
    """
    butts = [
        RodLine(height=line.height, course=line.course, words=figure(line.height))
        for line in building_rod(model)
    ]
    named: list[tuple[float, str]] = []
    for wall in model.walls:
        up = float(wall.frame[1, 3])
        named += [(float(y) + up, "soffit") for _, y in wall.top_line]
        for opening in wall.openings:
            named.append((opening.head + up, "head"))
            if not opening.door:
                named.append((opening.sill + up, "sill"))
    others = [
        RodLine(height=height, course=None, words=f"{words} {figure(height)}")
        for height, words in sorted({(round(height, 3), words) for height, words in named})
    ]
    return tuple(sorted((*butts, *others), key=lambda line: (line.height, line.course is None)))


def rod_pages(model: Model) -> list[Sheet]:
    """Draw the rod at full size on A4 pages.

    Parameters
    ----------
    model : Model
    """
    lines = rod_lines(model)
    if not lines:
        return []
    base, top = lines[0].height, lines[-1].height
    strips = max(1, math.ceil((top - base + 1.0) / STRIP))
    count = math.ceil(strips / ACROSS)
    pages = []
    for n in range(count):
        drawn: list[Primitive] = [*_how(n)]
        for place, number in enumerate(range(n * ACROSS, min((n + 1) * ACROSS, strips))):
            drawn += _strip(lines, base, number, _room(place), last=number == strips - 1)
        pages.append(page(model.title, "Rod at full size", f"{n + 1} of {count}", drawn))
    return pages


def _how(n: int) -> Iterator[Text]:
    y = BODY.top - HEADING_LETTERS
    words = "Print at 100 %. Cut out each strip; stick it to a lath so that the diamonds meet."
    yield Text(at=(BODY.left, y), text=words, bold=n == 0)


def _room(place: int) -> Room:
    wide = (BODY.width - (ACROSS - 1) * _GAP) / ACROSS
    left = BODY.left + place * (wide + _GAP)
    bottom = BODY.bottom + _BELOW
    return Room(left=left, bottom=bottom, right=left + wide, top=bottom + STRIP)


def _strip(
    lines: Sequence[RodLine], base: float, number: int, room: Room, *, last: bool
) -> Iterator[Primitive]:
    low = base + number * STRIP
    above = room.top + (0.0 if last else TAB)
    for x in (room.left, room.right):
        yield Line(layer=Layer.SEEN, start=(x, room.bottom - _BELOW), end=(x, above))
    middle = (room.left + room.right) / 2
    below = (middle, room.bottom - _BELOW + 1.0)
    words = f"strip {number + 1}: cut along this line"
    yield Text(layer=Layer.NOTE, at=below, text=words, across=Across.MIDDLE)
    yield from _match(room, room.bottom)
    if not last:
        yield from _match(room, room.top)
        tab = (middle, room.top + TAB - SMALLEST_LETTERS - 1.2)
        yield Text(layer=Layer.NOTE, at=tab, text=f"under strip {number + 2}", across=Across.MIDDLE)
    shown = [line for line in lines if low - ON_LINE <= line.height < low + STRIP - ON_LINE]
    yield from _drawn(shown, low, room)


ON_LINE = 1e-6
"""Heights this near a match line are on it: float noise. [mm]"""


def _match(room: Room, y: float) -> Iterator[Primitive]:
    """A match line with its diamond, half of it on each strip."""
    x = (room.left + room.right) / 2
    yield Line(layer=Layer.NOTE, start=(room.left, y), end=(room.right, y))
    diamond: tuple[Point, ...] = (
        (x - _DIAMOND, y),
        (x, y + _DIAMOND),
        (x + _DIAMOND, y),
        (x, y - _DIAMOND),
        (x - _DIAMOND, y),
    )
    yield Polyline(layer=Layer.NOTE, points=diamond)


def _drawn(shown: Iterable[RodLine], low: float, room: Room) -> Iterator[Primitive]:
    """Butt lines right across with their course; other lines dashed, lettered on the right."""
    lettered = -math.inf
    for line in shown:
        y = room.bottom + line.height - low
        course = line.course is not None
        layer = Layer.CUT if course else Layer.HIDDEN
        yield Line(layer=layer, start=(room.left, y), end=(room.right, y))
        base = y + 1.0
        if course:
            yield Text(at=(room.left + 1.5, base), text=f"{line.course}", height=_COURSE_LETTERS, bold=True)
            yield Text(layer=Layer.DIMENSION, at=(room.left + 11.0, base), text=line.words)
        elif y - lettered >= _NEAR:
            lettered = y
            yield Text(
                at=(room.right - 1.0, base),
                text=fit(line.words, _WORDS, SMALLEST_LETTERS),
                across=Across.RIGHT,
            )
