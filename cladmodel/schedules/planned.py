"""The cutting plan read against the solids: each board has one piece, and each piece one board."""

from __future__ import annotations

from collections import defaultdict

import numpy as np

from cladmodel.errors import SettingOutError
from cladmodel.model import Kind, Model, Part
from cladmodel.schedules.cutplan import CutSheet, PlanChoice, PlannedPiece, StockBoard
from cladmodel.settingout.cutplan import COINS
from cladmodel.settingout.cutting.plans import Choice, Layout, Piece

# The plan is in whole millimetres, rounded so that no piece is too short: a board's solid may be this
# much shorter than its piece. [mm]
ROUNDING = 2.5
NOISE = 1e-3  # a board this much longer than its piece is float noise [mm]


def cutting_plan(
    model: Model,
    layout: Layout,
    *,
    prices: dict[float, float] | None = None,
    rejected: float = 0.03,
    sure: float = 0.95,
) -> CutSheet:
    """Put the plan's pieces to the boards' marks.

    Parameters
    ----------
    model : Model
        Built with the layout's own joints.
    layout : Layout
    prices : dict, optional
        Of one board of each stock length. [mm]: price
    rejected, sure : float
        Share of boards found faulty, and how sure to be that the spares are enough. [-]

    Returns
    -------
    CutSheet

    Raises
    ------
    SettingOutError
        If a board has no piece or a piece no board, or their lengths differ: a fault of the tool.
    """
    priced = bool(prices)
    marks = _marks(model, layout.best)
    saw = layout.best.plan.saw
    sections = {part.mark: part.section for part in model.of_kind(Kind.BOARD)}
    boards = []
    for number, board in enumerate(layout.best.plan.boards, start=1):
        pieces = tuple(PlannedPiece(mark=marks[_key(p)], length=float(p.length)) for p in board.pieces)
        boards.append(
            StockBoard(
                number=number,
                section=sections[pieces[0].mark],
                length=float(board.stock.length),
                trim=float(saw.trim),
                kerf=float(saw.kerf),
                lost=float(board.kerfs(saw)),
                pieces=pieces,
                leftover=float(board.leftover(saw)),
            )
        )
    return CutSheet(
        boards=tuple(boards),
        proof=_proof(layout, priced=priced),
        by_hand=layout.by_hand.boards if layout.by_hand is not None else None,
        choices=tuple(
            PlanChoice(
                boards=choice.boards,
                joints=choice.joint_count,
                cost=choice.cost / COINS if priced else None,
                chosen=choice is layout.best or choice == layout.best,
            )
            for choice in layout.choices
        ),
        prices=prices or {},
        rejected=rejected,
        sure=sure,
    )


PieceKey = tuple[str, int, int, int]


def _key(piece: Piece) -> PieceKey:
    return piece.wall, piece.course, piece.place, piece.order


def _marks(model: Model, choice: Choice) -> dict[PieceKey, str]:
    """Mark of the board that each piece becomes: pieces and boards of a course, from left to right."""
    rows: dict[tuple[str, int], list[Piece]] = defaultdict(list)
    for board in choice.plan.boards:
        for piece in board.pieces:
            rows[piece.wall, piece.course].append(piece)
    solids: dict[tuple[str, int], list[Part]] = defaultdict(list)
    for part in model.of_kind(Kind.BOARD):
        solids[part.wall, part.course or 0].append(part)
    marks: dict[PieceKey, str] = {}
    for row in sorted(set(rows) | set(solids)):
        pieces = sorted(rows.get(row, []), key=lambda p: (p.place, p.order))
        parts = sorted(solids.get(row, []), key=lambda p: float(p.vertices[:, 0].min()))
        if len(pieces) != len(parts):
            raise SettingOutError(
                f"{row[0]}, course {row[1]}: {len(pieces)} pieces planned for {len(parts)} boards"
            )
        for piece, part in zip(pieces, parts, strict=True):
            length = float(np.ptp(part.vertices[:, 0]))
            if not -NOISE <= piece.length - length <= ROUNDING:
                raise SettingOutError(f"{part.mark}: cut {piece.length} mm for a board of {length:.1f}")
            marks[_key(piece)] = part.mark
    return marks


def _proof(layout: Layout, *, priced: bool) -> str:
    told = _least(layout, priced=priced)
    if layout.repeatable:
        return told
    return f"{told} The search was ended by the clock: another run may find another plan."


def _least(layout: Layout, *, priced: bool) -> str:
    best = layout.best
    if layout.proven:
        return f"No plan with these joints' rules takes less: {best.boards} boards is proven least."
    gap = layout.gap / COINS
    unit = "in price" if priced else "boards"
    return f"At most {gap:.2f} {unit} could still be saved: the least any plan can take is known to that."
