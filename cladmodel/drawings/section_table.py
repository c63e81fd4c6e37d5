"""The courses as cut, in figures: for sheets without an opening to draw."""

from __future__ import annotations

import math

from cladmodel.drawings.layout import HEADING_LETTERS, PAD, Room
from cladmodel.drawings.primitives import SMALLEST_LETTERS, Across, Layer, Line, Primitive, Text
from cladmodel.drawings.view import figure
from cladmodel.schedules.profile import BoardCut, LapCut, Profile

_HEADINGS = ("course", "butt line", "gauge", "lap", "tilt")
_COLUMN = 20.0
"""Width of a column. [mm on paper]"""
_ROW = 4.1
"""Height of a row. [mm on paper]"""


def course_table(profile: Profile, room: Room) -> list[Primitive]:
    """Write one row a course, the highest first, in as many blocks as the room holds.

    Where there is no room for all, the highest courses are left out.

    Parameters
    ----------
    profile : Profile
    room : Room
    """
    y = room.top - HEADING_LETTERS
    drawn: list[Primitive] = [Text(at=(room.left, y), text="Courses at this cut", height=HEADING_LETTERS)]
    top = y - PAD - _ROW
    rows = int((top - room.bottom) / _ROW)
    wide = len(_HEADINGS) * _COLUMN
    blocks = max(1, int((room.width + PAD) / (wide + PAD)))
    boards = profile.boards[::-1]
    if len(boards) > rows * blocks:
        boards = boards[-rows * blocks :]
    laps = {lap.lower.mark: lap for lap in profile.laps}
    for start in range(0, len(boards), rows):
        left = room.left + start // rows * (wide + PAD)
        drawn += _line(left, top, _HEADINGS, bold=True)
        drawn.append(Line(layer=Layer.SEEN, start=(left, top - 1.2), end=(left + wide, top - 1.2)))
        for n, board in enumerate(boards[start : start + rows]):
            drawn += _line(left, top - 0.8 - (n + 1) * _ROW, _cells(board, laps.get(board.mark)), bold=False)
    return drawn


def _cells(board: BoardCut, lap: LapCut | None) -> tuple[str, ...]:
    tilt = f"{math.degrees(board.tilt):.2f}°"
    covered = ("", "") if lap is None else (figure(lap.gauge), figure(lap.lap))
    return (f"{board.course}", figure(board.back_foot[1]), *covered, tilt)


def _line(left: float, y: float, cells: tuple[str, ...], bold: bool) -> list[Primitive]:
    return [
        Text(
            at=(left + (n + 1) * _COLUMN - 1.5, y),
            text=cell,
            height=SMALLEST_LETTERS,
            across=Across.RIGHT,
            bold=bold,
        )
        for n, cell in enumerate(cells)
        if cell
    ]
