"""Where the counter battens stand: over the studs, beside openings and corners, doubled at joints."""

from __future__ import annotations

import bisect
import functools
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from cladmodel.settingout.openings import OpeningLines
from cladmodel.settingout.outline import Outline

# Two battens closer than this leave no bay worth having between them. [mm] common practice, no source
LEAST_BAY = 20.0


class Role(StrEnum):
    """Why a batten stands where it does."""

    POST = "corner post"
    STUD = "stud"
    TRIM = "behind a trim"
    BESIDE = "board ends beside an opening"
    EXTRA = "asked for"


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """One upright line of battens.

    Attributes
    ----------
    left, right : float
        At height 0. [mm]
    role : Role
    spans : tuple of (float, float)
        Foot and head of each length of batten in it, rising; a head under a rake is where its
        lower side ends. [mm]
    doubled : bool
        True where it is two battens side by side, for a joint between them.
    leans : bool
        True where it goes with a right-hand post that may be out of plumb.
    from_foot, to_top : bool
        Whether its lowest length stands on the vent strip, and its highest reaches the soffit.
    """

    left: float
    right: float
    role: Role
    spans: tuple[tuple[float, float], ...]
    doubled: bool = False
    leans: bool = False
    from_foot: bool = True
    to_top: bool = True

    @property
    def centre(self) -> float:
        """[mm]"""
        return (self.left + self.right) / 2

    def covers(self, low: float, high: float) -> bool:
        """Whether one length of batten reaches over a whole height."""
        return any(foot <= low and high <= head for foot, head in self.spans)


@dataclass(frozen=True, slots=True, kw_only=True)
class Batten:
    """One length of batten as it stands.

    Attributes
    ----------
    left, right : float
        At height 0. [mm]
    foot, head : float
        [mm]
    column : Column
    lean : float
        Run per rise. [-]
    at_foot, at_top : bool
        Whether it stands on the vent strip, and whether it reaches the soffit.
    """

    left: float
    right: float
    foot: float
    head: float
    column: Column
    lean: float
    at_foot: bool
    at_top: bool

    def edges_at(self, up: float) -> tuple[float, float]:
        """Left and right edge at a height. [mm]"""
        return self.left + self.lean * up, self.right + self.lean * up


def edge_columns(
    edge: float, away: float, clear: float, width: float, end_distance: float
) -> list[tuple[float, Role]]:
    """Centres of the battens at an edge that boards stop against: one behind the trim, one for board ends.

    Parameters
    ----------
    edge : float
        Where the trim's batten ends: a structural opening or a riser. [mm]
    away : float
        -1 when the boards lie to its left, 1 to its right.
    clear : float
        Where the boards end. [mm]
    width, end_distance : float
        Of battens; from a nail to its board's end. [mm]
    """
    trim = edge + away * width / 2
    nail = clear + away * end_distance
    beside = min(trim - width, nail) if away < 0 else max(trim + width, nail)
    return [(trim, Role.TRIM), (beside, Role.BESIDE)]


def post_column(width: float, clear: float, end_distance: float, edge_distance: float) -> float | None:
    """Centre of a second batten beside a post's own, for the nails of board ends, off the post's face. [mm]

    Parameters
    ----------
    width : float
        Of battens. [mm]
    clear : float
        From the post to the boards' ends. [mm]
    end_distance, edge_distance : float
        From a nail to its board's end and to its batten's edge. [mm]

    Returns
    -------
    float or None
        None where the post's own batten is wide enough.
    """
    nail = clear + end_distance
    return None if nail + edge_distance <= width else max(1.5 * width, nail)


def batten_columns(
    *,
    outline: Outline,
    between: tuple[float, float],
    width: float,
    centres: float,
    extra: Sequence[float],
    openings: Sequence[OpeningLines],
    edges: Sequence[tuple[float, Role]],
    beside_posts: float | None,
    vent_strip: float,
    least_bay: float,
) -> tuple[Column, ...]:
    """Stand the battens of one wall.

    Parameters
    ----------
    outline : Outline
    between : (2,) float
        Faces of the corner posts that the outermost battens stand against. [mm]
    width : float
        Batten width. [mm]
    centres : float
        Stud centres, counted from the left corner. [mm]
    extra : sequence of float
        Centres of further battens. [mm]
    openings : sequence of OpeningLines
    edges : sequence of (centre, Role)
        From `edge_columns`. [mm]
    beside_posts : float or None
        From `post_column`. [mm]
    vent_strip : float
        Thickness of the vent strip that battens stand on. [mm]
    least_bay : float
        No batten is stood nearer another over a stud; a narrower bay may get no slot of the strip. [mm]

    Returns
    -------
    tuple of Column
        From left to right.
    """
    left, right = between

    def upright(centre: float, role: Role, *, leans: bool = False) -> Column:
        low, high = centre - width / 2, centre + width / 2
        full = (outline.foot_over(low, high) + vent_strip, outline.top_over(low, high))
        spans = (full,) if role is Role.POST else _spans(low, high, full, openings, vent_strip)
        return Column(
            left=low,
            right=high,
            role=role,
            spans=spans,
            leans=leans,
            from_foot=bool(spans) and spans[0][0] == full[0],
            to_top=bool(spans) and spans[-1][1] == full[1],
        )

    fixed = [upright(left + width / 2, Role.POST), upright(right - width / 2, Role.POST, leans=True)]
    fixed += [upright(centre, role) for centre, role in edges]
    if beside_posts is not None:
        fixed.append(upright(left + beside_posts, Role.BESIDE))
        fixed.append(upright(right - beside_posts, Role.BESIDE, leans=True))
    columns = _without_overlaps(c for c in fixed if c.spans and left <= c.left and c.right <= right)
    wanted = [(c, Role.EXTRA) for c in extra]
    wanted += [(centre, Role.STUD) for centre in stud_centres(centres, right)]
    for centre, role in wanted:
        one = upright(centre, role)
        bay = LEAST_BAY if role is Role.EXTRA else max(LEAST_BAY, least_bay)
        if one.spans and all(one.right + bay <= c.left or c.right + bay <= one.left for c in columns):
            columns.append(one)
    return tuple(sorted(columns, key=lambda c: c.left))


def stud_centres(centres: float, right: float) -> list[float]:
    """Middles of the regular studs, and of the battens over them, counted from the wall's left corner. [mm]

    Parameters
    ----------
    centres : float
        From stud to stud. [mm]
    right : float
        None stands beyond this. [mm]
    """
    return [centres * n for n in range(1, int(right // centres) + 1)]


def _without_overlaps(columns: Iterable[Column]) -> list[Column]:
    """Drop board-end battens, then trim battens, that would stand in a batten of more need.

    A trim batten between an opening and the post right beside it is ripped to what room there is.
    """
    order = [Role.POST, Role.TRIM, Role.BESIDE]
    kept: list[Column] = []
    for column in sorted(columns, key=lambda c: (order.index(c.role), c.left)):
        for post in kept if column.role is Role.TRIM else ():
            if post.role is Role.POST and post.left < column.left < post.right < column.right - LEAST_BAY:
                column = replace(column, left=post.right)
            elif post.role is Role.POST and column.left + LEAST_BAY < post.left < column.right < post.right:
                column = replace(column, right=post.left)
        if all(c.right <= column.left or column.right <= c.left for c in kept):
            kept.append(column)
    return kept


def _spans(
    left: float,
    right: float,
    full: tuple[float, float],
    openings: Sequence[OpeningLines],
    vent_strip: float,
) -> tuple[tuple[float, float], ...]:
    """Cut a column where it crosses openings."""
    spans = [full]
    for opening in openings:
        if right <= opening.left or opening.right <= left:
            continue
        over = opening.clear_top + vent_strip
        spans = [s for a, b in spans for s in ((a, min(b, opening.clear_bottom)), (max(a, over), b))]
    return tuple(sorted((low, high) for low, high in spans if high - low > LEAST_BAY))


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
        replace(c, left=c.centre - width, right=c.centre + width, doubled=True) if c.centre in lines else c
        for c in columns
    )


def battens_of(
    columns: Sequence[Column], outline: Outline, vent_strip: float, run_at_foot: float, lean: float
) -> tuple[Batten, ...]:
    """Every single length of batten, from left to right.

    Parameters
    ----------
    columns : sequence of Column
    outline : Outline
    vent_strip : float
        Plumb height of the vent strip that battens stand on. [mm]
    run_at_foot, lean : float
        Of the right-hand post. [mm, -]

    Returns
    -------
    tuple of Batten
        A doubled column gives two for each span; each reaches as far as the foot and the top allow over
        its own width.
    """
    battens = []
    for column in columns:
        for foot, head in column.spans:
            shift = run_at_foot if column.leans else 0.0
            edges = [(column.left, column.right)]
            if column.doubled:
                edges = [(column.left, column.centre), (column.centre, column.right)]
            for a, b in edges:
                at_foot = column.from_foot and foot == column.spans[0][0]
                at_top = column.to_top and head == column.spans[-1][1]
                tilts = lean if column.leans else 0.0
                low, high = (shift + tilts * up for up in (foot, head))  # where it stands there
                battens.append(
                    Batten(
                        left=a + shift,
                        right=b + shift,
                        foot=outline.foot_over(a + low, b + low) + vent_strip if at_foot else foot,
                        head=outline.top_over(a + high, b + high) if at_top else head,
                        column=column,
                        lean=tilts,
                        at_foot=at_foot,
                        at_top=at_top,
                    )
                )
    return tuple(battens)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Row:
    """Every batten of a wall as it stands at one height.

    Attributes
    ----------
    lefts : list of float
        Left edges, rising. [mm]
    battens : list of (left, right, Batten)
        In the same order.
    widest : float
        Of any batten. [mm]
    """

    lefts: list[float]
    battens: list[tuple[float, float, Batten]]
    widest: float

    def over(self, left: float, right: float) -> list[tuple[float, float, Batten]]:
        """Battens that stand anywhere between two places, and their edges, from left to right.

        Parameters
        ----------
        left, right : float
            [mm]
        """
        first = bisect.bisect(self.lefts, left - self.widest)
        last = bisect.bisect_left(self.lefts, right)
        return [one for one in self.battens[first:last] if one[1] > left]


def rows_of(battens: Sequence[Batten]) -> Callable[[float], Row]:
    """What gives the row of a wall's battens at any height; where none leans it is everywhere the same.

    Parameters
    ----------
    battens : sequence of Batten
    """
    leaning = any(batten.lean for batten in battens)

    @functools.cache
    def row_at(up: float) -> Row:
        found = [(*batten.edges_at(up), batten) for batten in battens]
        found.sort(key=lambda one: one[0])
        return Row(
            lefts=[left for left, _, _ in found],
            battens=found,
            widest=max((right - left for left, right, _ in found), default=0.0),
        )

    return row_at if leaning else lambda _: row_at(0.0)
