"""A cutting plan as the sheets need it: which boards are bought and what is sawn from each.

Filled by whoever plans the cutting; nothing here decides anything.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field

EVEN = 0.5
"""Lengths that differ by less are sawn to the same millimetre. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedPiece:
    """One board of the wall, sawn from a stock board.

    Attributes
    ----------
    mark : str
        Of the board, as on the elevation.
    length : float
        Along its longer edge. [mm]
    """

    mark: str
    length: float


@dataclass(frozen=True, slots=True, kw_only=True)
class StockBoard:
    """One board bought, from the end that is squared first.

    ``trim | piece | cut | piece | cut | leftover | trim``

    Attributes
    ----------
    number : int
        From 1.
    section : str
        As ordered.
    length : float
        [mm]
    trim : float
        Lost squaring each end. [mm]
    kerf : float
        Width of one saw cut. [mm]
    lost : float
        In all saw cuts; the last cut may find less wood than it is wide. [mm]
    pieces : tuple of PlannedPiece
        In the order in which they are sawn.
    leftover : float
        [mm]
    """

    number: int
    section: str
    length: float
    trim: float
    kerf: float
    lost: float
    pieces: tuple[PlannedPiece, ...]
    leftover: float

    @property
    def unaccounted(self) -> float:
        """Bought less trims, pieces, cuts and leftover: 0 if the plan adds up. [mm]"""
        sawn = sum(piece.length for piece in self.pieces)
        return self.length - 2 * self.trim - sawn - self.lost - self.leftover


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanChoice:
    """One way to joint and cut the job.

    Attributes
    ----------
    boards, joints : int
    cost : float or None
        None without prices.
    chosen : bool
    """

    boards: int
    joints: int
    cost: float | None
    chosen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class CutSheet:
    """Every board bought, and how good the plan is.

    Attributes
    ----------
    boards : tuple of StockBoard
    proof : str
        One sentence: that no plan takes less, or by how much one might.
    by_hand : int or None
        Boards that running each offcut into the next course would take; None if that is not known.
    choices : tuple of PlanChoice
        Fewer boards against fewer joints.
    prices : dict
        Of one board of each stock length, where given. [mm]: price
    rejected, sure : float
        Share of boards found faulty, and how sure to be that the spares are enough. [-]
    """

    boards: tuple[StockBoard, ...]
    proof: str
    by_hand: int | None = None
    choices: tuple[PlanChoice, ...] = ()
    prices: dict[float, float] = field(default_factory=dict)
    rejected: float = 0.03
    sure: float = 0.95

    @property
    def bought(self) -> dict[tuple[str, float], int]:
        """Boards of each section and length, longest first."""
        found = Counter((board.section, board.length) for board in self.boards)
        return dict(sorted(found.items(), key=lambda item: (item[0][0], -item[0][1])))

    @property
    def unaccounted(self) -> float:
        """Most that any board's sum is out by. [mm]"""
        return max((abs(board.unaccounted) for board in self.boards), default=0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """Stock boards that are sawn alike.

    Attributes
    ----------
    boards : tuple of StockBoard
        At least one; all of one section and length, and of the same pieces' lengths in the same order.
    """

    boards: tuple[StockBoard, ...]


def patterns(plan: CutSheet) -> tuple[Pattern, ...]:
    """Put boards that are sawn alike together, as they come in the plan.

    Parameters
    ----------
    plan : CutSheet
    """
    groups: dict[tuple[object, ...], list[StockBoard]] = {}
    for board in plan.boards:
        lengths = tuple(round(piece.length / EVEN) for piece in board.pieces)
        groups.setdefault((board.section, board.length, lengths), []).append(board)
    return tuple(Pattern(boards=tuple(boards)) for boards in groups.values())
