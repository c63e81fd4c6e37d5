"""Least laps of feather-edge boards, as the sources give them: they disagree, so the user picks one."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from cladmodel.standards.sources import OutsideStandardError, Source, Standing

INCH = 25.4  # [mm]


@dataclass(frozen=True, slots=True, kw_only=True)
class LapRule:
    """One source's rule.

    Attributes
    ----------
    name : str
    least : callable
        Board width to least lap, both in mm.
    source : Source
    """

    name: str
    least: Callable[[float], float]
    source: Source


_ALL = (
    LapRule(
        name="Ontario",
        least=lambda width: max(25.0, width / 16),
        source=Source(name="Ontario building code", edition="2019", place="9.27.6", standing=Standing.FOUND),
    ),
    LapRule(
        name="New Zealand, bevel-back",
        least=lambda width: 32.0,
        source=Source(name="NZ E2/AS1", place="bevel-back weatherboards", standing=Standing.FOUND),
    ),
    LapRule(
        name="New Zealand, rebated",
        least=lambda width: 25.0,  # with a gap of 2 in the rebate
        source=Source(name="NZ E2/AS1", place="rebated weatherboards", standing=Standing.FOUND),
    ),
    LapRule(
        name="Illinois local code",
        least=lambda width: INCH if width <= 4 * INCH else 1.25 * INCH,
        source=Source(name="Illinois local code", place="8-3-9", standing=Standing.FOUND),
    ),
    LapRule(
        name="RMIT",
        least=lambda width: 30.0,  # "about"
        source=Source(name="RMIT teaching page on weatherboards", standing=Standing.FOUND),
    ),
    LapRule(
        name="NAVEDTRA",
        least=lambda width: INCH,
        source=Source(name="NAVEDTRA 14044", place="fig. 4-3", standing=Standing.FOUND),
    ),
)

LAP_RULES: Mapping[str, LapRule] = MappingProxyType({rule.name: rule for rule in _ALL})
"""Rules by name."""


def least_lap(rule: str, width: float) -> float:
    """Least lap by one named rule. [mm]

    Parameters
    ----------
    rule : str
        A key of `LAP_RULES`.
    width : float
        Of the board. [mm]

    Raises
    ------
    OutsideStandardError
        If there is no such rule, or the width is not above 0.

    Examples
    --------
    >>> least_lap("Ontario", 170.0), least_lap("New Zealand, bevel-back", 170.0)
    (25.0, 32.0)
    """
    if rule not in LAP_RULES:
        raise OutsideStandardError(f"no lap rule {rule!r}: use one of {', '.join(LAP_RULES)}")
    if not width > 0:
        raise OutsideStandardError(f"board width {width} mm: give more than 0")
    return LAP_RULES[rule].least(width)
