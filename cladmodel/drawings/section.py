"""The vertical section sheet: the whole wall, its foot and head, one lap enlarged, an opening if any."""

from __future__ import annotations

from dataclasses import dataclass

from cladmodel.drawings import section_opening
from cladmodel.drawings.layout import DRAWING, Room, surround
from cladmodel.drawings.primitives import A3, Primitive, Sheet
from cladmodel.drawings.section_foot import foot
from cladmodel.drawings.section_head import head
from cladmodel.drawings.section_lap import lap
from cladmodel.drawings.section_parts import Detail
from cladmodel.drawings.section_table import course_table
from cladmodel.drawings.section_whole import whole
from cladmodel.model import Model, Opening, Wall
from cladmodel.schedules.cut_lines import opening_cut, plain_cut
from cladmodel.schedules.profile import profile

# Columns of the sheet. [mm on paper]
_BETWEEN = 5.0
_WHOLE = 47.0
_FOOT = 138.0
_FOOT_SHARE = 0.64  # of the column's height; the head has the rest
_LAP_SHARE = 0.61  # of the column's height; the opening, or the table of courses, has the rest


def section_sheet(model: Model, wall: str, *, x: float | None = None) -> Sheet:
    """Draw the vertical section of one wall on A3; every dimension is read off the cut solids.

    Parameters
    ----------
    model : Model
    wall : str
        Its name.
    x : float, optional
        Where to cut; by default on a full-height batten and a stud, clear of joints and openings. [mm]
    """
    stands = model.wall_by_name[wall]
    at = plain_cut(model, stands) if x is None else x
    cut = profile(model, stands, at)
    opening = _chosen(stands)
    rooms = _rooms()
    drawn: list[Primitive] = []
    where = f"cut at {at:.0f} from the left corner"
    details: list[Detail] = []
    if cut.boards:
        enlarged = lap(cut, rooms.lap, "A")
        if enlarged is not None:
            details.append(enlarged)
        details += [foot(cut, rooms.foot, "B"), head(cut, rooms.head, "C")]
        drawn += whole(cut, rooms.whole, details)
    if opening is not None:
        through_x = opening_cut(model, stands, opening)
        through = profile(model, stands, through_x)
        where += f"; {opening.name} at {through_x:.0f}"
        if through.boards:
            details.append(section_opening.head(through, opening, rooms.left_below, "D"))
            if not opening.door:
                details.append(section_opening.sill(through, opening, rooms.right_below, "E"))
    if opening is None and cut.boards:
        drawn += course_table(
            cut,
            Room(
                left=rooms.left_below.left,
                bottom=rooms.left_below.bottom,
                right=rooms.right_below.right,
                top=rooms.left_below.top,
            ),
        )
    elif opening is not None and opening.door:
        drawn += course_table(cut, rooms.right_below)
    drawn += [primitive for detail in details for primitive in detail.primitives]
    name = f"Wall {wall}: vertical section at a batten"
    bar = next((detail.view.scale for detail in details if detail.letter == "B"), 4.0)
    facts = (where[0].upper() + where[1:], "Millimetres, read off the model's solids; print on A3")
    surrounding = list(surround(model.title, name, facts, bar))
    return Sheet(
        title=f"{model.title}, wall {wall}, section",
        width=A3[0],
        height=A3[1],
        primitives=(*drawn, *surrounding),
    )


def _chosen(wall: Wall) -> Opening | None:
    """The first window, or else the first door."""
    return min(wall.openings, key=lambda opening: opening.door, default=None)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rooms:
    """Where each view goes."""

    whole: Room
    foot: Room
    head: Room
    lap: Room
    left_below: Room
    right_below: Room


def _rooms() -> _Rooms:
    d = DRAWING
    foot_left = d.left + _WHOLE + _BETWEEN
    foot_right = foot_left + _FOOT
    foot_top = d.bottom + d.height * _FOOT_SHARE
    beside = foot_right + _BETWEEN
    lap_bottom = d.top - d.height * _LAP_SHARE
    under = lap_bottom - _BETWEEN
    middle = (beside + d.right) / 2
    return _Rooms(
        whole=Room(left=d.left, bottom=d.bottom, right=d.left + _WHOLE, top=d.top),
        foot=Room(left=foot_left, bottom=d.bottom, right=foot_right, top=foot_top),
        head=Room(left=foot_left, bottom=foot_top + _BETWEEN, right=foot_right, top=d.top),
        lap=Room(left=beside, bottom=lap_bottom, right=d.right, top=d.top),
        left_below=Room(left=beside, bottom=d.bottom, right=middle - _BETWEEN / 2, top=under),
        right_below=Room(left=middle + _BETWEEN / 2, bottom=d.bottom, right=d.right, top=under),
    )
