"""One finding for a fault that many boards share: the worst of them, and how many more there are."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from cladmodel.checks.finding import Finding

DIGITS = 6
"""Values alike to this many decimals are equal: the first of equals is named, not a pick of float noise."""


def counted(faults: Iterable[tuple[object, float, Finding]]) -> list[Finding]:
    """Keep the worst finding and say how many other pieces share its fault.

    Parameters
    ----------
    faults : iterable of (key, badness, Finding)
        All of one kind; the key says which piece.

    Returns
    -------
    list of Finding
        Empty or one.
    """
    worst: tuple[float, Finding] | None = None
    keys: set[object] = set()
    for key, badness, finding in faults:
        keys.add(key)
        if worst is None or round(badness, DIGITS) > round(worst[0], DIGITS):
            worst = (badness, finding)
    if worst is None:
        return []
    others = len(keys) - 1
    if not others:
        return [worst[1]]
    more = "1 other is" if others == 1 else f"{others} others are"
    return [replace(worst[1], text=f"{worst[1].text} {more} beyond the limit too.")]
