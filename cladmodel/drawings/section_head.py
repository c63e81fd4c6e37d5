"""The head: top course, packer, cover fillet and the air's way out under the soffit."""

from __future__ import annotations

from shapely.ops import nearest_points

from cladmodel.drawings.layout import Label, Room, heading, label_stack
from cladmodel.drawings.primitives import Point, Primitive
from cladmodel.drawings.section_parts import (
    NAMES,
    Detail,
    Margins,
    at_height,
    clear,
    fitted,
    how_cut,
    layer_labels,
    piece_labels,
)
from cladmodel.drawings.view import View, air, break_level, break_plumb, figure, nails, pieces, soffit
from cladmodel.model import Kind
from cladmodel.schedules.profile import Profile

_MARGINS = Margins(left=27.0, bottom=6.0, right=52.0, top=3.0)
_WORD = 25.0
"""Room that "board" and its figure take. [mm on paper]"""
_STUD_SHOWN = 55.0
"""How much of the stud's depth is shown. [mm]"""


def head(profile: Profile, room: Room, letter: str, most: float = 1.0) -> Detail:
    """Draw the head of the wall.

    Parameters
    ----------
    profile : Profile
    room : Room
    letter : str
    most : float
        Largest scale wanted. [-]
    """
    wall, top = profile.wall, profile.boards[-1]
    gauge = profile.laps[-1].gauge if profile.laps else top.width
    outer = max(polygon.bounds[2] for _, polygon in profile.cuts) + 16
    inner = -wall.depth_to_frame - _STUD_SHOWN
    view = fitted(room, _MARGINS, inner, top.back_foot[1] - 0.55 * gauge, outer, profile.head + 12, most)

    drawn: list[Primitive] = [*heading(room, letter, "Head", view.scale)]
    drawn += soffit(view, profile.head, inner, outer)
    drawn += pieces(view, profile.cuts)
    drawn += nails(view, profile.nails)
    drawn += break_level(view, view.low, profile.cuts)
    drawn.append(break_plumb(view, inner, view.low, profile.head))
    drawn += _air_path(view, profile)
    drawn += _gap(view, profile)

    highest = max((top.back_top, top.face_top), key=lambda point: point[1])
    tops = [
        view.vertical("over the top board", highest, (highest[0], profile.head), x, outside=way)
        for x, way in ((view.left - 18.5, -1), (view.left - 18.5, 1), (view.left - 24.5, -1))
    ]
    word = "board" if top.width / view.scale >= _WORD else ""
    off = (outer - top.back_foot[0]) / view.scale + 11.0
    places = ((off, word), (off, ""), (off + 6.0, ""))
    boards = [
        view.slanting("top board width", top.back_foot, top.back_top, top.up, at, words)
        for at, words in places
    ]
    drawn.append(clear(boards, drawn))
    drawn.append(clear(tops, drawn))
    drawn += label_stack(
        _labels(view, profile),
        Room(left=view.right + 7.5, bottom=view.bottom, right=room.right, top=view.top),
    )
    return Detail(letter=letter, view=view, primitives=tuple(drawn))


def _gap(view: View, profile: Profile) -> list[Primitive]:
    """Least distance between the fillet and the boards, where it is."""
    fillets = [polygon for _, polygon in profile.of_kind(Kind.FILLET)]
    boards = [polygon for _, polygon in profile.of_kind(Kind.BOARD)]
    if not fillets or not boards:
        return []
    fillet, board = min(((f, b) for f in fillets for b in boards), key=lambda pair: pair[0].distance(pair[1]))
    start, end = ((p.x, p.y) for p in nearest_points(board, fillet))
    reach = board.distance(fillet)
    if reach == 0:
        return []
    along = ((end[0] - start[0]) / reach, (end[1] - start[1]) / reach)
    return [view.slanting("air gap at the fillet", start, end, along, 7.0, "air", outside=1, plate=True)]


def _air_path(view: View, profile: Profile) -> list[Primitive]:
    way = _way_out(profile)
    return [air(view, ((way[0][0], view.low + 12), *way))] if way else []


def _way_out(profile: Profile) -> list[Point]:
    """Up the cavity, over the boards, down between boards and fillet, out below the fillet; (z, y)."""
    fillets = profile.of_kind(Kind.FILLET)
    battens = profile.of_kind(Kind.BATTEN)
    if not fillets or not battens:
        return []
    top = profile.boards[-1]
    low, _, high, _ = battens[0][1].bounds
    cavity = (low + high) / 2
    back, bottom, _, _ = fillets[0][1].bounds
    over = (max(top.back_top[1], top.face_top[1]) + profile.head) / 2
    slot = (max(top.face_top[0], 0.0) + back) / 2
    return [(cavity, over), (slot, over), (slot, float(bottom) - 14)]


def _labels(view: View, profile: Profile) -> list[Label]:
    labels = list(piece_labels(view, profile.cuts, (Kind.FILLET, Kind.PACKER, Kind.HEAD_PLATE)))
    labels += layer_labels(view, profile, (Kind.BATTEN,))
    if profile.of_kind(Kind.PACKER):
        labels = [
            Label(target=label.target, lines=(*label.lines, "air goes out beside it"))
            if label.lines[0].startswith(NAMES[Kind.PACKER])
            else label
            for label in labels
        ]
    way = _way_out(profile)
    if way:
        labels.append(Label(target=view.paper(way[-1]), lines=("Air out",)))
    top = profile.boards[-1]
    polygon = next(p for part, p in profile.cuts if part.mark == top.mark)
    target = at_height(view, polygon, top.back_foot[1] + 0.35 * (top.back_top[1] - top.back_foot[1]))
    if target is not None:
        labels.append(Label(target=target, lines=(f"Top board {figure(top.width)}", how_cut(profile, top))))
    return labels
