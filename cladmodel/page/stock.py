"""Which bought board each piece of board is cut from."""

from __future__ import annotations

from dataclasses import dataclass

from cladmodel.schedules.cutplan import CutSheet


@dataclass(frozen=True, slots=True, kw_only=True)
class StockPlace:
    """Where in the stock one piece lies.

    Attributes
    ----------
    section : str
    board : int
        Its number in the cutting plan.
    length : int
        Of the board as bought. [mm]
    turn, of : int
        Which piece of that board it is in sawing order, and of how many.
    """

    section: str
    board: int
    length: int
    turn: int
    of: int

    def __str__(self) -> str:
        """In words, such as ``board 12 (4800), piece 2 of 3``."""
        return f"board {self.board} ({self.length}), piece {self.turn} of {self.of}"


def places_of(plan: CutSheet) -> dict[str, StockPlace]:
    """Where each piece lies in the boards of a cutting plan.

    Parameters
    ----------
    plan : CutSheet

    Returns
    -------
    dict
        By the mark of each piece of board.
    """
    return {
        piece.mark: StockPlace(
            section=board.section,
            board=board.number,
            length=round(board.length),
            turn=turn,
            of=len(board.pieces),
        )
        for board in plan.boards
        for turn, piece in enumerate(board.pieces, start=1)
    }
