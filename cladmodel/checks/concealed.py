"""Fixings meant to be hidden cannot be seen by anyone in front of the finished wall."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from cladmodel.checks.finding import Finding, Verdict, conclude, point
from cladmodel.checks.rules import Rules
from cladmodel.model import Layer, Model, Use, Wall
from cladmodel.solids.measure import Bools, Floats, gather
from cladmodel.solids.rays import caster

NAME = "concealed"
BASIS = "no line of sight from any eye above ground and half a metre off, up to 75 deg aside and 60 deg up"

EYE = 500.0
"""No one's eye is nearer to the wall than this. Common practice, no source. [mm]"""

_ASIDE = np.radians([-75, -60, -45, -30, -15, 0, 15, 30, 45, 60, 75])
_UPWARD = np.radians([-60, -40, -20, -5, 5, 20, 40, 60])

_BEHIND = (Layer.FRAME, Layer.SHEATHING)
"""Behind every head: left out, since that changes nothing and is quicker."""

OFF_HEAD = 0.1
"""Sight lines start this far above the head, so as not to start in the wood it bears on. [mm]"""


def _sight_lines() -> Floats:
    """Make unit vectors outward from the wall, none of them level: (88, 3) float."""
    aside, up = (a.ravel() for a in np.meshgrid(_ASIDE, _UPWARD))
    return np.stack([np.sin(aside) * np.cos(up), np.sin(up), np.cos(aside) * np.cos(up)], axis=1)


def _no_eye(start: Floats, lines: Floats, front: float, wall: Wall) -> Bools:
    """Tell which lines no eye can look along: (n, lines) bool.

    Such a line runs up into the soffit (along a gable, the rake's), which covers at least the wall's own
    thickness; or down into the ground before it is as far off as an eye.
    """
    ahead = (front - start[:, 2, None]) / lines[:, 2]
    x, y = (start[:, axis, None] + ahead * lines[:, axis] for axis in (0, 1))
    # Where the line is when it has come out past everything that hangs on the wall.
    under = y > _soffit(wall, x)
    drop = (wall.ground - start[:, 1, None]) / lines[:, 1]
    near = start[:, 2, None] + drop * lines[:, 2] <= front + EYE
    return np.asarray(np.where(lines[:, 1] > 0, under, near))


def _soffit(wall: Wall, x: Floats) -> Floats:
    """Height of a wall's top over each x; beyond its ends, that of the nearer end. [mm]"""
    return np.asarray(np.interp(x, wall.top_line[:, 0], wall.top_line[:, 1]))


def check_concealed(model: Model, rules: Rules) -> Iterator[Finding]:
    """Look out from every concealed head along many lines; each must meet something.

    Parameters
    ----------
    model : Model
    rules : Rules
        Not used: a head is hidden or it is not.
    """
    lines = _sight_lines()
    parts = [p for p in model.parts if p.layer not in _BEHIND]
    # All walls in one set of axes: a corner's post, or another wing, may stand in the way.
    solid = caster(gather(p.with_vertices(model.to_building(p.wall, p.vertices)) for p in parts))
    for wall in model.walls:
        groups = [f for f in model.fixings if f.wall == wall.name and f.concealed and f.use is not Use.BOARD]
        heads = [(group, index) for group in groups for index in range(len(group.heads))]
        if not heads:
            continue
        start = np.array(
            [g.heads[i] - (g.fastener.head_thickness + OFF_HEAD) * g.directions[i] for g, i in heads]
        )
        own = (p for p in model.parts_by_wall[wall.name] if p.layer not in _BEHIND)
        front = max((float(p.vertices[:, 2].max()) for p in own), default=0.0)
        face, _ = solid.first(
            np.repeat(model.to_building(wall.name, start), len(lines), axis=0),
            np.tile(lines @ wall.frame[:3, :3].T, (len(start), 1)),
        )
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
