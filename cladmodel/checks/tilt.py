"""Every board's lean against its neighbours', and the first course against all the rest."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from cladmodel.checks.finding import Finding, Verdict, conclude, point
from cladmodel.checks.leans import leans, uneven
from cladmodel.checks.rules import EXACT, Rules
from cladmodel.model import Kind, Model, Part

NAME = "tilt"


def check_tilt(model: Model, rules: Rules) -> Iterator[Finding]:
    """Compare leans measured on back faces.

    Parameters
    ----------
    model : Model
    rules : Rules
        `tilt_even`, `tilt_most`.
    """
    for wall in model.walls:
        boards = model.of_kind(Kind.BOARD, wall=wall.name)
        if not boards:
            continue
        lean = leans(boards)
        off = uneven(boards, lean)
        first = np.array([b.course == 1 for b in boards])
        rest = float(np.median(lean[~first])) if (~first).any() else float(np.median(lean))
        # Course 1 shows a wrong starter: judge it by the whole wall, not by its neighbours alone.
        judged = np.where(first & (np.abs(lean - rest) > np.abs(off)), lean - rest, off)
        faults = [
            _fault(boards[i], float(lean[i]), float(judged[i]), bool(first[i]), rules)
            for i in np.flatnonzero(~(np.abs(judged) <= rules.tilt_even.value + EXACT))
        ]
        worst = int(np.argmax(np.abs(judged)))
        low, high = float(lean.min()), float(lean.max())
        yield from conclude(
            faults,
            Finding(
                check=NAME,
                verdict=Verdict.OK,
                wall=wall.name,
                mark=boards[worst].mark,
                where=_middle(boards[worst]),
                measured=abs(float(judged[worst])),
                limit=rules.tilt_even.value,
                unit="deg",
                basis=rules.tilt_even.basis,
                text=f"All boards lean {low:.2f} to {high:.2f} deg; none differs from those round it by more "
                f"than {abs(float(judged[worst])):.2f} deg.",
            ),
        )


def _fault(board: Part, lean: float, off: float, first: bool, rules: Rules) -> Finding:
    fails = not abs(off) <= rules.tilt_most.value + EXACT
    limit = rules.tilt_most if fails else rules.tilt_even
    way = "more" if off > 0 else "less"
    beside = "the rest of the wall" if first else "the boards round it"
    return Finding(
        check=NAME,
        verdict=Verdict.FAIL if fails else Verdict.CAUTION,
        wall=board.wall,
        mark=board.mark,
        where=_middle(board),
        measured=abs(off),
        limit=limit.value,
        unit="deg",
        basis=limit.basis,
        remedy="Make the starter the thickness that gives course 1 the lean of the others."
        if first
        else "Hang the board again; behind a ripped board put a packer.",
        text=f"Board {board.mark} leans {lean:.2f} deg, {abs(off):.2f} deg {way} than {beside}.",
    )


def _middle(board: Part) -> tuple[float, float, float]:
    return point(*(board.vertices.min(axis=0) + board.vertices.max(axis=0)) / 2)
