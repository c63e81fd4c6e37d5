"""The rod: every butt line, read off the boards."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from cladmodel.model import Kind, Model, Wall


@dataclass(frozen=True, slots=True, kw_only=True)
class RodMark:
    """One butt line.

    Attributes
    ----------
    course : int
        1 at the foot.
    from_foot : float
        Butt line above the foot line. [mm]
    from_head : float
        Butt line below the soffit. [mm]
    gauge : float or None
        Up to the next butt line; None for the top course. [mm]
    spread : float
        Highest butt of the course less its lowest; above 0 the course is not level. [mm]
    """

    course: int
    from_foot: float
    from_head: float
    gauge: float | None
    spread: float


def rod(model: Model, wall: Wall) -> tuple[RodMark, ...]:
    """Read the butt lines off the boards, from the foot up.

    The butt line of a course is its boards' lowest arris. A board whose whole butt is cut away over an
    opening does not count as long as another board of its course keeps its butt.

    Parameters
    ----------
    model : Model
    wall : Wall
    """
    butts: dict[int, list[float]] = {}
    for part in model.of_kind(Kind.BOARD, wall=wall.name):
        butts.setdefault(part.course or 0, []).append(float(part.vertices[:, 1].min()))
    courses = sorted(butts)
    lines = [min(butts[course]) for course in courses]
    return tuple(
        RodMark(
            course=course,
            from_foot=line,
            from_head=wall.head - line,
            gauge=lines[n + 1] - line if n + 1 < len(lines) else None,
            spread=spread(butts[course], line),
        )
        for n, (course, line) in enumerate(zip(courses, lines, strict=True))
    )


CUT_AWAY = 5.0
"""A butt this much above its course's line was cut away over an opening, not laid out of level.
Common practice, no source: no one lays a course 5 mm out. [mm]"""


def spread(butts: Iterable[float], line: float) -> float:
    """Highest butt of a course less its line, without those that were cut away over an opening. [mm]

    Parameters
    ----------
    butts : iterable of float
        At least one of them on the line. [mm]
    line : float
        [mm]
    """
    return max(butt - line for butt in butts if butt - line < CUT_AWAY)
