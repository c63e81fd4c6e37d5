"""What comes out: pieces, boards with their pieces in sawing order, plans, and how good they are."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

from cladmodel.settingout.cutting.inputs import Saw, Stock


@dataclass(frozen=True, slots=True, kw_only=True)
class Piece:
    """One piece to cut.

    Attributes
    ----------
    length : int
        Along its long edge. [mm]
    wall : str
        Empty when the piece belongs to no wall.
    course : int
    place : int
        Of its run in the course, from 0 at the left.
    order : int
        In the run, from 0 at the left.
    left, right : int
        Joint lines or ends of the run that it lies between. [mm]
    """

    length: int
    wall: str = ""
    course: int = 0
    place: int = 0
    order: int = 0
    left: int = 0
    right: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """One board bought: its pieces in the order in which they are sawn, the rest at the far end.

    ``trim | piece | kerf | piece | kerf | leftover | trim``

    Attributes
    ----------
    stock : Stock
    pieces : tuple of Piece
    """

    stock: Stock
    pieces: tuple[Piece, ...]

    def kerfs(self, saw: Saw) -> int:
        """Length lost in cuts; the last cut may find less wood than it is wide. [mm]"""
        bare = self.stock.length - 2 * saw.trim - sum(piece.length for piece in self.pieces)
        between = saw.kerf * max(len(self.pieces) - 1, 0)
        return between + (min(saw.kerf, bare - between) if self.pieces else 0)

    def leftover(self, saw: Saw) -> int:
        """Squared length that is left. [mm]"""
        pieces = sum(piece.length for piece in self.pieces)
        return self.stock.length - 2 * saw.trim - pieces - self.kerfs(saw)


@dataclass(frozen=True, slots=True, kw_only=True)
class CutPlan:
    """Which boards are bought and what is cut from each.

    Attributes
    ----------
    boards : tuple of Board
    saw : Saw
    price : int
        Of the boards, in the coin of the stock.
    bound : int
        No plan for these pieces costs less.
    repeatable : bool
        False if the clock's guard cut the search short, so that another machine may find another plan.
    """

    boards: tuple[Board, ...]
    saw: Saw
    price: int
    bound: int
    repeatable: bool = True

    @property
    def gap(self) -> int:
        """How much cheaper a plan might yet be."""
        return self.price - self.bound

    @property
    def proven(self) -> bool:
        """True if no plan for these pieces is cheaper."""
        return self.gap == 0

    @property
    def bought(self) -> dict[int, int]:
        """Boards bought of each stock length. [mm]: count"""
        return dict(sorted(Counter(board.stock.length for board in self.boards).items()))

    @property
    def lengths(self) -> dict[int, int]:
        """Pieces of each cut length. [mm]: count"""
        return dict(sorted(Counter(p.length for board in self.boards for p in board.pieces).items()))


# Wall, course and place of a run, counted from 0 at the left of its course.
RunKey = tuple[str, int, int]
# Joint lines of every run that has any, rising. [mm]
Joints = dict[RunKey, tuple[int, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One way to joint and cut the whole job.

    Attributes
    ----------
    joints : dict
        Joint lines of every run that has any.
    plan : CutPlan
    joint_count : int
    boards : int
    cost : int
        Boards' price, and joints at their walls' price.
    """

    joints: Joints
    plan: CutPlan
    joint_count: int
    boards: int
    cost: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Joints and cuts of a job.

    Attributes
    ----------
    best : Choice
        The one to build.
    bound : int
        No layout with joints chosen by the same aims costs less.
    repeatable : bool
        False if the clock's guard cut the search short.
    by_hand : Choice or None
        What running each offcut into the next course would take; None if it runs out of stock.
    broken_by_hand : tuple of str
        Rules that the hand method could not keep.
    choices : tuple of Choice
        Fewer boards against fewer joints: each has fewer boards than the one before it and more joints.
    """

    best: Choice
    bound: int
    repeatable: bool
    by_hand: Choice | None
    broken_by_hand: tuple[str, ...]
    choices: tuple[Choice, ...]

    @property
    def gap(self) -> int:
        """How much cheaper a layout might yet be."""
        return self.best.cost - self.bound

    @property
    def proven(self) -> bool:
        """True if no layout is cheaper."""
        return self.gap == 0
