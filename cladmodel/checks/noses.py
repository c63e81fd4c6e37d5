"""Boards stop behind the front faces of the posts and trims they stop against."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from cladmodel.checks.around import around
from cladmodel.checks.finding import Finding, Verdict, conclude, point, worst_each
from cladmodel.checks.leans import off_lean
from cladmodel.checks.rules import EXACT, Rules
from cladmodel.model import Kind, Model, Part
from cladmodel.solids.measure import bounds, extent_at, gather
from cladmodel.solids.near import boxes_met

NAME = "noses"

STOPS_AGAINST = 30.0
"""A board end within this of a post or side trim stops against it; fitting gaps are 5-8. A post or trim whose
front is this far behind the board's back is not one for it to stop against. [mm]"""

INSIDE = 0.01
"""How far inside a piece's end its front is looked for. [mm]"""


def check_noses(model: Model, rules: Rules) -> Iterator[Finding]:
    """Measure how far each post and side trim stands prouder than the boards that stop against it.

    Parameters
    ----------
    model : Model
    rules : Rules
        `nose`.
    """
    leaning = off_lean(model, rules)  # their noses stand out because they lean: `tilt` says so
    for wall in model.walls:
        boards = [b for b in model.of_kind(Kind.BOARD, wall=wall.name) if b.mark not in leaning]
        stops = around(model, wall.name, Kind.POST, Kind.SIDE_TRIM)
        if not boards:
            continue
        pairs = [(board, stop, _proud(board, stop)) for board, stop in _meeting(boards, stops)]
        if not pairs:
            yield Finding(
                check=NAME,
                verdict=Verdict.NOT_ASSESSED,
                wall=wall.name,
                text="No board stops against a post or side trim.",
            )
            continue
        faults = worst_each(
            (board.mark, -proud, _finding(board, stop, proud, rules))
            for board, stop, proud in pairs
            if proud < rules.nose.value - EXACT
        )
        yield from conclude(faults, _finding(*min(pairs, key=lambda p: p[2]), rules))


def _meeting(boards: list[Part], stops: list[Part]) -> Iterator[tuple[Part, Part]]:
    """Boards, each with the posts and trims whose sides its end stops against."""
    low, high = bounds(gather(boards))
    left, right = bounds(gather(stops))
    # A board notched round an opening runs past its trim; its box then overlaps the trim's. A post of
    # another corner of the building is far behind this wall, or far in front of it.
    aside = np.array([STOPS_AGAINST, 0.0, 0.0])
    behind = np.array([STOPS_AGAINST, 0.0, STOPS_AGAINST])
    board, stop = boxes_met(low, high, left - aside, right + behind)
    apart = (low[board, 1] >= right[stop, 1]) | (high[board, 1] <= left[stop, 1])
    apart |= (left[stop, 2] >= high[board, 2]) | (right[stop, 2] <= low[board, 2] - STOPS_AGAINST)
    for one, other in zip(board[~apart], stop[~apart], strict=True):
        yield boards[one], stops[other]


def _proud(board: Part, stop: Part) -> float:
    """How far the front of a post or trim stands out beyond the board's nose, where the nose is. [mm]"""
    nose = board.vertices[int(board.vertices[:, 2].argmax())]
    low, high = stop.vertices[:, 1].min(), stop.vertices[:, 1].max()
    # A nose above or below the piece is held to the piece's nearer end.
    height = min(max(float(nose[1]), float(low) + INSIDE), float(high) - INSIDE)
    reach = extent_at(stop, 1, height, 2)
    front = stop.vertices[:, 2].max() if reach is None else reach[1]
    return float(front - nose[2])


def _finding(board: Part, stop: Part, proud: float, rules: Rules) -> Finding:
    short = proud < rules.nose.value - EXACT
    nose = board.vertices[int(board.vertices[:, 2].argmax())]
    if not short:
        text = (
            f"Posts and trims stand at least {proud:.1f} mm prouder than the boards' noses "
            f"({board.mark} at {stop.mark})."
        )
    elif proud < 0:
        text = f"The nose of board {board.mark} stands {-proud:.1f} mm prouder than {stop.kind} {stop.mark}."
    else:
        text = (
            f"The nose of board {board.mark} is only {proud:.1f} mm behind {stop.kind} {stop.mark}'s front."
        )
    return Finding(
        check=NAME,
        verdict=Verdict.FAIL if short else Verdict.OK,
        wall=board.wall,
        mark=board.mark,
        other=stop.mark,
        where=point(*nose),
        measured=proud,
        limit=rules.nose.value,
        unit="mm",
        basis=rules.nose.basis,
        remedy="Use a thicker post or trim, or thinner boards." if short else "",
        text=text,
    )
