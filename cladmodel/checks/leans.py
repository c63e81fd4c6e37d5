"""How every board leans, from the normals of its back face.

One cause, one finding: a board whose lean is plainly wrong neither seats nor clears as it should, and
saying so five times helps no one. `off_lean` names those boards; other checks leave to `tilt` what follows.
"""

from __future__ import annotations

import numpy as np

from cladmodel.checks.rules import EXACT, Rules
from cladmodel.model import Kind, Model, Part
from cladmodel.solids.measure import Floats, gather, normals

BACK = -0.75
"""A triangle whose unit normal runs into the wall by more than this belongs to a board's back, up to a lean
of 41 deg; its edges and ends are square to it, and short of that. [-]"""

NEIGHBOURS = 4
"""Courses a board is compared with, nearest first: one wrong board in four cannot shift a median. [-]"""


def leans(boards: list[Part]) -> Floats:
    """Lean of each board's back face from upright; above 0 when its top leans in.

    Parameters
    ----------
    boards : list of Part
        All of one wall.

    Returns
    -------
    (n,) float
        Area-weighted over the back's triangles; nan for a board without a back. [deg]
    """
    soup = gather(boards)
    normal, area = normals(soup)
    back = normal[:, 2] < BACK
    part = soup.face_part[back]
    down = np.bincount(part, normal[back, 1] * area[back], soup.count)
    into = np.bincount(part, normal[back, 2] * area[back], soup.count)
    return np.where(into < 0, np.degrees(np.arctan2(-down, -into)), np.nan)


def uneven(boards: list[Part], lean: Floats) -> Floats:
    """How much each board's lean differs from the median of the boards round about.

    Parameters
    ----------
    boards : list of Part
    lean : (n,) float
        [deg]

    Returns
    -------
    (n,) float
        0 for a board on its own. [deg]
    """
    course = np.array([b.course or 0 for b in boards])
    result = np.zeros(len(boards))
    courses, place = np.unique(course, return_inverse=True)
    members = [np.flatnonzero(place == n) for n in range(len(courses))]
    for n, own in enumerate(courses):
        others = np.delete(np.arange(len(courses)), n)
        near = others[np.argsort(np.abs(courses[others] - own), kind="stable")][:NEIGHBOURS]
        mates = np.concatenate([members[n], *(members[m] for m in near)])
        if len(mates) > 1:
            result[members[n]] = lean[members[n]] - _median_of_others(lean[mates], lean[members[n]])
    return result


def off_by(boards: list[Part], lean: Floats) -> Floats:
    """How far off each board leans: from the boards round about or, in course 1, from the rest of the wall.

    Course 1 shows a wrong starter, which tilts its neighbours too: the larger of the two counts.

    Parameters
    ----------
    boards : list of Part
        At least one.
    lean : (n,) float
        [deg]

    Returns
    -------
    (n,) float
        [deg]
    """
    off = uneven(boards, lean)
    first = np.array([board.course == 1 for board in boards])
    known = lean if first.all() else lean[~first]
    known = known[np.isfinite(known)]
    rest = np.median(known) if len(known) else np.nan
    return np.where(first & (np.abs(lean - rest) > np.abs(off)), lean - rest, off)


def _median_of_others(values: Floats, own: Floats) -> Floats:
    """Median of some values less one of them, for each of `own` in turn, from a single sorting."""
    ordered = np.sort(values[np.isfinite(values)])  # one board lying flat says nothing of the others
    if len(ordered) < 2:
        return np.full(len(own), np.nan)
    left_out = np.searchsorted(ordered, own)
    upper = (len(ordered) - 1) // 2
    lower = upper if len(ordered) % 2 == 0 else upper - 1
    one, two = (ordered[np.where(k < left_out, k, k + 1)] for k in (lower, upper))
    return np.asarray((one + two) / 2)


def off_lean(model: Model, rules: Rules) -> frozenset[str]:
    """Find the marks of the boards that `tilt` fails.

    Parameters
    ----------
    model : Model
    rules : Rules
    """
    marks: set[str] = set()
    for wall in model.walls:
        boards = model.of_kind(Kind.BOARD, wall=wall.name)
        even = np.abs(uneven(boards, leans(boards))) <= rules.tilt_most.value + EXACT
        marks.update(boards[i].mark for i in np.flatnonzero(~even))
    return frozenset(marks)
