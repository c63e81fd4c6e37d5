"""Every board's lean against its neighbours', and the first course against all the rest."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from cladmodel.checks.finding import Finding, Verdict, conclude, point
from cladmodel.checks.leans import leans, off_by
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
        off = off_by(boards, lean)
        faults = [
            _fault(boards[i], float(lean[i]), float(off[i]), rules)
            for i in np.flatnonzero(~(np.abs(off) <= rules.tilt_even.value + EXACT))
        ]
        worst = int(np.argmax(np.abs(off)))
        low, high = float(lean.min()), float(lean.max())
        yield from conclude(
            faults,
            Finding(
                check=NAME,
                verdict=Verdict.OK,
                wall=wall.name,
                mark=boards[worst].mark,
                where=_middle(boards[worst]),
                measured=abs(float(off[worst])),
                limit=rules.tilt_even.value,
                unit="deg",
                basis=rules.tilt_even.basis,
                text=f"All boards lean {low:.2f} to {high:.2f} deg; none differs from those round it by more "
                f"than {abs(float(off[worst])):.2f} deg.",
            ),
        )


def _fault(board: Part, lean: float, off: float, rules: Rules) -> Finding:
    first = board.course == 1
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
        measured=abs(off) if np.isfinite(off) else None,
        limit=limit.value,
        unit="deg",
        basis=limit.basis,
        remedy="Make the starter the thickness that gives course 1 the lean of the others."
        if first
        else "Hang the board again; behind a ripped board put a packer.",
        text=f"Board {board.mark} leans {lean:.2f} deg, {abs(off):.2f} deg {way} than {beside}."
        if np.isfinite(off)
        else f"Board {board.mark} lies so far over that its lean off {beside} cannot be told.",
    )


def _middle(board: Part) -> tuple[float, float, float]:
    return point(*(board.vertices.min(axis=0) + board.vertices.max(axis=0)) / 2)
