"""The cut list: every board, course by course, and equal pieces together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from cladmodel.model import Kind, Model, Wall
from cladmodel.schedules.board_shape import EndCut, Notch, board_shape

PENCIL = 0.3
"""Lengths and widths that differ by less are the same to a pencil line (common practice, no source). [mm]"""


class Ends(StrEnum):
    """How a board's ends are cut."""

    SQUARE = "square"
    OUT_OF_SQUARE = "end out of square"
    RAKE = "rake cut"


@dataclass(frozen=True, slots=True, kw_only=True)
class CutPiece:
    """One board to be cut.

    Attributes
    ----------
    mark : str
    course : int
    section : str
        As ordered.
    length : float
        [mm]
    width : float
        Along the back face. [mm]
    ripped : bool
        True when it is narrower than the widest board of its wall.
    notches : tuple of Notch
    end_cuts : tuple of EndCut
        Empty when both ends are square.
    """

    mark: str
    course: int
    section: str
    length: float
    width: float
    ripped: bool
    notches: tuple[Notch, ...]
    end_cuts: tuple[EndCut, ...]

    @property
    def ends(self) -> Ends:
        """The end that is furthest from square."""
        if any(cut.raked for cut in self.end_cuts):
            return Ends.RAKE
        return Ends.OUT_OF_SQUARE if self.end_cuts else Ends.SQUARE


@dataclass(frozen=True, slots=True, kw_only=True)
class CutGroup:
    """Boards that can be cut against one stop.

    Attributes
    ----------
    section : str
    length, width : float
        [mm]
    notched : bool
    ends : Ends
    marks : tuple of str
    """

    section: str
    length: float
    width: float
    notched: bool
    ends: Ends
    marks: tuple[str, ...]

    @property
    def count(self) -> int:
        """How many."""
        return len(self.marks)


def cut_list(model: Model, wall: Wall) -> tuple[CutPiece, ...]:
    """Every board of a wall by course, then from left to right.

    Parameters
    ----------
    model : Model
    wall : Wall
    """
    boards = model.of_kind(Kind.BOARD, wall=wall.name)
    shapes = {board.mark: board_shape(board) for board in boards}
    widest = max((shape.width for shape in shapes.values()), default=0.0)
    boards.sort(key=lambda board: (board.course or 0, float(board.vertices[:, 0].min())))
    return tuple(
        CutPiece(
            mark=board.mark,
            course=board.course or 0,
            section=board.section,
            length=shapes[board.mark].length,
            width=shapes[board.mark].width,
            ripped=shapes[board.mark].width < widest - PENCIL,
            notches=shapes[board.mark].notches,
            end_cuts=shapes[board.mark].end_cuts,
        )
        for board in boards
    )


def group_equal(pieces: Sequence[CutPiece]) -> tuple[CutGroup, ...]:
    """Put pieces of equal section, length, width and ends, with or without notches, together, longest first.

    Notched and rake-cut boards are grouped by length only: each is marked out by itself.

    Parameters
    ----------
    pieces : sequence of CutPiece
    """
    groups: list[list[CutPiece]] = []
    for piece in sorted(
        pieces, key=lambda p: (p.section, -p.length, -p.width, bool(p.notches), p.ends, p.mark)
    ):
        home = next((group for group in groups if _alike(group[0], piece)), None)
        if home is None:
            groups.append([piece])
        else:
            home.append(piece)
    return tuple(
        CutGroup(
            section=group[0].section,
            length=group[0].length,
            width=group[0].width,
            notched=bool(group[0].notches),
            ends=group[0].ends,
            marks=tuple(sorted(piece.mark for piece in group)),
        )
        for group in groups
    )


def _alike(a: CutPiece, b: CutPiece) -> bool:
    return (
        a.section == b.section
        and bool(a.notches) == bool(b.notches)
        and a.ends == b.ends
        and abs(a.length - b.length) < PENCIL
        and abs(a.width - b.width) < PENCIL
    )
