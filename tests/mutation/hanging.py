"""Boards hung wrong: lap, tilt, contact."""

from __future__ import annotations

import math
import random

import manifold3d
import numpy as np

from cladmodel.checks.leans import leans, uneven
from cladmodel.model import Kind, Model, Part

from .breaking import BOX_FACES, Broken, Draw, NoPlace, box, breaks, carved, moved, solid, turned, without
from .measured import Board, above, beneath, boards, lapped
from .sound import Sound

FAR = 1e5
WORST_LEAN = 0.95
"""Leans kept within this of the boards round about, so that `tilt` leaves what follows to `contact`. [deg]"""


def a_board(sound: Sound, rng: random.Random) -> Board:
    return Board(rng.choice(sound.model.of_kind(Kind.BOARD)))


def lapping(sound: Sound, rng: random.Random) -> tuple[Board, Board, float, list[float]]:
    """A board, one below it, by how much it laps that one, and where."""
    upper = a_board(sound, rng)
    lower = beneath(sound.model, upper)
    if not lower:
        raise NoPlace
    under = rng.choice(lower)
    lap, places = lapped(upper, under)
    if not places or not lap > 0:
        raise NoPlace
    return upper, under, lap, places


def in_axes(
    board: Board, low: float, high: float, left: float = -FAR, right: float = FAR
) -> manifold3d.Manifold:
    """A tool as deep as the world between two heights up a board's back."""
    corner = [
        np.array([x, 0.0, 0.0]) + h * board.up + d * board.out
        for d in (-1e3, 1e3)
        for h in (low, high)
        for x in (left, right)
    ]
    return solid(np.array(corner), BOX_FACES)


def off_now(model: Model, board: Part) -> float:
    """A board's lean off that of the boards round it, as it is. [deg]"""
    own = model.of_kind(Kind.BOARD, wall=board.wall)
    lean = leans(own)
    index = [p.mark for p in own].index(board.mark)
    off = float(uneven(own, lean)[index])
    rest = [value for value, p in zip(lean, own, strict=True) if p.course != 1]
    if board.course == 1 and rest and abs(lean[index] - np.median(rest)) > abs(off):
        return float(lean[index] - np.median(rest))
    return off


@breaks("lap", "lap", says="laps")
def hung_too_high(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    upper, lower, lap, _ = lapping(sound, rng)
    size = draw(sound, now=lap, gross=-20.0)
    by = (lap - size) * lower.up
    return Broken(
        model=sound.model.replace_parts([moved(upper.part, by)]),
        marks=frozenset({upper.part.mark}),
        size=size,
        within=0.05,
    )


@breaks("lap", "lap", says="laps")
def board_below_ripped(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    _, lower, lap, places = lapping(sound, rng)
    over = [b for b in above(sound.model, lower) if lapped(b, lower)[1]]
    most = max(lapped(b, lower)[0] for b in over)
    size = draw(sound, now=lap, gross=0.5)
    height = lower.heights[1] - (lap - size)
    marks = frozenset(b.part.mark for b in over)
    # Other boards over it may lap it by more: the size is that of the least.
    return Broken(
        model=sound.model.replace_parts([carved(lower.part, in_axes(lower, height, height + 1e3))]),
        marks=marks,
        size=size,
        # Where the lower board's top is raked, other laps over what is left of it may be the least.
        within=0.05 + most - lap if len(places) > 12 else None,
    )


@breaks("lap", "lap", says="laps")
def top_edge_notched(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    upper, lower, lap, places = lapping(sound, rng)
    size = draw(sound, now=lap, gross=-30.0)
    wide = math.exp(rng.uniform(math.log(5), math.log(600)))
    middle = rng.choice(places)
    height = lower.heights[1] - (lap - size)
    if height < lower.heights[0] + 20:
        raise NoPlace
    tool = in_axes(lower, height, height + 1e3, middle - wide / 2, middle + wide / 2)
    return Broken(
        model=sound.model.replace_parts([carved(lower.part, tool)]),
        marks=frozenset(b.part.mark for b in above(sound.model, lower)) | {upper.part.mark},
        size=size,
        at=(middle, float(upper.box[0][1])),
        around=wide / 2 + 150.0,
    )


@breaks("lap", "lap", says="laps")
def butt_notched(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    upper, _lower, lap, places = lapping(sound, rng)
    size = draw(sound, now=lap, gross=-30.0)
    wide = math.exp(rng.uniform(math.log(5), math.log(600)))
    middle = rng.choice(places)
    height = upper.heights[0] + (lap - size)
    if height > upper.heights[1] - 20:
        raise NoPlace
    tool = in_axes(upper, height - 1e3, height, middle - wide / 2, middle + wide / 2)
    # Along the lower board's back a notch up the upper one's is a hair shorter: they lean a little apart.
    return Broken(
        model=sound.model.replace_parts([carved(upper.part, tool)]),
        marks=frozenset({upper.part.mark}),
        size=size,
        at=(middle, float(upper.box[0][1])),
        around=wide / 2 + 150.0,
    )


def leaned(sound: Sound, board: Board, degrees: float) -> Model:
    foot = board.part.vertices[int(np.argmin(board.part.vertices @ (board.up + 1e-3 * board.out)))]
    part = turned(board.part, math.radians(degrees), (float(foot[1]), float(foot[2])))
    return sound.model.replace_parts([part])


def _tilted(sound: Sound, rng: random.Random, draw: Draw, gross: float) -> Broken:
    board = a_board(sound, rng)
    now = off_now(sound.model, board.part)
    size = draw(sound, now=abs(now), gross=gross) * rng.choice([-1, 1])
    return Broken(
        model=leaned(sound, board, size - now),
        marks=frozenset({board.part.mark}),
        size=abs(size),
        # In course 1 the lean is held to the whole wall and to the boards round about: the worse counts.
        # Beyond 41 deg less 7 or so of its own, a lean is no longer told by its figure.
        within=0.01 if board.part.course != 1 and abs(size) < 30 else None,
    )


@breaks("tilt", "uneven", says="than")
def leaned_a_little(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    return _tilted(sound, rng, draw, 0.98)


@breaks("tilt", "far off", says="Board", short=False)
def leaned_far(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    return _tilted(sound, rng, draw, 80.0)


@breaks("contact", "butt", says="The butt of board", also="The top edge of board")
def hung_off_the_board_below(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    board = a_board(sound, rng)
    lower = beneath(sound.model, board)
    starter = [
        s
        for s in sound.model.of_kind(Kind.STARTER)
        if s.vertices[:, 1].max() > board.box[0][1] and s.vertices[:, 1].min() < board.box[0][1] + 20
        and s.vertices[:, 0].min() < board.right and s.vertices[:, 0].max() > board.left
    ]  # fmt: skip
    if not lower and not starter:
        raise NoPlace
    size = draw(sound, now=0.0, gross=40.0)
    way = lower[0].front if lower else board.out
    return Broken(
        model=sound.model.replace_parts([moved(board.part, size * way)]),
        marks=frozenset({board.part.mark}),
        size=size,
    )


@breaks("contact", "butt", says="The butt of board", owner="clashes")
def butt_driven_in(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    board = a_board(sound, rng)
    lower = beneath(sound.model, board)
    if not lower:
        raise NoPlace
    low, high = board.heights
    now = off_now(sound.model, board.part)
    most = (high - low) * math.radians(min(WORST_LEAN - now, WORST_LEAN)) * 0.95
    size = draw(sound, now=0.0, gross=most)
    # Turned about its top back arris, the butt goes in square to the back: a hair deeper than into the face.
    face = float(lower[0].front @ board.out)
    top = board.part.vertices[int(np.argmax(board.part.vertices @ (board.up - 1e-3 * board.out)))]
    part = turned(board.part, -size / face / (high - low), (float(top[1]), float(top[2])))
    if part.vertices[:, 2].max() > board.part.vertices[:, 2].max():
        raise AssertionError("turned the wrong way")
    return Broken(model=sound.model.replace_parts([part]), marks=frozenset({board.part.mark}), size=size)


@breaks("contact", "top edge", says="top edge")
def top_edge_off_its_batten(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    board = a_board(sound, rng)
    low, high = board.heights
    now = off_now(sound.model, board.part)
    most = (high - low) * math.radians(min(WORST_LEAN + now, WORST_LEAN)) * 0.95
    size = draw(sound, now=0.0, gross=most)
    ends = [board.at(x) for x in np.linspace(board.left + 1, board.right - 1, 9)]
    tops = [float(end[1] @ board.up[1:]) for end in ends if end is not None]
    if not tops or max(tops) - min(tops) > 0.5:
        raise NoPlace  # a rake or a notch: its tops stand off by different amounts
    height = tops[0] - low
    angle = board.lean - math.asin(math.sin(board.lean) - size / height)
    return Broken(
        model=leaned(sound, board, -math.degrees(angle)),
        marks=frozenset({board.part.mark}),
        size=size,
        within=0.02,
    )


def _packer(sound: Sound, rng: random.Random, draw: Draw, *, planed: bool) -> Broken:
    packers = sound.model.of_kind(Kind.PACKER)
    if not packers:
        raise NoPlace
    packer = rng.choice(packers)
    low, high = packer.vertices.min(axis=0), packer.vertices.max(axis=0)
    owner = [
        b
        for b in boards(sound.model)
        if b.part.course == packer.course
        and b.part.wall == packer.wall
        and b.left < (low[0] + high[0]) / 2 < b.right
        and abs(b.box[1][1] - high[1]) < 30
    ]
    if not owner:
        raise NoPlace
    # Without it, how near its top edge comes to the batten behind, anywhere on that batten.
    battens = [t for t in sound.model.of_kind(Kind.BATTEN, wall=packer.wall)
               if t.vertices[:, 0].min() < low[0] + 1 and t.vertices[:, 0].max() > high[0] - 1]  # fmt: skip
    span = [(float(t.vertices[:, 0].min()), float(t.vertices[:, 0].max())) for t in battens]
    ends = [owner[0].at(float(x)) for a, b in span for x in np.linspace(a + 0.1, b - 0.1, 21)]
    off = min((float(e[1][1]) for e in ends if e is not None), default=0.0)
    thick = float(high[2] - low[2])
    marks = frozenset({owner[0].part.mark})
    if draw.over and not planed:
        if off < draw.limit(sound) * 1.02:
            raise NoPlace
        return Broken(model=without(sound.model, packer.mark), marks=marks, size=off)
    size = draw(sound, now=0.0, gross=min(thick * 0.95, off))
    if size >= thick:
        raise NoPlace
    tool = box((-FAR, -FAR, high[2] - size), (FAR, FAR, FAR))
    return Broken(model=sound.model.replace_parts([carved(packer, tool)]), marks=marks, size=size)


@breaks("contact", "top edge", says="top edge")
def packer_planed_thin(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    return _packer(sound, rng, draw, planed=True)


@breaks("contact", "top edge", says="top edge")
def packer_left_out(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    return _packer(sound, rng, draw, planed=False)


@breaks("contact", "level", says="rest of its course", also="stands")
def butt_off_level(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    board = a_board(sound, rng)
    lower = beneath(sound.model, board)
    full = [
        b
        for b in boards(sound.model)
        if b.part.course == board.part.course
        and b.part.wall == board.part.wall
        and abs(b.box[0][1] - board.box[0][1]) < 0.05
        and b.part.mark != board.part.mark
    ]
    if not lower or not full:
        raise NoPlace
    size = draw(sound, now=0.0, gross=25.0)
    face = lower[0].front
    down = np.array([0.0, -face[2], face[1]])
    part = moved(board.part, down * size / face[2])
    return Broken(
        model=sound.model.replace_parts([part]),
        marks=frozenset(b.part.mark for b in [board, *full]),
        size=size,
    )
