r"""What one vertical cut through the wall shows, measured on the cut polygons.

     face top __ back top      All points are (z, y): out from the batten face (to the left here)
             /  |              and up from the foot line. A board's back is its long edge nearest
            /   |              the batten; its face is the other long edge.
           /    |
face foot ------- back foot    The butt is the edge between back foot and face foot.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from shapely.geometry import LineString, Polygon

from cladmodel.model import Floats, Kind, Model, Part, Use, Wall
from cladmodel.solids.sections import section_polygons

Point = tuple[float, float]
Cut = tuple[Part, Polygon]


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardCut:
    """One board as the cut shows it.

    Attributes
    ----------
    mark : str
    course : int
    back_foot, back_top, face_foot, face_top : Point
        z and y of its four arrises. [mm]
    """

    mark: str
    course: int
    back_foot: Point
    back_top: Point
    face_foot: Point
    face_top: Point

    @property
    def width(self) -> float:
        """Along the back face. [mm]"""
        return math.dist(self.back_foot, self.back_top)

    @property
    def butt(self) -> float:
        """Thickness at the butt. [mm]"""
        return math.dist(self.back_foot, self.face_foot)

    @property
    def thin_edge(self) -> float:
        """Thickness at the thin edge. [mm]"""
        return math.dist(self.back_top, self.face_top)

    @property
    def tilt(self) -> float:
        """Lean of the back face from plumb. [rad]"""
        return math.atan2(self.back_foot[0] - self.back_top[0], self.back_top[1] - self.back_foot[1])

    @property
    def up(self) -> Point:
        """Unit vector up the back face, z and y. [-]"""
        return -math.sin(self.tilt), math.cos(self.tilt)

    @property
    def kick_out(self) -> float:
        """How far the bottom back arris stands off the batten face. [mm]"""
        return self.back_foot[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class LapCut:
    """Two boards of neighbouring courses as the cut shows them.

    Attributes
    ----------
    lower, upper : BoardCut
    """

    lower: BoardCut
    upper: BoardCut

    @property
    def lap(self) -> float:
        """Lower board's top back arris down to the upper's bottom back arris, along the lower board. [mm]"""
        up, top, foot = self.lower.up, self.lower.back_top, self.upper.back_foot
        return (top[0] - foot[0]) * up[0] + (top[1] - foot[1]) * up[1]

    @property
    def plumb_lap(self) -> float:
        """Upper board's lowest back corner up to the lower board's top front corner. [mm]"""
        return self.lower.face_top[1] - self.upper.back_foot[1]

    @property
    def gauge(self) -> float:
        """Butt to butt, plumb. [mm]"""
        return self.upper.back_foot[1] - self.lower.back_foot[1]

    @property
    def gap(self) -> float:
        """Lower board's top front corner to the back of the upper board, square to that back. [mm]"""
        up, corner, foot = self.upper.up, self.lower.face_top, self.upper.back_foot
        return -((corner[0] - foot[0]) * up[1] - (corner[1] - foot[1]) * up[0])


@dataclass(frozen=True, slots=True, kw_only=True)
class NailCut:
    """One board nail beside the cut.

    Attributes
    ----------
    board : BoardCut
        The board its head bears on.
    head, point : Point
        Underside of the head, and tip. [mm]
    diameter, head_diameter : float
        [mm]
    up_face : float
        From the butt's front arris to the nail's line, along the face. [mm]
    above_board_below : float or None
        From the top of the board below up to the nail's line, plumb; None where no board is below. [mm]
    penetration : float
        Length of the nail inside the batten. [mm]
    """

    board: BoardCut
    head: Point
    point: Point
    diameter: float
    head_diameter: float
    up_face: float
    above_board_below: float | None
    penetration: float


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Profile:
    """One vertical cut.

    Attributes
    ----------
    wall : Wall
    x : float
        Where it is cut. [mm]
    cuts : tuple of (Part, Polygon)
        Every piece cut, in model order; polygons in (z, y). [mm]
    boards : tuple of BoardCut
        From the foot up.
    laps : tuple of LapCut
        From the foot up.
    nails : tuple of NailCut
        Board nails in the batten that is cut, from the foot up.
    """

    wall: Wall
    x: float
    cuts: tuple[Cut, ...]
    boards: tuple[BoardCut, ...]
    laps: tuple[LapCut, ...]
    nails: tuple[NailCut, ...]

    def of_kind(self, *kinds: Kind) -> list[Cut]:
        """Pieces of some kinds that are cut here."""
        return [(part, polygon) for part, polygon in self.cuts if part.kind in kinds]

    @property
    def cavity(self) -> float | None:
        """Least level distance from the membrane's face to a board's back. [mm]"""
        membranes = self.of_kind(Kind.MEMBRANE)
        if not membranes or not self.boards:
            return None
        face = max(polygon.bounds[2] for _, polygon in membranes)
        return min(min(b.back_top[0], b.back_foot[0]) for b in self.boards) - float(face)

    @property
    def foot(self) -> float:
        """Foot line of the cladding here, of its outline. [mm]"""
        return _line_at(self.wall.foot_line, self.x)

    @property
    def head(self) -> float:
        """Soffit here: under a rake it is not the wall's highest. [mm]"""
        return _line_at(self.wall.top_line, self.x)

    @property
    def ground(self) -> float:
        """Finished ground here: as far below the foot as everywhere along the wall. [mm]"""
        return self.foot - self.wall.clearance

    @property
    def lowest(self) -> float | None:
        """Lowest point of the boards. [mm]"""
        return min((min(b.back_foot[1], b.face_foot[1]) for b in self.boards), default=None)

    @property
    def ground_clearance(self) -> float | None:
        """Finished ground up to the lowest point of the boards. [mm]"""
        return None if self.lowest is None else self.lowest - self.ground

    @property
    def fillet_gap(self) -> float | None:
        """Least distance from the cover fillet to any board: the air's way out at the head. [mm]"""
        fillets = [polygon for _, polygon in self.of_kind(Kind.FILLET)]
        boards = [polygon for _, polygon in self.of_kind(Kind.BOARD)]
        if not fillets or not boards:
            return None
        return float(min(f.distance(b) for f in fillets for b in boards))


def profile(model: Model, wall: Wall, x: float) -> Profile:
    """Cut a wall plumb at `x` and read off what the cut shows.

    Parameters
    ----------
    model : Model
    wall : Wall
    x : float
        [mm]
    """
    cuts = tuple(section_polygons([p for p in model.parts if p.wall == wall.name], x=x))
    boards = tuple(
        sorted(
            (board_cut(part, polygon) for part, polygon in cuts if part.kind is Kind.BOARD),
            key=lambda board: (board.course, board.back_foot[1]),
        )
    )
    laps = tuple(
        LapCut(lower=a, upper=b)
        for a, b in itertools.pairwise(boards)
        if b.course == a.course + 1 and not _parted(a, b, wall, x)
    )
    nails = tuple(_nails(model, wall, x, cuts, boards, laps))
    return Profile(wall=wall, x=x, cuts=cuts, boards=boards, laps=laps, nails=nails)


def board_cut(part: Part, polygon: Polygon) -> BoardCut:
    """Find a board's four arrises in its cut.

    Parameters
    ----------
    part : Part
    polygon : Polygon
        In (z, y). [mm]
    """
    ring = np.asarray(polygon.exterior.coords)[:-1]
    edges = np.stack([ring, np.roll(ring, -1, axis=0)], axis=1)
    lengths = np.linalg.norm(edges[:, 1] - edges[:, 0], axis=1)
    two = edges[np.argsort(lengths)[-2:]]
    back, face = sorted(two, key=lambda edge: float(edge[:, 0].mean()))
    (back_foot, back_top), (face_foot, face_top) = (
        sorted(e.tolist(), key=lambda p: p[1]) for e in (back, face)
    )
    return BoardCut(
        mark=part.mark,
        course=part.course or 0,
        back_foot=tuple(back_foot),
        back_top=tuple(back_top),
        face_foot=tuple(face_foot),
        face_top=tuple(face_top),
    )


def _parted(lower: BoardCut, upper: BoardCut, wall: Wall, x: float) -> bool:
    """Whether an opening stands between two boards at the cut."""
    return any(
        o.left < x < o.right and lower.back_foot[1] < o.sill + 1 and upper.back_top[1] > o.head - 1
        for o in wall.openings
    )


def _nails(
    model: Model,
    wall: Wall,
    x: float,
    cuts: Sequence[Cut],
    boards: Sequence[BoardCut],
    laps: Sequence[LapCut],
) -> list[NailCut]:
    """Board nails in the battens that the cut goes through."""
    battens = [(part, polygon) for part, polygon in cuts if part.kind is Kind.BATTEN]
    below = {lap.upper.mark: lap.lower for lap in laps}
    by_mark = {part.mark: polygon for part, polygon in cuts}
    found = []
    for group in model.fixings_for(Use.BOARD, wall.name):
        for (hx, hy, hz), (_, py, pz) in zip(group.heads.tolist(), group.points.tolist(), strict=True):
            shank = LineString([(hz, hy), (pz, py)])
            held = [p for part, p in battens if _spans(part, hx)]
            if not held:
                continue
            board = max(boards, key=lambda b: by_mark[b.mark].intersection(shank).length, default=None)
            if board is None or by_mark[board.mark].intersection(shank).length == 0:
                continue
            lower = below.get(board.mark)
            found.append(
                NailCut(
                    board=board,
                    head=(hz, hy),
                    point=(pz, py),
                    diameter=group.fastener.diameter,
                    head_diameter=group.fastener.head_diameter,
                    up_face=_up_face(board, (hz, hy)),
                    above_board_below=None
                    if lower is None
                    else hy - max(lower.face_top[1], lower.back_top[1]),
                    penetration=float(sum(p.intersection(shank).length for p in held)),
                )
            )
    return sorted(found, key=lambda nail: nail.head[1])


def _line_at(line: Floats, x: float) -> float:
    """Height at x of a line from left to right; past its ends, that of the nearer end. [mm]"""
    return float(np.interp(x, line[:, 0], line[:, 1]))


def _spans(part: Part, x: float) -> bool:
    return bool(part.vertices[:, 0].min() <= x <= part.vertices[:, 0].max())


def _up_face(board: BoardCut, head: Point) -> float:
    (z0, y0), (z1, y1) = board.face_foot, board.face_top
    length = math.dist(board.face_foot, board.face_top)
    return ((head[0] - z0) * (z1 - z0) + (head[1] - y0) * (y1 - y0)) / length
