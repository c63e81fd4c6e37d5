"""Air stopped: things in the cavity, bulging membrane, slots filled or cut too wide."""

from __future__ import annotations

import math
import random
from dataclasses import dataclass, replace

import numpy as np
import shapely

from cladmodel.checks.exposure import Mesh
from cladmodel.model import Kind, Layer, Model, Part
from cladmodel.solids.sections import section_polygons

from .breaking import Broken, Draw, NoPlace, as_part, block, box, breaks, carved, solid, with_parts
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


def strip_lines(model: Model, wall: str) -> dict[float, list[Part]]:
    lines: dict[float, list[Part]] = {}
    for strip in model.of_kind(Kind.VENT_STRIP, wall=wall):
        lines.setdefault(round(float(strip.vertices[:, 1].min()), 2), []).append(strip)
    return lines


def slots_of(strip: Part) -> list[shapely.Polygon]:
    """Its slots in plan, (x, z)."""
    y = float(strip.vertices[:, 1].min() + strip.vertices[:, 1].max()) / 2
    return [
        shapely.Polygon(hole) for _, polygon in section_polygons([strip], y=y) for hole in polygon.interiors
    ]


def filled(strip: Part, shapes: list[tuple[float, float, float, float]]) -> Part:
    """A strip with boxes (x0, z0, x1, z1) of its own thickness added."""
    low, high = float(strip.vertices[:, 1].min()), float(strip.vertices[:, 1].max())
    whole = solid(strip.vertices, strip.faces)
    for x0, z0, x1, z1 in shapes:
        whole = whole + box((x0, low, z0), (x1, high, z1))
    return as_part(strip, whole)


def shrunk(model: Model, strips: list[Part], shares: dict[str, dict[int, float]]) -> Model:
    """Slots cut down to a share of their length, by strip and number."""
    changed = []
    for strip in strips:
        own = shares.get(strip.mark, {})
        boxes = []
        for number, slot in enumerate(slots_of(strip)):
            share = own.get(number, 1.0)
            x0, z0, x1, z1 = slot.bounds
            if share < 1:
                boxes.append((x0 + (x1 - x0) * share, z0, x1, z1) if share > 0 else (x0, z0, x1, z1))
        if boxes:
            changed.append(filled(strip, boxes))
    return model.replace_parts(changed)


@breaks("cavity", "strip", says="lets air through")
def slots_filled_along_a_strip(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    wall = rng.choice(sound.model.walls)
    lines = strip_lines(sound.model, wall.name)
    if not lines:
        raise NoPlace
    strips = lines[rng.choice(list(lines))]
    low = float(strips[0].vertices[:, 1].max())
    battens = [p for p in sound.model.of_kind(Kind.BATTEN, wall=wall.name) if upright(p)]
    first = min(p.vertices[:, 0].max() for p in battens)
    last = max(p.vertices[:, 0].min() for p in battens)
    timber = [
        shapely.box(p.vertices[:, 0].min(), -1e3, p.vertices[:, 0].max(), 1e3)
        for p in battens
        if p.vertices[:, 1].min() < low + 1 < p.vertices[:, 1].max()
    ]
    if min(s.vertices[:, 0].max() for s in strips) - first < LEAST_BAY:
        raise NoPlace
    bays = shapely.box(first, -1e3, last, 1e3).difference(shapely.union_all(timber))
    whole = [(s, n, slot) for s in strips for n, slot in enumerate(slots_of(s))]
    slots = [(s, n, slot.intersection(bays).area, slot.area) for s, n, slot in whole]
    slots = [one for one in slots if one[2] > 0]
    spans = [(max(s.vertices[:, 0].min(), first), min(s.vertices[:, 0].max(), last)) for s in strips]
    length = sum(max(b - a, 0.0) for a, b in spans)
    now = sum(area for _, _, area, _ in slots) / length * METRE
    size = draw(sound, now=now, gross=20.0)
    too_much = (now - size) * length / METRE
    shares: dict[str, dict[int, float]] = {}
    rng.shuffle(slots)
    for strip, number, area, all_of_it in slots:
        if too_much <= 0:
            break
        if area < all_of_it - 0.5:
            continue  # partly under a batten
        take = min(area, too_much)
        too_much -= take
        shares.setdefault(strip.mark, {})[number] = 1 - take / area
    return Broken(
        model=shrunk(sound.model, strips, shares),
        marks=frozenset(s.mark for s in strips),
        size=size,
        within=1.0 if too_much <= 0 else None,
    )


def a_foot(sound: Sound, rng: random.Random) -> tuple[str, float, float, list[Part], float]:
    """A bay with strip across its foot, or over an opening; with how many mm2 are open."""
    wall = rng.choice(sound.model.walls)
    left, right = rng.choice(bays_of(sound.model, wall.name))
    lines = strip_lines(sound.model, wall.name)
    if not lines:
        raise NoPlace
    line = lines[rng.choice(list(lines))]
    strips = [s for s in line if s.vertices[:, 0].min() < right and s.vertices[:, 0].max() > left]
    if not strips or min(s.vertices[:, 0].min() for s in strips) > left + 0.01:
        raise NoPlace
    if max(s.vertices[:, 0].max() for s in strips) < right - 0.01:
        raise NoPlace
    bay = shapely.box(left, -1e3, right, 1e3)
    free = sum(slot.intersection(bay).area for s in strips for slot in slots_of(s))
    return wall.name, left, right, strips, free


@breaks("air", "free area", says="lets through")
def slots_filled_in_one_bay(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    _, left, right, strips, free = a_foot(sound, rng)
    per = METRE / (right - left)
    size = draw(sound, now=free * per, gross=10.0)
    too_much = (free * per - size) / per
    slots = [(s, n, slot) for s in strips for n, slot in enumerate(slots_of(s))
             if slot.bounds[0] > left and slot.bounds[2] < right]  # fmt: skip
    rng.shuffle(slots)
    shares: dict[str, dict[int, float]] = {}
    for strip, number, slot in slots:
        if too_much <= 0:
            break
        take = min(slot.area, too_much)
        too_much -= take
        shares.setdefault(strip.mark, {})[number] = 1 - take / slot.area
    if too_much > 0:
        raise NoPlace
    return Broken(
        model=shrunk(sound.model, strips, shares),
        marks=frozenset(s.mark for s in strips),
        size=size,
        within=5.0,
    )


@breaks("air", "free area", says="lets through", also="mm wide")
def slots_covered_in_one_bay(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    """Something lies on the strip, over some of its slots."""
    wall, left, right, strips, free = a_foot(sound, rng)
    per = METRE / (right - left)
    bay = shapely.box(left, -1e3, right, 1e3)
    slots = shapely.union_all([slot for s in strips for slot in slots_of(s)]).intersection(bay)
    size = draw(sound, now=free * per, gross=0.0)
    # From the left, as far as covers enough.
    low, high = left, right
    for _ in range(60):
        x = (low + high) / 2
        if slots.intersection(shapely.box(x, -1e3, right, 1e3)).area * per > size:
            low = x
        else:
            high = x
    top = float(strips[0].vertices[:, 1].max())
    face = max(float(p.vertices[:, 2].max()) for p in sound.model.of_kind(Kind.MEMBRANE, wall=wall))
    lying = block("lying", Kind.PACKER, wall, (left, top, face), (high, top + 3, 0.0))
    return Broken(model=with_parts(sound.model, lying), marks=frozenset(), size=size,
                  at=((left + right) / 2, top), around=(right - left) / 2 + 20)  # fmt: skip


@breaks("air", "narrowest", says="mm wide", also="lets through")
def slots_cut_narrow_in_one_bay(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    _, left, right, strips, _ = a_foot(sound, rng)
    slots = [(s, slot) for s in strips for slot in slots_of(s)
             if slot.bounds[2] > left and slot.bounds[0] < right]  # fmt: skip
    wide = min(min(b[2] - b[0], b[3] - b[1]) for _, slot in slots for b in (slot.bounds,))
    size = draw(sound, now=wide, gross=0.2)
    changed = []
    for strip in strips:
        boxes = []
        for x0, z0, x1, z1 in (slot.bounds for s, slot in slots if s is strip):
            if z1 - z0 <= x1 - x0:
                boxes.append((x0, z0 + size, x1, z1))
            else:
                boxes.append((x0 + size, z0, x1, z1))
        changed.append(filled(strip, boxes) if boxes else strip)
    return Broken(
        model=sound.model.replace_parts(changed), marks=frozenset(s.mark for s in strips), size=size
    )


def a_head(sound: Sound, rng: random.Random) -> tuple[str, float, float, float, float]:
    """A bay under a level soffit: its wall, sides, head, and how wide the gap is under it."""
    wall = rng.choice(sound.model.walls)
    left, right = rng.choice(bays_of(sound.model, wall.name))
    tops = [y for x, y in wall.outline if y > wall.outline[:, 1].min() + 300]
    if max(tops) - min(tops) > 1:
        raise NoPlace  # raking: the gap is not one figure
    return wall.name, left, right, float(wall.head), 0.0


@breaks("air", "free area", says="lets through", also="mm wide")
def head_filled_in_one_bay(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    """Foam or an offcut between the boards' tops and soffit and fillet, over some of a bay's width."""
    wall, left, right, head, _ = a_head(sound, rng)
    fillet = [p for p in sound.model.of_kind(Kind.FILLET, wall=wall)
              if p.vertices[:, 0].min() < left + 1 and p.vertices[:, 0].max() > right - 1]  # fmt: skip
    boards = [p for p in sound.model.of_kind(Kind.BOARD, wall=wall)
              if p.vertices[:, 0].min() < left + 1 and p.vertices[:, 0].max() > right - 1]  # fmt: skip
    if not fillet or not boards:
        raise NoPlace
    top = max(boards, key=lambda p: float(p.vertices[:, 1].max()))
    x = (left + right) / 2
    cut = [q for _, q in section_polygons([top], x=x)]
    if not cut:
        raise NoPlace
    faced = [q for _, q in section_polygons(fillet, x=x)] + [shapely.box(-1e3, head, 1e3, head + 1e3)]
    gap = min(float(shapely.distance(q, f)) for q in cut for f in faced)
    mesh = sound.exposure.mesh
    now = gap * METRE * (mesh.open_share if mesh else 1.0)  # a mesh behind it takes its share
    size = draw(sound, now=now, gross=0.0)
    covered = (right - left) * (1 - size / now)
    at = rng.uniform(left, right - covered)
    # A stop that fills the gap whole from the cavity to the fillet, from the boards' tops to the soffit.
    low = float(top.vertices[:, 1].max()) - 40
    stop = box((at, low, 0.0), (at + covered, head, float(fillet[0].vertices[:, 2].min())))
    for part in [
        top,
        *(p for p in sound.model.parts if p.wall == wall and p.kind in (Kind.PACKER, Kind.BATTEN)),
    ]:
        stop = stop - solid(part.vertices, part.faces)
    pieces = stop.decompose()
    if not pieces:
        raise NoPlace
    blank = replace(top, mark="stop", kind=Kind.PACKER, course=None)
    extra = [as_part(blank, p, f"stop{n}") for n, p in enumerate(pieces)]
    return Broken(model=with_parts(sound.model, *extra), marks=frozenset(), size=size,
                  at=(x, head), around=(right - left) / 2 + 100)  # fmt: skip


@breaks("air", "insects", says="insects pass")
def slot_cut_too_wide(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    _, left, right, strips, _ = a_foot(sound, rng)
    strip = rng.choice(strips)
    bay = shapely.box(left, -1e3, right, 1e3)
    slots = [slot for slot in slots_of(strip) if bay.contains(slot)]
    if not slots:
        raise NoPlace
    slot = rng.choice(slots)
    x0, z0, x1, z1 = slot.bounds
    wide = min(x1 - x0, z1 - z0)
    size = draw(sound, now=wide * 0.5, gross=12.0)
    if size > max(x1 - x0, z1 - z0) - 0.1:
        raise NoPlace  # the other side is the short one then
    low, high = float(strip.vertices[:, 1].min()), float(strip.vertices[:, 1].max())
    along = z1 - z0 <= x1 - x0
    if size < wide:
        shape = (x0, z0 + size, x1, z1) if along else (x0 + size, z0, x1, z1)
        part = filled(strip, [shape])
    else:
        tool = box((x0, low - 1, z0), (x1, high + 1, z0 + size) if along else (x0 + size, high + 1, z1))
        part = carved(strip, tool)
    if len(slots_of(part)) != len(slots_of(strip)):
        raise NoPlace  # run into the slot beside it
    return Broken(
        model=sound.model.replace_parts([part]), marks=frozenset({part.mark}), size=size, within=0.05
    )


@breaks("air", "insects", says="insects pass")
def mesh_too_coarse(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    size = draw(sound, now=0.5, gross=25.0)
    given = replace(sound.exposure, mesh=Mesh(aperture=size, open_share=1.0))
    return Broken(
        model=sound.model, marks=frozenset(), size=size, within=0.01, sound=replace(sound, exposure=given)
    )
