"""Solids open or inside out, pieces in each other, fixings in sight, timber too near the ground."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import numpy as np

from cladmodel.model import Kind, Layer, Part, Use

from .breaking import Broken, Draw, NoPlace, block, box, breaks, carved, moved, with_parts, without
from .measured import Board, boards
from .sound import Sound, buildings

FAR = 1e5
OF_TIMBER_LOW = (
    Kind.BOARD,
    Kind.STARTER,
    Kind.BATTEN,
    Kind.POST,
    Kind.SIDE_TRIM,
    Kind.HEAD_TRIM,
    Kind.SILL,
    Kind.PACKER,
    Kind.FILLET,
)


@breaks("solids", "open", says="is not closed")
def faces_missing(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    part = rng.choice(sound.model.parts)
    count = len(part.faces)
    if draw.over:
        lost = max(1, int(math.exp(rng.uniform(0, math.log(count)))) - 1)
        keep = rng.sample(range(count), count - lost)
        faces = part.faces[sorted(keep)]
    else:
        lost = 0  # the same triangles in another order, each begun at another corner
        faces = np.roll(part.faces[rng.sample(range(count), count)], rng.randrange(3), axis=1)
    return Broken(
        model=sound.model.replace_parts([replace(part, faces=faces)]),
        marks=frozenset({part.mark}),
        size=lost,
    )


@breaks("solids", "open", says="is not closed", short=False)
def face_turned_over(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    part = rng.choice(sound.model.parts)
    faces = part.faces.copy()
    row = rng.randrange(len(faces))
    faces[row] = faces[row][::-1]
    return Broken(
        model=sound.model.replace_parts([replace(part, faces=faces)]), marks=frozenset({part.mark}), size=1
    )


@breaks("solids", "volume", says="no volume")
def inside_out(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    part = rng.choice(sound.model.parts)
    if not draw.over:
        share = math.exp(rng.uniform(math.log(1e-3), 0))
        part = part.with_vertices(part.vertices[0] + (part.vertices - part.vertices[0]) * share)
        return Broken(model=sound.model.replace_parts([part]), marks=frozenset({part.mark}), size=share)
    shells = _shells(part)
    turned = shells == rng.choice(sorted(set(shells)))  # one of the two plates of a flashing, or all there is
    faces = np.where(turned[:, None], part.faces[:, ::-1], part.faces)
    return Broken(
        model=sound.model.replace_parts([replace(part, faces=faces)]), marks=frozenset({part.mark}), size=-1.0
    )


def _shells(part: Part) -> np.ndarray:
    """Which closed shell each face belongs to."""
    label = np.arange(len(part.vertices))
    for _ in range(len(label)):
        least = label[part.faces].min(axis=1)
        before = label.copy()
        np.minimum.at(label, part.faces.ravel(), np.repeat(least, 3))
        if (label == before).all():
            break
    return label[part.faces[:, 0]]


@breaks("clearance", "ground", says="above the ground")
def timber_down_to_the_ground(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    wall = rng.choice(sound.model.walls)
    own = list(sound.model.of_kind(*OF_TIMBER_LOW, wall=wall.name))
    low = wall.ground + 500
    part = rng.choice([p for p in own if p.vertices[:, 1].min() < low] if rng.random() < 0.8 else own)
    bottom = float(part.vertices[:, 1].min())
    size = draw(sound, now=bottom - wall.ground, gross=-100.0)
    vertices = part.vertices.copy()
    foot = vertices[:, 1] < bottom + 0.5
    vertices[foot, 1] += size - (bottom - wall.ground)
    return Broken(
        model=sound.model.replace_parts([part.with_vertices(vertices)]),
        marks=frozenset({part.mark}),
        size=size,
        within=0.5,
    )


@breaks("clashes", "depth", says="stands", pool=buildings)
def piece_moved_into_its_neighbour(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    """Two box-like pieces that touch face to face; one goes into the other."""
    one = rng.choice(sound.model.parts)
    low, high = one.vertices.min(axis=0), one.vertices.max(axis=0)
    if not _is_box(one):
        raise NoPlace
    touching = []
    for other in sound.model.parts:
        if other is one or other.wall != one.wall or not _is_box(other):
            continue
        a, b = other.vertices.min(axis=0), other.vertices.max(axis=0)
        shared = np.minimum(high, b) - np.maximum(low, a)
        for axis in range(3):
            rest = np.delete(shared, axis)
            if abs(shared[axis]) < 1e-6 and (rest > 1.0).all():
                touching.append((other, axis, 1.0 if low[axis] < a[axis] else -1.0, float(rest.min())))
    if not touching:
        raise NoPlace
    other, axis, way, room = rng.choice(touching)
    size = draw(sound, now=0.0, gross=min(20.0, room, float(np.ptp(other.vertices[:, axis]))))
    by = np.zeros(3)
    by[axis] = way * size
    part = moved(one, by)
    return Broken(model=sound.model.replace_parts([part]), marks=frozenset({one.mark, other.mark}), size=size)


def _is_box(part: Part) -> bool:
    """Whether a piece fills its box: the volume says so."""
    size = np.ptp(part.vertices, axis=0).prod()
    corner = part.vertices[part.faces] - part.vertices[0]
    volume = np.einsum("ij,ij->i", corner[:, 0], np.cross(corner[:, 1], corner[:, 2])).sum() / 6
    return bool(abs(volume - size) < 1e-6 * size)


@breaks("clashes", "depth", says="stands", pool=buildings)
def something_stands_in_a_piece(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    """A stray block of random size, its corner in a random corner or side of any piece, of any shape."""
    part = rng.choice(sound.model.parts)
    face = part.faces[rng.randrange(len(part.faces))]
    corner = part.vertices[face]
    normal = np.cross(corner[1] - corner[0], corner[2] - corner[0])
    area = float(np.linalg.norm(normal))
    if area < 50:
        raise NoPlace
    normal /= area
    weight = np.array([rng.random() + 0.2 for _ in range(3)])
    at = (weight[:, None] * corner).sum(axis=0) / weight.sum()
    size = draw(sound, now=0.0, gross=4.0)
    # A pin square to the face: a prism with its end `size` deep in the wood, or just in front of it.
    wide = rng.uniform(0.05, 1.0)
    aside = np.cross(normal, [1.0, 0, 0] if abs(normal[0]) < 0.9 else [0, 1.0, 0])
    aside /= np.linalg.norm(aside)
    other = np.cross(normal, aside)
    if size > 2 * wide:
        wide = size  # so that the depth, not the width, is the least move
    shape = block("pin", Kind.SCENERY, part.wall, (-wide, -wide, -size), (wide, wide, 3.0))
    frame = np.stack([aside, other, normal])
    pin = shape.with_vertices(shape.vertices @ frame + at)
    # In front of the face it may well stand in something else: short of it, only this pair is asked about.
    marks = frozenset({"pin" if draw.over else part.mark})
    return Broken(model=with_parts(sound.model, pin), marks=marks, size=size)


@breaks("clashes", "depth", says="stands", pool=buildings, short=False)
def post_into_the_other_wall(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    """At a corner a post is moved into the boards of either wall."""
    if len(sound.model.walls) < 2:
        raise NoPlace
    post = rng.choice(sound.model.of_kind(Kind.POST))
    own = boards(sound.model)
    beside = [b for b in own if b.part.wall == post.wall and 0 <= b.left - post.vertices[:, 0].max() < 10]
    beside += [b for b in own if b.part.wall == post.wall and 0 <= post.vertices[:, 0].min() - b.right < 10]
    if not beside:
        raise NoPlace
    board = rng.choice(beside)
    way = 1.0 if board.left > post.vertices[:, 0].min() else -1.0
    gap = board.left - post.vertices[:, 0].max() if way > 0 else post.vertices[:, 0].min() - board.right
    size = draw(sound, now=0.0, gross=20.0)
    part = moved(post, (way * (gap + size), 0, 0))
    return Broken(model=sound.model.replace_parts([part]), marks=frozenset({post.mark}), size=size)


def _hidden(sound: Sound, rng: random.Random) -> tuple[np.ndarray, str, str]:
    groups = [g for g in sound.model.fixings if g.concealed and g.use is not Use.BOARD]
    group = rng.choice(groups)
    index = rng.randrange(len(group.heads))
    start = group.heads[index] - group.directions[index] * (group.fastener.head_thickness + 0.1)
    return start, group.mark, group.wall


@breaks("concealed", "seen", says="can be seen", pool=buildings)
def hole_before_a_hidden_head(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    """A hole through whatever covers a head, as wide as the sight lines stand apart, or a blind one."""
    start, mark, wall = _hidden(sound, rng)
    before = [
        p
        for p in sound.model.parts
        if p.wall == wall
        and p.layer in (Layer.BOARDS, Layer.STARTER, Layer.TRIMS)
        and p.vertices[:, 0].min() < start[0] < p.vertices[:, 0].max()
        and p.vertices[:, 1].min() < start[1] < p.vertices[:, 1].max()
        and p.vertices[:, 2].max() > start[2]
    ]
    if not before or not any(p.kind is Kind.BOARD for p in before):
        raise NoPlace
    front = max(float(p.vertices[:, 2].max()) for p in before)
    deep = front - start[2]
    # The lines 5 deg up and down, straight ahead, are always among those that look out.
    half = rng.uniform(1.05, 4.0) * deep * math.tan(math.radians(5.0))
    back = start[2] - 0.05 if draw.over else max(float(p.vertices[:, 2].max()) for p in before) - 4.0
    tool = box((start[0] - half, start[1] - half, back), (start[0] + half, start[1] + half, FAR))
    model = sound.model
    for part in before:
        try:
            model = model.replace_parts([carved(part, tool)])
        except NoPlace:
            if part.kind is Kind.BOARD:
                raise
            model = without(model, part.mark)
    return Broken(
        model=model,
        marks=frozenset({mark}),
        size=1.0 if draw.over else 0.0,
        at=(float(start[0]), float(start[1])),
        around=1.0,
    )


@breaks("concealed", "seen", says="can be seen", pool=buildings, short=False)
def hidden_fixing_through_the_face(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    groups = [g for g in sound.model.fixings if g.concealed and g.use is Use.BATTEN]
    group = rng.choice(groups)
    index = rng.randrange(len(group.heads))
    own = [Board(p) for p in sound.model.of_kind(Kind.BOARD, wall=group.wall)]
    head = group.heads[index]
    front = [b.box[1][2] for b in own if b.left < head[0] < b.right and b.box[0][1] < head[1] < b.box[1][1]]
    if not front:
        raise NoPlace
    heads = group.heads.copy()
    heads[index] -= group.directions[index] * (max(front) - head[2] + rng.uniform(0.5, 20))
    changed = replace(group, heads=heads)
    model = replace(sound.model, fixings=tuple(changed if g is group else g for g in sound.model.fixings))
    return Broken(
        model=model,
        marks=frozenset({group.mark}),
        size=1.0,
        at=(float(head[0]), float(head[1])),
        around=1.0,
    )
