"""Openings and depth of a ventilated cavity by source: they disagree, so the user picks one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from cladmodel.standards.sources import OutsideStandardError, Source, Standing


@dataclass(frozen=True, slots=True, kw_only=True)
class OpeningRule:
    """One source's rule for the openings of a cavity.

    Attributes
    ----------
    name : str
    area : float
        Least free area of an opening to a metre of wall. [mm2/m]
    narrowest : float
        Least width of the path; 0 where the source names none. [mm]
    source : Source
    """

    name: str
    area: float
    narrowest: float
    source: Source


@dataclass(frozen=True, slots=True, kw_only=True)
class DepthRule:
    """One source's rule for the depth of a cavity.

    Attributes
    ----------
    name : str
    least : float
        [mm]
    source : Source
    """

    name: str
    least: float
    source: Source


_OPENINGS = (
    OpeningRule(
        name="New Zealand",
        area=1000.0,
        narrowest=3.0,
        source=Source(name="NZ E2/AS1", place="9.1.8.3", standing=Standing.SECOND_HAND),
    ),
    OpeningRule(
        name="Scotland, masonry",
        area=300.0 / 1.2,  # 300 mm2 at not over 1.2 m
        narrowest=0.0,
        source=Source(
            name="Scottish domestic handbook", place="ventilated cavities", standing=Standing.SECOND_HAND
        ),
    ),
    OpeningRule(
        name="BS 8200",
        area=5000.0,
        narrowest=10.0,
        source=Source(
            name="BS 8200", edition="1985", place="ventilated claddings", standing=Standing.SECOND_HAND
        ),
    ),
)
OPENING_RULES: Mapping[str, OpeningRule] = MappingProxyType({rule.name: rule for rule in _OPENINGS})
"""Rules for openings by name."""

_DEPTHS = (
    DepthRule(
        name="Scotland",
        least=19.0,
        source=Source(name="gov.scot timber cladding", place="p. 13", standing=Standing.FOUND),
    ),
    DepthRule(
        name="cladding trade association",
        least=21.0,
        source=Source(
            name="timber decking and cladding guide", place="design detail", standing=Standing.FOUND
        ),
    ),
    DepthRule(
        name="house-builders' standard",
        least=15.0,
        source=Source(name="NHBC standards", place="6.2.10, other cladding", standing=Standing.FOUND),
    ),
    DepthRule(
        name="house-builders' standard, very severe exposure",
        least=50.0,
        source=Source(name="NHBC standards", place="6.2.10", standing=Standing.FOUND),
    ),
    DepthRule(
        name="New Zealand",
        least=20.0,
        source=Source(name="NZ cavity guidance", edition="2006", standing=Standing.FOUND),
    ),
)
DEPTH_RULES: Mapping[str, DepthRule] = MappingProxyType({rule.name: rule for rule in _DEPTHS})
"""Rules for the cavity's depth by name."""

SLOT = (3.0, 5.0)
"""Slots that keep insects out and stay open (NZ E2/AS1 9.1.8.3, found second-hand). [mm]"""


def free_area(rule: str, width: float = 1000.0) -> float:
    """Least free area of an opening by one named rule. [mm2]

    Parameters
    ----------
    rule : str
        A key of `OPENING_RULES`.
    width : float
        Stretch of wall it serves. [mm]

    Raises
    ------
    OutsideStandardError
        If there is no such rule.

    Examples
    --------
    >>> free_area("New Zealand"), free_area("BS 8200", 550.0)
    (1000.0, 2750.0)
    """
    if rule not in OPENING_RULES:
        raise OutsideStandardError(f"no rule {rule!r} for openings: use one of {', '.join(OPENING_RULES)}")
    return OPENING_RULES[rule].area * width / 1000.0


def cavity_depth(rule: str) -> float:
    """Least depth of the cavity by one named rule. [mm]

    Parameters
    ----------
    rule : str
        A key of `DEPTH_RULES`.

    Raises
    ------
    OutsideStandardError
        If there is no such rule.
    """
    if rule not in DEPTH_RULES:
        raise OutsideStandardError(f"no rule {rule!r} for depth: use one of {', '.join(DEPTH_RULES)}")
    return DEPTH_RULES[rule].least
