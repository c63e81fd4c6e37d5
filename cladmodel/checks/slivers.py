"""Pieces of board too narrow or too short to be cut, carried and nailed without splitting."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

import numpy as np

from cladmodel.checks.finding import Finding, Verdict, conclude, point
from cladmodel.checks.rules import EXACT, Limit, Rules
from cladmodel.model import Floats, Kind, Model, Part

NAME = "slivers"

RUNS_ON = 100.0
"""A strip narrower than the limit counts when it runs on for this long; a pointed end does not.
Common practice, no source. [mm]"""

TOP_RISE = 5.0
"""A leaning board's front top corner stands at most this much above the back one. [mm]"""

INSET = 0.01
"""How far off a corner a height is taken. [mm]"""


def check_slivers(model: Model, rules: Rules) -> Iterator[Finding]:
    """Measure how long each board is and how much height it keeps all along.

    Parameters
    ----------
    model : Model
    rules : Rules
        `least_rip`, `least_piece`.
    """
    for wall in model.walls:
        boards = model.of_kind(Kind.BOARD, wall=wall.name)
        if not boards:
            continue
        faults = []
        narrowest, shortest = np.inf, np.inf
        for board in boards:
            length = float(np.ptp(board.vertices[:, 0]))
            height, x = _narrowest(board, rules.least_rip.value)
            narrowest, shortest = min(narrowest, height), min(shortest, length)
            if height < rules.least_rip.value - EXACT:
                text = f"Board {board.mark} is only {height:.0f} mm high at x {x:.0f}."
                faults.append(_fault(board, text, height, rules.least_rip, x))
            if length < rules.least_piece.value - EXACT:
                text = f"Board {board.mark} is only {length:.0f} mm long."
                middle = float(board.vertices[:, 0].mean())
                faults.append(_fault(board, text, length, rules.least_piece, middle))
        yield from conclude(
            faults,
            Finding(
                check=NAME,
                verdict=Verdict.OK,
                wall=wall.name,
                measured=narrowest,
                limit=rules.least_rip.value,
                unit="mm",
                basis=rules.least_rip.basis,
                text=f"No slivers: boards are at least {narrowest:.0f} mm high and {shortest:.0f} mm long.",
            ),
        )


def _fault(board: Part, text: str, measured: float, limit: Limit, x: float) -> Finding:
    low = float(board.vertices[:, 1].min())
    return Finding(
        check=NAME,
        verdict=Verdict.CAUTION,
        wall=board.wall,
        mark=board.mark,
        where=point(x, low, float(board.vertices[:, 2].max())),
        measured=measured,
        limit=limit.value,
        unit="mm",
        basis=limit.basis,
        remedy="Move the opening, the joint or the courses so that more of the board is left.",
        text=text,
    )


def _narrowest(board: Part, least: float) -> tuple[float, float]:
    """Least height, up the board, that a stretch of at least `RUNS_ON` keeps to, and where. [mm]

    Between two neighbouring corners the height changes evenly, so that its greatest there is at one of
    them. Neighbouring stretches too low each for itself count as one strip, as high as the highest.
    """
    corners = np.unique(np.round(board.vertices[:, 0], 3))
    spans = list(itertools.pairwise(corners.tolist()))
    inset = np.minimum(INSET, np.diff(corners) / 4)
    places = np.column_stack([corners[:-1] + inset, corners[1:] - inset]).ravel()
    heights = _heights(board, places).reshape(-1, 2).max(axis=1)
    strips: list[tuple[float, float, float]] = []
    joined = False
    for (a, b), height in zip(spans, heights.tolist(), strict=True):
        low = height < least - EXACT
        if low and joined:
            first, _, highest = strips.pop()
            strips.append((first, b, max(highest, height)))
        else:
            strips.append((a, b, height))
        joined = low
    strips = [s for s in strips if s[1] - s[0] >= RUNS_ON] or [
        (float(corners[0]), float(corners[-1]), float(heights.max()))
    ]
    a, b, height = min(strips, key=lambda strip: strip[2])
    return height, (a + b) / 2


def _heights(board: Part, places: Floats) -> Floats:
    """(n,) float: height of the solid up its own slope at some x. [mm]"""
    edges = np.concatenate([board.faces[:, [0, 1]], board.faces[:, [1, 2]], board.faces[:, [2, 0]]])
    a, b = board.vertices[edges[:, 0]], board.vertices[edges[:, 1]]
    out = np.zeros(len(places))
    for n, x in enumerate(places):
        crossing = (a[:, 0] - x) * (b[:, 0] - x) < 0
        share = (x - a[crossing, 0]) / (b[crossing, 0] - a[crossing, 0])
        met = a[crossing, 1:] + share[:, None] * (b[crossing, 1:] - a[crossing, 1:])
        if len(met):
            # (y, z) of the cut: the back's foot is the lowest corner, its top the inner of the top two.
            foot = met[met[:, 0].argmin()]
            tops = met[met[:, 0] >= met[:, 0].max() - TOP_RISE]
            out[n] = float(np.hypot(*(tops[tops[:, 1].argmin()] - foot)))
    return out
