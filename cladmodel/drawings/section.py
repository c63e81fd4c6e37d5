"""The vertical section sheet: the whole wall, its foot, head, one lap enlarged, and an opening if there is one."""

from __future__ import annotations

from cladmodel.drawings import section_opening
from cladmodel.drawings.layout import DRAWING, Room, surround
from cladmodel.drawings.primitives import A3, Primitive, Sheet
from cladmodel.drawings.section_foot import foot
from cladmodel.drawings.section_head import head
from cladmodel.drawings.section_lap import lap
from cladmodel.drawings.section_parts import Detail
from cladmodel.drawings.section_whole import whole
from cladmodel.model import Model, Opening, Wall
from cladmodel.schedules.cut_lines import opening_cut, plain_cut
from cladmodel.schedules.profile import profile

# Columns of the sheet. [mm on paper]
_BETWEEN = 5.0
_WHOLE = 50.0
_FOOT = 126.0
_OPENING = 88.0
_FOOT_SHARE = 0.62  # of the column's height; the head has the rest


def section_sheet(model: Model, wall: Wall, *, x: float | None = None) -> Sheet:
    """Draw the vertical section of one wall on A3; every dimension is read off the cut solids.

    Parameters
    ----------
    model : Model
    wall : Wall
    x : float, optional
        Where to cut; by default on a full-height batten and a stud, clear of joints and openings. [mm]
    """
    at = plain_cut(model, wall) if x is None else x
    cut = profile(model, wall, at)
    opening = _chosen(wall)
    whole_room, foot_room, head_room, opening_rooms, lap_room = _rooms(opening is not None)
    drawn: list[Primitive] = []
    where = f"cut at {at:.0f} from the left corner"
    details: list[Detail] = []
    if cut.boards:
        enlarged = lap(cut, lap_room, "A")
        if enlarged is not None:
            details.append(enlarged)
        details += [foot(cut, foot_room, "B"), head(cut, head_room, "C")]
        drawn += whole(cut, whole_room, details)
    if opening is not None:
        through_x = opening_cut(model, wall, opening)
        through = profile(model, wall, through_x)
        where += f"; {opening.name} at {through_x:.0f}"
        if through.boards:
            details.append(section_opening.head(through, opening, opening_rooms[0], "D"))
            if not opening.door:
                details.append(section_opening.sill(through, opening, opening_rooms[1], "E"))
    drawn += [primitive for detail in details for primitive in detail.primitives]
    name = f"Wall {wall.name}: vertical section at a batten"
    bar = next((detail.view.scale for detail in details if detail.letter == "B"), 4.0)
    facts = (where[0].upper() + where[1:], "Millimetres, read off the model's solids; print on A3")
    surrounding = list(surround(model.title, name, facts, bar))
    return Sheet(title=f"{model.title}, wall {wall.name}, section", width=A3[0], height=A3[1],
                 primitives=(*drawn, *surrounding))  # fmt: skip


def _chosen(wall: Wall) -> Opening | None:
    """The first window, or else the first door."""
    return min(wall.openings, key=lambda opening: opening.door, default=None)


def _rooms(with_opening: bool) -> tuple[Room, Room, Room, tuple[Room, Room], Room]:
    """Rooms for the whole section, foot, head, opening (head over sill) and lap."""
    d = DRAWING
    left = d.left + _WHOLE + _BETWEEN
    right = left + _FOOT
    split = d.bottom + d.height * _FOOT_SHARE
    whole_room = Room(left=d.left, bottom=d.bottom, right=d.left + _WHOLE, top=d.top)
    foot_room = Room(left=left, bottom=d.bottom, right=right, top=split)
    head_room = Room(left=left, bottom=split + _BETWEEN, right=right, top=d.top)
    beside = right + _BETWEEN + (_OPENING + _BETWEEN if with_opening else 0.0)
    middle = (d.bottom + d.top) / 2
    upper = Room(left=right + _BETWEEN, bottom=middle + _BETWEEN / 2, right=right + _BETWEEN + _OPENING, top=d.top)
    under = Room(left=upper.left, bottom=d.bottom, right=upper.right, top=middle - _BETWEEN / 2)
    lap_room = Room(left=beside, bottom=d.bottom, right=d.right, top=d.top)
    return whole_room, foot_room, head_room, (upper, under), lap_room
