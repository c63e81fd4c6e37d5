"""Tables on a sheet: columns as wide as their longest cell, rows as many as the room holds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cladmodel.drawings.layout import Room
from cladmodel.drawings.lettering import text_width, wrap
from cladmodel.drawings.primitives import SMALLEST_LETTERS, Across, Layer, Line, Primitive, Text

ROW = 4.4
"""From one line of a table to the next. [mm on paper]"""

BETWEEN = 5.0
"""Between two columns. [mm on paper]"""

FIGURES = frozenset("0123456789.,+-–x ")
"""What a cell of figures is made of; such columns stand to the right."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """Rows to be set on a sheet.

    Attributes
    ----------
    title : str
    headings : tuple of str
    rows : tuple of tuple of str
        Each with as many cells as there are headings. The last column is broken into lines if it must be.
    """

    title: str
    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SetTable:
    """A table's lines, set to a width.

    Attributes
    ----------
    table : Table
    edges : tuple of (left, right)
        Of each column, from the table's left. [mm]
    right : tuple of bool
        Columns of figures, which stand to the right.
    lines : tuple of tuple of str
        Rows broken into lines; a continued row has empty cells before its last.
    starts : tuple of bool
        Lines that begin a row.
    """

    table: Table
    edges: tuple[tuple[float, float], ...]
    right: tuple[bool, ...]
    lines: tuple[tuple[str, ...], ...]
    starts: tuple[bool, ...]

    @property
    def width(self) -> float:
        """[mm]"""
        return self.edges[-1][1]

    def height(self, lines: int) -> float:
        """Height of so many lines with title and heading. [mm]"""
        return (lines + 2 + (1 if self.table.title else 0)) * ROW


def set_table(table: Table, width: float) -> SetTable:
    """Set a table to a width.

    Parameters
    ----------
    table : Table
    width : float
        Most it may take. [mm]
    """
    cells = [table.headings, *table.rows]
    wide = [
        max(text_width(row[n], SMALLEST_LETTERS, bold=row is table.headings) for row in cells)
        for n in range(len(table.headings))
    ]
    room = width - sum(wide[:-1]) - BETWEEN * (len(wide) - 1)
    wide[-1] = max(min(wide[-1], room), text_width(table.headings[-1], SMALLEST_LETTERS, bold=True))
    edges, left = [], 0.0
    for each in wide:
        edges.append((left, left + each))
        left += each + BETWEEN
    right = tuple(
        bool(table.rows) and all(set(row[n]) <= FIGURES for row in table.rows) for n in range(len(wide))
    )
    lines, starts = [], []
    for row in table.rows:
        last = wrap(row[-1], wide[-1], SMALLEST_LETTERS) or [""]
        lines += [(*row[:-1], last[0])]
        lines += [("",) * (len(row) - 1) + (more,) for more in last[1:]]
        starts += [True] + [False] * (len(last) - 1)
    return SetTable(table=table, edges=tuple(edges), right=right, lines=tuple(lines), starts=tuple(starts))


def draw_table(table: SetTable, room: Room, first: int = 0) -> tuple[list[Primitive], int]:
    """Draw as many lines as a room holds, never parting a row from its first line's heading.

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
        The first line left over; as many as there are lines when the table is done.
    """
    y = room.top - SMALLEST_LETTERS
    drawn: list[Primitive] = []
    if table.table.title:
        title = table.table.title + (", continued" if first else "")
        drawn.append(Text(at=(room.left, y), text=title, height=3.2, bold=True))
        y -= ROW * 1.25
    drawn += _line(table, table.table.headings, room.left, y, bold=True)
    drawn.append(Line(layer=Layer.SEEN, start=(room.left, y - 1.3), end=(room.left + table.width, y - 1.3)))
    y -= 0.6
    at = first
    while at < len(table.lines) and y - ROW >= room.bottom + 0.6:
        y -= ROW
        drawn += _line(table, table.lines[at], room.left, y, bold=False)
        at += 1
    while first < at < len(table.lines) and not table.starts[at]:
        at -= 1  # a row's lines stay together
        drawn = drawn[: len(drawn) - sum(cell != "" for cell in table.lines[at])]
    return drawn, at


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
