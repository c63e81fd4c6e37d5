"""What stands round a wall in a picture: ground, plinth, body, eaves, glazing and doors.

Nothing here is measured, counted or bought. A wall on its own gets a small building behind it: two
returns clad with the profile of its own boards, a back wall, a room, and a hipped roof with eaves all
round, so that the wall is seen as it will stand and no light comes from behind.

Sizes are chosen by eye for pictures; none of them is a recommendation.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from cladmodel.model import Kind, Opening, Part, Wall
from cladmodel.parts.joinery import fit
from cladmodel.parts.scenery import Pile
from cladmodel.solids.plates import frame

# All by eye, for pictures only. [mm]
EAVES = 280.0  # soffit beyond the boards' noses
FASCIA = 165.0
FASCIA_DROP = 12.0  # fascia below the soffit's face
BOARD_THICKNESS = 18.0  # fascia and soffit
GUTTER_RADIUS = 54.0
ROOF_RISE = 0.45  # rise over run, about 24 degrees
GRAVEL = 420.0  # width of the gravel margin
EDGING = 50.0
LAWN = 6000.0  # lawn beyond the margin; views carry it on to the horizon
SHALLOWEST, DEEPEST = 2100.0, 4200.0  # body behind a lone wall
NOSE = 45.0  # boards stand within this of the batten face
BATTEN = 25.0  # batten thickness where no batten is given
POST = 70.0
PLINTH_TOP = 49.0  # behind the foot of the cladding, just under the sole plate


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
    first = walls[0]
    pile = Pile(first.name)
    if len(walls) == 1:
        depth = float(np.clip(0.6 * first.length, SHALLOWEST, DEEPEST))
        batten = _batten_thickness(parts)
        body = (0.0, first.length, -batten - depth, -batten)
        _body(pile, first, body)
        _returns(pile, first, body, [p for p in parts if p.wall == first.name])
    else:
        body = _footprint(walls)
        _inside(pile, first, body)
    _eaves(pile, body, first.head if len(walls) == 1 else max(w.head for w in walls))
    _ground(pile, body, first.ground)
    scenery = pile.parts()
    scenery.append(_roof(first, body, max(w.head for w in walls)))
    for wall in walls:
        fittings = Pile(wall.name)
        for opening in wall.openings:
            fit(fittings, wall, opening)
        scenery += [_renamed(p, wall.name) for p in fittings.parts()]
    return tuple(scenery)


def _renamed(part: Part, wall: str) -> Part:
    return Part(
        mark=f"{part.mark}@{wall}",
        kind=part.kind,
        wall=wall,
        vertices=part.vertices,
        faces=part.faces,
        material=part.material,
        section=part.section,
    )


def _batten_thickness(parts: Sequence[Part]) -> float:
    """Thickness of the battens on the wall's face, read off them. [mm]"""
    battens = [p for p in parts if p.kind is Kind.BATTEN and p.assembly is None]
    return -float(np.median([p.vertices[:, 2].min() for p in battens])) if battens else BATTEN


def _footprint(walls: Sequence[Wall]) -> tuple[float, float, float, float]:
    """Rectangle round all walls' feet in the first wall's axes: x, then z. [mm]"""
    back = np.linalg.inv(walls[0].frame)
    corners = []
    for wall in walls:
        foot = np.array([[0.0, 0, -BATTEN, 1], [wall.length, 0, -BATTEN, 1]])
        corners.append((foot @ (back @ wall.frame).T)[:, :3])
    points = np.concatenate(corners)
    low, high = points.min(axis=0), points.max(axis=0)
    return float(low[0]), float(high[0]), float(low[2]), float(high[2])


def _body(pile: Pile, wall: Wall, body: tuple[float, float, float, float]) -> None:
    """Back and side walls behind a lone wall, its plinth and its room."""
    x0, x1, z0, _ = body
    inner = -wall.depth_to_frame - wall.frame_depth
    thick = wall.frame_depth
    top = wall.head + 1.0
    for name, side in (("left", (x0, x0 + thick)), ("right", (x1 - thick, x1))):
        pile.box(name, "plinth", side, (0.0, top), (z0, inner), "body")
    pile.box("back", "plinth", (x0, x1), (0.0, top), (z0 - thick, z0), "body")
    _inside(pile, wall, body)


def _inside(pile: Pile, wall: Wall, body: tuple[float, float, float, float]) -> None:
    """Floor, and the plinth under everything."""
    x0, x1, z0, z1 = body
    set_back = wall.depth_to_frame + z1 + 6.0  # just behind the sheathing
    pile.box(
        "plinth",
        "plinth",
        (x0 + set_back, x1 - set_back),
        (wall.ground - 50.0, PLINTH_TOP),
        (z0 - set_back, z1 - set_back),
        "plinth",
    )
    lining = 12.0
    room_front = -wall.depth_to_frame - wall.frame_depth - 300.0
    room_back = max(z0 + lining, room_front - 500.0)  # a shelved wall, near enough to be seen
    pile.box("room", "soffit", (x0, x1), (0.0, wall.head), (room_back - lining, room_back), "room")
    for opening in wall.openings:
        if not opening.door:
            _shelf(pile, opening, room_back)


def _shelf(pile: Pile, opening: Opening, back: float) -> None:
    """Put up a shelf of boxes opposite a window, so that there is a room behind the glass."""
    x0, x1 = opening.left - 900.0, opening.right + 900.0
    level = opening.sill + 0.36 * (opening.head - opening.sill)
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
        material = ("door", "frame", "plinth")[int(tall) % 3]
        pile.box("box", material, (left, left + wide), (level, level + tall), (back, back + deep), "room")


def _returns(pile: Pile, wall: Wall, body: tuple[float, float, float, float], parts: Sequence[Part]) -> None:
    """Clad the two returns with the wall's own profiles, and stand a post at each far corner."""
    x0, x1, z0, z1 = body
    length = z1 - z0
    gap = 2.0
    posts = [p for p in parts if p.kind is Kind.POST]
    thick = max((float(np.ptp(p.vertices[:, 2])) for p in posts), default=POST)
    foot = min((float(p.vertices[:, 1].min()) for p in posts), default=0.0)
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
        for index, (kind, outline) in enumerate(_profiles(parts)):
            material = {Kind.BOARD: "board", Kind.FILLET: "trim"}.get(kind, "batten")
            edges = [run[0], *(_joints(run, index) if kind is Kind.BOARD else []), run[1]]
            for low, high in pairwise(edges):
                pile.profile(f"r{side}", material, outline, (low, high - 1.0), placed, "return")
        pile.box(f"p{side}", "post", across, (foot, wall.head), (z0 - thick, z0), "return")
        # The battens' line: closes the cavity behind the boards so that nothing is seen through.
        inner = across[0] if side == "b" else across[1]
        pile.box(f"m{side}", "membrane", (inner - 1.0, inner + 1.0), (0.0, wall.head), (z0, z1), "return")


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


def _eaves(pile: Pile, body: tuple[float, float, float, float], head: float) -> None:
    """Soffit, fascia and a half-round gutter on all four sides."""
    x0, x1, z0, z1 = _eaves_line(body)
    t = BOARD_THICKNESS
    pile.box("soffit", "soffit", (x0 + t, x1 - t), (head, head + 12.0), (z0 + t, z1 - t), "soffit")
    tall = (head - FASCIA_DROP, head + FASCIA)
    pile.box("fascia", "joinery", (x0, x1), tall, (z1 - t, z1), "fascia")
    pile.box("fascia", "joinery", (x0, x1), tall, (z0, z0 + t), "fascia")
    pile.box("fascia", "joinery", (x0, x0 + t), tall, (z0 + t, z1 - t), "fascia")
    pile.box("fascia", "joinery", (x1 - t, x1), tall, (z0 + t, z1 - t), "fascia")
    r, skin = GUTTER_RADIUS, 3.0
    around = np.linspace(np.pi, 2 * np.pi, 19)
    outer = np.column_stack([r * np.cos(around), r * np.sin(around)])
    inner = outer[::-1] * (r - skin) / r
    channel = shapely.Polygon(np.concatenate([outer, inner]))
    y = head + FASCIA - 28.0
    over = 2 * r + 2.0
    # Along x, in front and behind; along z, at both sides.
    for z in (z1 + r + 2.0, z0 - r - 2.0):
        placed = frame((0.0, y, z), (0.0, 0.0, -1.0), (0.0, 1.0, 0.0))
        pile.profile("gutter", "gutter", channel, (x0 - over, x1 + over), placed, "gutter")
    for x in (x0 - r - 2.0, x1 + r + 2.0):
        placed = frame((x, y, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
        pile.profile("gutter", "gutter", channel, (z0 - 2.0, z1 + 2.0), placed, "gutter")


def _eaves_line(body: tuple[float, float, float, float]) -> tuple[float, float, float, float]:
    out = BATTEN + NOSE + EAVES
    return body[0] - out, body[1] + out, body[2] - out, body[3] + out


def _roof(wall: Wall, body: tuple[float, float, float, float], head: float) -> Part:
    """Build a hipped roof as one convex solid."""
    hang = 35.0
    x0, x1, z0, z1 = _eaves_line(body)
    x0, x1, z0, z1 = x0 - hang, x1 + hang, z0 - hang, z1 + hang
    base = head + FASCIA - 4.0
    edge = base + 26.0
    half = min(x1 - x0, z1 - z0) / 2
    top = edge + half * ROOF_RISE
    ring = np.array([[x0, z1], [x1, z1], [x1, z0], [x0, z0]])
    bottom = np.column_stack([ring[:, 0], np.full(4, base), ring[:, 1]])
    eave = np.column_stack([ring[:, 0], np.full(4, edge), ring[:, 1]])
    if x1 - x0 >= z1 - z0:
        ridge = np.array([[x0 + half, top, (z0 + z1) / 2], [x1 - half, top, (z0 + z1) / 2]])
        slopes = [[4, 5, 9], [4, 9, 8], [6, 7, 8], [6, 8, 9], [5, 6, 9], [7, 4, 8]]
    else:
        ridge = np.array([[(x0 + x1) / 2, top, z1 - half], [(x0 + x1) / 2, top, z0 + half]])
        slopes = [[4, 5, 8], [5, 6, 9], [5, 9, 8], [6, 7, 9], [7, 4, 8], [7, 8, 9]]
    under: list[list[int]] = [[0, 2, 1], [0, 3, 2]]
    edges = [[i, (i + 1) % 4, (i + 1) % 4 + 4] for i in range(4)]
    edges += [[i, (i + 1) % 4 + 4, i + 4] for i in range(4)]
    faces: NDArray[np.int64] = np.array(under + edges + slopes, np.int64)
    return Part(
        mark="~roof",
        kind=Kind.SCENERY,
        wall=wall.name,
        vertices=np.concatenate([bottom, eave, ridge]),
        faces=faces,
        material="roof",
        section="slates",
    )


def _ground(pile: Pile, body: tuple[float, float, float, float], level: float) -> None:
    """Lawn, and a gravel margin with an edging round the body."""
    x0, x1, z0, z1 = body
    m, e = GRAVEL, EDGING
    far = LAWN
    pile.box("lawn", "ground", (x0 - far, x1 + far), (level - 200.0, level), (z0 - far, z1 + far), "grass")
    pile.box("gravel", "ground", (x0 - m, x1 + m), (level, level + 12.0), (z0 - m, z1 + m), "gravel")
    tall = (level, level + 24.0)
    pile.box("edging", "ground", (x0 - m - e, x1 + m + e), tall, (z1 + m, z1 + m + e), "edging")
    pile.box("edging", "ground", (x0 - m - e, x1 + m + e), tall, (z0 - m - e, z0 - m), "edging")
    pile.box("edging", "ground", (x0 - m - e, x0 - m), tall, (z0 - m, z1 + m), "edging")
    pile.box("edging", "ground", (x1 + m, x1 + m + e), tall, (z0 - m, z1 + m), "edging")
