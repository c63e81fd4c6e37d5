"""What a wall's survey wants the carpenter to know, in words."""

from __future__ import annotations

import numpy as np

from cladmodel.settingout.battens import Column
from cladmodel.settingout.plan import Side

# A post is straight: a wall's middle further than this off the line from foot to head shows as an
# uneven gap at the post. [mm] common practice, no source
STRAIGHT = 5.0
THINNEST = 0.5  # packing thinner than this would be told as 0 [mm]


def survey_notes(side: Side) -> tuple[str, ...]:
    """What a wall's measured lengths want the carpenter to know.

    Parameters
    ----------
    side : Side
    """
    length = side.length
    off = length.middle - (length.foot + length.head) / 2
    notes = []
    if length.head != length.foot:
        notes.append(
            f"{side.name}: {abs(length.head - length.foot):g} mm "
            f"{'longer' if length.head > length.foot else 'shorter'} at the head than at the foot; "
            "the right-hand post leans with it and each course is cut to its own length."
        )
    if abs(off) > STRAIGHT:
        notes.append(
            f"{side.name}: the middle is {off:+g} mm off the straight line from foot to head; "
            f"over {STRAIGHT:g} mm shows. Pack or plane behind the post's batten before fixing the post."
        )
    return tuple(notes)


def packing_notes(side: Side, columns: tuple[Column, ...]) -> tuple[str, ...]:
    """Packing behind each batten of a frame that is not in one plane, read off the survey.

    Parameters
    ----------
    side : Side
    columns : tuple of Column
    """
    if not side.out_of_plane:
        return ()
    points = sorted(side.out_of_plane)
    along, behind = zip(*points, strict=True)
    packing = [(c.centre, float(np.interp(c.centre, along, behind))) for c in columns]
    text = ", ".join(f"{x:.0f}: {thick:.0f}" for x, thick in packing if thick >= THINNEST)
    return (f"{side.name}: pack behind the battens (place along the wall: packing) {text}.",) if text else ()
