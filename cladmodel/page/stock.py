"""Which bought board each piece of board is cut from."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from cladmodel.model import Kind, Model
from cladmodel.schedules.cutplan import CuttingPlan
from cladmodel.settingout.cutting.inputs import Saw, Stock
from cladmodel.settingout.cutting.plans import Piece
from cladmodel.settingout.cutting.stock import cut_stock

# Far below the width of a pencil line: float noise must not make a piece a millimetre longer.
NOISE = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class StockPlace:
    """Where in the stock one piece lies.

    Attributes
    ----------
    section : str
        Boards of one section are numbered together, from 1.
    board : int
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


def stock_places(
    model: Model, lengths: Sequence[float], *, kerf: float, end_trim: float
) -> dict[str, StockPlace]:
    """Cut the boards as they are in the model from as little stock as can be.

    Parameters
    ----------
    model : Model
    lengths : sequence of float
        Stock that can be bought; every metre costs the same. [mm]
    kerf, end_trim : float
        Lost in a cut, and at each end of a board; rounded up to whole millimetres. [mm]

    Returns
    -------
    dict
        By the mark of each piece of board.

    Raises
    ------
    SettingOutError
        If a piece is longer than every stock board.
    """
    stocks = [Stock(length=x, price=x) for x in sorted({math.floor(x) for x in lengths})]
    saw = Saw(kerf=_up(kerf), trim=_up(end_trim))
    sections = defaultdict(list)
    for part in model.of_kind(Kind.BOARD):
        sections[part.section].append(part)
    places = {}
    for section, parts in sections.items():
        pieces = [Piece(length=_up(p.cut_length_mm), order=i) for i, p in enumerate(parts)]
        plan = cut_stock(pieces, stocks, saw)
        for number, board in enumerate(plan.boards, start=1):
            for turn, piece in enumerate(board.pieces, start=1):
                places[parts[piece.order].mark] = StockPlace(
                    section=section,
                    board=number,
                    length=board.stock.length,
                    turn=turn,
                    of=len(board.pieces),
                )
    return places


def places_of(plan: CuttingPlan) -> dict[str, StockPlace]:
    """Where each piece lies in the boards of a cutting plan that is made already.

    Parameters
    ----------
    plan : CuttingPlan

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


def _up(length: float) -> int:
    return math.ceil(length - NOISE)
