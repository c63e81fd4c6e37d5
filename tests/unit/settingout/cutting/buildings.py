"""Generated jobs: buildings of four walls, two of them gables, with openings, and plain walls."""

from __future__ import annotations

import math
import random
from collections.abc import Sequence

from cladmodel.settingout.cutting.inputs import Course, Job, Rules, Segment, Stock, Wall

# Left, right, sill, head of an opening. [mm]
Opening = tuple[int, int, int, int]


def battens(width: int, centres: int, openings: Sequence[Opening]) -> tuple[int, ...]:
    """At centres, and 25 clear of every opening."""
    beside = {x for left, right, _, _ in openings for x in (left - 25, right + 25)}
    return tuple(sorted(x for x in {*range(centres, width, centres), *beside} if 0 < x < width))


def clad_wall(
    name: str,
    width: int,
    courses: int,
    gauge: int,
    centres: int,
    openings: Sequence[Opening] = (),
    gable: float | None = None,
    joint_price: int | None = None,
) -> Wall:
    """A wall with openings; with ``gable``, the rise of its rakes, it goes on above the eaves to an apex."""
    columns = battens(width, centres, openings)
    made = []
    for c in range(courses):
        made.append(_course(c, 0, width, gauge, openings, columns, 0))
    c = courses
    while gable is not None:
        inset = round((c - courses) * gauge / gable)
        if width - 2 * inset < 300:
            break
        rake = round((gauge + 25) / gable)
        made.append(_course(c, inset, width - inset, gauge, openings, columns, rake))
        c += 1
    return Wall(name=name, courses=tuple(made), joint_price=joint_price)


def _course(
    c: int,
    left: int,
    right: int,
    gauge: int,
    openings: Sequence[Opening],
    columns: tuple[int, ...],
    rake: int,
) -> Course:
    spans = [(left, right)]
    for start, end, sill, head in openings:
        if min(head, (c + 1) * gauge) - max(sill, c * gauge) <= 20:
            continue
        parts = []
        for p, q in spans:
            if end <= p or start >= q:
                parts.append((p, q))
                continue
            parts += [(p, start)] if start > p else []
            parts += [(end, q)] if end < q else []
        spans = parts
    segments = tuple(
        Segment(
            left=p,
            right=q,
            columns=columns,
            rake_left=rake if p == left else 0,
            rake_right=rake if q == right else 0,
        )
        for p, q in spans
        if q - p >= 40
    )
    return Course(number=c + 1, segments=segments)


def plain(width: int = 5200, courses: int = 18, centres: int = 600, joint_price: int | None = None) -> Job:
    """One wall without openings."""
    return Job(walls=(clad_wall("North", width, courses, 125, centres, joint_price=joint_price),))


def building(seed: int, stocks: Sequence[Stock] = (Stock(length=4800),), rules: Rules | None = None) -> Job:
    """Four walls, two gables, six openings, out of a seed."""
    draw = random.Random(seed)
    long, deep = draw.randrange(6000, 10801, 50), draw.randrange(3600, 6001, 50)
    gauge, courses = draw.choice([125, 130, 140]), draw.choice([16, 17, 18, 19, 20])
    centres = draw.choice([600, 600, 400])
    rise = math.tan(math.radians(draw.choice([30, 35, 40, 45])))

    def openings(width: int, count: int) -> list[Opening]:
        made: list[Opening] = []
        for at in range(count):
            low, high = width * at // count + 500, width * (at + 1) // count - 500
            size = min(draw.choice([630, 915, 1200, 1770]), high - low)
            x = draw.randrange(low, max(low + 1, high - size))
            if draw.random() < 0.35:
                made.append((x, x + min(size, 1000), 0, 2040))
            else:
                sill = draw.choice([900, 1050])
                made.append((x, x + size, sill, sill + draw.choice([900, 1050])))
        return made

    sides = [
        ("Front", long, 2, None),
        ("Back", long, 2, None),
        ("Left", deep, 1, rise),
        ("Right", deep, 1, rise),
    ]
    walls = tuple(
        clad_wall(f"{name} {seed}", width, courses, gauge, centres, openings(width, count), gable)
        for name, width, count, gable in sides
    )
    return Job(walls=walls, rules=rules or Rules(), stocks=tuple(stocks))
