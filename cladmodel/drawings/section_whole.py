"""The whole section from ground to soffit, with heights and where each detail is."""

from __future__ import annotations

from collections.abc import Sequence

from cladmodel.drawings.layout import Room, heading
from cladmodel.drawings.lettering import text_width
from cladmodel.drawings.primitives import SMALLEST_LETTERS, Across, Layer, Polyline, Primitive, Text
from cladmodel.drawings.section_parts import Detail, Margins, fitted
from cladmodel.drawings.view import View, ground, pieces, soffit
from cladmodel.schedules.profile import Profile

_MARGINS = Margins(left=18.0, bottom=4.0, right=8.0, top=3.0)
_BELOW = 30.0
"""Shown below ground and above the soffit. [mm]"""


def whole(profile: Profile, room: Room, details: Sequence[Detail]) -> list[Primitive]:
    """Draw the whole section.

    Parameters
    ----------
    profile : Profile
    room : Room
    details : sequence of Detail
        Framed and lettered.
    """
    wall = profile.wall
    outer = max(polygon.bounds[2] for _, polygon in profile.cuts) + 12
    inner = min(polygon.bounds[0] for _, polygon in profile.cuts) - 20
    view = fitted(room, _MARGINS, inner, profile.ground - _BELOW, outer, profile.head + _BELOW)
    drawn: list[Primitive] = [*heading(room, "", "Section", view.scale)]
    drawn += ground(view, profile.ground, -wall.depth_to_frame)
    drawn += soffit(view, profile.head, inner, outer)
    drawn += pieces(view, profile.cuts, hatched=False)

    nose = max(board.face_foot[0] for board in profile.boards)
    lowest = min(profile.boards, key=lambda board: board.back_foot[1])
    pitch = min((lap.gauge for lap in profile.laps), default=0.0) / view.scale
    every = 1 if pitch >= SMALLEST_LETTERS * 1.3 else 2 if pitch >= SMALLEST_LETTERS * 0.7 else 5
    edge = view.paper((nose, 0.0))[0] - 1.0
    for board in profile.boards:
        if (board.course - 1) % every == 0:
            y = view.paper(board.back_foot)[1]
            drawn.append(Text(at=(edge, y), text=f"{board.course}", across=Across.RIGHT))
    beyond = edge - text_width(f"{profile.boards[-1].course}", SMALLEST_LETTERS)
    drawn.append(
        view.vertical(
            "foot to soffit", lowest.back_foot, (nose, profile.head), beyond - 4.0, "foot to soffit"
        )
    )
    ground_at = (nose, profile.ground)
    drawn.append(view.vertical("ground clearance", ground_at, lowest.back_foot, beyond - 4.0, spill=-1))
    for detail in details:
        drawn += _marker(view, detail)
    return drawn


def _marker(view: View, detail: Detail) -> list[Primitive]:
    window = detail.view
    x0, y0 = view.paper((window.outer, window.low))
    x1, y1 = view.paper((window.inner, window.high))
    ring = ((x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0))
    return [
        Polyline(layer=Layer.NOTE, points=ring),
        Text(layer=Layer.NOTE, at=(x1 + 1.2, (y0 + y1) / 2 - 1.6), text=detail.letter, height=3.2, bold=True),
    ]
