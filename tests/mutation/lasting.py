"""Boards, nails and timber that will not last: movement, wind, kinds of fixing, facts of the boards."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import numpy as np

from cladmodel.checks.exposure import Drilled, Heart
from cladmodel.checks.moisture import states
from cladmodel.checks.rules import Limit
from cladmodel.checks.wind import nail_uses
from cladmodel.model import Fixings, Kind, Part, Use
from cladmodel.solids.measure import gather
from cladmodel.solids.rays import crossings
from cladmodel.standards.nails import least_undrilled, penetration_factor
from cladmodel.standards.species import SPECIES

from .breaking import Broken, Draw, NoPlace, box, breaks, carved, heads_moved, moved, one_alone
from .hanging import lapping
from .measured import Board, boards
from .nailing import _depth, _own, _top_below, a_nail, cut_beyond, place
from .sound import Sound

FAR = 1e5
THICK = 6.0
"""Width over butt of boards that are thick enough to begin with."""


def _states(sound: Sound) -> tuple[float, float, float, float]:
    """Change of width and thickness at the driest, then at the wettest."""
    e = sound.exposure
    assert e.climate is not None
    assert e.species is not None
    assert e.fixing_moisture is not None
    dry, wet = states(e.climate, e.species, e.sawn, e.fixing_moisture)
    return dry.across, dry.through, wet.across, wet.through


def nail_height(sound: Sound, board: Board) -> float:
    """Where up its back a board is nailed: the middle one of its nails."""
    group = sound.model.fixings_for(Use.BOARD, wall=board.part.wall)[0]
    own = [float(g.heads[i] @ board.up) for g, i in _own(sound, group, board)]
    if not own:
        raise NoPlace
    return float(np.median(own))


def _dry_lap(sound: Sound, upper: Board, lower: Board, lap: float) -> float:
    across = _states(sound)[0]
    down = (lower.heights[1] - nail_height(sound, lower)) * -across
    up = (nail_height(sound, upper) - upper.heights[0]) * -across
    return lap - down - up * float(upper.up @ lower.up)


@breaks("moisture", "dry lap", says="At its driest board")
def laps_too_little_once_dry(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    upper, lower, lap, _ = lapping(sound, rng)
    now = _dry_lap(sound, upper, lower, lap)
    size = draw(sound, now=now, gross=-10.0)
    # Raised with its nails, which shrinks it about the same line.
    by = (now - size) * lower.up
    model = sound.model.replace_parts([moved(upper.part, by)])
    for group, index in _own(sound, sound.model.fixings_for(Use.BOARD, wall=upper.part.wall)[0], upper):
        here = next(g for g in model.fixings if g.mark == group.mark and g.wall == group.wall)
        model = heads_moved(model, here, index, by)
    return Broken(model=model, marks=frozenset({upper.part.mark}), size=size, within=0.1)


@breaks("moisture", "wet clearance", says="At its wettest")
def nailed_too_low_to_swell(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    group, index, board, _ = a_nail(sound, rng)
    x = float(group.heads[index][0])
    top = _top_below(sound, group, index, board)
    under = [b for b in boards(sound.model) if b.part.course == (board.part.course or 0) - 1
             and b.part.wall == board.part.wall and b.left < x < b.right]  # fmt: skip
    lower = max(under, key=lambda b: float(b.box[1][1]))
    ends = lower.at(x)
    if ends is None:
        raise NoPlace
    height = float(ends[1] @ lower.up[1:])
    thin = (top - float(ends[1][0])) / math.sin(lower.lean)  # of the top edge, which swells too
    _, _, across, through = _states(sound)
    rise = (height - nail_height(sound, lower)) * across * math.cos(lower.lean)
    rise += thin * through * math.sin(lower.lean)
    now = float(group.heads[index][1]) - group.fastener.diameter / 2 - top - rise
    size = draw(sound, now=now, gross=-rise * 0.9)
    return Broken(
        model=heads_moved(sound.model, group, index, (0, size - now, 0)),
        marks=frozenset({board.part.mark}),
        size=size,
        within=0.05,
    )


@breaks("moisture", "dry gap", says="At its driest a gap")
def hung_too_wet_to_stay_closed(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    """Boards hung wetter: the gap under one butt by its own geometry, and so of the worst at least."""
    upper, lower, _, places = lapping(sound, rng)
    # No timber here opens the default's 1.5 mm: a stricter limit is set.
    limit = Limit(value=rng.uniform(0.1, 0.4), basis="set by the test")
    sound = replace(sound, exposure=replace(sound.exposure, dry_gap=limit))
    size = draw(sound, now=0.0, gross=1.2)
    x = places[len(places) // 2]
    ends = upper.at(x)
    if ends is None:
        raise NoPlace
    one, two = nail_height(sound, upper), nail_height(sound, lower)

    def gap(moisture: float) -> float:
        wetter = replace(sound, exposure=replace(sound.exposure, fixing_moisture=moisture))
        across, through, _, _ = _states(wetter)
        foot = ends[0] + (float(ends[0] @ upper.up[1:]) - one) * across * upper.up[1:]
        face = lower.part.vertices
        height, depth = face @ lower.up, face @ lower.out - lower.back
        front = depth > depth.max() * 0.2
        h, d = height[front], depth[front]
        slope, thick = np.polyfit(h, d, 1)
        # The face after: heights moved about the nails, thickness from the back.
        at, out = float(foot @ lower.up[1:]), float(foot @ lower.out[1:]) - lower.back
        before = two + (at - two) / (1 + across)
        return float(out - (thick + slope * before) * (1 + through)) * math.cos(math.atan(slope))

    low, high = 12.0, 30.0
    if not gap(low) < size < gap(high):
        raise NoPlace
    for _ in range(50):
        moisture = (low + high) / 2
        low, high = (moisture, high) if gap(moisture) < size else (low, moisture)
    wetter = replace(sound, exposure=replace(sound.exposure, fixing_moisture=low))
    if not draw.over:
        # The worst of all boards is what is said; held only where this one is near it.
        return Broken(model=sound.model, marks=frozenset({upper.part.mark}), size=size, sound=wetter)
    return Broken(model=sound.model, marks=frozenset(), size=size, sound=wetter)


@breaks("moisture", "too wet", says="too wet")
def hung_too_wet(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    size = draw(sound, now=15.0, gross=60.0)
    wet = replace(sound, exposure=replace(sound.exposure, fixing_moisture=size))
    return Broken(model=sound.model, marks=frozenset(), size=size, within=0.01, sound=wet)


@breaks("moisture", "too dry", says="too dry")
def hung_too_dry(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    size = draw(sound, now=15.0, gross=4.0)
    dry = replace(sound, exposure=replace(sound.exposure, fixing_moisture=size))
    return Broken(model=sound.model, marks=frozenset(), size=size, within=0.01, sound=dry)


@breaks("wind", "pull", says="is pulled too hard", also="holds nothing")
def nail_holds_too_little(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    """One nail shorter: its point holds less of the same pull."""
    wall = sound.model.walls[0]
    uses = nail_uses(sound.model, wall, sound.exposure)
    if max(use.use for use in uses) >= 1:
        raise NoPlace
    use = rng.choice(uses)
    nail = use.held.nail
    if use.holds.governs != "point":
        raise NoPlace
    size = draw(sound, now=use.use, gross=8.0)
    d, ringed = nail.fastener.diameter, nail.fastener.ringed

    def out(depth: float) -> float:
        return penetration_factor(depth, d, ringed=ringed) * depth

    whole = out(nail.penetration) * use.use  # what it would have to hold to be used up just so
    low, high = 0.0, nail.penetration
    for _ in range(60):
        depth = (low + high) / 2
        low, high = (depth, high) if out(depth) < whole / size else (low, depth)
    shorter = replace(nail.fastener, length=nail.fastener.length - (nail.penetration - high))
    index = int(np.abs(nail.group.heads - nail.head).sum(axis=1).argmin())
    return Broken(
        model=one_alone(sound.model, nail.group, index, fastener=shorter),
        marks=frozenset({use.held.board.mark}),
        size=size,
        at=place(nail.group, index),
        around=1.0,
    )


@breaks("wind", "holds nothing", says="holds nothing")
def nail_barely_in(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    group, index, board, batten = a_nail(sound, rng)
    d = group.fastener.diameter
    now = _depth(group, index, batten)
    size = draw(sound, now=now / d, gross=0.2)
    shorter = replace(group.fastener, length=group.fastener.length - (now - size * d))
    return Broken(
        model=one_alone(sound.model, group, index, fastener=shorter),
        marks=frozenset({board.part.mark}),
        size=size,
        within=0.01,
        at=place(group, index),
        around=1.0,
    )


def _some(sound: Sound, rng: random.Random) -> tuple[Fixings, int]:
    groups = sound.model.fixings_for(Use.BOARD)
    group = rng.choice(groups)
    return group, rng.randrange(len(group.heads))


@breaks("fixings", "head", says="has no head")
def pin_instead_of_a_nail(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    group, index = _some(sound, rng)
    d = group.fastener.diameter
    head = d if draw.over else d * rng.uniform(1.1, 3.0)
    pin = replace(group.fastener, head_diameter=head, headed=head > d)
    return Broken(
        model=one_alone(sound.model, group, index, fastener=pin),
        marks=frozenset({f"{group.mark}, one alone"}),
        size=head / d,
    )


@breaks("fixings", "length", says="times the board's")
def nail_short_for_its_board(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    group, index = _some(sound, rng)
    butt = max(_butt(b) for b in boards(sound.model))
    size = draw(sound, now=group.fastener.length / butt, gross=0.2)
    short = replace(group.fastener, length=size * butt)
    return Broken(
        model=one_alone(sound.model, group, index, fastener=short),
        marks=frozenset({f"{group.mark}, one alone"}),
        size=size,
    )


def _butt(board: Board) -> float:
    own = board.part.vertices
    low = own[(own @ board.up) < board.heights[0] + 1e-3]
    return float((low @ board.out).max() - board.back)


@breaks("fixings", "metal", says=" of ")
def wrong_metal(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    group = rng.choice(sound.model.fixings)
    index = rng.randrange(len(group.heads))
    bad = ["galvanised steel", "bare steel", "zinc plated steel", "iron"]
    good = ["stainless steel A4", "silicon bronze", "copper"]
    size = replace(group.fastener, material=rng.choice(bad if draw.over else good))
    species = replace(sound.exposure, species=SPECIES["European oak"])
    return Broken(
        model=one_alone(sound.model, group, index, fastener=size),
        marks=frozenset({f"{group.mark}, one alone"}),
        size=1.0,
        sound=replace(sound, exposure=species),
    )


@breaks("fixings", "wide", says="wide boards cup")
def board_too_wide(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    board = Board(rng.choice(sound.model.of_kind(Kind.BOARD)))
    now = board.heights[1] - board.heights[0]
    size = draw(sound, now=now, gross=800.0)
    height = board.part.vertices @ board.up - board.heights[0]
    vertices = board.part.vertices + (height * (size / now - 1))[:, None] * board.up
    return Broken(
        model=sound.model.replace_parts([board.part.with_vertices(vertices)]),
        marks=frozenset({board.part.mark}),
        size=size,
        within=0.05,
    )


@breaks("fixings", "end", says="from the end of board")
def nail_near_the_boards_end(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    group, index, board, _ = a_nail(sound, rng)
    x, _ = place(group, index)
    d = group.fastener.diameter
    size = draw(sound, now=min(x - board.left, board.right - x) / d, gross=0.5) * d
    return cut_beyond(sound, rng, (group, index), board, size, draw.limit(sound) * d)


@breaks("fixings", "edge", says="from the edge of board")
def nail_near_the_boards_edge(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    """The board is ripped down to just above one of its nails, or notched there."""
    group, index, board, _ = a_nail(sound, rng)
    x, y = place(group, index)
    d = group.fastener.diameter
    cut = board.part.vertices
    now = min(y - float(cut[:, 1].min()), float(cut[:, 1].max()) - y)
    size = draw(sound, now=now / d, gross=0.5) * d
    wide = rng.choice([20.0, 100.0, FAR])
    if rng.random() < 0.5:
        tool = box((x - wide, y + size, -FAR), (x + wide, FAR, FAR))
    else:
        tool = box((x - wide, -FAR, -FAR), (x + wide, y - size, FAR))
    part = carved(board.part, tool)
    return Broken(
        model=sound.model.replace_parts([part]),
        marks=frozenset({part.mark}),
        size=size,
        within=0.05,
        # Ripped all along, other nails of the board come as near: any of them may be named.
        at=(x, y) if wide < 50 else None,
        around=1.0,
    )


@breaks("fixings", "undrilled", says="holes are drilled in wood")
def board_planed_at_an_undrilled_nail(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    group, index, board, _ = a_nail(sound, rng)
    kind = next(species for species in SPECIES.values() if not species.splits)
    pine = replace(sound.exposure, species=kind, drilled=Drilled.NONE)
    undrilled = replace(sound, exposure=pine)
    if any("holes are drilled in wood" in f.text for f in undrilled.findings("fixings")):
        raise NoPlace  # too thin to go undrilled anywhere: another nail would be named
    timber = sound.exposure.board_timber
    assert timber is not None
    least = least_undrilled(group.fastener.diameter, timber.density, splits=kind.splits)
    x, y = place(group, index)
    thick = _thickness(board.part, group, index)
    size = draw(sound, now=thick / least, gross=0.1)
    face = float(group.heads[index][2])
    deep = thick - size * least
    tool = box((x - 5, y - 5, face - deep), (x + 5, y + 5, FAR))
    part = carved(board.part, tool)
    # The nail is driven to the new face.
    model = heads_moved(sound.model.replace_parts([part]), group, index, (0, 0, -deep))
    return Broken(
        model=model,
        marks=frozenset({part.mark}),
        size=size,
        at=(x, y),
        around=1.0,
        sound=undrilled,
    )


def _thickness(part: Part, group: Fixings, index: int) -> float:
    found = crossings(gather([part]), group.heads[[index]], group.directions[[index]], -5.0, 90.0)
    return float(found.leave[0] - max(found.enter[0], 0.0))


@breaks("board_facts", "ratio", says="is recommended")
def board_sawn_thin(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    board = Board(rng.choice(sound.model.of_kind(Kind.BOARD)))
    full = max(b.heights[1] - b.heights[0] for b in boards(sound.model))
    now = (board.heights[1] - board.heights[0]) / _butt(board)
    if board.heights[1] - board.heights[0] < full - 0.5 or now > THICK * 0.97:
        raise NoPlace  # ripped, or of boards that are all too wide for their butts
    size = draw(sound, now=now, gross=30.0)
    depth = board.part.vertices @ board.out - board.back
    vertices = board.part.vertices + (depth * (now / size - 1))[:, None] * board.out
    return Broken(
        model=sound.model.replace_parts([board.part.with_vertices(vertices)]),
        marks=frozenset({board.part.mark}),
        size=size,
        within=0.05,
    )


@breaks("board_facts", "square", says="to its back")
def butt_out_of_square(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    board = Board(rng.choice(sound.model.of_kind(Kind.BOARD)))
    size = draw(sound, now=0.0, gross=25.0)
    way = rng.choice([-1.0, 1.0])
    own = board.part.vertices
    height, depth = own @ board.up - board.heights[0], own @ board.out - board.back
    nose = (depth > 5) & (height < 1e-3)
    full = max(b.heights[1] - b.heights[0] for b in boards(sound.model))
    if nose.sum() < 2 or board.heights[1] - board.heights[0] < full - 0.5:
        raise NoPlace
    # The nose moves along the front face, which so stays flat.
    up, out = float(board.front @ board.out), -float(board.front @ board.up)
    slope = way * math.tan(math.radians(size))
    step = depth[nose] * slope / (up - slope * out)
    vertices = own.copy()
    vertices[nose] += step[:, None] * (up * board.up + out * board.out)
    return Broken(
        model=sound.model.replace_parts([board.part.with_vertices(vertices)]),
        marks=frozenset({board.part.mark}),
        size=size,
        within=0.05,
    )


@breaks("board_facts", "heart", says="edges lift off")
def heart_side_in(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    given = replace(sound.exposure, heart=Heart.IN if draw.over else Heart.OUT)
    return Broken(
        model=sound.model, marks=frozenset(), size=float(draw.over), sound=replace(sound, exposure=given)
    )


@breaks("board_facts", "ends", says="left bare")
def cut_ends_bare(sound: Sound, rng: random.Random, draw: Draw) -> Broken:
    given = replace(sound.exposure, cut_ends_treated=not draw.over)
    return Broken(
        model=sound.model, marks=frozenset(), size=float(draw.over), sound=replace(sound, exposure=given)
    )
