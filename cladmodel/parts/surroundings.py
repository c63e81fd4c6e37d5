"""What stands round a wall in a picture: ground, plinth, body, eaves, glazing and doors.

Nothing here is measured, counted or bought. A wall on its own gets a small building behind it: two
returns clad with the profile of its own boards, a back wall, a room, and a roof (hipped over a level
top, else following the top's rake), so that the wall is seen as it will stand and no light comes from behind.

Sizes are chosen by eye for pictures; none of them is a recommendation.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import shapely

from cladmodel.model import Kind, Opening, Part, Wall
from cladmodel.parts.eaves import NOSE, Body, hipped_roof, is_level, level_eaves, pitched_roof
from cladmodel.parts.joinery import fit
from cladmodel.parts.scenery import Pile
from cladmodel.parts.site import BATTEN, PLINTH_TOP, lay_ground, plan_of
from cladmodel.solids.plates import frame

# All by eye, for pictures only. [mm]
SHALLOWEST, DEEPEST = 2100.0, 4200.0  # body behind a lone wall
POST = 70.0


def surroundings(walls: Sequence[Wall], parts: Sequence[Part] = ()) -> tuple[Part, ...]:
    """Build everything that pictures show round the walls.

    Parameters
    ----------
    walls : sequence of Wall
        At least one. A lone wall gets a body of its own; several walls are roofed together.
    parts : sequence of Part
        The walls' finished parts; the returns of a lone wall borrow their profiles.

    Returns
    -------
    tuple of Part
        Kind `SCENERY`; ground, gravel and edging, plinth, body, soffit, fascia, gutter, roof, frames,
        glass and doors. `section` tells the kinds of ground and roof work apart.
    """
    raking = [wall for wall in walls if not is_level(wall.top_line)]
    base = max(raking, key=lambda wall: wall.length) if raking else walls[0]
    pile = Pile(base.name)
    if len(walls) == 1:
        depth = float(np.clip(0.6 * base.length, SHALLOWEST, DEEPEST))
        batten = _batten_thickness(parts)
        body = (0.0, base.length, -batten - depth, -batten)
        _body(pile, base, body)
        _returns(pile, base, body, [p for p in parts if p.wall == base.name])
        plan = shapely.box(body[0], body[2], body[1], body[3])
    else:
        plan = plan_of(base, walls)
    loose = lay_ground(pile, base, walls, plan)
    head = max(float(wall.head) for wall in walls)
    if raking or plan.area < 0.98 * shapely.box(*plan.bounds).area:
        pitched_roof(pile, plan, base.top_line if raking else np.array([[0.0, head], [base.length, head]]))
    else:
        x0, z0, x1, z1 = plan.bounds
        level_eaves(pile, (x0, x1, z0, z1), head)
        loose.append(hipped_roof(base.name, (x0, x1, z0, z1), head))
    scenery = [*pile.parts(), *loose]
    for wall in walls:
        inside = Pile(wall.name)
        for opening in wall.openings:
            fit(inside, wall, opening)
            if not opening.door:
                _room(inside, wall, opening)
        scenery += [replace(p, mark=f"{p.mark}@{wall.name}") for p in inside.parts()]
    return tuple(scenery)


def _batten_thickness(parts: Sequence[Part]) -> float:
    """Thickness of the battens on the wall's face, read off them. [mm]"""
    battens = [p for p in parts if p.kind is Kind.BATTEN and p.assembly is None]
    return -float(np.median([p.vertices[:, 2].min() for p in battens])) if battens else BATTEN


def _body(pile: Pile, wall: Wall, body: Body) -> None:
    """Back and side walls behind a lone wall."""
    x0, x1, z0, _ = body
    inner = -wall.depth_to_frame - wall.frame_depth
    thick = wall.frame_depth
    top = wall.top_line
    for name, side, height in (
        ("left", (x0, x0 + thick), top[0, 1]),
        ("right", (x1 - thick, x1), top[-1, 1]),
    ):
        pile.box(name, "plinth", side, (0.0, float(height)), (z0, inner), "body")
    outline = shapely.Polygon([(x0, 0.0), (x1, 0.0), *[(float(x), float(y)) for x, y in top[::-1]]])
    placed = frame((0.0, 0.0, z0 - thick), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    pile.profile("back", "plinth", outline, (0.0, thick), placed, "body")


def _room(pile: Pile, wall: Wall, opening: Opening) -> None:
    """Stand a shelved wall behind a window, near enough to be seen and nowhere outside the building."""
    lining, away, clear = 12.0, 800.0, 260.0
    back = -wall.depth_to_frame - wall.frame_depth - away
    x0, x1 = max(opening.left - 1500.0, clear), min(opening.right + 1500.0, wall.length - clear)
    under_roof = min(float(np.interp(x, wall.top_line[:, 0], wall.top_line[:, 1])) for x in (x0, x1)) - 150.0
    top = min(opening.head + 150.0, under_roof)
    if x1 - x0 < clear or top - PLINTH_TOP < clear:
        return
    pile.box("room", "soffit", (x0, x1), (PLINTH_TOP, top), (back - lining, back), "room")
    level = opening.sill + 0.36 * (opening.head - opening.sill)
    if level + 320.0 < top:
        _shelf(pile, (max(x0, opening.left - 900.0), min(x1, opening.right + 900.0)), level, back)


def _shelf(pile: Pile, x: tuple[float, float], level: float, back: float) -> None:
    """Put up a shelf of boxes opposite a window, so that there is a room behind the glass."""
    x0, x1 = x
    pile.box("shelf", "frame", (x0, x1), (level - 22.0, level), (back, back + 260.0), "room")
    # Width, height, depth and place of each thing as shares of the shelf or in mm. By eye.
    things = (
        (0.04, 210.0, 190.0, 200.0),
        (0.15, 130.0, 260.0, 130.0),
        (0.24, 300.0, 120.0, 220.0),
        (0.37, 110.0, 300.0, 110.0),
        (0.45, 240.0, 160.0, 200.0),
        (0.57, 150.0, 230.0, 150.0),
        (0.64, 320.0, 110.0, 240.0),
        (0.80, 120.0, 280.0, 120.0),
        (0.88, 220.0, 170.0, 200.0),
    )
    for at, wide, tall, deep in things:
        left = x0 + at * (x1 - x0)
        if left + wide > x1:
            continue
        material = ("door", "frame", "plinth")[int(tall) % 3]
        pile.box("box", material, (left, left + wide), (level, level + tall), (back, back + deep), "room")


def _returns(pile: Pile, wall: Wall, body: Body, parts: Sequence[Part]) -> None:
    """Clad the two returns with the wall's own profiles, and stand a post at each far corner."""
    x0, x1, z0, z1 = body
    length = z1 - z0
    gap = 2.0
    posts = [p for p in parts if p.kind is Kind.POST]
    thick = max((float(np.ptp(p.vertices[:, 2])) for p in posts), default=POST)
    foot = min((float(p.vertices[:, 1].min()) for p in posts), default=0.0)
    top = wall.top_line
    # Section planes of the returns: s is out of the building, y up, n = s x y the way they run.
    sides = (
        ("a", frame((x0 + z1, 0.0, z1), (-1.0, 0.0, 0.0), (0.0, 1.0, 0.0)), (gap, length), (x0 - thick, x0)),
        (
            "b",
            frame((x1 - z1, 0.0, z0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0)),
            (0.0, length - gap),
            (x1, x1 + thick),
        ),
    )
    for side, placed, run, across in sides:
        height = float(top[0 if side == "a" else -1, 1])
        below = shapely.box(-NOSE, -POST, 2 * NOSE, height)
        for index, (kind, profile) in enumerate(_profiles(parts)):
            outline = profile.intersection(below)
            if outline.geom_type != "Polygon" or outline.is_empty:
                continue
            material = {Kind.BOARD: "board", Kind.FILLET: "trim"}.get(kind, "batten")
            edges = [run[0], *(_joints(run, index) if kind is Kind.BOARD else []), run[1]]
            for low, high in pairwise(edges):
                pile.profile(f"r{side}", material, outline, (low, high - 1.0), placed, "return")
        pile.box(f"p{side}", "post", across, (foot, height), (z0 - thick, z0), "return")
        # The battens' line: closes the cavity behind the boards so that nothing is seen through.
        inner = across[0] if side == "b" else across[1]
        pile.box(f"m{side}", "membrane", (inner - 1.0, inner + 1.0), (0.0, height), (z0, z1), "return")


def _joints(run: tuple[float, float], course: int) -> list[float]:
    """Where a return's boards butt: a plain stagger where one board is too short, for looks only. [mm]"""
    length = run[1] - run[0]
    stock = 4800.0  # common practice, no source
    if length <= stock:
        return []
    return [run[0] + length * (0.35, 0.7)[course % 2]]


def _profiles(parts: Sequence[Part]) -> list[tuple[Kind, shapely.Polygon]]:
    """Sections (out, up) of the pieces that run the wall's length: of each course, the tallest end."""
    best: dict[tuple[Kind, int], tuple[float, shapely.Polygon]] = {}
    for part in parts:
        if part.kind not in (Kind.BOARD, Kind.STARTER, Kind.FILLET):
            continue
        x = part.vertices[:, 0]
        for near in (x < x.min() + 1.0, x > x.max() - 1.0):
            end = part.vertices[near][:, [2, 1]]
            tall = float(np.ptp(end[:, 1]))
            outline = shapely.MultiPoint(end).convex_hull
            above_an_opening = part.kind is Kind.STARTER and end[:, 1].min() > NOSE
            key = (part.kind, part.course or 0)
            if outline.geom_type != "Polygon" or above_an_opening:
                continue
            if key not in best or tall > best[key][0] + 1e-6:
                best[key] = (tall, outline)
    return [(kind, outline) for (kind, _), (_, outline) in sorted(best.items(), key=lambda i: i[0][1])]
