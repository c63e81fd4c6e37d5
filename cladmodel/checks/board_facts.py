"""The boards themselves: width to thickness, square face to the back, heart side, cut ends."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from cladmodel.checks.counted import DIGITS, counted
from cladmodel.checks.exposure import Exposure, Heart, not_assessed
from cladmodel.checks.finding import Finding, Verdict, conclude, point
from cladmodel.checks.rules import COMMON, EXACT, Limit, Rules
from cladmodel.checks.seats import Seats, seats
from cladmodel.model import Kind, Model
from cladmodel.solids.measure import Floats, Ints
from cladmodel.standards.guidance import WIDTH_TO_THICKNESS

NAME = "board_facts"

SQUARE = Limit(value=0.5, unit="deg", basis=f"a saw's bench and fence are set within it, {COMMON}")
LEAST_BUTT = 0.8
"""A butt thinner than this share of the wall's middle one is what a cut has left of it. [-]"""

HEART = f"heart side out, so that a cupping board keeps its edges to the wall, {COMMON}"
ENDS = f"end grain drinks: preservative or end seal on every cut, {COMMON}"


def check_board_facts(model: Model, rules: Rules, exposure: Exposure) -> Iterator[Finding]:
    """Read width, thickness and squareness off every board's cut, and say what was given of heart and ends.

    Parameters
    ----------
    model : Model
    rules : Rules
        Not used.
    exposure : Exposure
        `heart`, `cut_ends_treated`.
    """
    for wall in model.walls:
        if not model.of_kind(Kind.BOARD, wall=wall.name):
            continue
        cut = seats(model, wall.name)
        yield from _ratio(cut)
        yield from _square(cut)
        yield _heart(wall.name, exposure)
        yield _ends(wall.name, exposure)


def _butts(cut: Seats) -> Ints:
    """Rows where a board has its butt: not notched off, nor cut to a point under a rake."""
    butt = cut.butts
    return np.flatnonzero(cut.at_batten & cut.whole_butt & (butt > LEAST_BUTT * np.median(butt)))


def _whole(cut: Seats) -> Ints:
    """Rows where the board has its butt and its top edge; a ripped one is narrower, and no worse for it."""
    row = np.flatnonzero(cut.at_batten & cut.whole_butt & cut.whole_top)
    return row if len(row) else _butts(cut)


def _ratio(cut: Seats) -> Iterator[Finding]:
    row = _whole(cut)
    if not len(row):
        return
    width, butt = cut.widths[row], cut.butts[row]
    ratio = width / butt
    wanted = WIDTH_TO_THICKNESS

    def finding(k: int) -> Finding:
        slim = ratio[k] > wanted.high + EXACT
        return Finding(
            check=NAME,
            verdict=Verdict.CAUTION if slim else Verdict.OK,
            wall=cut.parts[cut.board[row[k]]].wall,
            mark=cut.mark(row[k]),
            measured=float(ratio[k]),
            limit=wanted.high,
            unit=wanted.unit,
            basis=wanted.source.basis,
            remedy="Expect some cupping; keep the boards shaded and ventilated, or use thicker ones."
            if slim
            else "",
            text=f"Board {cut.mark(row[k])} is {width[k]:.0f} wide and {butt[k]:.1f} thick, {ratio[k]:.1f} "
            f"to 1; {wanted.low:g} to {wanted.high:g} is recommended.",
        )

    slim = np.flatnonzero(ratio > wanted.high + EXACT)
    faults = counted((cut.mark(row[k]), float(ratio[k]), finding(int(k))) for k in slim)
    yield from conclude(faults, finding(int(np.argmax(np.round(ratio, DIGITS)))))


def _square(cut: Seats) -> Iterator[Finding]:
    """Angle between butt and back, and how the underside slopes with either face square."""
    row = _butts(cut)
    if not len(row):
        return
    a = cut.arrises[row]
    back, under, front = a[:, 3] - a[:, 0], a[:, 1] - a[:, 0], a[:, 2] - a[:, 1]
    corner = _angle(back, under)
    taper = _angle(back, front)
    off = np.abs(corner - 90.0)
    # Above 0 where the underside rises outward; rain runs off it if it falls.
    slope = np.degrees(np.arctan2(under[:, 1], under[:, 0]))

    def finding(k: int) -> Finding:
        z, y = a[k, 0]
        askew = off[k] > SQUARE.value + EXACT
        other = slope[k] - (90.0 - corner[k])
        text = (
            f"Board {cut.mark(row[k])} has its butt {corner[k]:.1f} deg to its back: its underside rises "
            f"{slope[k]:.1f} deg outward; with the square face to the back it would rise {other:.1f}."
            if askew
            else f"Butts are square to the backs within {off[k]:.2f} deg: undersides rise {slope[k]:.1f} deg "
            f"outward; with the other face to the back they would rise {slope[k] + taper[k]:.1f}."
        )
        return Finding(
            check=NAME,
            verdict=Verdict.CAUTION if askew else Verdict.OK,
            wall=cut.parts[cut.board[row[k]]].wall,
            mark=cut.mark(row[k]),
            where=point(cut.x[row[k]], y, z),
            measured=float(off[k]),
            limit=SQUARE.value,
            unit="deg",
            basis=SQUARE.basis,
            remedy="Turn the board: square face to the back." if askew else "",
            text=text,
        )

    askew = np.flatnonzero(off > SQUARE.value + EXACT)
    faults = counted((cut.mark(row[k]), float(off[k]), finding(int(k))) for k in askew)
    yield from conclude(faults, finding(int(np.argmax(off))))


def _angle(one: Floats, other: Floats) -> Floats:
    """Angle between two edges, row by row. [deg]"""
    cross = one[:, 0] * other[:, 1] - one[:, 1] * other[:, 0]
    return np.asarray(np.degrees(np.abs(np.arctan2(cross, np.einsum("ij,ij->i", one, other)))))


def _heart(wall: str, exposure: Exposure) -> Finding:
    if exposure.heart is None:
        return not_assessed(NAME, wall, "Heart side", ["which way the boards' heart side faces"])
    out = exposure.heart is Heart.OUT
    return Finding(
        check=NAME,
        verdict=Verdict.OK if out else Verdict.CAUTION,
        wall=wall,
        basis=HEART,
        remedy="" if out else "Turn the boards heart side out where the taper allows it.",
        text=f"Heart side faces {exposure.heart}, as given"
        + ("." if out else ": as they dry, the edges lift off the wall."),
    )


def _ends(wall: str, exposure: Exposure) -> Finding:
    if exposure.cut_ends_treated is None:
        return not_assessed(NAME, wall, "Cut ends", ["whether cut ends are treated"])
    done = exposure.cut_ends_treated
    return Finding(
        check=NAME,
        verdict=Verdict.OK if done else Verdict.CAUTION,
        wall=wall,
        basis=ENDS,
        remedy="" if done else "Brush every cut end before the board is hung.",
        text="Cut ends are treated, as given." if done else "Cut ends are left bare: they rot first.",
    )
