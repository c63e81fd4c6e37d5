r"""The strip of wall that each board nail holds: what shows of its board, half-way to the nails beside it.

+-----:-----------:-----------:-----+   what shows of a board, its lap under the next one left out
|  x  :     x     :     x     :  x  |   x nails; : half-way between them
+-----:-----------:-----------:-----+
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from cladmodel.checks.driven import BEFORE, Driven, drive
from cladmodel.checks.rules import TOUCH
from cladmodel.checks.shadows import shadow
from cladmodel.model import Kind, Model, Part, Use
from cladmodel.solids.measure import Floats, gather
from cladmodel.solids.rays import crossings

LOOK = 20.0
"""How far aside of a nail board ends and batten sides are looked for, in nail diameters: the largest of
EN 1995-1-1 table 8.2. [d]"""

FARTHEST = 1e6
"""Stands for no nail on that side. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Held:
    """One nail and what hangs on it.

    Attributes
    ----------
    nail : Driven
    thickness : float
        Of its board along the nail. [mm]
    strip : shapely geometry
        In x and y. [mm]
    """

    nail: Driven
    thickness: float
    strip: BaseGeometry

    @property
    def board(self) -> Part:
        """The board it holds."""
        return self.nail.boards[0]


def showing(boards: Sequence[Part]) -> dict[str, BaseGeometry]:
    """What shows of each board: its shadow less those of the course above.

    Parameters
    ----------
    boards : sequence of Part
        All of one wall.

    Returns
    -------
    dict of str to shapely geometry
        By mark.
    """
    shadows = {board.mark: shadow(board) for board in boards}
    over: dict[int, list[BaseGeometry]] = {}
    for board in boards:
        over.setdefault((board.course or 0) - 1, []).append(shadows[board.mark])
    above = {course: shapely.union_all(own) for course, own in over.items()}
    nothing = shapely.Polygon()
    return {
        board.mark: shadows[board.mark].difference(above.get(board.course or 0, nothing)) for board in boards
    }


def held(model: Model, wall: str) -> list[Held]:
    """Every board nail of a wall that goes through a board, with the strip it holds.

    Parameters
    ----------
    model : Model
    wall : str
    """
    boards = model.of_kind(Kind.BOARD, wall=wall)
    shown = showing(boards)
    by_board: dict[str, list[tuple[Driven, float]]] = {}
    for group in model.fixings_for(Use.BOARD, wall=wall):
        nails = drive(model, group, TOUCH, LOOK * group.fastener.diameter)
        for nail, thick in zip(nails, _thickness(boards, nails), strict=True):
            if nail.boards:
                by_board.setdefault(nail.boards[0].mark, []).append((nail, thick))
    found = []
    for mark, own in by_board.items():
        own.sort(key=lambda pair: float(pair[0].head[0]))
        x = np.array([nail.head[0] for nail, _ in own])
        cuts = [-FARTHEST, *((x[1:] + x[:-1]) / 2), FARTHEST]
        for index, (nail, thick) in enumerate(own):
            band = shapely.box(cuts[index], -FARTHEST, cuts[index + 1], FARTHEST)
            found.append(Held(nail=nail, thickness=thick, strip=shown[mark].intersection(band)))
    return found


def _thickness(boards: Sequence[Part], nails: Sequence[Driven]) -> Floats:
    """Wood of its first board that each nail passes through, (n,) float; nan for none. [mm]"""
    if not nails:
        return np.empty(0)
    heads = np.array([nail.head for nail in nails])
    group = nails[0].group
    found = crossings(gather(boards), heads, group.directions, -BEFORE, group.fastener.length + BEFORE)
    result = np.full(len(nails), np.nan)
    marks = [board.mark for board in boards]
    for line, part, enter, leave in zip(found.line, found.part, found.enter, found.leave, strict=True):
        first = nails[line].boards
        if first and marks[part] == first[0].mark:
            result[line] = min(leave, group.fastener.length) - max(enter, 0.0)
    return result
