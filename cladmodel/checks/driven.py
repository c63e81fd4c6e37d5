"""What every board nail goes through, measured along its own line in the solids."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from cladmodel.model import Fastener, Fixings, Kind, Model, Part
from cladmodel.solids.measure import Floats, bounds, extents_at, gather
from cladmodel.solids.near import boxes_met
from cladmodel.solids.rays import Crossings, crossings

BEFORE = 60.0
"""How far in front of its head a nail's line is followed, to find a face it was driven past. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Driven:
    """One board nail and what it meets.

    Attributes
    ----------
    group : Fixings
    head, point : (3,) float
        [mm]
    boards : tuple of Part
        Boards it goes through, from the head on.
    seat : float
        From the head to the face of the first board: above 0 if the head stands off it; nan for no board.
        [mm]
    to_end : float
        From the axis to the nearer end of that board; infinite beyond the distance looked at. [mm]
    batten : Part or None
    penetration : float
        [mm]
    beyond : float
        How far the point comes out at the batten's back; 0 if it does not. [mm]
    to_edge : float
        From the axis to the nearer side of the batten. [mm]
    """

    group: Fixings
    head: Floats
    point: Floats
    boards: tuple[Part, ...]
    seat: float
    to_end: float
    batten: Part | None
    penetration: float
    beyond: float
    to_edge: float

    @property
    def fastener(self) -> Fastener:
        """Its size."""
        return self.group.fastener


def drive(model: Model, group: Fixings, shallow: float, look: float) -> list[Driven]:
    """Follow every nail of a group through its wall's boards and battens.

    Parameters
    ----------
    model : Model
    group : Fixings
    shallow : float
        Less wood than this is a touch, not a hole. [mm]
    look : float
        How far aside board ends and batten sides are looked for. [mm]
    """
    count, length = len(group.heads), group.fastener.length
    boards = model.of_kind(Kind.BOARD, wall=group.wall)
    battens = model.of_kind(Kind.BATTEN, wall=group.wall)
    through = _through(boards, group, shallow)
    into = _through(battens, group, shallow)
    points = group.points
    result = []
    first = [through[i][0] if through[i] else None for i in range(count)]
    hold = [into[i][0] if into[i] else None for i in range(count)]
    middle = np.array([0.0 if f is None else (max(f[1], 0.0) + min(f[2], length)) / 2 for f in first])
    entry = np.array([0.0 if h is None else (max(h[1], 0.0) + min(h[2], length)) / 2 for h in hold])
    to_end = _aside(boards, group, middle, [None if f is None else f[0] for f in first], look)
    to_edge = _aside(battens, group, entry, [None if h is None else h[0] for h in hold], look)
    for i in range(count):
        f, h = first[i], hold[i]
        result.append(
            Driven(
                group=group,
                head=group.heads[i],
                point=points[i],
                boards=tuple(boards[part] for part, _, _ in through[i]),
                seat=float("nan") if f is None else f[1],
                to_end=to_end[i],
                batten=None if h is None else battens[h[0]],
                penetration=0.0 if h is None else min(h[2], length) - max(h[1], 0.0),
                beyond=0.0 if h is None else max(length - h[2], 0.0),
                to_edge=to_edge[i],
            )
        )
    return result


def _through(parts: list[Part], group: Fixings, shallow: float) -> list[list[tuple[int, float, float]]]:
    """For each nail the parts it is in, as (index, enter, leave) along its axis, from the head on."""
    length = group.fastener.length
    found = crossings(gather(parts), group.heads, group.directions, -BEFORE, length + BEFORE)
    rows: list[list[tuple[int, float, float]]] = [[] for _ in group.heads]
    for line, part, enter, leave in zip(found.line, found.part, found.enter, found.leave, strict=True):
        if min(leave, length) - max(enter, 0.0) > shallow:
            rows[line].append((int(part), float(enter), float(leave)))
    return rows


def _aside(
    parts: list[Part], group: Fixings, depth: Floats, part: list[int | None], look: float
) -> list[float]:
    """Distance along the wall from each nail, at a depth along it, to the first side of its own part."""
    start = group.heads + depth[:, None] * group.directions
    soup = gather(parts)
    result = [float("inf")] * len(start)
    for way in (-1.0, 1.0):
        line = np.tile((way, 0.0, 0.0), (len(start), 1))
        found: Crossings = crossings(soup, start, line, 0.0, look)
        for row, hit, enter in zip(found.line, found.part, found.enter, strict=True):
            if part[row] == hit:
                result[row] = min(result[row], float(enter))
    return result


def clears(nails: Sequence[Driven], boards: Sequence[Part]) -> list[list[tuple[float, Part]]]:
    """Clear height of each nail's underside over the boards of the course below that stand under it.

    Parameters
    ----------
    nails : sequence of Driven
    boards : sequence of Part
        Of one wall, all courses.

    Returns
    -------
    list of list of (height, Part)
        One for each nail, boards in the order given; empty where nothing is under it. [mm]
    """
    found: list[list[tuple[float, Part]]] = [[] for _ in nails]
    driven = [i for i, nail in enumerate(nails) if nail.boards]
    if not driven or not boards:
        return found
    soup = gather(boards)
    low, high = bounds(soup)
    course = np.array([board.course or 0 for board in boards], np.float64)
    x = np.array([nails[i].head[0] for i in driven])
    below = np.array([(nails[i].boards[0].course or 0) - 1 for i in driven], np.float64)
    spot = np.stack([x, below], axis=1)
    row, part = boxes_met(
        spot, spot, np.stack([low[:, 0], course], axis=1), np.stack([high[:, 0], course], axis=1)
    )
    _, top = extents_at(soup, part, 0, x[row], 1)
    for i, other, reach in zip(row, part, top, strict=True):
        nail = nails[driven[i]]
        under = float(min(nail.head[1], nail.point[1])) - nail.fastener.diameter / 2
        found[driven[i]].append((under - float(reach), boards[other]))
    return found
