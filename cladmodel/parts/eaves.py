"""Roofs, soffits, fascias and gutters for pictures; sizes by eye, nothing to build from."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from cladmodel.model import Floats, Kind, Part, Wall
from cladmodel.parts.scenery import Pile
from cladmodel.solids.plates import frame

Body = tuple[float, float, float, float]  # a rectangle: x from and to, z from and to [mm]

# All by eye, for pictures only. [mm]
EAVES = 280.0  # soffit beyond the boards' noses
VERGE = 180.0  # roof beyond a gable's boards
FASCIA = 165.0
FASCIA_DROP = 12.0  # fascia below the soffit's face
BOARD_THICKNESS = 18.0  # fascia and soffit
GUTTER_RADIUS = 54.0
ROOF_RISE = 0.45  # rise over run, about 24 degrees
ROOF_THICKNESS = 120.0
NOSE = 45.0  # boards stand within this of the batten face
BATTEN = 25.0  # batten thickness where no batten is given
LEVEL = 25.0  # a top that rises less than this counts as level


def top_of(wall: Wall) -> Floats:
    """Top of a wall's outline from left to right.

    Parameters
    ----------
    wall : Wall

    Returns
    -------
    (n, 2) float
        x and y; two points with nearly the same x at a step. [mm, wall axes]
    """
    outline = shapely.Polygon(wall.outline)
    left, low, right, high = outline.bounds
    nudge = 0.5
    places = np.unique(np.round(wall.outline[:, 0], 3))
    points: list[tuple[float, float]] = []
    for place in places:
        for x in (place - nudge, place + nudge):
            if left < x < right:
                cut = outline.intersection(shapely.LineString([(x, low - 1.0), (x, high + 1.0)]))
                points.append((float(np.clip(x, left, right)), float(cut.bounds[3])))
    points[0], points[-1] = (left, points[0][1]), (right, points[-1][1])
    return np.array(points)


def is_level(top: Floats) -> bool:
    """Whether a top can be roofed as if it were level."""
    return bool(np.ptp(top[:, 1]) < LEVEL)


def raking_roof(pile: Pile, body: Body, top: Floats) -> None:
    """Lay a roof that follows a raking top, as one sheet run from front to back.

    Parameters
    ----------
    pile : Pile
    body : Body
    top : (n, 2) float
        From left to right. [mm]
    """
    chain = [(float(x), float(y)) for x, y in shapely.simplify(shapely.LineString(top), 2.0).coords]
    out = NOSE + BATTEN + EAVES
    under = [_beyond(chain[1], chain[0], out), *chain[1:-1], _beyond(chain[-2], chain[-1], out)]
    over = [(x, y + ROOF_THICKNESS) for x, y in under]
    outline = shapely.Polygon([*under, *over[::-1]])
    placed = frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    z = (body[2] - NOSE - VERGE, body[3] + BATTEN + NOSE + VERGE)
    pile.profile("roof", "roof", outline, z, placed, "slates")
    skin = 12.0
    soffit = shapely.Polygon([*under, *[(x, y - skin) for x, y in under[::-1]]])
    for low, high in ((z[0] + 5.0, body[2] - 1.0), (body[3] + BATTEN + NOSE, z[1] - 5.0)):
        pile.profile("soffit", "soffit", soffit, (low, high), placed, "soffit")
    barge = shapely.Polygon(
        [*[(x, y + ROOF_THICKNESS - 20.0) for x, y in under], *[(x, y - 30.0) for x, y in under[::-1]]]
    )
    for low in (z[0] - BOARD_THICKNESS, z[1]):
        pile.profile("barge", "joinery", barge, (low, low + BOARD_THICKNESS), placed, "fascia")
    for (x, y), inner, side in ((under[0], chain[1], -1.0), (under[-1], chain[-2], 1.0)):
        if y < inner[1] + LEVEL:  # water runs to this side
            _gutter_along_z(pile, x + side * (GUTTER_RADIUS + 2.0), y + ROOF_THICKNESS - 45.0, z)


def _beyond(start: tuple[float, float], end: tuple[float, float], out: float) -> tuple[float, float]:
    """Carry a slope on past its end by a level distance."""
    run = end[0] - start[0]
    slope = (end[1] - start[1]) / run if abs(run) > 1.0 else 0.0
    step = out if run >= 0 else -out
    return end[0] + step, end[1] + slope * step


def _channel() -> shapely.Polygon:
    """Half-round gutter's section."""
    skin = 3.0
    around = np.linspace(np.pi, 2 * np.pi, 19)
    outer = np.column_stack([GUTTER_RADIUS * np.cos(around), GUTTER_RADIUS * np.sin(around)])
    inner = outer[::-1] * (GUTTER_RADIUS - skin) / GUTTER_RADIUS
    return shapely.Polygon(np.concatenate([outer, inner]))


def _gutter_along_z(pile: Pile, x: float, y: float, span: tuple[float, float]) -> None:
    placed = frame((x, y, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    pile.profile("gutter", "gutter", _channel(), span, placed, "gutter")


def level_eaves(pile: Pile, body: Body, head: float) -> None:
    """Soffit, fascia and a half-round gutter on all four sides."""
    x0, x1, z0, z1 = _eaves_line(body)
    t = BOARD_THICKNESS
    pile.box("soffit", "soffit", (x0 + t, x1 - t), (head, head + 12.0), (z0 + t, z1 - t), "soffit")
    tall = (head - FASCIA_DROP, head + FASCIA)
    pile.box("fascia", "joinery", (x0, x1), tall, (z1 - t, z1), "fascia")
    pile.box("fascia", "joinery", (x0, x1), tall, (z0, z0 + t), "fascia")
    pile.box("fascia", "joinery", (x0, x0 + t), tall, (z0 + t, z1 - t), "fascia")
    pile.box("fascia", "joinery", (x1 - t, x1), tall, (z0 + t, z1 - t), "fascia")
    r = GUTTER_RADIUS
    y = head + FASCIA - 28.0
    over = 2 * r + 2.0
    for z in (z1 + r + 2.0, z0 - r - 2.0):
        placed = frame((0.0, y, z), (0.0, 0.0, -1.0), (0.0, 1.0, 0.0))
        pile.profile("gutter", "gutter", _channel(), (x0 - over, x1 + over), placed, "gutter")
    for x in (x0 - r - 2.0, x1 + r + 2.0):
        _gutter_along_z(pile, x, y, (z0 - 2.0, z1 + 2.0))


def _eaves_line(body: Body) -> Body:
    out = BATTEN + NOSE + EAVES
    return body[0] - out, body[1] + out, body[2] - out, body[3] + out


def hipped_roof(wall: str, body: Body, head: float) -> Part:
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
        wall=wall,
        vertices=np.concatenate([bottom, eave, ridge]),
        faces=faces,
        material="roof",
        section="slates",
    )
