"""Sill and head of an opening, cut through it."""

from __future__ import annotations

import math

import numpy as np
from shapely.geometry import Polygon, box

from cladmodel.drawings.layout import Label, Room, heading, label_stack
from cladmodel.drawings.primitives import Primitive
from cladmodel.drawings.section_parts import Detail, Margins, at_height, fitted, how_cut, inside, piece_labels
from cladmodel.drawings.view import View, air, break_level, break_plumb, figure, nails, pieces
from cladmodel.model import Kind, Opening
from cladmodel.schedules.profile import BoardCut, Profile

_MARGINS = Margins(left=11.0, bottom=4.0, right=37.0, top=9.0)
_STUD_SHOWN = 40.0
"""How much of the stud's depth is shown. [mm]"""
_OPEN = 45.0
"""How much of the opening is shown. [mm]"""


def sill(profile: Profile, opening: Opening, room: Room, letter: str, most: float = 1.0) -> Detail:
    """Draw the sill and the boards under it.

    Parameters
    ----------
    profile : Profile
        Cut through the opening.
    opening : Opening
    room : Room
    letter : str
    most : float
        Largest scale wanted. [-]
    """
    below = [board for board in profile.boards if board.back_foot[1] < opening.sill]
    view = _fit(profile, opening.sill - 1.5 * _gauge(profile), opening.sill + _OPEN, room, most)
    drawn: list[Primitive] = [
        *heading(room, letter, f"Sill of {opening.name}", view.scale),
        *_basis(view, profile),
    ]
    drawn += break_level(view, view.low, profile.cuts)
    sills = _near(profile, opening.sill, Kind.SILL)
    labels = list(piece_labels(view, profile.cuts, (Kind.BATTEN, Kind.STUD)))
    labels += _board_label(view, profile, below[-1:])
    if sills and below:
        polygon = sills[0]
        nose = max(max(board.face_foot[0], board.face_top[0]) for board in below)
        out = polygon.bounds[2]
        lip = max(y for z, y in polygon.exterior.coords if z > out - 1.0)
        drawn.append(
            view.level(
                "sill past the boards",
                (nose, lip),
                (out, lip),
                view.top + 3.0,
                "past boards",
                outside=-1,
            )
        )
        drawn += _under(view, polygon, below[-1])
    if sills:
        point = inside(view, sills[0])
        if point is not None:
            fall = math.degrees(top_fall(sills[0]))
            labels.append(Label(target=point, lines=("Sill", f"falls {fall:.1f}°")))
    drawn += label_stack(labels, _column(view, room))
    return Detail(letter=letter, view=view, primitives=tuple(drawn))


def head(profile: Profile, opening: Opening, room: Room, letter: str, most: float = 1.0) -> Detail:
    """Draw the head trim, its flashing and the boards that start again above.

    Parameters
    ----------
    profile : Profile
        Cut through the opening.
    opening : Opening
    room : Room
    letter : str
    most : float
        Largest scale wanted. [-]
    """
    above = [board for board in profile.boards if board.back_top[1] > opening.head]
    view = _fit(profile, opening.head - _OPEN, opening.head + 1.6 * _gauge(profile), room, most)
    drawn: list[Primitive] = [
        *heading(room, letter, f"Head of {opening.name}", view.scale),
        *_basis(view, profile),
    ]
    drawn += break_level(view, view.high, profile.cuts)
    kinds = (Kind.LINTEL, Kind.BATTEN, Kind.STARTER, Kind.VENT_STRIP, Kind.FLASHING, Kind.HEAD_TRIM)
    labels = list(piece_labels(view, profile.cuts, kinds))
    labels += _board_label(view, profile, above[:1])
    trims = _near(profile, opening.head, Kind.HEAD_TRIM, Kind.FLASHING)
    if trims and above:
        first = above[0]
        # The flashing's upright leg runs up behind; what matters is its top where the board stands over it.
        reach = (first.back_foot[0], first.face_foot[0])
        tops = [top for polygon in trims if (top := _top_between(polygon, *reach)) is not None]
        if tops:
            corner = (first.face_foot[0], max(tops))
            drawn.append(
                view.vertical("butt above the head flashing", corner, first.back_foot, view.left - 4.0)
            )
    drawn += label_stack(labels, _column(view, room))
    return Detail(letter=letter, view=view, primitives=tuple(drawn))


def top_fall(polygon: Polygon) -> float:
    """Fall of a piece's longest upper edge: outward and down is above 0. [rad]."""
    ring = np.asarray(polygon.exterior.coords)
    if not polygon.exterior.is_ccw:
        ring = ring[::-1]
    edges = np.diff(ring, axis=0)
    # Counter-clockwise in (z, y), upper edges run towards smaller z.
    upper = np.where(edges[:, 0] < 0, np.hypot(edges[:, 0], edges[:, 1]), -1.0)
    dz, dy = edges[int(np.argmax(upper))]
    return math.atan2(float(dy), float(-dz))


def _near(profile: Profile, y: float, *kinds: Kind) -> list[Polygon]:
    """Pieces of some kinds at a height: the cut may go through another opening above or below."""
    reach = _gauge(profile)
    found = (polygon for _, polygon in profile.of_kind(*kinds))
    return [p for p in found if p.bounds[1] - reach < y < p.bounds[3] + reach]


def _gauge(profile: Profile) -> float:
    """About how high a course is, to choose what a view shows; not a figure on the drawing. [mm]."""
    return float(np.median(np.diff(profile.wall.rod)))


def _fit(profile: Profile, low: float, high: float, room: Room, most: float) -> View:
    near = [
        polygon.bounds[2]
        for _, polygon in profile.cuts
        if polygon.bounds[3] > low and polygon.bounds[1] < high
    ]
    outer = max(near, default=50.0) + 10
    return fitted(room, _MARGINS, -profile.wall.depth_to_frame - _STUD_SHOWN, low, outer, high, most)


def _basis(view: View, profile: Profile) -> list[Primitive]:
    drawn: list[Primitive] = [*pieces(view, profile.cuts), *nails(view, profile.nails)]
    shown = [p.intersection(view.window).bounds for _, p in profile.cuts if p.intersects(view.window)]
    spans = [b for b in shown if b and b[0] <= view.inner + 1e-6]
    if spans:
        drawn.append(break_plumb(view, view.inner, min(b[1] for b in spans), max(b[3] for b in spans)))
    return drawn


def _column(view: View, room: Room) -> Room:
    return Room(left=view.right + 7.5, bottom=view.bottom, right=room.right, top=view.top)


def _board_label(view: View, profile: Profile, boards: list[BoardCut]) -> list[Label]:
    labels = []
    for board in boards:
        polygon = next(
            p
            for part, p in profile.cuts
            if part.mark == board.mark and p.bounds[1] <= board.back_foot[1] + 1e-6 <= p.bounds[3]
        )
        middle = (max(board.back_foot[1], view.low) + min(board.back_top[1], view.high)) / 2
        target = at_height(view, polygon, middle)
        if target is not None:
            labels.append(
                Label(target=target, lines=(f"Board {figure(board.width)}", how_cut(profile, board)))
            )
    return labels


def _under(view: View, polygon: Polygon, board: BoardCut) -> list[Primitive]:
    """Air space between the highest board and the sill's underside."""
    top = max((board.back_top, board.face_top), key=lambda point: point[1])
    underside = _bottom_between(polygon, board.back_top[0], board.face_top[0])
    if underside is None or underside <= top[1]:
        return []
    way = (top[1] + underside) / 2
    return [
        view.vertical("air under the sill", top, (top[0], underside), view.left - 4.0),
        air(view, ((-12.0, top[1] - 60), (-12.0, way), (board.face_top[0] + 8, way))),
    ]


def _top_between(polygon: Polygon, low: float, high: float) -> float | None:
    shown = _strip(polygon, low, high)
    return None if shown.is_empty else float(shown.bounds[3])


def _bottom_between(polygon: Polygon, low: float, high: float) -> float | None:
    shown = _strip(polygon, low, high)
    return None if shown.is_empty else float(shown.bounds[1])


def _strip(polygon: Polygon, low: float, high: float) -> Polygon:
    return polygon.intersection(box(low, polygon.bounds[1] - 1, high, polygon.bounds[3] + 1))
