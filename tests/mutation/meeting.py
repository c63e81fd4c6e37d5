"""Boards joined wrong: bearing, gaps, stagger, columns."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np

from cladmodel.model import Kind, Model, Part

from .breaking import Broken, Draw, NoPlace, box, breaks, carved, kept, without
from .measured import Board, boards
from .sound import Sound

FAR = 1e5


def pairs(model: Model) -> list[tuple[Board, Board]]:
    """Neighbours of one course that meet in a butt joint."""
    own = boards(model)
    return [
        (a, b)
        for a in own
        for b in own
        if a.part.course == b.part.course
        and a.part.wall == b.part.wall
        and 0 <= b.left - a.right < 10
        and min(a.box[1][1], b.box[1][1]) > max(a.box[0][1], b.box[0][1])
    ]


def a_joint(sound: Sound, rng: random.Random) -> tuple[Board, Board]:
    found = pairs(sound.model)
    if not found:
        raise NoPlace
    return rng.choice(found)


def middle(a: Board, b: Board) -> float:
    """Half-way up what two boards share."""
    return float(max(a.box[0][1], b.box[0][1]) + min(a.box[1][1], b.box[1][1])) / 2


def battens_at(sound: Sound, board: Board, y: float) -> list[Part]:
    return [
        p
        for p in sound.model.of_kind(Kind.BATTEN, wall=board.part.wall)
        if p.vertices[:, 1].min() <= y <= p.vertices[:, 1].max()
    ]


def with_end(board: Board, x: float, way: int) -> Part:
    """A board with one end moved to `x`: the right one for `way` 1."""
    vertices = board.part.vertices.copy()
    end = board.right if way > 0 else board.left
    own = np.abs(vertices[:, 0] - end) < 0.5
    vertices[own, 0] += x - end
    # A notch or rake between the old end and the new one would fold over.
    beyond = (vertices[~own, 0] - x) * way > -1.0
    if beyond.any():
        raise NoPlace
    return board.part.with_vertices(vertices)


def joint_moved(sound: Sound, a: Board, b: Board, by: float) -> Model:
    return sound.model.replace_parts([with_end(a, a.right + by, 1), with_end(b, b.left + by, -1)])


@breaks("joints", "bearing", says="batten")
def joint_off_the_middle(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    a, b = a_joint(sound, rng)
    own = [p for p in battens_at(sound, a, middle(a, b))
           if p.vertices[:, 0].min() < a.right and p.vertices[:, 0].max() > b.left]  # fmt: skip
    if len(own) != 1:
        own = [p for p in battens_at(sound, a, middle(a, b))
               if p.vertices[:, 0].min() < b.left + 60 and p.vertices[:, 0].max() > a.right - 60]  # fmt: skip
    low = min(float(p.vertices[:, 0].min()) for p in own)
    high = max(float(p.vertices[:, 0].max()) for p in own)
    way = rng.choice([-1, 1])
    now = min(a.right - low, high - b.left)
    near = high - b.left if way > 0 else a.right - low
    size = draw(sound, now=now, gross=0.5)
    return Broken(
        model=joint_moved(sound, a, b, way * (near - size)),
        marks=frozenset({a.part.mark}),
        size=size,
        within=0.05,
    )


@breaks("joints", "bearing", says="batten")
def batten_cut_away_behind(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    """Part of the batten's width is cut out over the height of one joint, as for a pipe."""
    a, b = a_joint(sound, rng)
    y = middle(a, b)
    own = [p for p in battens_at(sound, a, y)
           if p.vertices[:, 0].min() < b.left + 60 and p.vertices[:, 0].max() > a.right - 60]  # fmt: skip
    low = min(float(p.vertices[:, 0].min()) for p in own)
    high = max(float(p.vertices[:, 0].max()) for p in own)
    now = min(a.right - low, high - b.left)
    size = draw(sound, now=now, gross=0.5)
    tall = rng.uniform(90, 250)
    if rng.random() < 0.5:
        tool = box((b.left + size, y - tall, -FAR), (FAR, y + tall, FAR))
    else:
        tool = box((-FAR, y - tall, -FAR), (a.right - size, y + tall, FAR))
    changed, gone = [], []
    for part in own:
        if part.vertices[:, 1].min() > y - tall or part.vertices[:, 1].max() < y + tall:
            raise NoPlace
        try:
            changed.append(carved(part, tool))
        except NoPlace:
            gone.append(part)  # cut in two: its foot and head stay as two pieces
            for end, side in (("f", (-FAR, y - tall)), ("h", (y + tall, FAR))):
                changed.append(kept(part, box((-FAR, side[0], -FAR), (FAR, side[1], FAR)), part.mark + end))
    model = without(sound.model, *(p.mark for p in own))
    model = replace(model, parts=(*model.parts, *changed))
    return Broken(model=model, marks=frozenset({a.part.mark}), size=size)


@breaks("joints", "bearing", says="batten", short=False)
def joint_off_every_batten(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    """A board cut where there is no batten."""
    board = Board(rng.choice(sound.model.of_kind(Kind.BOARD)))
    x = rng.uniform(board.left + 100, board.right - 100) if board.right - board.left > 200 else board.left
    y = float(board.box[0][1] + board.box[1][1]) / 2
    spans = [
        (float(p.vertices[:, 0].min()), float(p.vertices[:, 0].max()))
        for p in battens_at(sound, board, float(board.box[0][1]) + 1) + battens_at(sound, board, y)
    ]
    clear = min((max(low - x, x - high) for low, high in spans), default=0.0)
    if clear < 5:
        raise NoPlace
    return Broken(
        model=cut_in_two(sound.model, board, x), marks=frozenset({board.part.mark}), size=1.5 - clear
    )


def cut_in_two(model: Model, board: Board, x: float) -> Model:
    """A board cut through, with a saw cut of 3 mm."""
    left = kept(board.part, box((-FAR, -FAR, -FAR), (x - 1.5, FAR, FAR)))
    right = kept(board.part, box((x + 1.5, -FAR, -FAR), (FAR, FAR, FAR)), board.part.mark + "z")
    return replace(model.replace_parts([left]), parts=(*model.replace_parts([left]).parts, right))


@breaks("joints", "gap", says="open")
def board_cut_short_at_a_joint(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    a, b = a_joint(sound, rng)
    size = draw(sound, now=b.left - a.right, gross=400.0)
    by = size - (b.left - a.right)
    part = with_end(a, a.right - by, 1) if rng.random() < 0.5 else with_end(b, b.left + by, -1)
    return Broken(
        model=sound.model.replace_parts([part]),
        marks=frozenset({a.part.mark, b.part.mark}),
        size=size,
        within=0.01,
    )


@breaks("joints", "end", says="short of")
def board_cut_short_of_a_post(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    board = Board(rng.choice(sound.model.of_kind(Kind.BOARD)))
    stops = [
        s
        for s in sound.model.of_kind(Kind.POST, Kind.SIDE_TRIM, wall=board.part.wall)
        if s.vertices[:, 1].min() < board.box[0][1] and s.vertices[:, 1].max() > board.box[1][1]
    ]
    way = rng.choice([-1, 1])
    near = [
        float(s.vertices[:, 0].min()) - board.right if way > 0 else board.left - float(s.vertices[:, 0].max())
        for s in stops
    ]
    near = [gap for gap in near if 0 <= gap < 10]
    if not near:
        raise NoPlace
    size = draw(sound, now=near[0], gross=(board.right - board.left) * 0.8)
    end = board.right - (size - near[0]) if way > 0 else board.left + (size - near[0])
    return Broken(
        model=sound.model.replace_parts([with_end(board, end, way)]),
        marks=frozenset({board.part.mark}),
        size=size,
        within=0.01,
    )


@breaks("joints", "stagger", says="at least", also="stands over")
def joint_near_the_next_course(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    """A new joint beside one of the course below or above."""
    a, b = a_joint(sound, rng)
    at = (a.right + b.left) / 2
    step = rng.choice([-1, 1])
    rows = [c for c in boards(sound.model) if c.part.course == (a.part.course or 0) + step
            and c.part.wall == a.part.wall]  # fmt: skip
    size = draw(sound, now=2000.0, gross=0.0)
    x = at + rng.choice([-1, 1]) * size
    board = [c for c in rows if c.left + 60 < x < c.right - 60]
    others = [
        (p.right + q.left) / 2
        for p, q in pairs(sound.model)
        if abs((p.part.course or 0) - (a.part.course or 0) - step) == 1 and p.part.wall == a.part.wall
    ]
    if not board or min(abs(x - o) for o in others) < size - 1e-6:
        raise NoPlace
    return Broken(
        model=cut_in_two(sound.model, board[0], x),
        marks=frozenset({a.part.mark, board[0].part.mark}),
        size=size,
        within=0.5,
    )


@breaks("joints", "column", says="stands over")
def joint_over_one_two_courses_below(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    a, b = a_joint(sound, rng)
    at = (a.right + b.left) / 2
    step = rng.choice([-2, 2])
    size = draw(sound, now=900.0, gross=0.0)
    x = at + rng.choice([-1, 1]) * size
    board = [
        c
        for c in boards(sound.model)
        if c.part.course == (a.part.course or 0) + step
        and c.part.wall == a.part.wall
        and c.left + 60 < x < c.right - 60
    ]
    others = [
        (p.right + q.left) / 2
        for p, q in pairs(sound.model)
        if abs((p.part.course or 0) - (a.part.course or 0) - step) <= 2 and p.part.wall == a.part.wall
    ]
    if not board or min(abs(x - o) for o in others) < size - 1e-6:
        raise NoPlace
    return Broken(
        model=cut_in_two(sound.model, board[0], x),
        marks=frozenset({a.part.mark, board[0].part.mark}),
        size=size,
    )


@breaks("joints", "gap", says="open", also="short of", short=False)
def board_left_out_of_a_course(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    found = pairs(sound.model)
    between = [(a, b, d) for a, b in found for c, d in found if c is not a and c.part.mark == b.part.mark]
    if not between:
        raise NoPlace
    a, b, d = rng.choice(between)
    return Broken(
        model=without(sound.model, b.part.mark),
        marks=frozenset({a.part.mark, d.part.mark}),
        size=d.left - a.right,
    )
