"""Every piece is told the board it comes out of, and its turn there."""

from __future__ import annotations

from cladmodel.page.stock import places_of
from cladmodel.schedules.cutplan import CutSheet, PlannedPiece, StockBoard


def board(number: int, length: float, *pieces: tuple[str, float]) -> StockBoard:
    return StockBoard(
        number=number,
        section="170 x 22/9",
        length=length,
        trim=15.0,
        kerf=3.0,
        lost=3.0 * len(pieces),
        pieces=tuple(PlannedPiece(mark=mark, length=long) for mark, long in pieces),
        leftover=length - 30.0 - sum(long + 3.0 for _, long in pieces),
    )


PLAN = CutSheet(
    boards=(board(1, 4800.0, ("A01a", 2400.0), ("A02b", 2000.0)), board(2, 3600.0, ("A01b", 3100.0))),
    proof="",
)


def test_each_piece_is_told_its_board_and_its_turn():
    told = {mark: (p.board, p.length, p.turn, p.of) for mark, p in places_of(PLAN).items()}
    assert told == {"A01a": (1, 4800, 1, 2), "A02b": (1, 4800, 2, 2), "A01b": (2, 3600, 1, 1)}
    assert {place.section for place in places_of(PLAN).values()} == {"170 x 22/9"}


def test_words_for_a_piece():
    assert str(places_of(PLAN)["A02b"]) == "board 1 (4800), piece 2 of 2"
