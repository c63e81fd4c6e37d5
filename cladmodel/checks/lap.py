"""Least lap: how far each board covers the one below it, measured along that board."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import shapely

from cladmodel.checks.finding import Finding, Verdict, conclude, point, worst_each
from cladmodel.checks.rules import EXACT, Rules
from cladmodel.checks.seats import Seats, seats
from cladmodel.checks.shadows import shadow
from cladmodel.model import Model
from cladmodel.solids.measure import Bools, Floats, Ints

NAME = "lap"


def laps(cut: Seats) -> tuple[Ints, Floats, Floats]:
    """Laps at every cut.

    Parameters
    ----------
    cut : Seats

    Returns
    -------
    row : (k,) int
        Rows of the upper boards.
    along : (k,) float
        From the lower board's top back arris to the upper board's bottom back arris, along the lower
        board's back. [mm]
    upright : (k,) float
        From the upper board's lowest back corner to the lower board's top front corner, as a plumb
        section shows it. [mm]
    """
    # Out on a slanting end the cut shows less than the boards' own edges: no lap is measured there.
    row = np.flatnonzero((cut.below_cut >= 0) & cut.along_butt & cut.along_top[cut.below_cut])
    upper, lower = cut.arrises[row], cut.arrises[cut.below_cut[row]]
    back = lower[:, 3] - lower[:, 0]
    back /= np.linalg.norm(back, axis=1)[:, None]
    along = np.einsum("ij,ij->i", lower[:, 3] - upper[:, 0], back)
    # Two boards with an opening between them, one cut off below it and one above: not a lap.
    parted = (along < 0) & ~(cut.whole_top[cut.below_cut[row]] & cut.whole_butt[row])
    parted[parted] = ~_backed(cut, row[parted])
    # Nor where both end at the roof, and all there is of the upper board stands before the lower one.
    parted |= along >= cut.widths[row] - EXACT
    row, along = row[~parted], along[~parted]
    upright = cut.arrises[cut.below_cut[row], 2, 1] - cut.arrises[row, 0, 1]
    return row, along, upright


def _backed(cut: Seats, row: Ints) -> Bools:
    """Whether there is membrane behind the place between a board and the one below it, row by row."""
    if not len(row):
        return np.zeros(0, np.bool_)
    behind = shapely.union_all([shadow(part) for part in cut.membrane])
    middle = (cut.arrises[row, 0, 1] + cut.arrises[cut.below_cut[row], 3, 1]) / 2
    return np.asarray(shapely.contains_xy(behind, cut.x[row], middle), np.bool_)


def check_lap(model: Model, rules: Rules) -> Iterator[Finding]:
    """Hold every lap to the least one.

    Parameters
    ----------
    model : Model
    rules : Rules
        `lap`.
    """
    for wall in model.walls:
        cut = seats(model, wall.name)
        row, along, upright = laps(cut)
        if not len(row):
            continue

        def finding(
            k: int, cut: Seats = cut, row: Ints = row, along: Floats = along, up: Floats = upright
        ) -> Finding:
            short = along[k] < rules.lap.value - EXACT
            upper, lower = cut.mark(row[k]), cut.mark(cut.below_cut[row[k]])
            z, y = cut.arrises[row[k], 0]
            least = "Least lap: board" if not short else "Board"
            return Finding(
                check=NAME,
                verdict=Verdict.FAIL if short else Verdict.OK,
                wall=cut.parts[cut.board[row[k]]].wall,
                mark=upper,
                other=lower,
                where=point(cut.x[row[k]], y, z),
                measured=float(along[k]),
                limit=rules.lap.value,
                unit="mm",
                basis=rules.lap.basis,
                remedy="Use a smaller gauge (one more course) or a wider board." if short else "",
                text=f"{least} {upper} laps {lower} by {along[k]:.2f} mm along the board, "
                f"{up[k]:.2f} mm upright; at least {rules.lap.value:g} is wanted.",
            )

        short = np.flatnonzero(along < rules.lap.value - EXACT)
        faults = worst_each((cut.mark(row[k]), -float(along[k]), finding(int(k))) for k in short)
        yield from conclude(faults, finding(int(np.argmin(along))))
