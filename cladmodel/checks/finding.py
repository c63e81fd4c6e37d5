"""What a check hands back: one plain sentence, a verdict and the numbers behind it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

Point = tuple[float, float, float]


class Verdict(StrEnum):
    """How a check came out."""

    OK = "ok"
    CAUTION = "caution"
    FAIL = "fail"
    NOT_ASSESSED = "not_assessed"


WEIGHT = {Verdict.NOT_ASSESSED: 0, Verdict.OK: 1, Verdict.CAUTION: 2, Verdict.FAIL: 3}
"""The heaviest of several verdicts is that of all together."""

WORST_FIRST = (Verdict.FAIL, Verdict.CAUTION, Verdict.NOT_ASSESSED, Verdict.OK)
"""In which order findings are told: what was not assessed before what is sound."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing a check found.

    Attributes
    ----------
    check : str
        The check's name; stable, used in reports.
    verdict : Verdict
    wall : str
    text : str
        One plain sentence for a carpenter.
    mark : str or None
        The piece it is about.
    other : str or None
        The second piece, where there is one.
    where : (x, y, z) or None
        In the wall's axes; the building's when the pieces are of different walls. [mm]
    measured, limit : float or None
        In `unit`.
    unit : str
        Of both: mm, deg, mm2/m and the like, or what is counted, as in ``nails``.
    basis : str
        Where the limit comes from.
    remedy : str
        What to do; empty when sound.
    """

    check: str
    verdict: Verdict
    wall: str
    text: str
    mark: str | None = None
    other: str | None = None
    where: Point | None = None
    measured: float | None = None
    limit: float | None = None
    unit: str = ""
    basis: str = ""
    remedy: str = ""


def point(x: float, y: float, z: float) -> Point:
    """Plain floats of a place, for a finding.

    Parameters
    ----------
    x, y, z : float
        [mm]
    """
    return float(x), float(y), float(z)


def worst_each(faults: Iterable[tuple[object, float, Finding]]) -> list[Finding]:
    """Keep the worst finding for each key, so that one bad piece is not reported fifty times.

    Parameters
    ----------
    faults : iterable of (key, badness, Finding)

    Returns
    -------
    list of Finding
        In the order in which keys first came.
    """
    kept: dict[object, tuple[int, float, Finding]] = {}
    for key, badness, finding in faults:
        weight = WEIGHT[finding.verdict]
        if key not in kept or (weight, badness) > kept[key][:2]:
            kept[key] = (weight, badness, finding)
    return [finding for _, _, finding in kept.values()]


def conclude(faults: Sequence[Finding], sound: Finding) -> Iterator[Finding]:
    """Yield the faults, or the one finding that says all is sound.

    Parameters
    ----------
    faults : sequence of Finding
    sound : Finding
        With the worst measured value and where it is.
    """
    yield from faults or (sound,)


def verdict(findings: Iterable[Finding]) -> Verdict:
    """Worst verdict of all.

    Parameters
    ----------
    findings : iterable of Finding

    Returns
    -------
    Verdict
        Fail before caution before ok; not_assessed only if nothing at all was assessed.
    """
    return max((f.verdict for f in findings), key=WEIGHT.__getitem__, default=Verdict.NOT_ASSESSED)
