"""Details at 1:2: foot and soffit of every different wall, head and sill of every different opening."""

from __future__ import annotations

from dataclasses import dataclass

from cladmodel.drawings import section_opening
from cladmodel.drawings.layout import DRAWING, Room, surround
from cladmodel.drawings.primitives import A3, Primitive, Sheet
from cladmodel.drawings.section_foot import foot
from cladmodel.drawings.section_head import head
from cladmodel.drawings.section_parts import Detail
from cladmodel.model import Model, Opening, Wall
from cladmodel.schedules.cut_lines import opening_cut, plain_cut
from cladmodel.schedules.profile import profile

SCALE = 2.0
"""What the details are drawn to. [-]"""

_BETWEEN = 6.0
"""Between the two views of a sheet. [mm on paper]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pair:
    """Two views of one sheet, and what they are of."""

    name: str
    where: str
    left: Detail
    right: Detail | None

    @property
    def key(self) -> tuple[tuple[str, float], ...]:
        """Every dimension to a tenth of a millimetre: alike in all is drawn once."""
        both = [*self.left.primitives, *(self.right.primitives if self.right is not None else ())]
        dimensions = Sheet(title="", width=0.0, height=0.0, primitives=tuple(both)).dimensions
        return tuple((d.what, round(d.value, 1)) for d in dimensions)


def detail_sheets(model: Model) -> tuple[Sheet, ...]:
    """Draw the details of a job, each different one once, on A3.

    Parameters
    ----------
    model : Model
    """
    ends = [pair for wall in model.walls if (pair := _ends(model, wall)) is not None]
    openings = [
        pair
        for wall in model.walls
        for opening in wall.openings
        if (pair := _opening(model, wall, opening)) is not None
    ]
    return (
        *_sheets(model, ends, "Foot and soffit"),
        *_sheets(model, openings, "Head and sill"),
    )


def _rooms() -> tuple[Room, Room]:
    d = DRAWING
    middle = (d.left + d.right) / 2
    left = Room(left=d.left, bottom=d.bottom, right=middle - _BETWEEN / 2, top=d.top)
    return left, Room(left=middle + _BETWEEN / 2, bottom=d.bottom, right=d.right, top=d.top)


def _ends(model: Model, wall: Wall) -> _Pair | None:
    at = plain_cut(model, wall)
    cut = profile(model, wall, at)
    if not cut.boards:
        return None
    left, right = _rooms()
    return _Pair(
        name=wall.name,
        where=f"Cut at {at:.0f} from the left corner of wall {wall.name}",
        left=foot(cut, left, "", SCALE, SCALE),
        right=head(cut, right, "", SCALE),
    )


def _opening(model: Model, wall: Wall, opening: Opening) -> _Pair | None:
    at = opening_cut(model, wall, opening)
    cut = profile(model, wall, at)
    above = any(board.back_foot[1] > opening.head - 1.0 for board in cut.boards)
    below = any(board.back_foot[1] < opening.sill for board in cut.boards)
    if not above or not (below or opening.door):
        return None
    left, right = _rooms()
    return _Pair(
        name=opening.name,
        where=f"Cut at {at:.0f} from the left corner of wall {wall.name}",
        left=section_opening.head(cut, opening, left, "", SCALE),
        right=None if opening.door else section_opening.sill(cut, opening, right, "", SCALE),
    )


def _sheets(model: Model, pairs: list[_Pair], title: str) -> list[Sheet]:
    groups: dict[tuple[tuple[str, float], ...], list[_Pair]] = {}
    for pair in pairs:
        groups.setdefault(pair.key, []).append(pair)
    sheets = []
    for alike in groups.values():
        first = alike[0]
        drawn: list[Primitive] = [*first.left.primitives]
        if first.right is not None:
            drawn += first.right.primitives
        facts = [first.where]
        if len(alike) > 1:
            facts.append("Alike: " + ", ".join(pair.name for pair in alike[1:]))
        name = f"{title}, {first.name}"
        drawn += surround(model.title, name, facts, first.left.view.scale)
        sheets.append(
            Sheet(
                title=f"{model.title}, {name.lower()}",
                width=A3[0],
                height=A3[1],
                primitives=tuple(drawn),
            )
        )
    return sheets
