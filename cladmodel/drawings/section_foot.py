"""The foot: starter, vent strip, first courses, ground clearance and the air's way in."""

from __future__ import annotations

from cladmodel.drawings.layout import Label, Room, heading, label_stack
from cladmodel.drawings.primitives import Across, Layer, Line, Primitive, Text
from cladmodel.drawings.section_parts import (
    Detail,
    Margins,
    at_height,
    clear,
    fitted,
    inside,
    layer_labels,
    size,
)
from cladmodel.drawings.view import View, air, break_level, figure, ground, nails, pieces
from cladmodel.model import Kind
from cladmodel.schedules.profile import BoardCut, Profile

_MARGINS = Margins(left=33.0, bottom=3.0, right=43.0, top=9.0)
_SMALLEST = 5.0
"""Smallest scale at which the parts at the foot still tell apart. [-]"""
_COURSES = (2.25, 1.8, 1.4)
"""How many courses to show: as many as fit at that scale."""
_WITHOUT_GROUND = 90.0
"""Shown below the foot when the ground is too far down to show; the whole section has it. [mm]"""
_WORD = 26.0
"""Room that "gauge" and its figure take. [mm on paper]"""
_ROW = 5.4
"""Between two rows of dimensions. [mm on paper]"""


def foot(profile: Profile, room: Room, letter: str, most: float = 1.0, least: float = _SMALLEST) -> Detail:
    """Draw the foot of the wall.

    Parameters
    ----------
    profile : Profile
    room : Room
    letter : str
    most, least : float
        Largest and smallest scale wanted; the ground is left out rather than drawn smaller. [-]
    """
    wall, boards = profile.wall, profile.boards[:3]
    nose = max(board.face_foot[0] for board in boards)
    gauge = profile.laps[0].gauge if profile.laps else boards[0].width
    inner = min(polygon.bounds[0] for _, polygon in profile.cuts) - 4
    views = [
        fitted(room, _MARGINS, inner, low, nose + 10, boards[0].back_foot[1] + courses * gauge, most)
        for low in (profile.ground - 14, profile.foot - _WITHOUT_GROUND)
        for courses in _COURSES
    ]
    view = next((one for one in views if one.scale <= least), views[-1])
    grounded = view.low < profile.ground

    drawn: list[Primitive] = [*heading(room, letter, "Foot", view.scale)]
    if grounded:
        drawn += ground(view, profile.ground, -wall.depth_to_frame)
    drawn += pieces(view, profile.cuts)
    drawn += nails(view, profile.nails)
    drawn += break_level(view, view.high, profile.cuts)
    drawn += _base(view, profile)
    middle = _cavity_middle(profile)
    drawn.append(
        air(
            view,
            (
                (middle, boards[0].back_foot[1] - 24 * view.scale / 4),
                (middle, boards[0].back_foot[1] + gauge * 0.9),
            ),
        )
    )

    drawn += _rows(view, profile, boards[0])
    chain = view.left - 4.0
    if len(boards) > 1:
        second = boards[1]
        word = "gauge" if gauge / view.scale >= _WORD else ""
        drawn.append(view.vertical("gauge", boards[0].back_foot, second.back_foot, chain, word))
        if len(boards) > 2 and boards[2].back_foot[1] < view.high:
            drawn.append(view.vertical("gauge", second.back_foot, boards[2].back_foot, chain, word))
        # A board whose top arris is only just above the window may still be dimensioned.
        whole = second if second.back_top[1] < view.high + 12 else boards[0]
        lean = max(0.0, whole.back_foot[0] - whole.back_top[0])
        off = (whole.face_foot[0] - whole.back_foot[0] + lean) / view.scale + 11.2
        boards_drawn = [
            view.slanting("board width", whole.back_foot, whole.back_top, whole.up, at, words)
            for at, words in ((off, "board"), (off + 5.0, "board"), (off + 5.0, ""))
        ]
        drawn.append(clear(boards_drawn, drawn))
    lowest = min(boards, key=lambda board: board.back_foot[1])
    if grounded:
        drawn.append(
            view.vertical(
                "ground clearance", (nose, profile.ground), lowest.back_foot, chain - 24.0, "to ground"
            )
        )
    drawn += _top_chain(view, profile)
    drawn += label_stack(
        _labels(view, profile),
        Room(left=view.right + 6.5, bottom=view.bottom - 2, right=room.right, top=view.top),
    )
    drawn.append(Text(at=(view.left - 31.0, view.top + 4.5), text="OUTSIDE"))
    under = min(polygon.bounds[1] for _, polygon in profile.cuts if polygon.bounds[0] <= inner + 5)
    drawn.append(Text(at=(view.right, view.paper((0.0, under))[1] - 6.0), text="INSIDE", across=Across.RIGHT))
    return Detail(letter=letter, view=view, primitives=tuple(drawn))


def _cavity_middle(profile: Profile) -> float:
    battens = profile.of_kind(Kind.BATTEN)
    if not battens:
        return 0.0
    low, _, high, _ = battens[0][1].bounds
    return float(low + high) / 2


def _rows(view: View, profile: Profile, first: BoardCut) -> list[Primitive]:
    """Starter, kick-out and nose, one under the other, the widest on top so that no figure is crossed."""
    base = first.back_foot[1]
    spans = [("nose", "nose", first.face_foot), ("kick-out", "kick-out", first.back_foot)]
    for _, polygon in profile.of_kind(Kind.STARTER)[:1]:
        spans.append(("starter", "starter thickness", (polygon.bounds[2], polygon.bounds[1])))
    spans.sort(key=lambda span: -span[2][0])
    y = view.paper((0.0, base))[1] - 7.0
    drawn: list[Primitive] = []
    for words, what, point in spans:
        drawn.append(view.level(what, (0.0, base), point, y, words, outside=1))
        y -= _ROW
    return drawn


def _top_chain(view: View, profile: Profile) -> list[Primitive]:
    """Thickness of each layer that is wide enough for its figure, above the break line."""
    drawn: list[Primitive] = []
    y = view.top + 4.5
    for kind, what in ((Kind.BATTEN, "batten thickness"), (Kind.STUD, "stud depth")):
        for _, polygon in profile.of_kind(kind):
            low, bottom, high, top = polygon.bounds
            if bottom < view.high - 1 < top:
                drawn.append(view.level(what, (low, view.high), (high, view.high), y))
                break
    return drawn


def _base(view: View, profile: Profile) -> list[Primitive]:
    """A dashed line where the base's face may be: it is not part of the model."""
    frame = [polygon for part, polygon in profile.cuts if part.kind in (Kind.STUD, Kind.SOLE_PLATE)]
    if not frame:
        return []
    face = max(polygon.bounds[2] for polygon in frame)
    low = min(polygon.bounds[1] for polygon in frame)
    return [Line(layer=Layer.HIDDEN, start=view.paper((face, low)), end=view.paper((face, view.low)))]


def _labels(view: View, profile: Profile) -> list[Label]:
    kinds = (Kind.STUD, Kind.SHEATHING, Kind.MEMBRANE, Kind.BATTEN)
    labels = list(layer_labels(view, profile, kinds))
    second = profile.boards[min(1, len(profile.boards) - 1)]
    polygon = next(p for part, p in profile.cuts if part.mark == second.mark)
    y = second.back_foot[1] + 0.62 * (second.back_top[1] - second.back_foot[1])
    target = at_height(view, polygon, y)
    if target is not None:
        butts = f"{figure(second.butt)} to {figure(second.thin_edge)} thick"
        labels.append(Label(target=target, lines=(f"Board {figure(second.width)}", butts)))
    for kind, name in ((Kind.STARTER, "Starter"), (Kind.VENT_STRIP, "Vent strip")):
        for part, piece in profile.of_kind(kind):
            point = inside(view, piece)
            if point is not None:
                words = "air in, insects out" if kind is Kind.VENT_STRIP else "props course 1"
                labels.append(Label(target=point, lines=(f"{name} {size(part, profile.cuts)}", words)))
                break
    frame = [p for part, p in profile.cuts if part.kind in (Kind.STUD, Kind.SOLE_PLATE)]
    if frame:
        low = min(p.bounds[1] for p in frame)
        face = max(p.bounds[2] for p in frame)
        labels.append(Label(target=view.paper((face, (low + view.low) / 2)), lines=("Base", "not modelled")))
    return labels
