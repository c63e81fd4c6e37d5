"""Pixels and maps are worked on in parts, side by side."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor

BAND = 48_000  # pixels worked on at once; our own choice, for memory
THREADS = 2  # at once; our own choice: any machine has two processors


def side_by_side(work: Callable[[int], None], parts: Iterable[int]) -> None:
    """Do some work for every part, a few parts at once; what one raises is raised here.

    Parameters
    ----------
    work : callable
    parts : iterable of int
        Each handed to `work`.
    """
    with ThreadPoolExecutor(THREADS) as pool:
        list(pool.map(work, parts))


def in_bands(work: Callable[[int], None], count: int) -> None:
    """Do some work for many pixels, `BAND` of them at a time.

    Parameters
    ----------
    work : callable
        Given where each band begins.
    count : int
        How many pixels.
    """
    side_by_side(work, range(0, count, BAND))
