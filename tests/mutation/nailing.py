"""Board nails driven wrong, left out, or one too many."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np

from cladmodel.checks.unheld import AS_ONE, ROOM
from cladmodel.model import Fixings, Kind, Model, Part, Use
from cladmodel.solids.measure import extent_at, gather
from cladmodel.solids.rays import crossings
from cladmodel.solids.sections import section_polygons

from .breaking import Broken, Draw, NoPlace, box, breaks, carved, heads_moved, one_alone
from .measured import Board, above, beneath
from .sound import Sound

FAR = 1e5


def a_nail(sound: Sound, rng: random.Random) -> tuple[Fixings, int, Board, Part]:
    """A nail with the board and the batten it is in, found by following its line."""
    groups = sound.model.fixings_for(Use.BOARD)
    group = rng.choice(groups)
    index = rng.randrange(len(group.heads))
    return (
        group,
        index,
        Board(_in(sound.model, group, index, Kind.BOARD)),
        _in(sound.model, group, index, Kind.BATTEN),
    )


def _in(model: Model, group: Fixings, index: int, kind: Kind) -> Part:
    head = group.heads[index]
    near = [
        p
        for p in model.of_kind(kind, wall=group.wall)
        if p.vertices[:, 0].min() < head[0] < p.vertices[:, 0].max()
        and p.vertices[:, 1].min() < head[1] < p.vertices[:, 1].max()
    ]
    found = crossings(
        gather(near), group.heads[[index]], group.directions[[index]], -5.0, group.fastener.length
    )
    deep = [
        (float(b - a), near[int(i)]) for i, a, b in zip(found.part, found.enter, found.leave, strict=True)
    ]
    if not deep:
        raise NoPlace
    return max(deep, key=lambda pair: pair[0])[1]


def place(group: Fixings, index: int) -> tuple[float, float]:
    return float(group.heads[index][0]), float(group.heads[index][1])


def _top_below(sound: Sound, group: Fixings, index: int, board: Board) -> float:
    """Highest point of the boards below, under a nail."""
    x = float(group.heads[index][0])
    under = [lower.part for lower in beneath(sound.model, board)]
    tops = [polygon.bounds[3] for _, polygon in section_polygons(under, x=x)]
    if not tops:
        raise NoPlace
    return float(max(tops))


@breaks("nails", "clearance", says="above the top of the board below", also="also through")
def nailed_too_low(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    group, index, board, _ = a_nail(sound, rng)
    top = _top_below(sound, group, index, board)
    now = float(group.heads[index][1]) - group.fastener.diameter / 2 - top
    size = draw(sound, now=now, gross=-1.3)
    return Broken(
        model=heads_moved(sound.model, group, index, (0, size - now, 0)),
        marks=frozenset({board.part.mark}),
        size=size,
        at=place(group, index),
        around=20.0,
    )


@breaks("nails", "two boards", says="also through", short=False)
def nailed_through_two(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    group, index, board, _ = a_nail(sound, rng)
    top = _top_below(sound, group, index, board)
    # From just under the top of the board below to the middle of the lap.
    down = float(group.heads[index][1]) - top + rng.uniform(0.5, 20.0)
    model = heads_moved(sound.model, group, index, (0, -down, 0))
    return Broken(
        model=model, marks=frozenset({board.part.mark}), size=2.0, at=place(group, index), around=60.0
    )


@breaks("nails", "penetration", says="into batten")
def nail_too_short(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    group, index, board, batten = a_nail(sound, rng)
    now = _depth(group, index, batten)
    size = draw(sound, now=now, gross=0.5)
    shorter = replace(group.fastener, length=group.fastener.length - (now - size))
    return Broken(
        model=one_alone(sound.model, group, index, fastener=shorter),
        marks=frozenset({board.part.mark}),
        size=size,
        within=0.01,
        at=place(group, index),
        around=1.0,
    )


def _depth(group: Fixings, index: int, batten: Part) -> float:
    return float(batten.vertices[:, 2].max() - group.points[index][2])


@breaks("nails", "penetration", says="into batten", also="misses the batten")
def batten_hollowed(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    """The batten's face is cut back where one nail is."""
    group, index, board, batten = a_nail(sound, rng)
    now = _depth(group, index, batten)
    size = draw(sound, now=now, gross=0.5)
    front = float(batten.vertices[:, 2].max())
    x, y = place(group, index)
    wide, high = rng.uniform(2, 12), rng.uniform(2, 60)
    tool = box((x - wide, y - high, front - (now - size)), (x + wide, y + high, FAR))
    return Broken(
        model=sound.model.replace_parts([carved(batten, tool)]),
        marks=frozenset({board.part.mark}),
        size=size,
        at=(x, y),
        around=1.0,
    )


def _sides(batten: Part, y: float) -> tuple[float, float]:
    """Left and right of a batten at a height: beside a leaning post it leans too."""
    span = extent_at(batten, 1, y, 0)
    assert span is not None
    return span


@breaks("nails", "edge", says="from the side of batten", also="misses the batten")
def nail_near_the_battens_side(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    group, index, board, batten = a_nail(sound, rng)
    x, y = place(group, index)
    d = group.fastener.diameter
    low, high = _sides(batten, y)
    now = min(x - low, high - x)
    size = draw(sound, now=now / d, gross=-3.0) * d
    way = rng.choice([-1, 1])
    to = high - size if way > 0 else low + size
    if not board.left + 25 < to < board.right - 25:
        raise NoPlace
    if (
        draw.over
        and size <= 0.05
        and any(
            p.vertices[:, 0].min() - 1 < to < p.vertices[:, 0].max() + 1
            for p in sound.model.of_kind(Kind.BATTEN, wall=batten.wall)
            if p is not batten
        )
    ):
        raise NoPlace  # in the batten beside it
    return Broken(
        model=heads_moved(sound.model, group, index, (to - x, 0, 0)),
        marks=frozenset({board.part.mark}),
        size=size,
        within=0.01 if size > 0.05 or not draw.over else None,
        at=(to, y),
        around=1.0,
    )


@breaks("nails", "edge", says="from the side of batten")
def batten_ripped(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    """A piece is cut out of the batten's side beside one nail."""
    group, index, board, batten = a_nail(sound, rng)
    x, y = place(group, index)
    d = group.fastener.diameter
    low, high = _sides(batten, y)
    size = draw(sound, now=min(x - low, high - x) / d, gross=0.2) * d
    tall = rng.uniform(3, 60)
    if rng.random() < 0.5:
        tool = box((x + size, y - tall, -FAR), (FAR, y + tall, FAR))
    else:
        tool = box((-FAR, y - tall, -FAR), (x - size, y + tall, FAR))
    return Broken(
        model=sound.model.replace_parts([carved(batten, tool)]),
        marks=frozenset({board.part.mark}),
        size=size,
        within=0.01,
        at=(x, y),
        around=1.0,
    )


@breaks("nails", "end", says="from the board's end", also="from the side of batten")
def board_cut_near_its_nail(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    group, index, board, _ = a_nail(sound, rng)
    x, _ = place(group, index)
    now = min(x - board.left, board.right - x)
    size = draw(sound, now=now, gross=0.5)
    return cut_beyond(sound, rng, (group, index), board, size, draw.limit(sound))


@breaks("nails", "seat", says="has a head", also=" batten")
def head_off_the_face(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    group, index, board, _ = a_nail(sound, rng)
    size = draw(sound, now=0.0, gross=rng.choice([40.0, 12.0]))
    way = rng.choice([-1.0, 1.0])
    if way > 0 and size > 12:
        raise NoPlace  # sunk right through the board
    return Broken(
        model=heads_moved(sound.model, group, index, group.directions[index] * way * size),
        marks=frozenset({board.part.mark}),
        size=size,
        at=place(group, index),
        around=1.0,
    )


@breaks("nails", "point", says="comes out")
def nail_too_long(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    group, index, board, batten = a_nail(sound, rng)
    back = float(group.points[index][2] - batten.vertices[:, 2].min())
    size = draw(sound, now=-back, gross=60.0)
    longer = replace(group.fastener, length=group.fastener.length + back + size)
    return Broken(
        model=one_alone(sound.model, group, index, fastener=longer),
        marks=frozenset({board.part.mark}),
        size=size,
        within=0.01 if size > 0 else None,
        at=place(group, index),
        around=1.0,
    )


@breaks("nails", "penetration", says="misses the batten", also="into batten", short=False)
def batten_left_short(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    """The batten behind one nail is taken away over its height."""
    group, index, board, batten = a_nail(sound, rng)
    x, y = place(group, index)
    own = [
        p
        for p in sound.model.of_kind(Kind.BATTEN, wall=batten.wall)
        if p.vertices[:, 0].min() <= x <= p.vertices[:, 0].max()
    ]
    tool = box((-FAR, y - 30, -FAR), (FAR, FAR, FAR))
    model = sound.model
    for part in own:
        if part.vertices[:, 1].min() > y - 60:
            raise NoPlace
        model = model.replace_parts([carved(part, tool)])
    return Broken(model=model, marks=frozenset({board.part.mark}), size=0.0, at=(x, y), around=1.0)


def cut_beyond(
    sound: Sound, rng: random.Random, nail: tuple[Fixings, int], board: Board, size: float, limit: float
) -> Broken:
    """A board sawn off so far beyond one of its nails, at either end, no other nail near the cut. [mm]"""
    group, index = nail
    x, y = place(group, index)
    way = rng.choice([-1, 1])
    others = [float(g.heads[i][0]) for g, i in _own(sound, group, board) if (g, i) != (group, index)]
    if any(0 < (x + way * size - other) * way < limit * 1.05 for other in others):
        raise NoPlace  # another nail comes near the new end
    if way > 0:
        tool = box((x + size, -FAR, -FAR), (FAR, FAR, FAR))
    else:
        tool = box((-FAR, -FAR, -FAR), (x - size, FAR, FAR))
    part = carved(board.part, tool)
    return Broken(
        model=sound.model.replace_parts([part]),
        marks=frozenset({part.mark}),
        size=size,
        within=0.5,
        at=(x, y),
        around=1.0,
    )


def _own(sound: Sound, group: Fixings, board: Board) -> list[tuple[Fixings, int]]:
    """All nails in a board."""
    found = []
    for other in sound.model.fixings_for(Use.BOARD, wall=group.wall):
        low, high = board.box
        inside = (
            (other.heads[:, 0] > low[0])
            & (other.heads[:, 0] < high[0])
            & (np.abs(other.heads[:, 1] - (low[1] + high[1]) / 2) < (high[1] - low[1]) / 2)
        )
        for i in np.flatnonzero(inside):
            try:
                if _in(sound.model, other, int(i), Kind.BOARD).mark == board.part.mark:
                    found.append((other, int(i)))
            except NoPlace:
                continue
    return found


def _room(sound: Sound, board: Board, x: float) -> float:
    """Height of bare board between the one below and the one above, and least so near by."""
    rooms = []
    for at in (x - 25, x, x + 25):
        own = [q.bounds for _, q in section_polygons([board.part], x=at)]
        under = [
            q.bounds[3] for _, q in section_polygons([b.part for b in beneath(sound.model, board)], x=at)
        ]
        over = [q.bounds[1] for _, q in section_polygons([b.part for b in above(sound.model, board)], x=at)]
        if not own:
            return 0.0
        rooms.append(min([own[0][3], *over]) - max([own[0][1], *under]))
    return float(min(rooms))


@breaks("nails", "bare", says="without a nail", short=False)
def nail_left_out(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    group, index, board, batten = a_nail(sound, rng)
    y = place(group, index)[1]
    low, high = _sides(batten, y)
    first, last = low, high  # of the battens that hold as one with it
    behind = [
        _sides(p, y)
        for p in sound.model.of_kind(Kind.BATTEN, wall=batten.wall)
        if p.vertices[:, 1].min() < y < p.vertices[:, 1].max()
    ]
    for _ in behind:
        for a, b in behind:
            if b > first - AS_ONE and a < last + AS_ONE:
                first, last = min(first, a), max(last, b)
    rest = [float(g.heads[i][0]) for g, i in _own(sound, group, board) if (g, i) != (group, index)]
    rest = [x for x in rest if first <= x <= last]
    size = min((max(abs(low - x), abs(high - x)) for x in rest), default=FAR)
    if size < draw.limit(sound) * 1.02 or _room(sound, board, place(group, index)[0]) < ROOM + 0.5:
        raise NoPlace
    keep = np.arange(len(group.heads)) != index
    less = replace(group, heads=group.heads[keep], directions=group.directions[keep])
    model = replace(sound.model, fixings=tuple(less if g is group else g for g in sound.model.fixings))
    return Broken(model=model, marks=frozenset({board.part.mark}), size=size)


@breaks("nails", "twice", says="nails at batten", short=False)
def nailed_twice(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    group, index, board, _ = a_nail(sound, rng)
    offset = np.array([rng.uniform(-10, 10), rng.uniform(-4, 20), 0.0])
    more = replace(
        group,
        heads=np.vstack([group.heads, group.heads[index] + offset]),
        directions=np.vstack([group.directions, group.directions[index]]),
    )
    model = replace(sound.model, fixings=tuple(more if g is group else g for g in sound.model.fixings))
    return Broken(model=model, marks=frozenset({board.part.mark}), size=2.0)
