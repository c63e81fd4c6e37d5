"""Openings for air: slots of the vent strip filled, covered or cut too wide, heads closed, a coarse mesh."""

from __future__ import annotations

import random
from dataclasses import replace

import shapely

from cladmodel.checks.exposure import Mesh
from cladmodel.model import Kind, Model, Part
from cladmodel.solids.sections import section_polygons

from .airing import LEAST_BAY, METRE, bays_of, upright
from .breaking import Broken, Draw, NoPlace, as_part, block, box, breaks, carved, solid, with_parts
from .sound import Sound

LEAST_LINE = 500.0


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
    standing = [p for p in sound.model.of_kind(Kind.BATTEN, wall=wall.name) if upright(p)]
    battens = [
        p for p in standing if p.vertices[:, 0].max() > 1e-3 and p.vertices[:, 0].min() < wall.length - 1e-3
    ]
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
    if length < LEAST_LINE:
        raise NoPlace
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
