r"""The shape of one wall seen from outside: a foot line that may step or slope, and a top line with rakes.

::

            /\            top: eaves, rake, ridge, rake
           /  \
          |    |
          |    |___        foot: level, riser, level
          |________|
"""

from __future__ import annotations

import functools
import itertools
import math
from dataclasses import dataclass

import shapely

Point = tuple[float, float]

# Heights that differ by less than this are level to any tape. [mm]
LEVEL = 0.05
# Further than any wall reaches; only ever used to cut with. [mm]
FAR = 1e6


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A straight stretch of a foot or top line.

    Attributes
    ----------
    left, right : float
        Along the wall. [mm]
    left_up, right_up : float
        Heights of its ends. [mm]
    """

    left: float
    right: float
    left_up: float
    right_up: float

    @property
    def level(self) -> bool:
        """Whether both ends are at one height."""
        return abs(self.right_up - self.left_up) < LEVEL

    @property
    def slope(self) -> float:
        """Rise per run, to the right. [-]"""
        return (self.right_up - self.left_up) / (self.right - self.left)

    @property
    def stretch(self) -> float:
        """Length along it for each length level; plumb height of what is so high square to it. [-]"""
        return math.hypot(1.0, self.slope)

    def up(self, x: float) -> float:
        """Height at a place along it. [mm]"""
        return self.left_up + (x - self.left) * self.slope


@dataclass(frozen=True, slots=True, kw_only=True)
class Riser:
    """Where the foot line steps.

    Attributes
    ----------
    x, low, high : float
        [mm]
    low_on_left : bool
        Whether the lower foot lies to the left.
    """

    x: float
    low: float
    high: float
    low_on_left: bool

    def low_side(self, width: float) -> tuple[float, float]:
        """Left and right of what stands against it on its low side. [mm]

        Parameters
        ----------
        width : float
            [mm]
        """
        return (self.x - width, self.x) if self.low_on_left else (self.x, self.x + width)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """Foot and top line of a wall, both from left to right.

    Attributes
    ----------
    foot, top : tuple of (x, y)
        [mm]
    """

    foot: tuple[Point, ...]
    top: tuple[Point, ...]

    @property
    def polygon(self) -> shapely.Polygon:
        """The whole wall, counter-clockwise."""
        return shapely.Polygon([*self.foot, *reversed(self.top)])

    @property
    def length(self) -> float:
        """[mm]"""
        return self.foot[-1][0] - self.foot[0][0]

    @property
    def lowest(self) -> float:
        """Lowest point of the foot. [mm]"""
        return min(y for _, y in self.foot)

    @property
    def highest(self) -> float:
        """Highest point of the top. [mm]"""
        return max(y for _, y in self.top)

    def rise(self, thickness: float) -> float:
        """Plumb height of a sheet that lies along the foot, where it slopes most. [mm]

        Parameters
        ----------
        thickness : float
            [mm]
        """
        return thickness * max(run.stretch for run in self.foot_runs())

    def foot_runs(self) -> tuple[Run, ...]:
        """Stretches of the foot between risers, from left to right."""
        return _runs(self.foot)

    def top_runs(self) -> tuple[Run, ...]:
        """Stretches of the top, from left to right."""
        return _runs(self.top)

    def risers(self) -> tuple[Riser, ...]:
        """Steps of the foot, from left to right."""
        return tuple(
            Riser(x=x0, low=min(y0, y1), high=max(y0, y1), low_on_left=y0 < y1)
            for (x0, y0), (x1, y1) in zip(self.foot[:-1], self.foot[1:], strict=True)
            if x1 - x0 < LEVEL and abs(y1 - y0) >= LEVEL
        )

    def foot_above(self, height: float) -> list[tuple[float, float]]:
        """Stretches where the foot is at or above a height, out past both ends. [mm]

        Parameters
        ----------
        height : float
            [mm]
        """
        stretches = []
        runs = self.foot_runs()
        for n, run in enumerate(runs):
            left = -FAR if n == 0 else run.left
            right = FAR if n == len(runs) - 1 else run.right
            if min(run.left_up, run.right_up) >= height:
                stretches.append((left, right))
            elif max(run.left_up, run.right_up) > height:
                meets = run.left + (height - run.left_up) / run.slope
                stretches.append((left, meets) if run.slope < 0 else (meets, right))
        return stretches

    def foot_over(self, left: float, right: float) -> float:
        """Highest point of the foot over a width. [mm]"""
        return max(_heights(self.foot_runs(), left, right))

    def top_over(self, left: float, right: float) -> float:
        """Lowest point of the top over a width. [mm]"""
        return min(_heights(self.top_runs(), left, right))

    def lowered(self, drop: float) -> shapely.Polygon:
        """Everything below the top line let down by a drop, far out to both sides.

        Parameters
        ----------
        drop : float
            Plumb. [mm]
        """
        return _under([(x, y - drop) for x, y in self.top])

    def raised(self, rise: float) -> shapely.Polygon:
        """Everything above the foot line lifted by a rise, far out to both sides.

        Parameters
        ----------
        rise : float
            Plumb. [mm]
        """
        points = [(x, y + rise) for x, y in self.foot]
        return shapely.Polygon([(-FAR, points[0][1]), *points, (FAR, points[-1][1]), (FAR, FAR), (-FAR, FAR)])

    def between(self, left: float, right: float, rise: float = 0.0, drop: float = 0.0) -> shapely.Geometry:
        """Part of the wall between two plumb lines, above a raised foot and below a lowered top.

        Parameters
        ----------
        left, right, rise, drop : float
            [mm]
        """
        strip = shapely.box(left, -FAR, right, FAR)
        return strip.intersection(self.raised(rise)).intersection(self.lowered(drop))


def _under(points: list[Point]) -> shapely.Polygon:
    return shapely.Polygon(
        [(-FAR, -FAR), (FAR, -FAR), (FAR, points[-1][1]), *reversed(points), (-FAR, points[0][1])]
    )


# A wall asks for the same few lines hundreds of times: once for each batten and board.
@functools.lru_cache(maxsize=256)
def _runs(points: tuple[Point, ...]) -> tuple[Run, ...]:
    return tuple(
        Run(left=x0, right=x1, left_up=y0, right_up=y1)
        for (x0, y0), (x1, y1) in itertools.pairwise(points)
        if x1 - x0 >= LEVEL
    )


def _heights(runs: tuple[Run, ...], left: float, right: float) -> list[float]:
    """Heights of a line at both ends of a width and at every corner within it."""
    if len(runs) == 1 and runs[0].left_up == runs[0].right_up:
        return [runs[0].left_up]
    first, last = runs[0].left, runs[-1].right
    left, right = min(max(left, first), last), min(max(right, first), last)
    heights = []
    for run in runs:
        a, b = max(left, run.left), min(right, run.right)
        if a < b or (a == b and run.left <= a <= run.right and left == right):
            heights += [run.up(a), run.up(b)]
    return heights or [runs[0].left_up if right <= first else runs[-1].right_up]
