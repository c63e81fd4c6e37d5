"""The lap, enlarged: two boards, the nail, and every measure that makes them fit."""

from __future__ import annotations

import math

from cladmodel.drawings.layout import Label, Room, heading, label_stack, outline
from cladmodel.drawings.primitives import Layer, Primitive
from cladmodel.drawings.section_parts import Detail, Margins, fitted, layer_labels
from cladmodel.drawings.view import View, figure, nails, pieces
from cladmodel.model import Kind
from cladmodel.schedules.profile import LapCut, NailCut, Profile

_MARGINS = Margins(left=33.0, bottom=4.0, right=50.0, top=2.0)
_BELOW = 44.0
"""Shown below the upper butt. [mm]"""
_ABOVE = 46.0
"""Shown above the lower board's top. [mm]"""
_FIRST = 9.4
"""From the view's edge to the lap's dimension line, which stands off the plumb lap's. [mm on paper]"""
_CHAIN = 5.3
"""Between two dimension lines that carry figures. [mm on paper]"""
_BEHIND = 12.0
"""Shown of the stud. [mm]"""


def middle_lap(profile: Profile) -> LapCut | None:
    """Choose the lap that is drawn: the one nearest the middle whose upper board is nailed at this batten.

    Parameters
    ----------
    profile : Profile
    """
    middle = len(profile.laps) // 2
    nailed = {nail.board.mark for nail in profile.nails}
    order = sorted(
        range(len(profile.laps)), key=lambda n: (profile.laps[n].upper.mark not in nailed, abs(n - middle))
    )
    return profile.laps[order[0]] if order else None


def lap(profile: Profile, room: Room, letter: str) -> Detail | None:
    """Draw one lap as large as the room allows; None if the cut shows no lap.

    Parameters
    ----------
    profile : Profile
    room : Room
    letter : str
    """
    pair = middle_lap(profile)
    if pair is None:
        return None
    lower, upper = pair.lower, pair.upper
    foot = upper.back_foot[1]
    view = fitted(
        room,
        _MARGINS,
        -profile.wall.depth_to_frame - _BEHIND,
        foot - _BELOW,
        upper.face_foot[0] + 6,
        max(lower.face_top[1], foot) + _ABOVE,
    )
    drawn: list[Primitive] = [*heading(room, letter, "Lap", view.scale)]
    drawn += pieces(view, profile.cuts)
    drawn += nails(view, profile.nails)
    edge = Room(left=view.left, bottom=view.bottom, right=view.right, top=view.top)
    drawn.append(outline(edge, Layer.CUT))

    across = (upper.up[1], -upper.up[0])
    nose = (upper.face_foot[0] - upper.back_foot[0]) / view.scale + 6 / view.scale
    drawn.append(view.slanting("butt", upper.back_foot, upper.face_foot, across, 9.0, "butt"))
    drawn.append(
        view.slanting(
            "thin edge",
            lower.back_top,
            lower.face_top,
            (lower.up[1], -lower.up[0]),
            -4.5,
            "thin edge",
            outside=-1,
            plate=True,
        )
    )
    lean = max(0.0, pair.lap * math.sin(upper.tilt)) / view.scale
    off, line = nose + _FIRST + lean, view.left - 4.0
    # Figures that do not fit go below, where nothing else is.
    drawn.append(view.slanting("lap", upper.back_foot, lower.back_top, lower.up, off, "lap", spill=-1))
    drawn.append(view.vertical("plumb lap", upper.back_foot, lower.face_top, line, "plumb lap", spill=-1))
    low = view.bottom + 9.0
    kick = (upper.back_foot[0], upper.back_foot[1])
    drawn.append(view.level("kick-out", (0.0, foot), kick, low, "kick-out", outside=-1, plate=True))
    behind = [polygon.bounds for _, polygon in profile.of_kind(Kind.MEMBRANE)]
    if behind:
        face = max(bounds[2] for bounds in behind)
        y = view.top - 6.0
        level = foot + _ABOVE
        drawn.append(
            view.level("cavity", (min(lower.back_top[0], 0.0), level), (face, level), y, "cavity", plate=True)
        )
    radius = min(62.0 / view.scale, view.top - view.paper(upper.back_foot)[1] - 8.0)
    drawn.append(view.tilt(upper.back_foot, upper.tilt, radius, plate=True))
    nail = next((n for n in profile.nails if n.board.mark == upper.mark), None)
    if nail is not None:
        drawn += _nail(view, pair, nail)
    drawn += label_stack(
        _labels(view, profile, pair, nail),
        Room(left=view.right + 6.0, bottom=view.bottom, right=room.right, top=view.top),
    )
    return Detail(letter=letter, view=view, primitives=tuple(drawn))


def _nail(view: View, pair: LapCut, nail: NailCut) -> list[Primitive]:
    """Where the nail goes in, how far from the board below, how deep in the batten."""
    upper, lower = pair.upper, pair.lower
    up = (upper.face_top[0] - upper.face_foot[0], upper.face_top[1] - upper.face_foot[1])
    length = math.hypot(*up)
    along = (up[0] / length, up[1] / length)
    # Clear of the lap's dimension line at its foot and, leaning more than it, at its top.
    at_foot, at_top = pair.lap * math.sin(upper.tilt), pair.lap * -along[0]
    off = 6 / view.scale + _FIRST + _CHAIN + max(0.0, at_foot, at_top) / view.scale
    drawn: list[Primitive] = [
        view.slanting("nail up the face", upper.face_foot, nail.head, along, off, "nail up", spill=-1)
    ]
    if nail.head[1] > lower.face_top[1]:
        drawn.append(view.vertical("nail above board below", lower.face_top, nail.head, view.left - 4.0))
    if nail.penetration > 0:
        y = view.paper(nail.point)[1] + (4.0 if nail.head[1] > lower.back_top[1] else -6.0)
        front = (nail.point[0] + nail.penetration, nail.point[1])
        drawn.append(view.level("nail penetration", front, nail.point, y, plate=True))
    return drawn


def _labels(view: View, profile: Profile, pair: LapCut, nail: NailCut | None) -> list[Label]:
    upper, lower = pair.upper, pair.lower
    labels = []
    if nail is not None:
        clear = "no board below"
        if nail.above_board_below is not None:
            through = nail.above_board_below < nail.diameter / 2
            clear = "goes through two boards" if through else f"{figure(nail.above_board_below)} above board"
        z, y = nail.head
        size = f"Nail {nail.diameter:g} x {figure(math.dist(nail.head, nail.point))}"
        labels.append(
            Label(
                target=view.paper((z - 12.0, y)), lines=(size, clear, f"{figure(nail.penetration)} in batten")
            )
        )
    gap = (lower.face_top[0] + pair.gap / 2, lower.face_top[1])
    labels.append(Label(target=view.paper(gap), lines=(f"Gap {figure(pair.gap)}", "opens upward")))
    labels.append(Label(target=view.paper(upper.back_foot), lines=("Boards touch", "on this line")))
    labels.append(Label(target=view.paper(lower.back_top), lines=("Top arris", "on the batten")))
    labels += layer_labels(view, profile, (Kind.SHEATHING, Kind.MEMBRANE, Kind.BATTEN), start=0.68)
    return labels
