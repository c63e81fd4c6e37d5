"""Boards cut too low, too short or too thick, and posts planed too thin for them."""

from __future__ import annotations

import math
import random

import numpy as np

from cladmodel.checks.around import around
from cladmodel.model import Kind
from cladmodel.solids.measure import extent_at

from .breaking import Broken, Draw, NoPlace, box, breaks, carved
from .hanging import a_board, in_axes
from .measured import boards
from .sound import Sound, buildings

FAR = 1e5
WORST_LEAN = 0.95
"""Leans kept within this of the boards round about, so that `tilt` leaves what follows to `contact`. [deg]"""


@breaks("slivers", "height", says="mm high")
def ripped_low(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    board = a_board(sound, rng)
    low, high = board.heights
    now = min((float((t - b) @ board.up[1:]) for x in np.linspace(board.left + 1, board.right - 1, 15)
               for b, t in [board.at(float(x)) or (np.zeros(2), np.zeros(2))]))  # fmt: skip
    if now < high - low - 0.5 or board.right - board.left < 250:
        raise NoPlace  # notched or raked already
    size = draw(sound, now=now, gross=3.0)
    part = carved(board.part, in_axes(board, low + size, high + 1e3))
    return Broken(
        model=sound.model.replace_parts([part]), marks=frozenset({part.mark}), size=size, within=0.1
    )


@breaks("slivers", "height", says="mm high")
def notched_low(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    board = a_board(sound, rng)
    low, high = board.heights
    size = draw(sound, now=high - low, gross=3.0)
    run = math.exp(rng.uniform(math.log(110), math.log(900)))
    if board.right - board.left < run + 40:
        raise NoPlace
    left = rng.uniform(board.left + 20, board.right - run - 20)
    ends = [board.at(float(x)) for x in np.linspace(left, left + run, 9)]
    if any(e is None for e in ends):
        raise NoPlace
    if any(abs(float((e[1] - e[0]) @ board.up[1:]) - (high - low)) > 0.5 for e in ends if e is not None):
        raise NoPlace
    # In steps, as a saw in a hurry leaves it: none of them as long as a strip that counts by itself.
    steps = rng.choice([1, 1, 2, 3])
    tools = []
    for k in range(steps):
        a, b = left + run * k / steps, left + run * (k + 1) / steps
        deeper = size * (1 - 0.1 * k)
        tools.append(in_axes(board, low + deeper, high + 1e3, a, b + (1 if k < steps - 1 else 0)))
    if not draw.over and steps > 1 and size * 0.8 < draw.limit(sound):
        raise NoPlace
    part = carved(board.part, *tools)
    return Broken(model=sound.model.replace_parts([part]), marks=frozenset({part.mark}), size=size)


@breaks("slivers", "length", says="mm long")
def cut_short(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    board = a_board(sound, rng)
    size = draw(sound, now=board.right - board.left, gross=20.0)
    if rng.random() < 0.5:
        tool = box((board.left + size, -FAR, -FAR), (FAR, FAR, FAR))
    else:
        tool = box((-FAR, -FAR, -FAR), (board.right - size, FAR, FAR))
    part = carved(board.part, tool)
    return Broken(
        model=sound.model.replace_parts([part]), marks=frozenset({part.mark}), size=size, within=0.01
    )


@breaks("noses", "nose", says="nose of board", pool=buildings)
def post_planed(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    """Over the height of one or more boards, or all of it, a post or trim loses some of its front."""
    board = a_board(sound, rng)
    stops = [
        s
        for s in sound.model.of_kind(Kind.POST, Kind.SIDE_TRIM, wall=board.part.wall)
        if s.vertices[:, 1].min() < board.box[0][1] and s.vertices[:, 1].max() > board.box[0][1] + 40
        and (abs(s.vertices[:, 0].max() - board.left) < 12 or abs(s.vertices[:, 0].min() - board.right) < 12)
    ]  # fmt: skip
    if not stops:
        raise NoPlace
    stop = rng.choice(stops)
    nose = float(board.box[1][2])
    now = float(stop.vertices[:, 2].max()) - nose
    size = draw(sound, now=now, gross=-15.0)
    reach = rng.choice([45.0, 300.0, FAR])
    y = float(board.box[0][1])
    tool = box((-FAR, y - reach, nose + size), (FAR, y + reach, FAR))
    part = carved(stop, tool)
    others = [b.part.mark for b in boards(sound.model) if b.part.wall == board.part.wall]
    marks = frozenset({board.part.mark}) if draw.over else frozenset(others)
    if not draw.over:
        worst = max(b.box[1][2] for b in boards(sound.model) if b.part.wall == board.part.wall)
        if nose + size - worst < draw.limit(sound) * 1.01:
            raise NoPlace
    return Broken(model=sound.model.replace_parts([part]), marks=marks, size=size)


@breaks("noses", "nose", says="nose of board", pool=buildings)
def board_too_thick(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    board = a_board(sound, rng)
    stops = [
        s
        for s in around(sound.model, board.part.wall, Kind.POST, Kind.SIDE_TRIM)
        if s.vertices[:, 1].min() < board.box[1][1]
        and s.vertices[:, 1].max() > board.box[0][1]
        and s.vertices[:, 0].min() < board.right + 30
        and s.vertices[:, 0].max() > board.left - 30
        and s.vertices[:, 2].min() < board.box[1][2]
        and s.vertices[:, 2].max() > board.box[0][2] - 30
    ]
    if not stops:
        raise NoPlace
    nose_at = float(board.part.vertices[int(board.part.vertices[:, 2].argmax()), 1])
    proud = []
    for stop in stops:
        y = min(
            max(nose_at, float(stop.vertices[:, 1].min()) + 0.01), float(stop.vertices[:, 1].max()) - 0.01
        )
        front = extent_at(stop, 1, y, 2)
        if front is not None:
            proud.append(front[1] - float(board.box[1][2]))
    now = min(proud)
    size = draw(sound, now=now, gross=-30.0)
    nose = int(board.part.vertices[:, 2].argmax())
    # Thicker all over: the front moves out square to the wall.
    out = board.part.vertices @ board.out - board.back > 1e-3
    vertices = board.part.vertices.copy()
    vertices[out, 2] += now - size
    assert out[nose]
    return Broken(
        model=sound.model.replace_parts([board.part.with_vertices(vertices)]),
        marks=frozenset({board.part.mark}),
        size=size,
        within=0.01,
    )
