"""One figure for every board, measured on the solids: its lap, its tilt, or how hard its nails are used."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from cladmodel.checks.exposure import Exposure
from cladmodel.checks.lap import laps
from cladmodel.checks.leans import leans, off_by
from cladmodel.checks.rules import Rules
from cladmodel.checks.seats import seats
from cladmodel.checks.wind import lacking, nail_uses
from cladmodel.errors import OutputError
from cladmodel.model import Kind, Model

NAMES = ("lap", "tilt", "nail use")


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """What one figure is called, and what it is held to.

    Attributes
    ----------
    name : str
        One of `NAMES`.
    title : str
        As a heading over a picture of it.
    unit : str
    limit : float
    worse : str
        ``low`` or ``high``: on which side of the limit a board is wrong.
    """

    name: str
    title: str
    unit: str
    limit: float
    worse: Literal["low", "high"]


def about(name: str, rules: Rules) -> Figure:
    """Say what a figure is and what it is held to.

    Parameters
    ----------
    name : str
        One of `NAMES`.
    rules : Rules

    Raises
    ------
    OutputError
        If there is no such figure.
    """
    if name == "lap":
        title = "Least lap of every board over the one below, along the board"
        return Figure(name=name, title=title, unit="mm", limit=rules.lap.value, worse="low")
    if name == "tilt":
        title = "How far every board leans off the boards round it"
        return Figure(name=name, title=title, unit="deg", limit=rules.tilt_even.value, worse="high")
    if name == "nail use":
        title = "Wind's pull at every board's hardest pulled nail"
        return Figure(name=name, title=title, unit="of what it holds", limit=1.0, worse="high")
    raise OutputError(f"figure = {name!r}: use one of {', '.join(NAMES)}")


def board_figures(model: Model, name: str, exposure: Exposure | None = None) -> dict[str, float]:
    """Measure one figure of every board that has it.

    Parameters
    ----------
    model : Model
    name : str
        ``lap``: the least along the board, of every board that laps another [mm]. ``tilt``: how far the
        board leans off those round it, or, in course 1, off the rest of the wall if that is more [deg].
        ``nail use``: of the hardest pulled nail; infinite if it holds nothing [-].
    exposure : Exposure, optional
        What the wind is worked out from; wanted by ``nail use`` alone.

    Returns
    -------
    dict of str to float
        By mark.

    Raises
    ------
    OutputError
        If there is no such figure, or the exposure does not say enough for it.
    """
    if name == "lap":
        return _least_laps(model)
    if name == "tilt":
        return _tilts(model)
    if name == "nail use":
        return _uses(model, Exposure() if exposure is None else exposure)
    raise OutputError(f"figure = {name!r}: use one of {', '.join(NAMES)}")


def _least_laps(model: Model) -> dict[str, float]:
    least: dict[str, float] = {}
    for wall in model.walls:
        cut = seats(model, wall.name)
        row, along, _ = laps(cut)
        for k, lap in zip(row, along, strict=True):
            mark = cut.mark(k)
            least[mark] = min(float(lap), least.get(mark, np.inf))
    return least


def _tilts(model: Model) -> dict[str, float]:
    found: dict[str, float] = {}
    for wall in model.walls:
        boards = model.of_kind(Kind.BOARD, wall=wall.name)
        if not boards:
            continue
        off = np.abs(off_by(boards, leans(boards)))
        found.update(zip((board.mark for board in boards), off.tolist(), strict=True))
    return found


def _uses(model: Model, exposure: Exposure) -> dict[str, float]:
    needs = lacking(exposure)
    if needs:
        raise OutputError(f"nail use: not assessed: needs {', '.join(needs)}. Give it in the scene.")
    most: dict[str, float] = {}
    for wall in model.walls:
        for use in nail_uses(model, wall, exposure):
            mark = use.held.board.mark
            most[mark] = max(use.use, most.get(mark, 0.0))
    return most
