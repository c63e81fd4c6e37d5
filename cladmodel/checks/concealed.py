"""Fixings meant to be hidden cannot be seen by anyone in front of the finished wall."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from cladmodel.checks.finding import Finding, Verdict, conclude, point
from cladmodel.checks.rules import Rules
from cladmodel.model import Layer, Model, Use, Wall, pieces
from cladmodel.solids.measure import Bools, Floats, gather
from cladmodel.solids.rays import caster

NAME = "concealed"
BASIS = "no line of sight from any eye above ground and half a metre off, up to 75 deg aside and 60 deg up"

EYE = 500.0
"""No one's eye is nearer to the wall than this. Common practice, no source. [mm]"""

_ASIDE = np.radians([-75, -60, -45, -30, -15, 0, 15, 30, 45, 60, 75])
_UPWARD = np.radians([-60, -40, -20, -5, 5, 20, 40, 60])

OFF_HEAD = 0.1
"""Sight lines start this far above the head, so as not to start in the wood it bears on. [mm]"""


def _sight_lines() -> Floats:
    """Make unit vectors outward from the wall, none of them level: (88, 3) float."""
    aside, up = (a.ravel() for a in np.meshgrid(_ASIDE, _UPWARD))
    return np.stack([np.sin(aside) * np.cos(up), np.sin(up), np.cos(aside) * np.cos(up)], axis=1)


def _no_eye(start: Floats, lines: Floats, front: float, wall: Wall) -> Bools:
    """Tell which lines no eye can look along: (n, lines) bool.

    Such a line runs up into the soffit, which covers at least the wall's own thickness, or down into the
    ground before it is as far off as an eye.
    """
    rise = lines[:, 1]
    level = np.where(rise > 0, wall.head, wall.ground)
    out = start[:, 2, None] + (level - start[:, 1, None]) / rise * lines[:, 2]
    return np.asarray(np.where(rise > 0, out <= front, out <= front + EYE))


def check_concealed(model: Model, rules: Rules) -> Iterator[Finding]:
    """Look out from every concealed head along many lines; each must meet something.

    Parameters
    ----------
    model : Model
    rules : Rules
        Not used: a head is hidden or it is not.
    """
    del rules
    lines = _sight_lines()
    for wall in model.walls:
        groups = [f for f in model.fixings if f.wall == wall.name and f.concealed and f.use is not Use.BOARD]
        heads = list(pieces(groups))
        if not heads:
            continue
        # The frame and sheets are behind every head: leaving them out changes nothing and is quicker.
        parts = [
            p for p in model.parts if p.wall == wall.name and p.layer not in (Layer.FRAME, Layer.SHEATHING)
        ]
        start = np.array(
            [g.heads[i] - (g.fastener.head_thickness + OFF_HEAD) * g.directions[i] for g, i in heads]
        )
        face, _ = caster(gather(parts)).first(
            np.repeat(start, len(lines), axis=0), np.tile(lines, (len(start), 1))
        )
        front = max((float(p.vertices[:, 2].max()) for p in parts), default=0.0)
        free = (face < 0).reshape(len(start), len(lines)) & ~_no_eye(start, lines, front, wall)
        seen = free.sum(axis=1)
        faults = [
            Finding(
                check=NAME,
                verdict=Verdict.FAIL,
                wall=wall.name,
                mark=heads[i][0].mark,
                where=point(*start[i]),
                measured=float(seen[i]),
                limit=0.0,
                unit="sight lines",
                basis=BASIS,
                remedy="Move the fixing behind a board, or call it visible.",
                text=f"A {heads[i][0].fastener.name} ({heads[i][0].use}) can be seen from in front.",
            )
            for i in np.flatnonzero(seen)
        ]
        yield from conclude(
            faults,
            Finding(
                check=NAME,
                verdict=Verdict.OK,
                wall=wall.name,
                measured=0.0,
                limit=0.0,
                unit="sight lines",
                basis=BASIS,
                text=f"None of the {len(heads)} concealed fixings can be seen from in front.",
            ),
        )
