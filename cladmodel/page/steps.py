"""The order in which the wall goes up, one step at a time, for people to walk through."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cladmodel.model import Fixings, Ints, Kind, Model, Part, Use

# A step before or after the courses, and what goes up in it. The vent strip comes before the battens
# that stand on it; a corner post goes up together with its battens.
BEFORE: tuple[tuple[str, frozenset[Kind]], ...] = (
    (
        "Stud frame",
        frozenset({Kind.STUD, Kind.SOLE_PLATE, Kind.HEAD_PLATE, Kind.SILL_PLATE, Kind.LINTEL}),
    ),
    ("Sheathing", frozenset({Kind.SHEATHING})),
    ("Breather membrane", frozenset({Kind.MEMBRANE})),
    ("Vent strip", frozenset({Kind.VENT_STRIP})),
    ("Battens", frozenset({Kind.BATTEN})),
    ("Corner posts, each with its battens", frozenset({Kind.POST})),
    ("Trims round openings", frozenset({Kind.SIDE_TRIM, Kind.HEAD_TRIM, Kind.FLASHING, Kind.SILL})),
    ("Starter", frozenset({Kind.STARTER})),
)
AFTER = ("Cover fillet", frozenset({Kind.FILLET}))

_POSTS = next(i for i, (_, kinds) in enumerate(BEFORE) if Kind.POST in kinds)
_STEP_OF_KIND = {kind: i for i, (_, kinds) in enumerate(BEFORE) for kind in kinds}
_FIRST_COURSE = len(BEFORE)

_KIND_OF_USE = {Use.BATTEN: Kind.BATTEN, Use.POST: Kind.POST, Use.TRIM: Kind.SIDE_TRIM}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Steps:
    """The walk through the building-up order.

    Attributes
    ----------
    titles : tuple of str
    parts : (parts,) int
        Step in which each part of the model goes up.
    fixings : tuple of (n,) int
        The same for every single nail and screw, group by group.
    courses : tuple of int
        Course that each step lays; 0 where it lays none.
    """

    titles: tuple[str, ...]
    parts: Ints
    fixings: tuple[Ints, ...]
    courses: tuple[int, ...]


def steps_of(model: Model) -> Steps:
    """Put every part and fixing in its step; steps in which nothing goes up are left out.

    Parameters
    ----------
    model : Model
    """
    courses = max((p.course or 0 for p in model.parts), default=0)
    last = _FIRST_COURSE + courses
    parts = np.array([_step(part, last) for part in model.parts], np.int64)
    fixings = [_fixing_steps(model, group, last) for group in model.fixings]
    used = np.unique(np.concatenate([parts, *fixings]))
    titles = [
        *(title for title, _ in BEFORE),
        *(f"Course {number}" for number in range(1, courses + 1)),
        AFTER[0],
    ]
    return Steps(
        titles=tuple(titles[i] for i in used),
        parts=np.searchsorted(used, parts),
        fixings=tuple(np.searchsorted(used, one) for one in fixings),
        courses=tuple(int(i - _FIRST_COURSE + 1) if _FIRST_COURSE <= i < last else 0 for i in used),
    )


def _step(part: Part, last: int) -> int:
    if part.kind in AFTER[1]:
        return last
    if part.assembly is not None:
        return _POSTS
    if part.course is not None:
        return _FIRST_COURSE + part.course - 1
    if part.kind is Kind.PACKER:  # of no course: those that carry the cover fillet
        return last
    return _STEP_OF_KIND[part.kind]


def _fixing_steps(model: Model, group: Fixings, last: int) -> Ints:
    if group.use is Use.BOARD:
        # A board is nailed above its own butt line and below the next one.
        rod = model.wall_by_name[group.wall].rod
        course = np.searchsorted(rod, group.heads[:, 1], side="right")
        return _FIRST_COURSE + np.clip(course, 1, last - _FIRST_COURSE) - 1
    kind = _KIND_OF_USE.get(group.use)
    return np.full(len(group.heads), last if kind is None else _STEP_OF_KIND[kind], np.int64)
