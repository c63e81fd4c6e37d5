"""Linear and integer programs, handed to HiGHS: sparse rows in, plain results out."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

Row = Sequence[tuple[int, float]]

# A bound this little above a whole price is rounding. [coin]
ROUNDING = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Effort:
    """How long to search, counted in work and not by the clock, so that every run ends alike.

    The figures were found by trial: they settle buildings of four walls in a few seconds on two cores.

    Attributes
    ----------
    rounds : int
        Of pattern pricing in one linear program.
    dives : int
        Roundings of the linear program, each starting from another pattern.
    nodes : int
        Of one integer program.
    patterns, joint_patterns : int
        Listed for a proof: of a cut plan, of a layout.
    arcs : int
        Possible pieces in the programs that look for fewer boards with more joints, all together.
    options : bool
        Whether to look for fewer boards with more joints in every wall, too: takes up to half a minute more.
    guard : float
        Seconds after which the search ends whatever has been reached; the answer is then marked as not
        repeatable. [s]
    """

    rounds: int = 400
    dives: int = 6
    nodes: int = 400
    patterns: int = 1_500
    joint_patterns: int = 4_000
    arcs: int = 10_000
    options: bool = False
    guard: float = 60.0


class Watch:
    """The clock's guard: never decides anything unless the time is up."""

    __slots__ = ("end", "struck")

    def __init__(self, seconds: float) -> None:
        self.end = time.monotonic() + seconds
        self.struck = False

    def left(self) -> float:
        """Seconds left, at least a tenth. [s]"""
        return max(self.end - time.monotonic(), 0.1)

    def up(self) -> bool:
        """True once the time is up; remembered."""
        if time.monotonic() > self.end:
            self.struck = True
        return self.struck


@dataclass(slots=True)
class Rows:
    """Rows of a program, gathered one by one.

    Attributes
    ----------
    rows : list
        (variable, coefficient) pairs.
    low, high : list of float
    """

    rows: list[Row] = field(default_factory=list)
    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)

    def add(self, row: Row, low: float, high: float) -> None:
        """Add ``low <= row <= high``."""
        self.rows.append(row)
        self.low.append(low)
        self.high.append(high)

    def copy(self) -> Rows:
        """Rows that can be added to without touching these."""
        return Rows(rows=list(self.rows), low=list(self.low), high=list(self.high))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Linear:
    """Optimum of a linear program.

    Attributes
    ----------
    value : float
    x : (n,) float
    duals : (rows,) float
        What one more unit of each row's bound costs.
    """

    value: float
    x: NDArray[np.float64]
    duals: NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Whole:
    """What an integer program found.

    Attributes
    ----------
    x : (n,) int or None
    proven : bool
        The search ran to its end: ``x`` is best, or there is none.
    bound : float
        Nothing is cheaper; minus infinity if nothing is known.
    """

    x: NDArray[np.int64] | None
    proven: bool
    bound: float


class Relaxation:
    """A linear program ``min cost x, rows, x >= 0`` that grows; each solving starts from the last.

    Parameters
    ----------
    cost : (n,) float
    rows : Rows
    """

    __slots__ = ("_highs",)

    def __init__(self, cost: NDArray[np.float64], rows: Rows) -> None:
        self._highs = _solver(cost, rows, np.full(len(cost), np.inf))
        self._highs.setOptionValue("presolve", "off")

    def add(self, cost: float, row: Row) -> None:
        """Add a variable with its cost and its (row, coefficient) pairs."""
        places = np.array([i for i, _ in row], dtype=np.int32)
        values = np.array([v for _, v in row], dtype=np.float64)
        self._highs.addCol(cost, 0.0, np.inf, len(row), places, values)

    def solve(self) -> Linear | None:
        """Solve it; None if there is no solution."""
        from highspy import HighsModelStatus

        self._highs.run()
        if self._highs.getModelStatus() != HighsModelStatus.kOptimal:
            return None
        found = self._highs.getSolution()
        return Linear(
            value=float(self._highs.getInfo().objective_function_value),
            x=np.array(found.col_value, dtype=float),
            duals=np.array(found.row_dual, dtype=float),
        )


def whole(
    cost: NDArray[np.float64],
    rows: Rows,
    upper: NDArray[np.float64],
    nodes: int,
    watch: Watch,
    gap: float = 0.0,
    *,
    presolve: bool = True,
) -> Whole:
    """Solve ``min cost x, rows, 0 <= x <= upper`` in whole numbers, within a number of nodes.

    Parameters
    ----------
    cost : (n,) float
    rows : Rows
    upper : (n,) float
    nodes : int
    watch : Watch
    gap : float
        Relative gap at which a solution is good enough.
    presolve : bool
        Whether the program is made smaller before it is solved; where any layout will do, that takes longer
        than solving it.

    Returns
    -------
    Whole
    """
    from highspy import HighsModelStatus, SolutionStatus

    highs = _solver(cost, rows, upper, whole_numbers=True)
    for name, value in (
        ("mip_rel_gap", gap),
        ("mip_max_nodes", nodes),
        ("time_limit", watch.left()),
        ("presolve", "on" if presolve else "off"),
    ):
        highs.setOptionValue(name, value)
    highs.run()
    status, info = highs.getModelStatus(), highs.getInfo()
    if status == HighsModelStatus.kTimeLimit:
        watch.struck = True
    x = None
    if info.primal_solution_status == SolutionStatus.kSolutionStatusFeasible:
        x = np.rint(np.array(highs.getSolution().col_value)).astype(np.int64)
    return Whole(
        x=x,
        proven=status in (HighsModelStatus.kOptimal, HighsModelStatus.kInfeasible),
        bound=-np.inf if x is None else float(info.mip_dual_bound),
    )


def rounded_up(bound: float, unit: int) -> int:
    """Least multiple of ``unit`` that is not below a bound.

    Parameters
    ----------
    bound : float
        [coin]
    unit : int
        [coin]
    """
    return unit * int(np.ceil(bound / unit - ROUNDING))


def _solver(
    cost: NDArray[np.float64], rows: Rows, upper: NDArray[np.float64], *, whole_numbers: bool = False
) -> Any:
    """HiGHS with one program in it; on one thread, so that every run ends alike."""
    from highspy import Highs, HighsLp, HighsVarType, MatrixFormat

    highs = Highs()
    highs.silent()
    highs.setOptionValue("threads", 1)
    counts = [len(row) for row in rows.rows]
    program = HighsLp()
    program.num_col_, program.num_row_ = len(cost), len(counts)
    program.col_cost_ = np.asarray(cost, dtype=np.float64)
    program.col_lower_, program.col_upper_ = np.zeros(len(cost)), upper
    program.row_lower_ = np.array(rows.low, dtype=np.float64)
    program.row_upper_ = np.array(rows.high, dtype=np.float64)
    program.a_matrix_.format_ = MatrixFormat.kRowwise
    program.a_matrix_.start_ = np.concatenate([[0], np.cumsum(counts)]).astype(np.int32)
    program.a_matrix_.index_ = np.array([j for row in rows.rows for j, _ in row], dtype=np.int32)
    program.a_matrix_.value_ = np.array([v for row in rows.rows for _, v in row], dtype=np.float64)
    if whole_numbers:
        program.integrality_ = [HighsVarType.kInteger] * len(cost)
    highs.passModel(program)
    return highs
