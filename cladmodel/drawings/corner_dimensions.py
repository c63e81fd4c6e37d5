"""Dimensions of a corner's plan, all read off the cut polygons.

At an outside corner rows run below the post and columns beyond it; in a nook both run outside it,
where there is nothing but air, and the post's own size is written on the post.
"""

from __future__ import annotations

from cladmodel.drawings.corner_cut import CornerCut, below
from cladmodel.drawings.flat_view import FlatView
from cladmodel.drawings.primitives import Primitive
from cladmodel.model import CornerKind, Kind, Wall

_NOSE_AT = 62.0
"""How far from the post its distance past the noses is dimensioned. [mm]"""
_CAVITY_AT = 120.0
"""How far from the post the cavity is dimensioned. [mm]"""
_ROW = 7.0
"""Between two rows of dimensions. [mm on paper]"""
_ON_POST = 4.0
"""Dimension lines on the post itself are this far in from its faces. [mm on paper]"""


def dimensions(view: FlatView, cut: CornerCut) -> list[Primitive]:
    """Post, how far it stands past the noses, fitting gaps, cavity and the battens' widths.

    Parameters
    ----------
    view : FlatView
    cut : CornerCut
    """
    nook = cut.corner.kind is CornerKind.INSIDE
    drawn = _in_the_nook(view, cut) if nook else _round_the_outside(view, cut)
    return [*drawn, *_cavity(view, cut)]


def _round_the_outside(view: FlatView, cut: CornerCut) -> list[Primitive]:
    x0, z0, x1, z1 = cut.post.bounds
    away = cut.away
    near, far = (x0, x1) if away > 0 else (x1, x0)  # the post's side towards its wall, and its outer one
    row = view.paper(cut.high)[1] - 4.0
    column = view.paper((cut.high[0] if away > 0 else cut.low[0], 0.0))[0] + away * 4.0
    drawn: list[Primitive] = [
        view.level("post along the wall", (x0, z1), (x1, z1), row - _ROW, "post"),
        view.upright("post out", (far, z0), (far, z1), column + away * _ROW, "post"),
    ]
    batten = _post_batten(cut, cut.home)
    if batten is not None:
        a, _, c, d = batten
        drawn.append(view.level("batten", (a, d), (c, d), row, "batten", spill=-away))
    board = _board(cut, cut.home)
    if board is not None:
        (a, _, c, d), nose = board
        end = c if away > 0 else a
        drawn.append(view.level("fitting gap", (end, d), (near, d), row + 8.0, "gap", outside=-away))
        at = (end - away * _NOSE_AT, nose)
        drawn.append(
            view.upright("post past the noses", at, (near, z1), view.paper(at)[0], "proud", outside=1)
        )
    if cut.other is None:
        return drawn
    batten = _post_batten(cut, cut.other)
    if batten is not None:
        x = batten[2] if away > 0 else batten[0]
        drawn.append(view.upright("batten", (x, batten[1]), (x, batten[3]), column, "batten"))
    board = _board(cut, cut.other)
    if board is not None:
        (a, _, c, d), nose = board
        face = c if away > 0 else a
        drawn.append(
            view.upright("fitting gap", (face, d), (face, z0), column - away * 8.0, "gap", outside=1)
        )
        at = (nose, d - _NOSE_AT)
        drawn.append(
            view.level("post past the noses", at, (far, z0), view.paper(at)[1], "proud", outside=away)
        )
    return drawn


def _in_the_nook(view: FlatView, cut: CornerCut) -> list[Primitive]:
    x0, z0, x1, z1 = cut.post.bounds
    left, face = view.paper((x0, z1))
    drawn: list[Primitive] = [
        view.level("post along the wall", (x0, z1), (x1, z1), face + _ON_POST, "post", plate=True),
        view.upright("post out", (x0, z0), (x0, z1), left + _ON_POST, "post", plate=True),
    ]
    # The other wall's figures stand right below the post's face, this wall's below those.
    column, row = left - 8.0, face - 36.0
    batten = _post_batten(cut, cut.home)
    if batten is not None:
        a, _, c, d = batten
        drawn.append(view.level("batten", (a, d), (c, d), row - _ROW, "batten", spill=-1))
    board = _board(cut, cut.home)
    if board is not None:
        (_, _, c, d), nose = board
        drawn.append(view.level("fitting gap", (c, d), (x0, d), row, "gap", outside=-1))
        at = (c - _NOSE_AT, nose)
        drawn.append(view.upright("post past the noses", at, (x0, z1), view.paper(at)[0], "proud", outside=1))
    if cut.other is None:
        return drawn
    batten = _post_batten(cut, cut.other)
    if batten is not None:
        x = batten[0]
        drawn.append(
            view.upright("batten", (x, batten[1]), (x, batten[3]), column - _ROW, "batten", spill=-1)
        )
    board = _board(cut, cut.other)
    if board is not None:
        (a, b, _, _), nose = board
        drawn.append(view.upright("fitting gap", (a, z1), (a, b), column, "gap", outside=1))
        at = (nose, b + _NOSE_AT)
        drawn.append(view.level("post past the noses", at, (x0, z1), view.paper(at)[1], "proud", outside=1))
    return drawn


def _post_batten(cut: CornerCut, wall: Wall) -> tuple[float, float, float, float] | None:
    """Bounds of the batten that one wall brings to the post. [mm]"""
    own = [polygon for part, polygon in cut.of_wall(Kind.BATTEN, wall) if part.assembly is not None]
    own.sort(key=lambda polygon: float(polygon.distance(cut.post)))
    # A wall's own end has two: the one beside the post is wanted, the return's stands behind it.
    own = [p for p in own if cut.other is not None or p.bounds[3] > cut.post.bounds[1]]
    if not own:
        return None
    a, b, c, d = own[0].bounds
    return float(a), float(b), float(c), float(d)


def _board(cut: CornerCut, wall: Wall) -> tuple[tuple[float, float, float, float], float] | None:
    """Bounds of a wall's board at the post, and how far out its nose stands below the cut. [mm]"""
    found = cut.boards(wall)
    if not found:
        return None
    part, polygon = min(found, key=lambda one: one[1].distance(cut.post))
    a, b, c, d = polygon.bounds
    x0, _, x1, z1 = below(part, polygon, cut.y).bounds
    if wall is cut.home:
        nose = z1
    else:
        nook = cut.corner.kind is CornerKind.INSIDE
        nose = x1 if (cut.away > 0) != nook else x0
    return (float(a), float(b), float(c), float(d)), float(nose)


def _cavity(view: FlatView, cut: CornerCut) -> list[Primitive]:
    """From the membrane's face to the board's back at this height, in a bay of the post's wall."""
    membranes = cut.of_wall(Kind.MEMBRANE, cut.home)
    boards = cut.boards(cut.home)
    if not membranes or not boards:
        return []
    face = max(polygon.bounds[3] for _, polygon in membranes)
    back = min(polygon.bounds[1] for _, polygon in boards)
    x = (cut.post.bounds[0] - _CAVITY_AT) if cut.away > 0 else (cut.post.bounds[2] + _CAVITY_AT)
    line = view.paper((x, 0.0))[0]
    return [view.upright("cavity", (x, face), (x, back), line, "cavity", outside=-1, plate=True)]
