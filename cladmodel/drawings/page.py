"""A4 pages: their frame and foot, and tables that flow from page to page."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from cladmodel.drawings.layout import HEADING_LETTERS, PAD, Room, outline
from cladmodel.drawings.lettering import fit, text_width
from cladmodel.drawings.primitives import INK, Across, Fill, Layer, Line, Primitive, Sheet, Text
from cladmodel.drawings.tables import ROW, SetTable, Table, draw_table, set_table
from cladmodel.schedules.cautions import MODEL_ONLY

A4 = (210.0, 297.0)
"""Upright. [mm] ISO 216."""

MARGIN = 10.0
FOOT = 17.0  # height of the strip along the foot of the page
RULER = 50.0  # length of the bar that tells whether the printer kept the size

FRAME = Room(left=MARGIN, bottom=MARGIN, right=A4[0] - MARGIN, top=A4[1] - MARGIN)
BODY = Room(
    left=MARGIN + PAD, bottom=MARGIN + FOOT + PAD, right=A4[0] - MARGIN - PAD, top=A4[1] - MARGIN - PAD
)
"""Room for the page's own matter."""

_BETWEEN = 2.0 * ROW
"""Between two tables. [mm on paper]"""
_LEAST = 3
"""Lines of a table worth beginning at the foot of a page."""


def page(title: str, name: str, number: str, primitives: Sequence[Primitive]) -> Sheet:
    """Put a page's matter into its frame.

    Parameters
    ----------
    title : str
        Of the job.
    name : str
        Of the page.
    number : str
        Such as ``2 of 5``.
    primitives : sequence of Primitive
    """
    return Sheet(
        title=f"{title}, {name.lower()} {number}".strip(),
        width=A4[0],
        height=A4[1],
        primitives=(*primitives, *_surround(title, name, number)),
    )


def _surround(title: str, name: str, number: str) -> Iterator[Primitive]:
    yield outline(FRAME)
    top = FRAME.bottom + FOOT
    yield Line(layer=Layer.FRAME, start=(FRAME.left, top), end=(FRAME.right, top))
    x, right = FRAME.left + PAD, FRAME.right - PAD
    y = top - PAD - HEADING_LETTERS
    numbered = text_width(number, HEADING_LETTERS)
    room = right - x - RULER - 12.0
    yield Text(at=(x, y), text=fit(title, room, HEADING_LETTERS, True), height=HEADING_LETTERS, bold=True)
    yield Text(
        at=(x, y - 4.8), text=fit(name, room - numbered - 4.0, HEADING_LETTERS), height=HEADING_LETTERS
    )
    yield Text(at=(right - RULER - 12.0, y - 4.8), text=number, height=HEADING_LETTERS, across=Across.RIGHT)
    yield Text(layer=Layer.NOTE, at=(x, FRAME.bottom + 1.6), text=MODEL_ONLY)
    yield from _ruler((right - RULER, FRAME.bottom + 5.2))


def _ruler(at: tuple[float, float]) -> Iterator[Primitive]:
    """A bar of known length: if it measures otherwise, the printer did not keep the size."""
    x, y = at
    for n in range(5):
        left, right = x + n * RULER / 5, x + (n + 1) * RULER / 5
        yield Fill(
            layer=Layer.SEEN,
            outline=((left, y), (right, y), (right, y + 1.4), (left, y + 1.4)),
            colour=INK if n % 2 == 0 else "#ffffff",
        )
    yield Text(at=(x, y + 2.6), text=f"this bar is {RULER:.0f} mm long")
    yield Text(at=(x, y - 3.6), text="at 100 % on A4")


def table_pages(title: str, name: str, tables: Sequence[Table]) -> list[Sheet]:
    """Set tables one after another on as many A4 pages as they need.

    Parameters
    ----------
    title : str
        Of the job.
    name : str
        Of these pages.
    tables : sequence of Table
        Those without rows are left out.
    """
    bodies: list[list[Primitive]] = [[]]
    top = BODY.top
    for table in (set_table(one, BODY.width) for one in tables if one.rows):
        at = 0
        while at < len(table.lines):
            if bodies[-1] and top - BODY.bottom < table.height(min(_LEAST, len(table.lines) - at)):
                bodies.append([])
                top = BODY.top
            room = Room(left=BODY.left, bottom=BODY.bottom, right=BODY.right, top=top)
            drawn, following = draw_table(table, room, at)
            if following == at:  # a row's lines stay together: on the next page
                bodies.append([])
                top = BODY.top
                continue
            bodies[-1] += drawn
            top = _under(table, top, following - at)
            at = following
    count = len(bodies)
    return [
        page(title, name, f"{n} of {count}" if count > 1 else "", body)
        for n, body in enumerate(bodies, start=1)
        if body
    ]


def _under(table: SetTable, top: float, lines: int) -> float:
    return top - table.height(lines) - _BETWEEN
