"""Corner sheets: a plan of each different corner, its post's relieved foot, and the make-up list.

Both walls of a corner are brought into one plane: the axes of the wall in which the post stands.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import Polygon

from cladmodel.drawings.corner_cut import CornerCut, below, cut_corner
from cladmodel.drawings.corner_dimensions import dimensions
from cladmodel.drawings.corner_foot import foot
from cladmodel.drawings.flat_view import FlatView
from cladmodel.drawings.layout import DRAWING, Label, Room, heading, label_stack, surround
from cladmodel.drawings.primitives import A3, Across, Layer, Line, Primitive, Sheet, Text
from cladmodel.drawings.section_parts import HEADING_ROOM, NAMES, inside
from cladmodel.drawings.tables import ROW, Table, draw_table, set_table
from cladmodel.drawings.view import figure, largest_scale, pieces
from cladmodel.model import CornerKind, Kind, Model
from cladmodel.schedules.corners import Corner, corners, points_in_axes, screws_of
from cladmodel.schedules.makeup import MakeUp, PostBatten, makeup

_PLAN = 254.0
"""Width of the plan's column on the sheet. [mm on paper]"""
_EDGE = 40.0
"""Layers are labelled this near the window's edge. [mm]"""
_LABELS = 52.0
"""Width of a column of labels. [mm on paper]"""
_DIMENSIONS = 22.0
"""Room for two rows of dimensions. [mm on paper]"""
_FOOT = 88.0
"""Height of the foot's view. [mm on paper]"""


def corner_sheets(model: Model) -> tuple[Sheet, ...]:
    """Draw each different corner of a job on a sheet of its own, on A3.

    Parameters
    ----------
    model : Model
    """
    sheets = []
    made = {one.mark: one for one in makeup(model)}
    for alike in _different(model, made):
        sheets.append(_sheet(model, alike, [made[corner.post.mark] for corner in alike]))
    return tuple(sheets)


def _different(model: Model, made: dict[str, MakeUp]) -> list[list[Corner]]:
    """Corners put together that are alike in kind and in every size; a wall's two ends mirror each other."""
    groups: dict[tuple[object, ...], list[Corner]] = {}
    for corner in corners(model):
        one = made[corner.post.mark]
        sizes = (one.width, one.depth, one.relief_height, one.relief_along, one.relief_out)
        battens = tuple(size for b in one.battens for size in (b.thickness, b.width))
        key = (corner.kind, *(round(size, 1) for size in (*sizes, *battens)))
        groups.setdefault(key, []).append(corner)
    return list(groups.values())


def _sheet(model: Model, alike: Sequence[Corner], made: Sequence[MakeUp]) -> Sheet:
    corner = alike[0]
    cut = cut_corner(model, corner)
    d = DRAWING
    plan_room = Room(left=d.left, bottom=d.bottom, right=d.left + _PLAN, top=d.top)
    beside = plan_room.right + 6.0
    foot_room = Room(left=beside, bottom=d.top - _FOOT, right=d.right, top=d.top)
    list_room = Room(left=beside, bottom=d.bottom, right=d.right, top=foot_room.bottom - 4.0)
    view, drawn = _plan(model, cut, plan_room)
    drawn += foot(model, corner, foot_room)
    drawn += _make_up(made, list_room)
    names = ", ".join(one.name for one in alike)
    where = f"Cut {figure(cut.y)} above 0 of the rod, where no opening is near"
    also = f"Drawn: {corner.name}" + (f"; alike: {len(alike) - 1} more" if len(alike) > 1 else "")
    title = f"{corner.kind.capitalize()} corner" if corner.kind is not CornerKind.END else "End of a wall"
    drawn += surround(model.title, f"{title}: plan", (also, where), view.scale)
    return Sheet(
        title=f"{model.title}, {title.lower()}, {names}",
        width=A3[0],
        height=A3[1],
        primitives=tuple(drawn),
    )


def _plan(model: Model, cut: CornerCut, room: Room) -> tuple[FlatView, list[Primitive]]:
    nook = cut.corner.kind is CornerKind.INSIDE
    labels_left = cut.away > 0 and not nook
    margin = {True: _LABELS + 12.0, False: _DIMENSIONS + 8.0}
    left, right = margin[labels_left], margin[not labels_left]
    if nook:
        left = 6.0
    wide, deep = cut.high[0] - cut.low[0], cut.high[1] - cut.low[1]
    below = 4.0 if nook else _DIMENSIONS + 8.0
    scale = largest_scale(wide, deep, room.width - left - right, room.height - HEADING_ROOM - below)
    spare = (room.width - left - right - wide / scale) / 2
    down = (room.height - HEADING_ROOM - below - deep / scale) / 2
    top = room.top - HEADING_ROOM - max(2.0, down)
    view = FlatView(
        scale=scale,
        at=(room.left + left + spare - cut.low[0] / scale, top + cut.low[1] / scale),
        low=cut.low,
        high=cut.high,
        plan=True,
    )
    drawn: list[Primitive] = [*heading(room, "", f"Plan, {cut.corner.name}", scale)]
    drawn += _noses(view, cut)
    drawn += pieces(view, cut.cuts)
    drawn += _screws(model, view, cut)
    drawn += dimensions(view, cut)
    (x0, y1), (x1, y0) = view.paper(cut.low), view.paper(cut.high)
    column = (
        Room(left=x0 - 8.0 - _LABELS, bottom=y0, right=x0 - 8.0, top=y1)
        if labels_left
        else Room(left=x1 + 8.0, bottom=y0, right=x1 + 8.0 + _LABELS, top=y1)
    )
    drawn += label_stack(_labels(view, cut), column, Across.RIGHT if labels_left else Across.LEFT)
    drawn.append(_outside(view, cut))
    return view, drawn


def _noses(view: FlatView, cut: CornerCut) -> list[Primitive]:
    """Front arrises of the boards below the cut, seen from above."""
    drawn: list[Primitive] = []
    for wall in cut.corner.walls:
        for part, polygon in cut.boards(wall):
            for shown in shapely.get_parts(
                below(part, polygon, cut.y).difference(polygon).intersection(view.window)
            ):
                if shown.geom_type == "Polygon":
                    drawn.append(view.fill(shown, "#f8efdd", Layer.SEEN))
    return drawn


def _screws(model: Model, view: FlatView, cut: CornerCut) -> list[Primitive]:
    """The concealed screws' centre lines above or below the cut, with their heads."""
    drawn: list[Primitive] = []
    for batten in cut.corner.battens:
        for group, heads in screws_of(model, cut.corner, batten)[:1]:
            nearest = int(np.abs(heads[:, 1] - cut.y).argmin())
            start = heads[nearest]
            index = int(
                np.abs(points_in_axes(model, group.heads, group.wall, cut.home)[:, 1] - start[1]).argmin()
            )
            both = np.stack([group.heads[index], group.points[index]])
            (ax, _, az), (bx, _, bz) = points_in_axes(model, both, group.wall, cut.home).tolist()
            a, b = view.paper((ax, az)), view.paper((bx, bz))
            drawn.append(Line(layer=Layer.FIXING, start=a, end=b))
            half = group.fastener.head_diameter / 2 / view.scale
            ux, uy = (b[0] - a[0]), (b[1] - a[1])
            length = float(np.hypot(ux, uy))
            nx, ny = -uy / length * half, ux / length * half
            drawn.append(Line(layer=Layer.FIXING, start=(a[0] - nx, a[1] - ny), end=(a[0] + nx, a[1] + ny)))
    return drawn


def _labels(view: FlatView, cut: CornerCut) -> list[Label]:
    nook = cut.corner.kind is CornerKind.INSIDE
    where = "in the nook" if nook else "inner arris on frame's corner"
    labels = _label(view, cut.post, f"Post {_plan_size(cut.post)}", where)
    for wall in cut.corner.walls:
        battens = [(part, p) for part, p in cut.of_wall(Kind.BATTEN, wall) if part.assembly is not None]
        for part, polygon in sorted(battens, key=lambda one: one[1].distance(cut.post)):
            words = f"{part.mark}, screwed to the post"
            labels += _label(view, polygon, f"Batten {_plan_size(polygon)}", words)
            if cut.other is not None:
                break
    for kind in (Kind.BOARD, Kind.MEMBRANE, Kind.SHEATHING, Kind.STUD):
        shown = [(part, p) for part, p in cut.of_wall(kind, cut.home) if p.intersects(view.window)]
        if not shown:
            continue
        part, polygon = min(shown, key=lambda one: one[1].distance(cut.post))
        _, z0, _, z1 = polygon.bounds
        words = {Kind.BOARD: "front: its nose below", Kind.STUD: ""}.get(kind, "")
        size = _plan_size(polygon) if kind is Kind.STUD else figure(z1 - z0)
        name = "Board" if kind is Kind.BOARD else f"{NAMES[kind]} {size}"
        # Near the window's edge, so that its leader crosses little.
        edge = cut.low[0] if cut.away > 0 else cut.high[0]
        left, right = sorted((edge, edge + cut.away * _EDGE))
        near = polygon.intersection(shapely.box(left, cut.low[1], right, cut.high[1]))
        shown_at = polygon if near.is_empty or kind is Kind.STUD else near
        labels += _label(view, shown_at, name, *([words] if words else []))
    return labels


def _plan_size(polygon: Polygon) -> str:
    x0, z0, x1, z1 = polygon.bounds
    small, large = sorted((x1 - x0, z1 - z0))
    return f"{figure(small)} x {figure(large)}"


def _label(view: FlatView, polygon: Polygon, *lines: str) -> list[Label]:
    """Words for a piece; none if the window does not show it."""
    target = inside(view, polygon)
    return [] if target is None else [Label(target=target, lines=lines)]


def _outside(view: FlatView, cut: CornerCut) -> Text:
    """Which side is outside."""
    x = cut.low[0] if cut.away > 0 else cut.high[0]
    px, py = view.paper((x, cut.high[1]))
    down = -3.0 if cut.corner.kind is CornerKind.INSIDE else 8.0
    across = Across.LEFT if cut.away > 0 else Across.RIGHT
    return Text(at=(px, py - down), text="OUTSIDE", across=across)


def _relieved(one: MakeUp) -> str:
    if one.relief_height == 0:
        return "no"
    return f"{figure(one.relief_along)} x {figure(one.relief_out)}, {figure(one.relief_height)} high"


_EVEN = 1.0
"""Screws whose spacings differ by less are evenly spaced. [mm]"""


def _screwed(batten: PostBatten) -> str:
    """How many screws, where the first is, and how far apart: or each one's place if they are uneven."""
    steps = np.diff(batten.screws)
    number = f"{len(batten.screws)} screws"
    if len(steps) and np.ptp(steps) < _EVEN:
        return f"{number}: first {batten.screws[0]:.0f} up, then every {steps[0]:.0f}"
    return f"{number} at " + ", ".join(f"{place:.0f}" for place in batten.screws)


def _make_up(made: Sequence[MakeUp], room: Room) -> list[Primitive]:
    posts = Table(
        title="Make-up",
        headings=("post", "length", "relieved at the foot", "corner"),
        rows=tuple((one.mark, figure(one.length), _relieved(one), one.name) for one in made),
    )
    upper = set_table(posts, room.width)
    drawn, _ = draw_table(upper, room)
    under = room.top - upper.height(len(upper.lines)) - ROW
    rows: list[tuple[str, ...]] = []
    for one in made:
        for batten in one.battens:
            rows.append((one.mark, batten.mark, figure(batten.length), _screwed(batten)))
    battens = Table(title="", headings=("post", "batten", "length", "screws"), rows=tuple(rows))
    more, _ = draw_table(
        set_table(battens, room.width),
        Room(left=room.left, bottom=room.bottom, right=room.right, top=under),
    )
    return [*drawn, *more]
