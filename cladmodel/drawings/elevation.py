"""The elevation sheet: every board with its mark, joints, battens, nails, openings and the rod."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable

import numpy as np

from cladmodel.drawings.covers import (
    flashing_bodies,
    front_outline,
    front_pieces,
    shown_polygons,
    visible_covers,
)
from cladmodel.drawings.elevation_dimensions import dimensions, rod_column
from cladmodel.drawings.elevation_marks import mark_boards, name_openings
from cladmodel.drawings.flat_view import FlatView
from cladmodel.drawings.layout import DRAWING, heading, surround
from cladmodel.drawings.materials import BOARD_FACE
from cladmodel.drawings.primitives import A3, INK, Fill, Hatch, Layer, Line, Polyline, Primitive, Sheet
from cladmodel.drawings.section_parts import HEADING_ROOM, Margins
from cladmodel.drawings.view import largest_scale
from cladmodel.model import Kind, Model, Part, Use, Wall

_MARGINS = Margins(left=42.0, bottom=30.0, right=24.0, top=10.0)
_NAIL = 0.3
"""Radius of the dot that stands for a nail. [mm on paper]"""
_TRIM = "#dfc398"
_METAL = "#8d939a"
_STEEP = 4.0
"""Rise over run from which a batten's edge is one of its sides, not an end cut along a rake. [-]"""
_LISTED = 6
"""Marks without room that are named on the sheet; more are only counted."""


def elevation_sheet(model: Model, wall: str) -> Sheet:
    """Draw one wall seen square on from outside, on A3.

    Parameters
    ----------
    model : Model
    wall : str
        Its name.
    """
    return _sheet(model, model.wall_by_name[wall])


def _sheet(model: Model, wall: Wall) -> Sheet:
    front_parts = front_pieces(model, wall)
    boards = model.of_kind(Kind.BOARD, wall=wall.name)
    view = _placed(wall, [*front_parts, *boards])
    covers = visible_covers(model, wall)
    behind, before = flashing_bodies(model, wall)
    drawn: list[Primitive] = [*heading(DRAWING, "", "Elevation from outside", view.scale)]
    drawn += _fills(view, behind, _METAL, Layer.SEEN)
    for _, shape in covers:
        drawn += [view.fill(polygon, BOARD_FACE, Layer.CUT) for polygon in shown_polygons(shape)]
    drawn += _battens(view, model, wall)
    drawn += _nails(view, model, wall)
    for part in sorted([*front_parts, *before], key=lambda p: float(p.vertices[:, 2].max())):
        metal = part.kind is Kind.FLASHING
        drawn += _fills(view, [part], _METAL if metal else _TRIM, Layer.SEEN if metal else Layer.CUT)
    drawn += _ground(view, wall)
    drawn += rod_column(view, model, wall)
    drawn += dimensions(view, wall, boards)
    drawn += name_openings(view, wall)
    marks, missing = mark_boards(view, wall, covers, drawn)
    drawn += marks
    drawn += surround(model.title, f"Wall {wall.name}: elevation", _facts(covers, missing), view.scale)
    return Sheet(
        title=f"{model.title}, wall {wall.name}, elevation",
        width=A3[0],
        height=A3[1],
        primitives=tuple(drawn),
    )


def _facts(covers: list[tuple[Part, object]], missing: list[str]) -> tuple[str, str]:
    first = f"{len(covers)} boards; dashed: battens; dots: nails"
    if missing:
        named = ", ".join(missing) if len(missing) <= _LISTED else "see the cut list"
        first = f"{len(covers)} boards, {len(missing)} too small to letter: {named}"
    return first, "Rod: course and butt line above its 0, read off the boards"


def _placed(wall: Wall, parts: Iterable[Part]) -> FlatView:
    corners = np.concatenate([part.vertices[:, :2] for part in parts])
    (x0, y0), (x1, y1) = corners.min(axis=0), corners.max(axis=0)
    low = (float(x0), min(float(y0), wall.ground))
    high = (float(x1), max(float(y1), wall.head))
    d = DRAWING
    wide = d.width - _MARGINS.left - _MARGINS.right
    tall = d.height - HEADING_ROOM - _MARGINS.top - _MARGINS.bottom
    scale = largest_scale(high[0] - low[0], high[1] - low[1], wide, tall)
    spare = (wide - (high[0] - low[0]) / scale) / 2
    down = (tall - (high[1] - low[1]) / scale) / 2
    at = (
        d.left + _MARGINS.left + spare - low[0] / scale,
        d.top - HEADING_ROOM - _MARGINS.top - down - high[1] / scale,
    )
    return FlatView(scale=scale, at=at, low=low, high=high)


def _fills(view: FlatView, parts: Iterable[Part], colour: str, layer: Layer) -> list[Primitive]:
    return [
        view.fill(polygon, colour, layer) for part in parts for polygon in shown_polygons(front_outline(part))
    ]


def _battens(view: FlatView, model: Model, wall: Wall) -> Iterable[Primitive]:
    """Both sides of every batten, as long as they are: shorter ones under a rake or a sill."""
    for batten in model.of_kind(Kind.BATTEN, wall=wall.name):
        for polygon in shown_polygons(front_outline(batten)):
            for (x0, y0), (x1, y1) in itertools.pairwise(polygon.exterior.coords):
                if abs(y1 - y0) > _STEEP * abs(x1 - x0):
                    yield Line(layer=Layer.HIDDEN, start=view.paper((x0, y0)), end=view.paper((x1, y1)))


def _nails(view: FlatView, model: Model, wall: Wall) -> Iterable[Primitive]:
    turns = np.linspace(0, 2 * math.pi, 8, endpoint=False)
    for group in model.fixings_for(Use.BOARD, wall.name):
        for x, y, _ in group.heads.tolist():
            px, py = view.paper((x, y))
            dot = tuple((px + _NAIL * math.cos(a), py + _NAIL * math.sin(a)) for a in turns)
            yield Fill(layer=Layer.SEEN, outline=dot, colour=INK, outlined=False)


def _ground(view: FlatView, wall: Wall) -> Iterable[Primitive]:
    """Finished ground: it follows the foot, with its steps and slopes, at the ground clearance."""
    foot = wall.foot_line - [0.0, wall.clearance]
    line = [view.paper((float(x), float(y))) for x, y in foot]
    line[0] = (view.paper(view.low)[0] - 6.0, line[0][1])
    line[-1] = (view.paper(view.high)[0] + 6.0, line[-1][1])
    for (x0, y0), (x1, y1) in itertools.pairwise(line):
        if x1 > x0:
            outline = ((x0, y0), (x1, y1), (x1, y1 - 2.6), (x0, y0 - 2.6))
            yield Hatch(outline=outline, angle=math.radians(45), spacing=1.3)
    yield Polyline(layer=Layer.GROUND, points=tuple(line))
