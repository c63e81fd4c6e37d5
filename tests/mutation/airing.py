"""The cavity stopped or laid bare: things in it, bulging membrane, boards left out."""

from __future__ import annotations

import math
import random
from dataclasses import dataclass, replace

import numpy as np
import shapely

from cladmodel.model import Kind, Layer, Model, Part
from cladmodel.solids.sections import section_polygons

from .breaking import Broken, Draw, NoPlace, as_part, block, box, breaks, solid, with_parts
from .sound import Sound

METRE = 1000.0
LEAST_BAY = 20.0
BEHIND = (Layer.FRAME, Layer.SHEATHING, Layer.MEMBRANE)


@dataclass(frozen=True)
class Space:
    """A bay at some height: its sides, its membrane and the battens' face."""

    wall: str
    left: float
    right: float
    y: float
    face: float


def upright(part: Part) -> bool:
    size = np.ptp(part.vertices, axis=0)
    return bool(size[1] > size[0])


def bays_of(model: Model, wall: str) -> list[tuple[float, float]]:
    """Between the battens of a wall, whatever their height."""
    spans = sorted(
        (float(p.vertices[:, 0].min()), float(p.vertices[:, 0].max()))
        for p in model.of_kind(Kind.BATTEN, wall=wall)
        if upright(p)
    )
    found, reach = [], spans[0][1]
    for low, high in spans[1:]:
        if low - reach > LEAST_BAY:
            found.append((reach, low))
        reach = max(reach, high)
    return found


def a_space(sound: Sound, rng: random.Random) -> Space:
    """A random place in the cavity with membrane behind and a board in front."""
    wall = rng.choice(sound.model.walls)
    left, right = rng.choice(bays_of(sound.model, wall.name))
    y = rng.uniform(float(wall.outline[:, 1].min()) + 40, float(wall.outline[:, 1].max()) - 40)
    middle = (left + right) / 2
    behind = list(sound.model.of_kind(Kind.MEMBRANE, wall=wall.name))
    face = max(float(p.vertices[:, 2].max()) for p in behind)
    plan = shapely.union_all([q for _, q in section_polygons(behind, z=face - 0.2)])
    front = [p for p in sound.model.of_kind(Kind.BOARD, wall=wall.name)
             if p.vertices[:, 0].min() < left + 1 and p.vertices[:, 0].max() > right - 1
             and p.vertices[:, 1].min() < y < p.vertices[:, 1].max()]  # fmt: skip
    room = shapely.box(left + 1, y - 30, right - 1, y + 30)
    if not front or not plan.buffer(5.0).covers(room):
        raise NoPlace
    del middle
    return Space(wall=wall.name, left=left, right=right, y=y, face=face)


@breaks("cavity", "depth", says="mm deep behind", also="closed")
def thing_in_the_cavity(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    """Mortar, insulation, an offcut: on the membrane or hanging at the boards."""
    at = a_space(sound, rng)
    deep = -at.face
    size = draw(sound, now=deep - 0.5, gross=1.0)
    wide = min(math.exp(rng.uniform(math.log(3), math.log(400))), at.right - at.left - 2)
    high = math.exp(rng.uniform(math.log(2), math.log(25)))
    left = rng.uniform(at.left + 1, at.right - 1 - wide)
    thick = min(deep - size, rng.choice([2.0, 1e3]))
    low = (left, at.y - high, at.face + size)
    stray = block("stray", rng.choice([Kind.PACKER, Kind.BATTEN, Kind.STARTER]), at.wall, low,
                  (left + wide, at.y + high, at.face + size + thick))  # fmt: skip
    return Broken(
        model=with_parts(sound.model, stray),
        marks=frozenset({"stray"}),
        size=size,
        at=(left + wide / 2, at.y),
        around=wide / 2 + high + 5,
    )


@breaks("cavity", "depth", says="mm deep behind", also="closed")
def membrane_bulges(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    """The membrane is pushed out by what is behind it."""
    at = a_space(sound, rng)
    wide = rng.uniform(15, at.right - at.left - 2)
    high = rng.uniform(5, 28)
    left = rng.uniform(at.left + 1, at.right - 1 - wide)
    # A board's back leans in upward: in front of the bulge's top edge it is nearest.
    patch = shapely.box(-1e3, at.y - high + 0.01, 1e3, at.y + high - 0.01)
    front = [p for p in sound.model.parts if p.wall == at.wall and p.layer not in BEHIND
             and p.kind is not Kind.BATTEN
             and p.vertices[:, 1].min() < at.y + high and p.vertices[:, 1].max() > at.y - high]  # fmt: skip
    cuts = [q.intersection(patch) for x in (left + 0.1, left + wide / 2, left + wide - 0.1)
            for _, q in section_polygons(front, x=x)]  # fmt: skip
    nearest = min(cut.bounds[0] for cut in cuts if not cut.is_empty)
    size = draw(sound, now=nearest - at.face - 0.5, gross=2.0)
    bulge = block("bulge", Kind.MEMBRANE, at.wall, (left, at.y - high, at.face - 0.2),
                  (left + wide, at.y + high, nearest - size))  # fmt: skip
    return Broken(
        model=with_parts(sound.model, bulge),
        marks=frozenset(),
        size=size,
        at=(left + wide / 2, at.y),
        within=0.6,
        around=wide / 2 + high + 5,
    )


@breaks("cavity", "closed", says="is closed")
def bay_filled_across(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    at = a_space(sound, rng)
    deep = -at.face
    size = draw(sound, now=deep - 0.5, gross=0.2)
    high = math.exp(rng.uniform(math.log(2), math.log(25)))
    kind = rng.choice([Kind.PACKER, Kind.BATTEN, Kind.STARTER])
    low = (at.left, at.y - high, at.face + size)
    stray = block("stray", kind, at.wall, low, (at.right, at.y + high, 0.0))
    return Broken(
        model=with_parts(sound.model, stray),
        marks=frozenset({"stray"}),
        size=size,
        at=((at.left + at.right) / 2, at.y),
        around=(at.right - at.left) / 2 + high + 5,
    )


@breaks("cavity", "bare", says="Nothing covers", short=False)
def board_left_out(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    """A board is not hung at all: what of the membrane it alone covered lies bare."""
    board = rng.choice(sound.model.of_kind(Kind.BOARD))
    low, high = board.vertices.min(axis=0), board.vertices.max(axis=0)
    rest = replace(sound.model, parts=tuple(p for p in sound.model.parts if p is not board))
    bare = bare_before(sound.model, board)
    if bare.is_empty:
        raise NoPlace
    # The largest square that lies bare: what is less than a gap for air in every place is none.
    size = widest(bare)
    if size < draw.limit(sound) * 1.02:
        raise NoPlace
    return Broken(
        model=rest,
        marks=frozenset(),
        size=size,
        at=(float(low[0] + high[0]) / 2, float(low[1] + high[1]) / 2),
        around=float(high[0] - low[0]) / 2 + 100,
    )


def bare_before(model: Model, board: Part) -> shapely.Geometry:
    """Where a board alone covers the membrane, (x, y): its outline less those of the boards round it."""

    def outline(part: Part) -> shapely.Geometry:
        return shapely.union_all(shapely.polygons(part.vertices[part.faces][:, :, :2]))

    own = outline(board)
    near = [
        p
        for p in model.parts
        if p.wall == board.wall
        and p is not board
        and p.layer not in BEHIND
        and (p.vertices[:, :2].min(axis=0) < board.vertices[:, :2].max(axis=0)).all()
        and (p.vertices[:, :2].max(axis=0) > board.vertices[:, :2].min(axis=0)).all()
    ]
    behind = shapely.union_all([outline(p) for p in model.of_kind(Kind.MEMBRANE, wall=board.wall)])
    cover = shapely.union_all([outline(p) for p in near])
    return own.difference(cover).intersection(behind).buffer(0)


def widest(shape: shapely.Geometry) -> float:
    """Side of the largest upright square in a shape, to 0.1 mm."""
    low, high = 0.0, 500.0
    while high - low > 0.1:
        side = (low + high) / 2
        low, high = (side, high) if not shape.buffer(-side / 2, join_style="mitre").is_empty else (low, side)
    return low


@breaks("cavity", "bare", says="Nothing covers")
def hole_sawn_through_the_boards(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    """A square hole right through boards, battens and all, as for a duct."""
    at = a_space(sound, rng)
    size = draw(sound, now=1.0, gross=400.0)
    middle = rng.uniform(at.left, at.right)
    tool = box((middle - size / 2, at.y - size / 2, at.face), (middle + size / 2, at.y + size / 2, 1e3))
    wall = next(w for w in sound.model.walls if w.name == at.wall)
    behind = shapely.union_all([
        shapely.union_all(shapely.polygons(p.vertices[p.faces][:, :, :2]))
        for p in sound.model.of_kind(Kind.MEMBRANE, wall=at.wall)
    ]).intersection(shapely.Polygon(wall.outline))  # fmt: skip
    hole = shapely.box(middle - size / 2, at.y - size / 2, middle + size / 2, at.y + size / 2)
    if not behind.buffer(0.01).covers(hole):
        raise NoPlace
    changed, gone = [], []
    for part in sound.model.parts:
        low, high = part.vertices.min(axis=0), part.vertices.max(axis=0)
        if part.wall != at.wall or high[2] <= at.face + 1e-3 or part.layer in (Layer.FRAME, Layer.SHEATHING):
            continue
        if shapely.box(low[0], low[1], high[0], high[1]).intersection(hole).area > 0:
            shape = solid(part.vertices, part.faces) - tool
            for n, piece in enumerate(shape.decompose()):
                changed.append(as_part(part, piece, part.mark + "xyzuvw"[n]))
            gone.append(part.mark)
    parts = tuple(p for p in sound.model.parts if p.mark not in gone) + tuple(changed)
    return Broken(model=replace(sound.model, parts=parts), marks=frozenset(), size=size, within=0.1,
                  at=(middle, at.y), around=size)  # fmt: skip
