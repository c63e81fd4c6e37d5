"""Details at 1:2: foot and head of every different wall, head and sill of every different opening.

Each is drawn as if it had half a sheet to itself; sheets are then filled column by column.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial

from cladmodel.drawings import section_opening
from cladmodel.drawings.layout import DRAWING, Room, surround
from cladmodel.drawings.lettering import text_box, wrap
from cladmodel.drawings.primitives import (
    A3,
    SMALLEST_LETTERS,
    Dimension,
    Fill,
    Hatch,
    Line,
    Point,
    Polyline,
    Primitive,
    Sheet,
    Text,
)
from cladmodel.drawings.section_foot import foot
from cladmodel.drawings.section_head import head
from cladmodel.drawings.section_parts import Detail
from cladmodel.drawings.strokes import strokes
from cladmodel.model import Model, Opening, Wall
from cladmodel.schedules.cut_lines import opening_cut, plain_cut
from cladmodel.schedules.profile import profile

SCALE = 2.0
"""What the details are drawn to. [-]"""

_BESIDE, _BELOW = 6.0, 4.0
"""Between two details, one beside the other and one below the other. [mm on paper]"""
_LINE = 4.4
"""From one line of the words above a detail to the next. [mm on paper]"""
_WIDE = (DRAWING.width - _BESIDE) / 2
"""Room that a detail is drawn for, as high as the sheet. [mm on paper]"""
_NAMED = 8
"""Walls or openings alike that are named above a detail; more are counted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Subject:
    """What a detail is of.

    Attributes
    ----------
    view : str
        Which view of it; details of different views are never alike.
    name : str
        Of the wall or opening.
    where : str
        Where it is cut.
    draw : callable
        Draws it into a room.
    """

    view: str
    name: str
    where: str
    draw: Callable[[Room], Detail]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Placed:
    """A detail with the words above it, and how much paper they take. [mm on paper]"""

    draw: Callable[[Room], Detail]
    lines: tuple[str, ...]
    width: float
    height: float

    def at(self, left: float, top: float) -> tuple[Detail, list[Primitive]]:
        """Draw it with its left top corner somewhere."""
        words = [
            Text(at=(left, top - SMALLEST_LETTERS - n * _LINE), text=line)
            for n, line in enumerate(self.lines)
        ]
        detail = self.draw(_room(left, top, len(self.lines)))
        return detail, [*words, *detail.primitives]


@dataclass(slots=True, kw_only=True)
class _Column:
    """Details one below the other, as wide as the first."""

    left: float
    held: list[_Placed] = field(default_factory=list)

    @property
    def right(self) -> float:
        return self.left + self.held[0].width

    def takes(self, one: _Placed) -> bool:
        used = sum(held.height + _BELOW for held in self.held)
        return one.width <= self.held[0].width and used + one.height <= DRAWING.height


def detail_sheets(model: Model) -> tuple[Sheet, ...]:
    """Draw the details of a job, each different one once, on A3.

    Parameters
    ----------
    model : Model
    """
    groups: dict[tuple[object, ...], list[_Subject]] = {}
    for subject in _subjects(model):
        groups.setdefault((subject.view, *_figures(subject)), []).append(subject)
    # The widest first: whatever comes later is no wider than the column it goes into.
    details = sorted((_measured(alike) for alike in groups.values()), key=lambda one: -one.width)
    filled = _filled(details)
    count = len(filled)
    return tuple(
        _sheet(model.title, columns, f"{n} of {count}" if count > 1 else "")
        for n, columns in enumerate(filled, start=1)
    )


def _subjects(model: Model) -> Iterator[_Subject]:
    for wall in model.walls:
        yield from _ends(model, wall)
        for opening in wall.openings:
            yield from _of_opening(model, wall, opening)


def _ends(model: Model, wall: Wall) -> tuple[_Subject, ...]:
    at = plain_cut(model, wall)
    cut = profile(model, wall, at)
    if not cut.boards:
        return ()
    where = f"Wall {wall.name}, cut at {at:.0f} from its left corner"
    lower = partial(foot, cut, letter="", most=SCALE, least=SCALE)
    upper = partial(head, cut, letter="", most=SCALE)
    return (
        _Subject(view="foot", name=wall.name, where=where, draw=lower),
        _Subject(view="head", name=wall.name, where=where, draw=upper),
    )


def _of_opening(model: Model, wall: Wall, opening: Opening) -> Iterator[_Subject]:
    at = opening_cut(model, wall, opening)
    cut = profile(model, wall, at)
    where = f"Wall {wall.name}, cut at {at:.0f} from its left corner"
    above = any(board.back_foot[1] > opening.head - 1.0 for board in cut.boards)
    below = any(board.back_foot[1] < opening.sill for board in cut.boards)
    if not above or not (below or opening.door):
        return
    over = partial(section_opening.head, cut, opening, letter="", most=SCALE)
    yield _Subject(view="head of an opening", name=opening.name, where=where, draw=over)
    if not opening.door:
        under = partial(section_opening.sill, cut, opening, letter="", most=SCALE)
        yield _Subject(view="sill", name=opening.name, where=where, draw=under)


def _room(left: float, top: float, lines: int) -> Room:
    """Room under so many lines of words."""
    return Room(left=left, bottom=top - DRAWING.height, right=left + _WIDE, top=top - lines * _LINE)


def _figures(subject: _Subject) -> Iterator[tuple[str, float]]:
    """Every dimension to a tenth of a millimetre: alike in all is drawn once."""
    for one in subject.draw(_room(0.0, 0.0, 1)).primitives:
        if isinstance(one, Dimension):
            yield one.what, round(one.value, 1)


def _measured(alike: Sequence[_Subject]) -> _Placed:
    first = alike[0]
    words, others = first.where, [one.name for one in alike[1:]]
    if others:
        more = f" and {len(others) - _NAMED} more" if len(others) > _NAMED else ""
        words += f". Alike: {', '.join(others[:_NAMED])}{more}"
    lines: list[str] = [words]
    while True:  # more lines leave less room below them
        points = list(_points(first.draw(_room(0.0, 0.0, len(lines))).primitives))
        width = max(x for x, _ in points)
        before, lines = len(lines), wrap(words, width, SMALLEST_LETTERS)
        if len(lines) <= before:
            break
    return _Placed(draw=first.draw, lines=tuple(lines), width=width, height=-min(y for _, y in points))


def _points(primitives: Iterable[Primitive]) -> Iterator[Point]:
    """Corners of all that is drawn; hatches stay within what they fill."""
    for stroke in strokes(one for one in primitives if not isinstance(one, Hatch)):
        match stroke:
            case Line(start=start, end=end):
                yield from (start, end)
            case Polyline(points=points):
                yield from points
            case Fill(outline=outline):
                yield from outline
            case Text():
                yield from ((x, y) for x, y in text_box(stroke).exterior.coords)


def _filled(details: Iterable[_Placed]) -> list[list[_Column]]:
    """Columns of each sheet: a detail goes below others, else beside them, else on a new sheet."""
    sheets: list[list[_Column]] = []
    for one in details:
        column = next((each for sheet in sheets for each in sheet if each.takes(one)), None)
        if column is None:
            sheet = next((s for s in sheets if s[-1].right + _BESIDE + one.width <= DRAWING.right), None)
            if sheet is None:
                sheet = []
                sheets.append(sheet)
            column = _Column(left=sheet[-1].right + _BESIDE if sheet else DRAWING.left)
            sheet.append(column)
        column.held.append(one)
    return sheets


def _sheet(title: str, columns: Sequence[_Column], number: str) -> Sheet:
    drawn: list[Primitive] = []
    scale = SCALE
    for column in columns:
        top = DRAWING.top
        for one in column.held:
            detail, primitives = one.at(column.left, top)
            drawn += primitives
            scale = max(scale, detail.view.scale)
            top -= one.height + _BELOW
    facts = ("Each different one once", "Millimetres, read off the model's solids; print on A3")
    drawn += surround(title, f"Details {number}".strip(), facts, scale)
    return Sheet(
        title=f"{title}, details {number}".strip(), width=A3[0], height=A3[1], primitives=tuple(drawn)
    )
