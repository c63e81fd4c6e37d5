"""Where the counter battens stand: over the studs, beside openings and corners, doubled at joints."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum

from cladmodel.settingout.openings import OpeningLines

# Two battens closer than this leave no bay worth having between them. [mm] common practice, no source
LEAST_BAY = 20.0


class Role(StrEnum):
    """Why a batten stands where it does."""

    POST = "corner post"
    STUD = "stud"
    TRIM = "behind a side trim"
    BESIDE = "board ends beside an opening"
    EXTRA = "asked for"


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One upright line of battens.

    Attributes
    ----------
    left, right : float
        At the foot. [mm]
    role : Role
    spans : tuple of (float, float)
        Foot and head of each length of batten in it, rising. [mm]
    doubled : bool
        True where it is two battens side by side, for a joint between them.
    """

    left: float
    right: float
    role: Role
    spans: tuple[tuple[float, float], ...]
    doubled: bool = False

    @property
    def centre(self) -> float:
        """[mm]"""
        return (self.left + self.right) / 2

    def covers(self, low: float, high: float) -> bool:
        """Whether one length of batten reaches over a whole height."""
        return any(foot <= low and high <= head for foot, head in self.spans)


def batten_columns(
    *,
    length: float,
    width: float,
    centres: float,
    extra: Sequence[float],
    openings: Sequence[OpeningLines],
    foot: float,
    head: float,
    vent_strip: float,
    end_distance: float,
) -> tuple[Column, ...]:
    """Stand the battens of one wall.

    Parameters
    ----------
    length : float
        Of the wall at the foot. [mm]
    width : float
        Batten width. [mm]
    centres : float
        Stud centres, counted from the left corner. [mm]
    extra : sequence of float
        Centres of further battens. [mm]
    openings : sequence of OpeningLines
    foot, head : float
        Where full battens begin and end. [mm]
    vent_strip : float
        Thickness of the vent strip under battens over an opening. [mm]
    end_distance : float
        Nail to board end; board-end battens beside openings are centred on that nail. [mm]

    Returns
    -------
    tuple of Column
        From left to right.
    """
    full = ((foot, head),)
    fixed = [
        Column(left=0.0, right=width, role=Role.POST, spans=full),
        Column(left=length - width, right=length, role=Role.POST, spans=full),
    ]
    for opening in openings:
        for edge, away, clear in (
            (opening.left, -1.0, opening.clear_left),
            (opening.right, 1.0, opening.clear_right),
        ):
            trim = edge + away * width / 2
            nail = clear + away * end_distance
            beside = min(trim - width, nail) if away < 0 else max(trim + width, nail)
            fixed += [_upright(trim, width, Role.TRIM, full)]
            fixed += [_upright(beside, width, Role.BESIDE, full)]
    fixed = _without_overlaps(fixed)
    wanted = [(c, Role.EXTRA) for c in extra]
    steps = int((length - width) // centres)
    wanted += [(centres * i, Role.STUD) for i in range(1, steps + 1)]
    columns = list(fixed)
    for centre, role in wanted:
        one = _upright(centre, width, role, full)
        if all(one.right + LEAST_BAY <= c.left or c.right + LEAST_BAY <= one.left for c in columns):
            spans = _spans(one, openings, foot, head, vent_strip)
            columns += [Column(left=one.left, right=one.right, role=role, spans=spans)] if spans else []
    return tuple(sorted(columns, key=lambda c: c.left))


def _upright(centre: float, width: float, role: Role, spans: tuple[tuple[float, float], ...]) -> Column:
    return Column(left=centre - width / 2, right=centre + width / 2, role=role, spans=spans)


def _without_overlaps(columns: Iterable[Column]) -> list[Column]:
    """Drop board-end battens that fall on a post's or a trim's batten: those carry the board ends."""
    kept: list[Column] = []
    for column in sorted(columns, key=lambda c: (c.role is Role.BESIDE, c.left)):
        touching = [c for c in kept if column.left < c.right and c.left < column.right]
        if not touching:
            kept.append(column)
    return kept


def _spans(
    column: Column, openings: Sequence[OpeningLines], foot: float, head: float, vent_strip: float
) -> tuple[tuple[float, float], ...]:
    """Cut a column where it crosses openings."""
    spans = [(foot, head)]
    for opening in openings:
        if column.right <= opening.left or opening.right <= column.left:
            continue
        pieces = []
        for low, high in spans:
            pieces += [
                (low, min(high, opening.clear_bottom)),
                (max(low, opening.clear_top + vent_strip), high),
            ]
        spans = [(low, high) for low, high in pieces if high - low > LEAST_BAY]
    return tuple(sorted(spans))


def double_at(columns: Sequence[Column], joints: Iterable[float], width: float) -> tuple[Column, ...]:
    """Put two battens side by side where boards butt.

    Parameters
    ----------
    columns : sequence of Column
    joints : iterable of float
        Joint lines; each is a column's centre. [mm]
    width : float
        Batten width. [mm]

    Returns
    -------
    tuple of Column
    """
    lines = set(joints)
    return tuple(
        Column(left=c.centre - width, right=c.centre + width, role=c.role, spans=c.spans, doubled=True)
        if c.centre in lines
        else c
        for c in columns
    )
