"""Boards that cross a batten without a nail, or that one batten holds twice: part of the check on nails."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from cladmodel.checks.driven import Driven
from cladmodel.checks.finding import Finding, Verdict, point
from cladmodel.checks.rules import COMMON, EXACT, Rules
from cladmodel.model import Kind, Model, Part
from cladmodel.solids.measure import bounds, extent_at, extents_at, gather
from cladmodel.solids.near import boxes_met

NAME = "nails"

AS_ONE = 65.0
"""Battens with less than this between them carry a board as one: a single nail serves. Set out at 60; a post
that leans takes its batten a few millimetres along. Common practice, no source. [mm]"""

REACH = 155.0
"""Such a group is held by nails no farther than this from any of its battens' sides. Set out to 150; the lean
again. Common practice, no source. [mm]"""

ROOM = 20.0
"""Least height of bare board between the edge below and the butt above that takes a nail: clear of it by
8 below and 10 above, and its shank. Common practice, no source. [mm]"""

TRIES = 7
"""Places across a batten at which a nail is tried before a board counts as one with no room. [-]"""

BASIS = f"each board nailed once at every batten, {COMMON}"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Crossing:
    """A batten behind a board.

    Attributes
    ----------
    batten : Part
    left, right : float
        The batten, half-way up what it shares with the board. [mm]
    low, high : float
        Where on it a nail keeps its distance from the batten's sides and the board's ends. [mm]
    """

    batten: Part
    left: float
    right: float
    low: float
    high: float


def unheld(
    model: Model, wall: str, courses: dict[int, list[Part]], nails: list[Driven], rules: Rules
) -> Iterator[tuple[object, float, Finding]]:
    """Look for boards crossing a batten, or battens close together, without a nail or with more than one.

    Parameters
    ----------
    model : Model
    wall : str
    courses : dict of int to list of Part
        Boards by course.
    nails : list of Driven
    rules : Rules
        `nail_edge`, `nail_end`.

    Yields
    ------
    (key, badness, Finding)
    """
    battens = model.of_kind(Kind.BATTEN, wall=wall)
    edge = rules.nail_edge.value * max((n.fastener.diameter for n in nails), default=0.0)
    nailed: dict[str, dict[str, list[float]]] = {}
    for nail in nails:
        if nail.boards and nail.batten is not None:
            places = nailed.setdefault(nail.boards[0].mark, {}).setdefault(nail.batten.mark, [])
            places.append(float(nail.head[0]))
    boards = [board for row in courses.values() for board in row]
    behind = _behind(boards, battens, edge, rules.nail_end.value)
    for board in boards:
        own = nailed.get(board.mark, {})
        for cluster in _clusters(behind[board.mark]):
            held = [place for c in cluster for place in own.get(c.batten.mark, ())]
            bare = next(
                (
                    c
                    for c in cluster
                    if not any(max(abs(c.left - x), abs(c.right - x)) <= REACH for x in held)
                    and _takes_nail(board, c, courses, rules.nail_end.value)
                ),
                None,
            )
            if bare is not None:
                text = f"Board {board.mark} crosses batten {bare.batten.mark} without a nail."
                finding = _finding(board, bare, text, 0, Verdict.FAIL, "Add a nail.")
                yield (board.mark, "unheld"), 1.0, finding
            for c in cluster:
                count = len(own.get(c.batten.mark, ()))
                if count > 1:
                    text = f"Board {board.mark} has {count} nails at batten {c.batten.mark}: one holds it."
                    finding = _finding(board, c, text, count, Verdict.CAUTION, "Leave out all but one.")
                    yield (board.mark, "twice"), float(count), finding


def _behind(boards: list[Part], battens: list[Part], edge: float, end: float) -> dict[str, list[Crossing]]:
    """Battens behind each board, from left to right, on which a nail would keep its distances; by mark."""
    found: dict[str, list[Crossing]] = {board.mark: [] for board in boards}
    if not boards or not battens:
        return found
    soup = gather(battens)
    low, high = bounds(gather(boards))
    foot, head = bounds(soup)
    board, batten = boxes_met(low[:, :1], high[:, :1], foot[:, :1], head[:, :1])
    apart = (foot[batten, 0] >= high[board, 0]) | (head[batten, 0] <= low[board, 0])
    board, batten = board[~apart], batten[~apart]
    # Half-way up what they share: a batten under a rake may end below the board's middle.
    middle = (np.maximum(low[board, 1], foot[batten, 1]) + np.minimum(high[board, 1], head[batten, 1])) / 2
    left, right = extents_at(soup, batten, 1, middle, 0)
    first = np.maximum(left + edge, low[board, 0] + end)
    last = np.minimum(right - edge, high[board, 0] - end)
    for k in np.flatnonzero(first <= last + EXACT):
        found[boards[board[k]].mark].append(
            Crossing(
                batten=battens[batten[k]],
                left=float(left[k]),
                right=float(right[k]),
                low=float(first[k]),
                high=float(max(first[k], last[k])),
            )
        )
    return {mark: sorted(own, key=lambda c: c.left) for mark, own in found.items()}


def _clusters(behind: list[Crossing]) -> list[list[Crossing]]:
    """Battens so close together that they carry a board as one."""
    clusters: list[list[Crossing]] = []
    for crossing in behind:
        if clusters and crossing.left - clusters[-1][-1].right < AS_ONE:
            clusters[-1].append(crossing)
        else:
            clusters.append([crossing])
    return clusters


def _takes_nail(board: Part, crossing: Crossing, courses: dict[int, list[Part]], end: float) -> bool:
    """Whether there is a place on a batten with enough bare board about it, notches and rakes counted."""
    for x in np.linspace(crossing.low, crossing.high, TRIES):
        wood = extent_at(crossing.batten, 0, float(x), 1)  # under a rake and on a slope it is cut aslant
        if wood is None:
            continue
        beside = [_bare(board, wood, float(x) + aside, courses) for aside in (0.0, -end, end)]
        if all(beside) and min(b[1] for b in beside if b) - max(b[0] for b in beside if b) >= ROOM:
            return True
    return False


def _bare(
    board: Part, wood: tuple[float, float], x: float, courses: dict[int, list[Part]]
) -> tuple[float, float] | None:
    """Lowest and highest bare point of a board at x, between the boards below and above, on wood. [mm]"""
    own = extent_at(board, 0, x, 1)
    if own is None:
        return None
    bottom, top = max(own[0], wood[0]), min(own[1], wood[1])
    course = board.course or 0
    for other in courses.get(course - 1, []):
        reach = extent_at(other, 0, x, 1)
        bottom = max(bottom, reach[1]) if reach else bottom
    for other in courses.get(course + 1, []):
        reach = extent_at(other, 0, x, 1)
        top = min(top, reach[0]) if reach else top
    return bottom, top


def _finding(board: Part, at: Crossing, text: str, count: int, verdict: Verdict, remedy: str) -> Finding:
    low, high = board.vertices.min(axis=0), board.vertices.max(axis=0)
    return Finding(
        check=NAME,
        verdict=verdict,
        wall=board.wall,
        mark=board.mark,
        other=at.batten.mark,
        where=point((at.left + at.right) / 2, (low[1] + high[1]) / 2, high[2]),
        measured=float(count),
        limit=1.0,
        unit="nails",
        basis=BASIS,
        remedy=remedy,
        text=text,
    )
