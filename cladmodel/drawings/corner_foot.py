"""A corner post's foot, cut at the middle of the cavity: the room left for the vent strip."""

from __future__ import annotations

from shapely.geometry import Polygon

from cladmodel.drawings.flat_view import FlatView
from cladmodel.drawings.layout import Label, Room, heading, label_stack
from cladmodel.drawings.primitives import Across, Primitive
from cladmodel.drawings.section_parts import HEADING_ROOM, NAMES
from cladmodel.drawings.view import figure, largest_scale, pieces
from cladmodel.model import Kind, Model
from cladmodel.schedules.corners import Corner, in_axes
from cladmodel.solids.sections import section_polygons

_WALL = 70.0
"""How much of the wall is shown beside the post. [mm]"""
_UP = 62.0
"""How much of the post is shown above its foot. [mm]"""
_BELOW = 8.0
"""How much is shown below it. [mm]"""
_IN, _UP_IN = 1.0, 0.5
"""A relief's corner lies further in than this, across and up; the corners of a leaning post do not. [mm]"""
_MARGIN = (18.0, 40.0)  # room for dimensions on the left, for labels on the right [mm on paper]
_UNDER = 14.0  # room for dimensions below [mm on paper]


def foot(model: Model, corner: Corner, room: Room) -> list[Primitive]:
    """Draw the foot of a corner post, seen square on from outside its wall.

    Parameters
    ----------
    model : Model
    corner : Corner
    room : Room
    """
    home, post = corner.home, corner.post
    (x0, y0, z0), (x1, _, _) = post.vertices.min(axis=0), post.vertices.max(axis=0)
    at_right = corner.left is home
    near = [in_axes(model, p, home) for p in model.parts if p.wall in {w.name for w in corner.walls}]
    wanted = (Kind.POST, Kind.BATTEN, Kind.VENT_STRIP)
    # Half-way into the cavity: through the relieved part of the foot.
    cuts = [
        (part, polygon)
        for part, polygon in section_polygons([p for p in near if p.kind in wanted], z=float(z0) / 2)
    ]
    left, right = (x0 - _WALL, x1 + 6.0) if at_right else (x0 - 6.0, x1 + _WALL)
    low, high = (float(left), float(y0) - _BELOW), (float(right), float(y0) + _UP)
    wide, tall = high[0] - low[0], high[1] - low[1]
    scale = largest_scale(wide, tall, room.width - sum(_MARGIN), room.height - HEADING_ROOM - _UNDER - 4.0)
    view = FlatView(
        scale=scale,
        at=(room.left + _MARGIN[0] - low[0] / scale, room.top - HEADING_ROOM - 4.0 - high[1] / scale),
        low=low,
        high=high,
    )
    drawn: list[Primitive] = [*heading(room, "", "Post's foot, cut in the cavity", scale)]
    drawn += pieces(view, cuts)
    polygons = [polygon for part, polygon in cuts if part.mark == post.mark]
    if not polygons:
        return drawn
    polygon = polygons[0]
    a, b, c, _ = polygon.bounds
    bottom = view.paper((0.0, low[1]))[1] - 4.0
    drawn.append(view.level("post along the wall", (a, y0), (c, y0), bottom - 6.0, "post"))
    corner_point = _relief(polygon)
    line = view.paper((low[0], 0.0))[0] - 5.0
    side = a if at_right else c
    if corner_point is None and b > y0:
        drawn.append(view.upright("relief height", (a, y0), (a, b), line, "relief", outside=1))
    elif corner_point is not None:
        x, y = corner_point
        drawn.append(
            view.level("relief along", (side, y), (x, y), bottom, "relief", outside=-1 if at_right else 1)
        )
        drawn.append(view.upright("relief height", (side, b), (side, y), line, "relief", outside=1))
    labels: list[Label] = []
    for part, piece in cuts:
        shown = piece.intersection(view.window)
        named = NAMES[part.kind]
        if shown.is_empty or any(label.lines[0].startswith(named) for label in labels):
            continue
        point = shown.representative_point()
        _, low_y, _, high_y = piece.bounds
        told = figure(high_y - low_y) if part.kind is Kind.VENT_STRIP else part.mark
        labels.append(Label(target=view.paper((point.x, point.y)), lines=(f"{named} {told}",)))
    edge = view.paper((high[0], 0.0))[0] + 6.0
    column = Room(left=edge, bottom=bottom, right=room.right, top=view.paper((0.0, high[1]))[1])
    return [*drawn, *label_stack(labels, column, Across.LEFT)]


def _relief(section: Polygon) -> tuple[float, float] | None:
    """The inner corner of the relieved foot: the one point of the section inside its box."""
    left, low, right, high = section.bounds
    for x, y in section.exterior.coords[:-1]:
        if left + _IN < x < right - _IN and low + _UP_IN < y < high - _UP_IN:
            return float(x), float(y)
    return None
