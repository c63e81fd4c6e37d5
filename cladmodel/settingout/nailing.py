"""The board nails of a wall: which battens stand behind each board, and how high it is nailed to them."""

from __future__ import annotations

import math
from collections.abc import Iterator

from cladmodel.scene.job import Scene
from cladmodel.settingout.battens import Batten, Row, rows_of
from cladmodel.settingout.boards import BoardPiece
from cladmodel.settingout.nails import Bearing, NailPlace, nail_heights, nail_places
from cladmodel.settingout.rod import PENCIL
from cladmodel.settingout.setout import SetOut, head_within
from cladmodel.settingout.strips import ends_near

# Nail to batten edge in nail diameters. EN 1995-1-1 table 8.2, a4,c (unloaded edge, characteristic
# density up to 420 kg/m3), found second-hand.
EDGE_DIAMETERS = 5.0
# A nail stays this far below the butt that hides the board above. [mm] common practice, no source
BELOW_NEXT = 10.0
# ... and this far above a starter's top or a cut bottom edge. [mm] common practice, no source
ABOVE_CUT = 8.0
# Places tried to each side of a batten's middle where it cannot be nailed over its whole width. [-]
PLACES = 4


def edge_distance(scene: Scene) -> float:
    """From a board nail to its batten's edge, at least. [mm]

    Parameters
    ----------
    scene : Scene
    """
    return EDGE_DIAMETERS * scene.fixings.board_nail.diameter


def board_nails(scene: Scene, done: SetOut) -> tuple[NailPlace, ...]:
    """Place every board nail of a wall.

    Parameters
    ----------
    scene : Scene
    done : SetOut
        All but its nails.

    Returns
    -------
    tuple of NailPlace
        Board by board, from the foot.
    """
    fixings = scene.fixings
    heights = nail_heights(done.profile, done.hung, fixings.clear_of_board_below, fixings.board_nail.diameter)
    row_at = rows_of(done.battens)
    nails: list[NailPlace] = []
    for piece in done.pieces:
        course, mark = done.course(piece), done.mark(piece)
        index = piece.course - done.first
        following = float(done.lines[index + 1]) if index + 1 < len(done.hung) else math.inf
        bearings_at = _bearings(scene, done, piece, heights[index], following, row_at(heights[index]))
        for up, bearings in bearings_at.items():
            out = course.face_out(done.profile, up)
            nails += [NailPlace(mark, x, up, out) for x in nail_places(bearings)]
    return tuple(nails)


def _bearings(
    scene: Scene, done: SetOut, piece: BoardPiece, wanted: float, following: float, row: Row
) -> dict[float, list[Bearing]]:
    """Battens behind a piece, by the height at which it is nailed to them."""
    course = done.course(piece)
    end, edge = scene.fixings.end_distance + PENCIL, edge_distance(scene)
    left, right = piece.ends

    def nailed_at(reach: tuple[float, float]) -> float | None:
        """Height of a nail where the piece has a lowest and a highest y; None where it has no room."""
        up, bottom = wanted, course.up(reach[0])
        if reach[0] > PENCIL:  # cut at the bottom: its own starter stands there
            up = max(up, min(bottom + done.starter_height + ABOVE_CUT, following - BELOW_NEXT))
            bottom += ABOVE_CUT
        return up if bottom < up < course.up(reach[1]) else None

    # The battens' edges are taken at the nail: a post may be out of plumb.
    behind = row.over(left, right)
    if piece.plain:
        up = nailed_at(piece.edges)
        if up is None:
            return {}
        first, last = left + end, right - end
        there = (batten.edges_at(up) for _, _, batten in behind if batten.foot < up < batten.head)
        return {
            up: [Bearing(near, far, max(near + edge, first), min(far - edge, last)) for near, far in there]
        }
    by_height: dict[float, list[Bearing]] = {}
    for near, far, batten in behind:
        found: tuple[float, Bearing] | None = None
        for low, high in _spans(max(near, left), min(far, right), end):
            reach = piece.height_over(low, high)
            up = nailed_at(reach) if reach else None
            if up is None or up >= head_within(done, batten, (low, high)):
                continue
            if batten.foot < up or _foot_within(done, batten, (low, high)) < up:
                first, last = ends_near(piece.ring, (low + high) / 2, course.up_back(up), end)
                a, b = _sides_at(done, batten, up)
                bearing = Bearing(near, far, max(a + edge, first, low), min(b - edge, last, high))
                fits = bearing.low <= bearing.high
                if found is None or fits:
                    found = up, bearing
                if fits:
                    break
        if found is not None:
            by_height.setdefault(found[0], []).append(found[1])
    return by_height


def _sides_at(done: SetOut, batten: Batten, up: float) -> tuple[float, float]:
    """Sides of a batten at a height; where it is cut to a sloping foot there, the cut is one. [mm]"""
    left, right = batten.edges_at(up)
    if not batten.at_foot:
        return left, right
    for start, end in done.outline.foot_above(up - _strip_under(done, batten)):
        left = end if start <= left < end else left
        right = start if start < right <= end else right
    return left, right


def _strip_under(done: SetOut, batten: Batten) -> float:
    """Plumb height of the vent strip between the foot and a batten that stands on it. [mm]"""
    return batten.foot - done.outline.foot_over(*batten.edges_at(batten.foot))


def _foot_within(done: SetOut, batten: Batten, span: tuple[float, float]) -> float:
    """Foot of a batten over a part of its width: one on a sloping foot is cut to it. [mm]"""
    if not batten.at_foot:
        return batten.foot
    return done.outline.foot_over(*span) + _strip_under(done, batten)


def _spans(low: float, high: float, end: float) -> Iterator[tuple[float, float]]:
    """Widths of a batten to nail to: all of it, the half beside a notch or a rake, only what a nail needs."""
    middle = (low + high) / 2
    yield from ((low, high), (low, middle), (middle, high))
    for step in range(1, PLACES + 1):
        for way in (-1, 1):
            at = middle + way * step / PLACES * (middle - low)
            yield max(at - end, low), min(at + end, high)
