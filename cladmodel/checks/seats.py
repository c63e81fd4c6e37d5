r"""Where boards bear, on upright cuts through the solids at every batten.

out ->                 top back arris touches the batten or a packer
|batten|/\ thin edge
|      |\ \           Signed space between two cut pieces: the widest clear strip between them
|      | \ \          (separating axes in the plane of the cut), below 0 by how deep they are
|      |  \_| butt    in each other. A corner on a face gives it exactly.
|      |  B            B, the bottom back arris, touches the face of the board below or the starter
"""

from __future__ import annotations

from bisect import bisect_right, insort
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any
from weakref import WeakKeyDictionary

import numpy as np
import shapely

from cladmodel.checks.arrises import arrises_of
from cladmodel.checks.leans import leans
from cladmodel.model import Kind, Model, Part
from cladmodel.solids.measure import Bools, Floats, Ints, Soup, bounds, faces_of, gather
from cladmodel.solids.near import boxes_met
from cladmodel.solids.sections import rings
from cladmodel.solids.spaces import spaces

ALIKE = 0.01
"""A point within this of a board's straight edge lies on it; no notch or rip is so shallow. [mm]"""

LEVEL = 0.035
"""Slope up to which an edge is a board's own butt or top edge: 2 deg. Steeper, it is a rake cut. [-]"""

STEEP = 5.0
"""Slope from which an edge is a board's end, not a rake cut: 79 deg. [-]"""

CARRIED = 45.0
"""A course's own packer that ends no further than this below its top edge carries it: under a rake it is cut
square, at the height of the lower side of the cut. [mm]"""

BESIDE = 0.05
"""A notch is cut this far to both sides of its corners. [mm]"""

CRUMB = 1.0
"""A cut of less than this runs through the very tip of a board. [mm2]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Seats:
    """Every board in every upright cut of a wall, from left to right, then upward.

    Cuts at battens come first. Those beside the corners of notched or raked boards, through these and the
    boards above and below alone, come after them: laps are measured there too, bearing is not.

    Attributes
    ----------
    parts : tuple of Part
        What was cut: boards and all that they bear on.
    membrane : tuple of Part
        What lies behind them: none of it in an opening.
    x : (n,) float
        Where each cut stands. [mm]
    board : (n,) int
        Index in `parts`.
    arrises : (n, 4, 2) float
        z and y of the bottom back, bottom front, top front and top back arris. [mm]
    below : (n,) int
        Board of the course below, or starter, that this board bears on here; -1 for none.
    bottom : (n,) float
        Signed space to it; nan for none. [mm]
    behind : (n,) int
        Batten or packer behind the top edge; -1 for none.
    top : (n,) float
        Signed space to it; nan for none. [mm]
    below_cut : (n,) int
        Row of the board below in this same cut; -1 if it bears on no board here.
    along_butt, along_top : (n,) bool
        Whether the cut is between the ends of the board's own butt and top edge, or in a notch sawn level,
        not out on a slanting end.
    whole_butt, whole_top : (n,) bool
        Whether the board is there cut on those edges, not in a notch.
    end_top : (n,) bool
        Whether its top is there on its end, in a wall out of square.
    at_batten : (n,) bool
        Whether the cut is one of those at battens.
    """

    parts: tuple[Part, ...]
    membrane: tuple[Part, ...]
    x: Floats
    board: Ints
    arrises: Floats
    below: Ints
    bottom: Floats
    behind: Ints
    top: Floats
    below_cut: Ints
    along_butt: Bools
    along_top: Bools
    whole_butt: Bools
    whole_top: Bools
    end_top: Bools
    at_batten: Bools

    def mark(self, row: int | np.integer[Any]) -> str:
        """Mark of the board in one row."""
        return self.parts[int(self.board[row])].mark

    @property
    def butts(self) -> Floats:
        """Thickness of the board at its bottom edge in each row, (n,) float. [mm]"""
        return self._between(0, 1)

    @property
    def thin_edges(self) -> Floats:
        """Thickness of the board at its top edge in each row, (n,) float. [mm]"""
        return self._between(3, 2)

    @property
    def widths(self) -> Floats:
        """Width of the board along its back in each row, (n,) float. [mm]"""
        return self._between(0, 3)

    def _between(self, one: int, other: int) -> Floats:
        return np.asarray(np.linalg.norm(self.arrises[:, other] - self.arrises[:, one], axis=1))

    @property
    def courses(self) -> Ints:
        """Course of the board in each row, (n,) int."""
        of_part = np.array([p.course or 0 for p in self.parts], np.int64)
        return np.asarray(of_part[self.board])


_CUT: WeakKeyDictionary[Model, dict[str, Seats]] = WeakKeyDictionary()


def seats(model: Model, wall: str) -> Seats:
    """Cut a wall upright at every batten and measure where its boards bear.

    Three checks read the same cuts: they are made once for a model and kept as long as it is.

    Parameters
    ----------
    model : Model
    wall : str
    """
    kept = _CUT.setdefault(model, {})
    if wall not in kept:
        kept[wall] = _cut(model, wall)
    return kept[wall]


def _cut(model: Model, wall: str) -> Seats:
    parts = model.of_kind(Kind.BOARD, Kind.STARTER, Kind.PACKER, Kind.BATTEN, wall=wall)
    soup = gather(parts)
    x: list[float] = []
    owner: list[int] = []
    points: list[Floats] = []
    planes = _planes(parts)
    cuts = [*zip(planes, _met(soup, planes), strict=True), *_beside(parts, planes)]
    for at, met in cuts:
        for ring in rings(soup, 0, at, faces_of(soup, met)[1]):
            if ring.area > CRUMB:
                x.append(at)
                owner.append(ring.part)
                points.append(ring.points)
    done = _measure(tuple(parts), np.array(x), np.array(owner, np.int64), points)
    bears = np.isin(done.x, planes)
    return replace(
        done,
        at_batten=bears,
        membrane=tuple(model.of_kind(Kind.MEMBRANE, wall=wall)),
        bottom=np.where(bears, done.bottom, np.nan),
        top=np.where(bears, done.top, np.nan),
    )


def _met(soup: Soup, planes: Sequence[float]) -> list[Ints]:
    """Solids that each plane runs through, in their order: few of a long wall's."""
    low, high = bounds(soup)
    at = np.array(planes)[:, None]
    plane, part = boxes_met(at, at, low[:, :1], high[:, :1])
    return np.split(part, np.searchsorted(plane, np.arange(1, len(planes)))) if planes else []


def _planes(parts: Sequence[Part]) -> list[float]:
    """Two cuts through every batten, clear of a joint on its middle; one through what has none of them."""
    wanted: set[float] = set()
    for batten in (p for p in parts if p.kind is Kind.BATTEN):
        low, high = float(batten.vertices[:, 0].min()), float(batten.vertices[:, 0].max())
        wanted.update((low + (high - low) / 4, high - (high - low) / 4))
    planes = sorted(wanted)
    for part in (p for p in parts if p.kind in (Kind.BOARD, Kind.PACKER)):
        low, high = float(part.vertices[:, 0].min()), float(part.vertices[:, 0].max())
        if bisect_right(planes, low) == bisect_right(planes, high):
            insort(planes, (low + high) / 2)
    return sorted(set(planes))


def _beside(parts: Sequence[Part], planes: Sequence[float]) -> list[tuple[float, Ints]]:
    """Cuts on both sides of every corner between a board's ends, through it and its neighbours alone."""
    courses: dict[int, list[int]] = {}
    for index, part in enumerate(parts):
        if part.kind is Kind.BOARD and part.course is not None:
            courses.setdefault(part.course, []).append(index)
    spans = {
        i: (float(parts[i].vertices[:, 0].min()), float(parts[i].vertices[:, 0].max()))
        for own in courses.values()
        for i in own
    }
    found: dict[float, set[int]] = {}
    for course, own in courses.items():
        for index in own:
            low, high = spans[index]
            for corner in np.unique(np.round(parts[index].vertices[:, 0], 3)):
                for at in (float(corner) - BESIDE, float(corner) + BESIDE):
                    if low + 2 * BESIDE < at < high - 2 * BESIDE:
                        near = (i for c in (course - 1, course, course + 1) for i in courses.get(c, ()))
                        found.setdefault(at, set()).update(i for i in near if spans[i][0] < at <= spans[i][1])
    taken = set(planes)
    return [(at, np.array(sorted(own))) for at, own in sorted(found.items()) if at not in taken]


def _measure(parts: tuple[Part, ...], x: Floats, owner: Ints, points: list[Floats]) -> Seats:
    kind = [parts[p].kind for p in owner]
    starts = np.cumsum([0, *(len(p) for p in points)])[:-1]
    rise = np.concatenate(points)[:, 1] if points else np.empty(0)
    low, high = np.minimum.reduceat(rise, starts), np.maximum.reduceat(rise, starts)
    # Cuts stand in the order they were made: those at battens from left to right, then the others.
    turn = {at: n for n, at in enumerate(dict.fromkeys(x.tolist()))}
    boards = (i for i, k in enumerate(kind) if k is Kind.BOARD)
    row_of: list[int] = sorted(boards, key=lambda i: (turn[float(x[i])], low[i]))
    arrises = {i: arrises_of(points[i]) for i in row_of}
    # What a board is compared with: by the plane and the kind, boards by their course as well.
    alike: dict[tuple[float, Kind, int | None], list[int]] = {}
    for i, at in enumerate(x):
        course = parts[owner[i]].course if kind[i] is Kind.BOARD else None
        alike.setdefault((float(at), kind[i], course), []).append(i)
    below_pairs: list[tuple[int, int]] = []
    behind_pairs: list[tuple[int, int]] = []
    for row, i in enumerate(row_of):
        at, course = float(x[i]), parts[owner[i]].course
        under = [] if course is None else alike.get((at, Kind.BOARD, course - 1), [])
        below_pairs += [
            (row, j) for j in _below(i, under, alike.get((at, Kind.STARTER, None), []), low, high)
        ]
        top = arrises[i][3][1]
        battens, packers = (alike.get((at, k, None), []) for k in (Kind.BATTEN, Kind.PACKER))
        backing = [j for j in battens if low[j] <= top <= high[j] + ALIKE]
        backing += [
            j
            for j in packers
            if parts[owner[j]].course in (course, None) and low[j] <= top <= high[j] + CARRIED
        ]
        behind_pairs += [(row, j) for j in sorted(backing)]
    cuts = [points[i] for i in row_of]
    below, bottom = _nearest(below_pairs, cuts, points)
    behind, top_space = _nearest(behind_pairs, cuts, points)
    row_number = {i: row for row, i in enumerate(row_of)}
    corners = np.array([arrises[i] for i in row_of]).reshape(-1, 4, 2)
    along, whole, ends = _edges(parts, owner[row_of], x[row_of], corners)
    return Seats(
        parts=parts,
        membrane=(),
        x=x[row_of],
        board=owner[row_of],
        arrises=corners,
        below=np.where(below >= 0, owner[below], -1) if len(owner) else below,
        bottom=bottom,
        behind=np.where(behind >= 0, owner[behind], -1) if len(owner) else behind,
        top=top_space,
        below_cut=np.array([row_number.get(int(j), -1) for j in below], np.int64),
        along_butt=along[0],
        along_top=along[1],
        whole_butt=whole[0],
        whole_top=whole[1],
        end_top=ends[1],
        at_batten=np.ones(len(row_of), np.bool_),
    )


def _edges(parts: Sequence[Part], board: Ints, x: Floats, arrises: Floats) -> tuple[Bools, Bools, Bools]:
    """Hold each cut to its board's own butt and top edge.

    Returns
    -------
    along, whole : (2, n) bool
        Butt, then top: within the edge's length or on a level notch beside it, and on the edge itself.
    ends : (2, n) bool
        Out on the board's end.
    """
    along, whole, ends = (np.zeros((2, len(board)), np.bool_) for _ in range(3))
    if not len(board):
        return along, whole, ends
    order = np.argsort(board, kind="stable")
    each, first = np.unique(board[order], return_index=True)
    for index, row in zip(each, np.split(order, first[1:]), strict=True):
        lean = float(np.radians(leans([parts[index]])[0]))
        up = np.array((np.cos(lean), -np.sin(lean)))  # up the back, in y and z
        vertices = parts[index].vertices
        out = vertices[:, 1] * np.sin(lean) + vertices[:, 2] * np.cos(lean)
        back = vertices[out < out.min() + ALIKE]
        outline = np.column_stack([back[:, 0], back[:, 1:] @ up])
        for edge, (low, high) in enumerate(_long_edges(outline)):
            share = (x[row] - low[0]) / (high[0] - low[0])
            height = arrises[row, 0 if edge == 0 else 3][:, ::-1] @ up
            within = (share >= 0) & (share <= 1)
            on = np.abs(low[1] + share * (high[1] - low[1]) - height) <= ALIKE
            whole[edge, row] = within & on
            along[edge, row] = within
            past = row[~within]
            if len(past):
                back = out < out.min() + ALIKE
                level, end = _outline_there(parts[index], back, up, x[past], height[~within])
                along[edge, past] = level
                ends[edge, past] = end
    return along, whole, ends


def _outline_there(part: Part, back: Bools, up: Floats, x: Floats, height: Floats) -> tuple[Bools, Bools]:
    """Whether the outline of a board's back is level at some x and heights, and whether that is its end.

    Level, it is a notch sawn out at the end; too steep for a rake, it is the end itself.
    """
    corner = np.sort(part.faces[back[part.faces].all(axis=1)][:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2), axis=1)
    edge, times = np.unique(corner, axis=0, return_counts=True)
    one, two = (part.vertices[edge[times == 1][:, k]] for k in (0, 1))
    along, rise = two[:, 0] - one[:, 0], (two[:, 1:] - one[:, 1:]) @ up
    low, high = np.minimum(one[:, 0], two[:, 0]), np.maximum(one[:, 0], two[:, 0])
    share = (x[:, None] - one[:, 0]) / np.where(along == 0, 1.0, along)
    met = np.abs(one[:, 1:] @ up + share * rise - height[:, None]) <= ALIKE
    met &= (low <= x[:, None]) & (x[:, None] <= high)
    level, steep = np.abs(rise) <= ALIKE, np.abs(rise) > STEEP * np.abs(along)
    return np.asarray((met & level).any(axis=1)), np.asarray((met & steep).any(axis=1))


def _long_edges(points: Floats) -> tuple[tuple[Floats, Floats], tuple[Floats, Floats]]:
    """Left and right end of the longest level edge below, and of the longest one above, bridging any notches.

    An edge that is not there, as at the peak of a gable, has its ends at nan. So has one that slopes while
    the other does not: a board sawn to a foot or a rake that is almost level. One hung askew slopes at both.
    """
    ring = np.asarray(shapely.MultiPoint(points).convex_hull.normalize().exterior.coords)
    edges = [(a, b) if a[0] < b[0] else (b, a) for a, b in pairwise(ring)]
    # A normalised ring runs clockwise: to the right along its upper side, to the left along its lower one.
    step = np.diff(ring, axis=0)
    run = np.where(np.abs(step[:, 1]) <= LEVEL * np.abs(step[:, 0]), step[:, 0], 0.0)
    none = np.full(2, np.nan)
    low, high = int(np.argmin(run)), int(np.argmax(run))
    own = [run[low] < 0, run[high] > 0]
    if all(own):
        slopes = np.abs(step[[low, high], 1] / step[[low, high], 0])
        if abs(slopes[0] - slopes[1]) * -run[low] > ALIKE:
            own[int(np.argmax(slopes))] = False
    return edges[low] if own[0] else (none, none), edges[high] if own[1] else (none, none)


def _below(i: int, boards: list[int], starters: list[int], low: Floats, high: Floats) -> list[int]:
    """Find what a board may bear on: the board of the course below, else starters overlapping in height."""
    under = [j for j in boards if low[j] < low[i]]
    if under:
        return [max(under, key=lambda j: high[j])]
    return [j for j in starters if low[j] < high[i] and high[j] > low[i]]


def _nearest(pairs: list[tuple[int, int]], boards: list[Floats], others: list[Floats]) -> tuple[Ints, Floats]:
    """For each board the nearest of its candidates, and the signed space to it."""
    best = np.full(len(boards), -1, np.int64)
    space = np.full(len(boards), np.nan)
    if not pairs:
        return best, space
    gap = spaces([boards[a] for a, _ in pairs], [others[b] for _, b in pairs])
    for (row, j), value in zip(pairs, gap, strict=True):
        if best[row] < 0 or value < space[row]:
            best[row], space[row] = j, value
    return best, space
