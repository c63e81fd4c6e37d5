"""One rod for the whole building: equal courses, or courses that meet named lines."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from cladmodel.settingout.courses import WHOLE, butt_lines, butt_lines_nearest

# Two lines closer than this are one line to a carpenter: a pencil mark. [mm] common practice, no source
PENCIL = 0.3
# Only so many lines, the most important ones, are tried to be met together. [lines] by trial
MOST_LINES = 12
# Courses whose gauges would have them lean further apart than this show it: 1 deg is plain to see, less
# what a single course overshoots. Common practice, no source. [rad]
MOST_APART = math.radians(0.9)


@dataclass(frozen=True, slots=True, kw_only=True)
class RodLine:
    """A height that the courses should meet.

    Attributes
    ----------
    name : str
        What it is, for the message.
    height : float
        Above the rod's foot. [mm]
    """

    name: str
    height: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rod:
    """Butt lines of the whole building.

    Attributes
    ----------
    lines : (courses + 1,) float
        From the lowest foot to the highest top. [mm]
    met, missed : tuple of str
        Names of the lines that a butt meets, and of those that none does.
    """

    lines: NDArray[np.float64]
    met: tuple[str, ...]
    missed: tuple[str, ...]


def bands(
    heights: Sequence[float],
    largest: float,
    least: float,
    spread: float,
    lean: Callable[[float], float] | None = None,
) -> list[int] | None:
    """Courses for each band between neighbouring heights, with gauges as equal as possible.

    Parameters
    ----------
    heights : sequence of float
        Rising, from foot to head. [mm]
    largest, least : float
        Gauges allowed. [mm]
    spread : float
        Most difference between the largest and the smallest gauge. [mm]
    lean : callable, optional
        Lean of endless courses of one gauge [mm -> rad]; given, no two gauges may lean `MOST_APART`.

    Returns
    -------
    list of int or None
        A count for each band, fewest courses among equally even ones; None where no counts do.

    Notes
    -----
    For a band of height h every count from ceil(h / largest) to floor(h / least) is possible. The
    smallest window of gauges that holds one from each band is found by sweeping the sorted gauges.

    Examples
    --------
    NAVEDTRA 14044, fig. 4-3: 61 in beside a window and 31 in below its sill, at 10 in.

    >>> bands([0, 31, 92], 10.5, 8, 2)
    [3, 6]
    """
    sizes = np.diff(heights)
    options: list[tuple[float, int, int]] = []
    for band, size in enumerate(sizes):
        low = max(1, math.ceil(size / largest - WHOLE))
        high = math.floor(size / least + WHOLE)
        options += [(float(size) / count, band, count) for count in range(low, high + 1)]
    options.sort()
    best: tuple[float, int, list[int]] | None = None
    for start in range(len(options)):
        counts: dict[int, int] = {}
        for gauge, band, count in options[start:]:
            counts.setdefault(band, count)
            if len(counts) == len(sizes):
                width = gauge - options[start][0]
                # Within the window the larger gauge of each band gives the fewer courses.
                fewest = _fewest(options[start:], gauge, len(sizes))
                key = (round(width, 6), sum(fewest), fewest)
                even = lean is None or lean(options[start][0]) - lean(gauge) <= MOST_APART
                if even and width <= spread + WHOLE and (best is None or key < best):
                    best = key
                break
    return best[2] if best else None


def _fewest(options: Sequence[tuple[float, int, int]], most: float, size: int) -> list[int]:
    counts = [0] * size
    for gauge, band, count in options:
        if gauge <= most + WHOLE:
            counts[band] = count if not counts[band] else min(counts[band], count)
    return counts


def set_rod(
    *,
    head: float,
    top: float,
    largest: float,
    least: float,
    spread: float,
    wanted: float | None,
    lines: Sequence[RodLine],
    lean: Callable[[float], float] | None = None,
) -> Rod:
    """Set out the rod from the lowest foot (0) to the highest top.

    Parameters
    ----------
    head : float
        Where the equal courses finish: the lowest soffit. [mm]
    top : float
        Highest point of any wall; the last gauge is carried on up to it. [mm]
    largest, least, spread : float
        Gauges allowed, and how much they may differ for the lines' sake. [mm]
    wanted : float or None
        A gauge to come nearest to instead of the fewest courses. [mm]
    lines : sequence of RodLine
        To be met, the more important first.
    lean : callable, optional
        See `bands`.

    Returns
    -------
    Rod

    Raises
    ------
    SettingOutError
        If the largest gauge or the head is not above 0.
    """
    equal = butt_lines(0.0, head, largest)
    if wanted is not None:
        equal = butt_lines_nearest(0.0, head, wanted)
    inside = [line for line in lines if PENCIL < line.height < head - PENCIL]
    for kept in _choices(inside):
        heights = [0.0, *sorted({round(line.height, 6) for line in kept}), head]
        if np.diff(heights).min() < least - WHOLE:
            continue
        counts = bands(heights, largest, least, spread, lean)
        if counts is not None:
            marks = [
                np.linspace(a, b, n + 1)[:-1]
                for a, b, n in zip(heights[:-1], heights[1:], counts, strict=True)
            ]
            return _carried_on(np.concatenate([*marks, [head]]), top, lines)
    return _carried_on(equal, top, lines)


def _choices(lines: Sequence[RodLine]) -> list[tuple[RodLine, ...]]:
    """Which lines to try to meet: all, then fewer, the more important kept."""
    few = list(lines[:MOST_LINES])
    return [choice for size in range(len(few), 0, -1) for choice in itertools.combinations(few, size)]


def _carried_on(marks: NDArray[np.float64], top: float, lines: Sequence[RodLine]) -> Rod:
    gauge = marks[-1] - marks[-2]
    more = max(0, math.ceil((top - marks[-1]) / gauge - WHOLE))
    full = np.concatenate([marks, marks[-1] + gauge * np.arange(1, more + 1)])
    near = [float(np.abs(full - line.height).min()) <= PENCIL for line in lines]
    return Rod(
        lines=full,
        met=tuple(line.name for line, is_met in zip(lines, near, strict=True) if is_met),
        missed=tuple(line.name for line, is_met in zip(lines, near, strict=True) if not is_met),
    )
