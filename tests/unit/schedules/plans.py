"""A cutting plan made by hand."""

from __future__ import annotations

from cladmodel.schedules.cutplan import CutSheet, PlanChoice, PlannedPiece, StockBoard


def stock(number: int, length: float, *pieces: tuple[str, float], trim: float = 5.0) -> StockBoard:
    lost = 4.0 * len(pieces)
    return StockBoard(
        number=number,
        section="170 x 22/9",
        length=length,
        trim=trim,
        kerf=4.0,
        lost=lost,
        pieces=tuple(PlannedPiece(mark=mark, length=size) for mark, size in pieces),
        leftover=length - 2 * trim - lost - sum(size for _, size in pieces),
    )


PLAN = CutSheet(
    boards=(
        stock(1, 4800.0, ("A01a", 2390.0), ("A02a", 2390.0)),
        stock(2, 4800.0, ("A03a", 2390.0), ("A04a", 2390.2)),
        stock(3, 4800.0, ("A05a", 3100.0), ("A06b", 1200.0)),
        stock(4, 3600.0, ("A07a", 3585.0)),
        stock(5, 4800.0, ("A08a", 1000.0), ("A08b", 800.0), ("A09a", 640.0), ("A10a", 610.0)),
    ),
    proof="No plan takes fewer boards.",
    by_hand=6,
    choices=(
        PlanChoice(boards=5, joints=9, cost=None, chosen=True),
        PlanChoice(boards=6, joints=7, cost=None, chosen=False),
    ),
)
