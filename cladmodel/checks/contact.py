"""Whether boards bear where they should: butt on the board below, top on the batten, butts level.

One cause, one finding. What stands wrong is told apart so:

- a board whose lean is plainly off belongs to `tilt`;
- a board driven into its batten or packer belongs to `clashes`, with all that follows from it;
- a gap, or a butt driven into the board below, and butts out of level, belong here.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import numpy as np

from cladmodel.checks.finding import Finding, Verdict, conclude, point, worst_each
from cladmodel.checks.leans import off_lean
from cladmodel.checks.rules import EXACT, TOUCH, Rules
from cladmodel.checks.seats import Seats, seats
from cladmodel.model import Kind, Model
from cladmodel.solids.measure import Bools, Floats, Ints

NAME = "contact"

RIPPED = 0.1
"""A butt thinner by more than this than others of its course has been ripped off the board. [mm]"""

BARELY = 5.0
"""A butt bears on a board that reaches at least this far below it; one sawn to a sloping foot runs out under
the next board's butt. [mm]"""

A_RIP = 10.0
"""A butt further than this off its course is the cut edge of a board over an opening, of even thickness;
as a mistake it would show as a gap many times over. [mm]"""

PACKER = 9.0
"""Room a packer takes on a batten: 8 high at least, clear of the board below by 1. Common practice, no
source. [mm]"""


def check_contact(model: Model, rules: Rules) -> Iterator[Finding]:
    """Hold every seat to the most gap and the most interference, and butts to level.

    Parameters
    ----------
    model : Model
    rules : Rules
        `contact`, `packing`, `level`.
    """
    leaning = off_lean(model, rules)
    for wall in model.walls:
        cut = seats(model, wall.name)
        if not len(cut.board):
            continue
        bottom, top, level = _judged(cut, leaning, rules)
        faults: list[tuple[object, float, Finding]] = []
        bad = np.abs(bottom) > rules.contact.value + EXACT
        for row in np.flatnonzero(bad & ~_on_a_bad_one(cut, bad)):
            faults.append((cut.mark(row), abs(bottom[row]), _at_bottom(cut, int(row), bottom[row], rules)))
        for row in np.flatnonzero(top > rules.packing.value + EXACT):
            faults.append((cut.mark(row), top[row], _at_top(cut, int(row), top[row], rules)))
        for row in np.flatnonzero(np.abs(level) > rules.level.value + EXACT):
            faults.append((cut.mark(row), abs(level[row]), _off_level(cut, int(row), level[row], rules)))
        worst = np.fmax(np.abs(bottom), np.fmax(top, 0.0))
        if np.isnan(worst).all():
            continue
        most = int(np.nanargmax(worst))
        yield from conclude(
            worst_each(faults),
            Finding(
                check=NAME,
                verdict=Verdict.OK,
                wall=wall.name,
                mark=cut.mark(most),
                where=_place(cut, most, 0),
                measured=float(worst[most]),
                limit=rules.contact.value,
                unit="mm",
                basis=rules.contact.basis,
                text=f"Every board bears at butt and top edge; the largest gap is {worst[most]:.4f} mm and "
                f"butts are level within {np.nanmax(np.abs(level)):.3f} mm.",
            ),
        )


def _on_a_bad_one(cut: Seats, bad: Bools) -> Bools:
    """Tell which rows bear on a board that is itself out of place: hang that one right first."""
    out = np.zeros(len(cut.parts), np.bool_)
    lower: Bools = np.zeros(len(bad), np.bool_)
    for course in np.unique(cut.courses):
        row = np.flatnonzero(cut.courses == course)
        lower[row] = (cut.below[row] >= 0) & out[cut.below[row]]
        out[cut.board[row[bad[row] & ~lower[row]]]] = True
    return lower


def owned_pairs(model: Model, rules: Rules) -> frozenset[frozenset[str]]:
    """Pairs of pieces in each other which this check (or `tilt`) reports, so that `clashes` need not.

    Parameters
    ----------
    model : Model
    rules : Rules
        `contact`, `tilt_most`.
    """
    leaning = off_lean(model, rules)
    pairs: set[frozenset[str]] = set()
    for wall in model.walls:
        cut = seats(model, wall.name)
        if not len(cut.board):
            continue
        bottom, _, _ = _judged(cut, leaning, rules)
        for row in range(len(cut.board)):
            mark = cut.mark(row)
            for other in (cut.below[row], cut.behind[row]):
                if other >= 0 and (mark in leaning or cut.parts[other].mark in leaning):
                    pairs.add(frozenset((mark, cut.parts[other].mark)))
            if bottom[row] < -rules.contact.value - EXACT:
                pairs.add(frozenset((mark, cut.parts[cut.below[row]].mark)))
    return frozenset(pairs)


def _judged(cut: Seats, leaning: frozenset[str], rules: Rules) -> tuple[Floats, Floats, Floats]:
    """Spaces at butt and top and height off level, nan where another check owns the fault."""
    marks = np.array([p.mark for p in cut.parts])
    packer = np.array([p.kind is Kind.PACKER for p in cut.parts])
    off = np.isin(marks, list(leaning))
    sunk = np.zeros(len(cut.parts), np.bool_)
    sunk[cut.board[cut.top < -TOUCH]] = True
    spoilt = off | sunk
    own = spoilt[cut.board]
    starter = np.array([p.kind is Kind.STARTER for p in cut.parts])
    props: Bools = cut.whole_butt | ((cut.below >= 0) & starter[cut.below])
    props &= ~((cut.below_cut >= 0) & (cut.arrises[:, 0, 1] - cut.arrises[cut.below_cut, 1, 1] < BARELY))
    bottom = np.where(own | ~props | ((cut.below >= 0) & spoilt[cut.below]), np.nan, cut.bottom)
    whole: Bools = cut.whole_top | ((cut.behind >= 0) & packer[cut.behind])
    top = np.where(own | ~(whole | _wants_packer(cut, rules)), np.nan, cut.top)
    doubtful = off.copy()
    doubtful[cut.board[np.abs(bottom) > rules.contact.value + EXACT]] = True
    return bottom, top, np.where(off[cut.board], np.nan, _level(cut, doubtful[cut.board]))


def _wants_packer(cut: Seats, rules: Rules) -> Bools:
    """Rows where a notched or raked top edge stands off its batten, with room for the packer it lacks."""
    bare = np.flatnonzero(~cut.whole_top & ~cut.end_top & (cut.top > rules.packing.value))
    wants: Bools = np.zeros(len(cut.board), np.bool_)
    for row in bare:
        batten = cut.parts[cut.behind[row]]
        if batten.kind is not Kind.BATTEN:
            continue
        left, right = batten.vertices[:, 0].min(), batten.vertices[:, 0].max()
        beside = _backed(cut, cut.board[row])
        beside = beside[(cut.x[beside] >= left) & (cut.x[beside] <= right)]
        # Under a rake one packer carries the half of the batten that has more room; a point that covers no
        # more than a half of it has none.
        if len(beside) < 2:
            continue
        wants[row] = np.nanmin(cut.top[beside]) > rules.packing.value and (_room(cut, beside) >= PACKER).all()
    return wants


def _backed(cut: Seats, board: int | np.integer[Any]) -> Ints:
    """Rows of one board in which its top edge has something behind it."""
    return np.flatnonzero((cut.board == board) & ~np.isnan(cut.top))


def _room(cut: Seats, row: Ints) -> Floats:
    """Height of a board's top edge over what stands in front of the batten below it."""
    under = cut.arrises[row, 0, 1]
    starter = np.array([p.vertices[:, 1].max() if p.kind is Kind.STARTER else -np.inf for p in cut.parts])
    under = np.maximum(under, np.where(cut.below[row] >= 0, starter[cut.below[row]], -np.inf))
    lower = cut.below_cut[row]
    under = np.maximum(under, np.where(lower >= 0, cut.arrises[lower, 2:, 1].max(axis=1), -np.inf))
    return np.asarray(cut.arrises[row, 3, 1] - under)


def _level(cut: Seats, doubtful: Bools) -> Floats:
    """Height of each full butt over the middle of its course's sound ones; nan where it is cut away."""
    height = cut.arrises[:, 0, 1]
    butt = cut.butts
    level = np.full(len(height), np.nan)
    courses = cut.courses
    for course in np.unique(courses):
        row = np.flatnonzero((courses == course) & cut.whole_butt)
        if not len(row):
            continue
        row = row[butt[row] >= butt[row].max() - RIPPED]
        sound = row[~doubtful[row]]
        known = np.sort(height[sound if len(sound) else row])
        # Of two boards no height half-way between them is the course's: one of the two is.
        off = height[row] - known[(len(known) - 1) // 2]
        level[row] = np.where(np.abs(off) <= A_RIP, off, np.nan)
    return level


def _place(cut: Seats, row: int, arris: int) -> tuple[float, float, float]:
    z, y = cut.arrises[row, arris]
    return point(cut.x[row], y, z)


def _at_bottom(cut: Seats, row: int, space: float, rules: Rules) -> Finding:
    other = cut.parts[cut.below[row]]
    what = "the starter" if other.kind is Kind.STARTER else f"board {other.mark} below"
    how = f"{space:.2f} mm off" if space > 0 else f"{-space:.2f} mm into"
    return Finding(
        check=NAME,
        verdict=Verdict.FAIL,
        wall=other.wall,
        mark=cut.mark(row),
        other=other.mark,
        where=_place(cut, row, 0),
        measured=float(space),
        limit=rules.contact.value,
        unit="mm",
        basis=rules.contact.basis,
        remedy="Hang the board on its butt line so that it just touches.",
        text=f"The butt of board {cut.mark(row)} stands {how} {what}.",
    )


def _at_top(cut: Seats, row: int, space: float, rules: Rules) -> Finding:
    other = cut.parts[cut.behind[row]]
    return Finding(
        check=NAME,
        verdict=Verdict.FAIL,
        wall=other.wall,
        mark=cut.mark(row),
        other=other.mark,
        where=_place(cut, row, 3),
        measured=float(space),
        limit=rules.packing.value,
        unit="mm",
        basis=rules.packing.basis,
        remedy="Push the top edge home against the batten, or put a packer of that thickness behind it.",
        text=f"The top edge of board {cut.mark(row)} stands {space:.2f} mm off {other.kind} {other.mark}.",
    )


def _off_level(cut: Seats, row: int, height: float, rules: Rules) -> Finding:
    board = cut.parts[cut.board[row]]
    way = "above" if height > 0 else "below"
    return Finding(
        check=NAME,
        verdict=Verdict.FAIL,
        wall=board.wall,
        mark=board.mark,
        where=_place(cut, row, 0),
        measured=float(height),
        limit=rules.level.value,
        unit="mm",
        basis=rules.level.basis,
        remedy="Bring the butt back to the rod's mark.",
        text=f"The butt of board {board.mark} is {abs(height):.2f} mm {way} the rest of its course.",
    )
