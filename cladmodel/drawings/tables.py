"""Tables on a sheet: columns as wide as they need, words broken into lines where room is short."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cladmodel.drawings.layout import HEADING_LETTERS, Room
from cladmodel.drawings.lettering import text_width, wrap
from cladmodel.drawings.primitives import SMALLEST_LETTERS, Across, Layer, Line, Primitive, Text

ROW = 4.4
"""From one line of a table to the next. [mm on paper]"""

BETWEEN = 4.0
"""Between two columns. [mm on paper]"""

_TITLE = 5.5
"""From one line of a table's title to the next. [mm on paper]"""
_UNDER_HEADING = 0.6
"""More than a line's pitch, for the line under the headings. [mm on paper]"""
_FIGURES = frozenset("0123456789.+-x ")
"""What a cell of figures is made of; such columns stand to the right and are never broken."""
_WORD = 40.0
"""Words up to this long are never cut short. [mm on paper]"""
_LONG = 30
"""Lines of one row that are parted after all: no page could hold many more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Rows to be set on a sheet.

    Attributes
    ----------
    title : str
    headings : tuple of str
    rows : tuple of tuple of str
        Each with as many cells as there are headings.
    """

    title: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SetTable:
    """A table's lines, set to a width.

    Attributes
    ----------
    title, headings : tuple
        Broken into lines.
    edges : tuple of (left, right)
        Of each column, from the table's left. [mm]
    right : tuple of bool
        Columns of figures, which stand to the right.
    lines : tuple of tuple of str
        Rows broken into lines.
    starts : tuple of bool
        Lines that begin a row.
    """

    title: tuple[str, ...]
    headings: tuple[tuple[str, ...], ...]
    edges: tuple[tuple[float, float], ...]
    right: tuple[bool, ...]
    lines: tuple[tuple[str, ...], ...]
    starts: tuple[bool, ...]

    @property
    def width(self) -> float:
        """[mm]"""
        return self.edges[-1][1]

    def height(self, lines: int) -> float:
        """Height of so many lines with title and headings. [mm]"""
        return len(self.title) * _TITLE + _UNDER_HEADING + (lines + len(self.headings)) * ROW


def set_table(table: Table, width: float) -> SetTable:
    """Set a table to a width.

    Parameters
    ----------
    table : Table
    width : float
        Most it may take. [mm]
    """
    columns = [[row[n] for row in table.rows] for n in range(len(table.headings))]
    figures = [bool(cells) and all(set(cell) <= _FIGURES for cell in cells) for cells in columns]
    wide = _widths(table.headings, columns, figures, width)
    edges, left = [], 0.0
    for each in wide:
        edges.append((left, left + each))
        left += each + BETWEEN
    lines: list[tuple[str, ...]] = []
    starts: list[bool] = []
    for row in table.rows:
        broken = _broken(row, wide, bold=False)
        lines += broken
        starts += [True] + [False] * (len(broken) - 1)
    return SetTable(
        title=tuple(wrap(table.title, width, HEADING_LETTERS, bold=True)),
        headings=tuple(_broken(table.headings, wide, bold=True)),
        edges=tuple(edges),
        right=tuple(figures),
        lines=tuple(lines),
        starts=tuple(starts),
    )


def _widths(
    headings: Sequence[str], columns: Sequence[Sequence[str]], figures: Sequence[bool], width: float
) -> list[float]:
    """Each column's width: its longest cell, the widest columns of words narrowed until all fit."""
    least = [
        max(
            [
                *(text_width(word, SMALLEST_LETTERS, bold=True) for word in heading.split()),
                *(min(text_width(word, SMALLEST_LETTERS), _WORD) for cell in cells for word in cell.split()),
            ],
            default=0.0,
        )
        for heading, cells in zip(headings, columns, strict=True)
    ]
    wide = [
        max([floor, *(text_width(cell, SMALLEST_LETTERS) for cell in cells)])
        for floor, cells in zip(least, columns, strict=True)
    ]
    room = width - BETWEEN * (len(wide) - 1)
    words = [n for n, only in enumerate(figures) if not only]
    while words and sum(wide) > room:
        # The widest give up what they have more than the next widest, until there is room.
        most = max(wide[n] for n in words)
        widest = [n for n in words if wide[n] > most - 1e-9]
        following = max((wide[n] for n in words if n not in widest), default=0.0)
        share = (sum(wide) - room) / len(widest)
        for n in widest:
            wide[n] = max(most - share, following, least[n])
        words = [n for n in words if wide[n] > least[n] + 1e-9]
    return wide


def _broken(cells: Sequence[str], wide: Sequence[float], bold: bool) -> list[tuple[str, ...]]:
    """Break every cell of a row into lines; shorter cells are filled up with empty lines."""
    parts = [wrap(cell, room + 1e-6, SMALLEST_LETTERS, bold) for cell, room in zip(cells, wide, strict=True)]
    count = max(1, *(len(part) for part in parts))
    return [tuple(part[n] if n < len(part) else "" for part in parts) for n in range(count)]


def draw_table(table: SetTable, room: Room, first: int = 0) -> tuple[list[Primitive], int]:
    """Draw as many lines as a room holds.

    Parameters
    ----------
    table : SetTable
    room : Room
    first : int
        Line to begin with; above 0 for a continued table.

    Returns
    -------
    primitives : list of Primitive
    next : int
        The first line left over; `first` if nothing could be drawn, the number of lines when all is.
    """
    drawn: list[Primitive] = []
    y = room.top
    for title in table.title:
        at = (room.left, y - HEADING_LETTERS)
        drawn.append(Text(at=at, text=title, height=HEADING_LETTERS, bold=True))
        y -= _TITLE
    for cells in table.headings:
        drawn += _line(table, cells, room.left, y - SMALLEST_LETTERS, bold=True)
        y -= ROW
    rule = y + ROW - SMALLEST_LETTERS - 1.3
    drawn.append(Line(layer=Layer.SEEN, start=(room.left, rule), end=(room.left + table.width, rule)))
    y -= _UNDER_HEADING
    count = _held(table, first, int((y - room.bottom) / ROW))
    for cells in table.lines[first : first + count]:
        drawn += _line(table, cells, room.left, y - SMALLEST_LETTERS, bold=False)
        y -= ROW
    return (drawn if count else []), first + count


def _held(table: SetTable, first: int, room: int) -> int:
    """How many lines to draw of those that there is room for; a row's lines stay together."""
    left = len(table.lines) - first
    if left <= room:
        return left
    count = max(room, 0)
    while count and not table.starts[first + count]:
        count -= 1
    longest = next((n for n in range(1, left) if table.starts[first + n]), left)
    return count if count or longest < _LONG else max(room, 0)


def _line(table: SetTable, cells: Sequence[str], left: float, y: float, bold: bool) -> list[Primitive]:
    return [
        Text(
            at=(left + (end if to_right else start), y),
            text=cell,
            across=Across.RIGHT if to_right else Across.LEFT,
            bold=bold,
        )
        for cell, (start, end), to_right in zip(cells, table.edges, table.right, strict=True)
        if cell
    ]
