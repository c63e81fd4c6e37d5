"""Boards stop behind the front faces of the posts and trims they stop against."""

from __future__ import annotations

from collections.abc import Iterator

from cladmodel.checks.around import around
from cladmodel.checks.finding import Finding, Verdict, conclude, point, worst_each
from cladmodel.checks.leans import off_lean
from cladmodel.checks.rules import EXACT, Rules
from cladmodel.model import Kind, Model, Part

NAME = "noses"

STOPS_AGAINST = 30.0
"""A board end within this of a post or side trim stops against it; fitting gaps are 5-8. A post or trim whose
front is this far behind the board's back is not one for it to stop against. [mm]"""


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
        pairs = [
            (board, stop, _proud(board, stop)) for board in boards for stop in stops if _meet(board, stop)
        ]
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


def _meet(board: Part, stop: Part) -> bool:
    """Whether a board's end stops against a post's or trim's side."""
    low, high = board.vertices.min(axis=0), board.vertices.max(axis=0)
    left, right = stop.vertices.min(axis=0), stop.vertices.max(axis=0)
    if low[1] >= right[1] or high[1] <= left[1]:
        return False
    # A post of another corner of the building is far behind this wall, or far in front of it.
    if left[2] >= high[2] or right[2] <= low[2] - STOPS_AGAINST:
        return False
    # A board notched round an opening runs past its trim; its box then overlaps the trim's.
    return bool(low[0] <= right[0] + STOPS_AGAINST and high[0] >= left[0] - STOPS_AGAINST)


def _proud(board: Part, stop: Part) -> float:
    """How far the front of a post or trim stands out beyond the board's nose. [mm]"""
    return float(stop.vertices[:, 2].max() - board.vertices[:, 2].max())


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
