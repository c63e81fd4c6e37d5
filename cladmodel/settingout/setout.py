"""One wall set out: the numbers that its parts are then made from."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from cladmodel.settingout.battens import Batten, Column
from cladmodel.settingout.boards import BoardPiece
from cladmodel.settingout.joints import JointRun
from cladmodel.settingout.nails import NailPlace
from cladmodel.settingout.openings import OpeningLines
from cladmodel.settingout.outline import Outline
from cladmodel.settingout.plan import Side
from cladmodel.settingout.rod import PENCIL
from cladmodel.settingout.tilt import Hung, Profile


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Bare:
    """One wall before its joints are chosen.

    Attributes
    ----------
    side : Side
    between : (2,) float
        Faces of the corner posts that boards stop against, at height 0. [mm]
    profile : Profile
    lines : (courses + 1,) float
        Rod marks that this wall uses. [mm]
    first : int
        Number of its lowest course on the building's rod; 1 at the lowest foot.
    hung : tuple of Hung
    openings : tuple of OpeningLines
    columns : tuple of Column
        None of them doubled yet.
    strip : float
        Plumb height of the vent strip that battens stand on. [mm]
    runs : list of list of shapely.Polygon
        Of each course, from left to right, on its boards' back face. [mm]
    joint_runs : list of list of JointRun
        The same, with the columns where each may be joined.
    """

    side: Side
    between: tuple[float, float]
    profile: Profile
    lines: NDArray[np.float64]
    first: int
    hung: tuple[Hung, ...]
    openings: tuple[OpeningLines, ...]
    columns: tuple[Column, ...]
    strip: float
    runs: list[list[shapely.Polygon]]
    joint_runs: list[list[JointRun]]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SetOut:
    """One wall, set out.

    Attributes
    ----------
    side : Side
    between : (2,) float
        Faces of the corner posts that boards stop against, at height 0. [mm]
    profile : Profile
    lines : (courses + 1,) float
        Rod marks that this wall uses. [mm]
    first : int
        Number of its lowest course on the building's rod; 1 at the lowest foot.
    hung : tuple of Hung
    starter_height : float
        [mm]
    openings : tuple of OpeningLines
    columns : tuple of Column
    battens : tuple of Batten
    pieces : tuple of BoardPiece
    joints : tuple of tuple of float
        Joint lines of each course. [mm]
    nails : tuple of NailPlace
    notes : tuple of str
    """

    side: Side
    between: tuple[float, float]
    profile: Profile
    lines: NDArray[np.float64]
    first: int
    hung: tuple[Hung, ...]
    starter_height: float
    openings: tuple[OpeningLines, ...]
    columns: tuple[Column, ...]
    battens: tuple[Batten, ...]
    pieces: tuple[BoardPiece, ...]
    joints: tuple[tuple[float, ...], ...]
    nails: tuple[NailPlace, ...]
    notes: tuple[str, ...]

    @property
    def name(self) -> str:
        """Name of the wall."""
        return self.side.name

    @property
    def letter(self) -> str:
        """Letter that its pieces are marked with."""
        return self.side.letter

    @property
    def outline(self) -> Outline:
        """Outline of the frame."""
        return self.side.outline

    def mark(self, piece: BoardPiece) -> str:
        """Shop mark of a board: wall letter, course, piece letter, as in ``A07b``."""
        return f"{self.letter}{piece.course:02d}{piece.letter}"

    def course(self, piece: BoardPiece) -> Hung:
        """How a piece's course hangs."""
        return self.hung[piece.course - self.first]

    def shift(self, up: float) -> float:
        """How far the right-hand post stands out at a height. [mm]"""
        return self.side.run_at_foot + self.side.lean * up


def between_battens(done: SetOut, opening: OpeningLines, low: float, high: float) -> tuple[float, float]:
    """Left and right of the cavity over an opening: from the batten on one side to that on the other. [mm]

    Parameters
    ----------
    done : SetOut
    opening : OpeningLines
    low, high : float
        Of what is to lie between the battens, one of which may stand out of plumb. [mm]
    """
    beside = [b for b in done.battens if b.foot < opening.head < opening.clear_top < b.head]
    lefts = [max(b.edges_at(up)[1] for up in (low, high)) for b in beside if b.right <= opening.left + PENCIL]
    rights = [
        min(b.edges_at(up)[0] for up in (low, high)) for b in beside if b.left >= opening.right - PENCIL
    ]
    return max(lefts, default=opening.left), min(rights, default=opening.right)


def head_within(done: SetOut, batten: Batten, span: tuple[float, float]) -> float:
    """Head of a batten over a part of its width: one under a rake is cut to it. [mm]

    Parameters
    ----------
    done : SetOut
    batten : Batten
    span : (2,) float
        [mm]
    """
    return done.outline.top_over(*span) if batten.at_top else batten.head
