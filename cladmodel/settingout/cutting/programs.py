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
    patterns: int = 60_000
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


def linear(cost: NDArray[np.float64], rows: Rows) -> Linear | None:
    """Solve ``min cost x, rows, x >= 0``; None if there is no solution.

    Parameters
    ----------
    cost : (n,) float
    rows : Rows
        Equal bounds make an equation; else one of the two bounds is infinite.

    Returns
    -------
    Linear or None
    """
    from scipy.optimize import linprog

    matrix = _matrix(rows.rows, len(cost))
    low, high = np.array(rows.low, dtype=float), np.array(rows.high, dtype=float)
    same = low == high
    above, below = ~same & np.isfinite(low), ~same & np.isfinite(high)
    from scipy.sparse import vstack

    upper = vstack([-matrix[above], matrix[below]], format="csr")
    found = linprog(
        cost,
        A_ub=upper if upper.shape[0] else None,
        b_ub=np.concatenate([-low[above], high[below]]) if upper.shape[0] else None,
        A_eq=matrix[same] if same.any() else None,
        b_eq=low[same] if same.any() else None,
        method="highs-ds",
    )
    if found.status != 0:
        return None
    duals = np.zeros(len(low))
    if upper.shape[0]:
        marginals = np.asarray(found.ineqlin.marginals)
        duals[above] = -marginals[: int(above.sum())]
        duals[below] = marginals[int(above.sum()) :]
    if same.any():
        duals[same] = np.asarray(found.eqlin.marginals)
    return Linear(value=float(found.fun), x=np.asarray(found.x, dtype=float), duals=duals)


def whole(
    cost: NDArray[np.float64],
    rows: Rows,
    upper: NDArray[np.float64],
    nodes: int,
    watch: Watch,
    gap: float = 0.0,
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

    Returns
    -------
    Whole
    """
    from scipy.optimize import Bounds, LinearConstraint, milp

    constraints = []
    if rows.rows:
        constraints.append(
            LinearConstraint(_matrix(rows.rows, len(cost)), np.array(rows.low), np.array(rows.high))
        )
    found = milp(
        cost,
        constraints=constraints,
        integrality=np.ones(len(cost)),
        bounds=Bounds(0, upper),
        options={"node_limit": nodes, "time_limit": watch.left(), "mip_rel_gap": gap},
    )
    if found.status == 1:
        watch.struck = True
    x = None if found.x is None else np.rint(found.x).astype(np.int64)
    bound = getattr(found, "mip_dual_bound", None)
    return Whole(
        x=x, proven=found.status in (0, 2), bound=-np.inf if bound is None or x is None else float(bound)
    )


def rounded_up(bound: float, unit: int) -> int:
    """Least multiple of ``unit`` that is not below a bound."""
    return unit * int(np.ceil(bound / unit - ROUNDING))


def _matrix(rows: Sequence[Row], width: int) -> Any:
    from scipy.sparse import csr_matrix

    counts = [len(row) for row in rows]
    start = np.concatenate([[0], np.cumsum(counts)]).astype(np.int64)
    columns = np.fromiter((j for row in rows for j, _ in row), dtype=np.int64, count=int(start[-1]))
    values = np.fromiter((v for row in rows for _, v in row), dtype=float, count=int(start[-1]))
    return csr_matrix((values, columns, start), shape=(len(rows), width))
