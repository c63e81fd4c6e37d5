"""Roofs, soffits, fascias and gutters for pictures; sizes by eye, nothing to build from."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from cladmodel.model import Floats, Kind, Part
from cladmodel.parts.scenery import Pile
from cladmodel.parts.site import BATTEN, spread
from cladmodel.solids.plates import frame

Body = tuple[float, float, float, float]  # a rectangle: x from and to, z from and to [mm]

# All by eye, for pictures only. [mm]
EAVES = 280.0  # soffit beyond the boards' noses
OVERHANG = 230.0  # of a pitched roof, on all sides
SOFFIT = 12.0
FASCIA = 165.0
FASCIA_DROP = 12.0  # fascia below the soffit's face
BOARD_THICKNESS = 18.0  # fascia and soffit
GUTTER_RADIUS = 54.0
ROOF_RISE = 0.45  # rise over run, about 24 degrees
ROOF_THICKNESS = 120.0
NOSE = 45.0  # boards stand within this of the batten face
GUTTER_SKIN = 3.0
CAPPING, CAPPING_THICKNESS = 130.0, 16.0  # down each side of a ridge
LEVEL = 25.0  # a top that rises less than this counts as level


def is_level(top: Floats) -> bool:
    """Whether a top line, (n, 2), can be roofed as if it were level.

    Parameters
    ----------
    top : (n, 2) float
        x and y. [mm]
    """
    return bool(np.ptp(top[:, 1]) < LEVEL)


def pitched_roof(pile: Pile, plan: shapely.Polygon, top: Floats) -> None:
    """Lay a roof over a plan, as high everywhere as a top line is at the same x.

    Parameters
    ----------
    pile : Pile
    plan : shapely.Polygon
        In x and z. [mm]
    top : (n, 2) float
        Underside of the roof, x and y from left to right; carried on at its slope beyond both ends. [mm]
    """
    covered = spread(plan, BATTEN + NOSE + OVERHANG)
    x0, z0, x1, z1 = covered.bounds
    points = _carried_on(top, x0, x1)
    for left, peak, right in zip(points, points[1:], points[2:], strict=False):
        _cap_ridge(pile, covered, left, peak, right)
    for (xa, ya), (xb, yb) in pairwise(points):
        slope = (yb - ya) / (xb - xa)
        strip = covered.intersection(shapely.box(xa, z0 - 1.0, xb, z1 + 1.0))
        for piece in getattr(strip, "geoms", [strip]):
            if piece.geom_type == "Polygon" and piece.area > 1.0:
                level = ya - slope * xa
                _slab(pile, "soffit", "soffit", piece, (level, slope), SOFFIT, "soffit")
                _slab(pile, "roof", "roof", piece, (level + SOFFIT, slope), ROOF_THICKNESS, "slates")
                _trim_edges(pile, piece, covered, (level, slope))


def _cap_ridge(
    pile: Pile,
    covered: shapely.Polygon,
    left: tuple[float, float],
    peak: tuple[float, float],
    right: tuple[float, float],
) -> None:
    """Bed a capping on the ridge over one point of a top line, if there is a ridge."""
    slopes = [(y - peak[1]) / (x - peak[0]) for x, y in (left, right)]
    if slopes[0] - slopes[1] < 0.1:
        return
    covers = [SOFFIT + ROOF_THICKNESS * float(np.hypot(1.0, slope)) for slope in slopes]
    crown = peak[1] + max(covers)
    ends = []
    for side, slope, cover in zip((-1.0, 1.0), slopes, covers, strict=True):
        x = side * CAPPING / float(np.hypot(1.0, slope))
        ends.append((peak[0] + x, peak[1] + cover + slope * x))
    ring = [ends[0], (peak[0], crown), ends[1]]
    outline = shapely.Polygon([*ring, *((x, y + CAPPING_THICKNESS) for x, y in reversed(ring))])
    _, z0, _, z1 = covered.bounds
    line = covered.intersection(shapely.LineString([(peak[0], z0 - 1.0), (peak[0], z1 + 1.0)]))
    placed = frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    for piece in getattr(line, "geoms", [line]):
        if piece.length > 1.0:
            _, low, _, high = piece.bounds
            pile.profile("ridge", "joinery", outline, (low - 6.0, high + 6.0), placed, "fascia")


def _carried_on(top: Floats, x0: float, x1: float) -> list[tuple[float, float]]:
    """A top line without needless points, its ends moved to x0 and x1 along their slopes."""
    points = [(float(x), float(y)) for x, y in shapely.simplify(shapely.LineString(top), 1.0).coords]
    if is_level(top):
        points = [points[0], (points[-1][0], points[0][1])]
    for end, beside, x in ((0, 1, x0), (-1, -2, x1)):
        (xe, ye), (xb, yb) = points[end], points[beside]
        points[end] = (x, ye + (ye - yb) / (xe - xb) * (x - xe))
    return points


def _slab(
    pile: Pile,
    name: str,
    material: str,
    plan: shapely.Polygon,
    under: tuple[float, float],
    thickness: float,
    section: str,
) -> None:
    """Lay a slab on the plane y = under[0] + under[1] x, its top edges plumb over the plan's."""
    level, slope = under
    c = 1.0 / float(np.hypot(1.0, slope))
    origin = (thickness * slope * c, level + thickness / c - thickness * c, 0.0)
    placed = frame(origin, (c, slope * c, 0.0), (0.0, 0.0, -1.0))
    outline = shapely.transform(plan, lambda points: points * [1.0 / c, -1.0])
    pile.profile(name, material, outline, (0.0, thickness), placed, section)


def _trim_edges(
    pile: Pile, piece: shapely.Polygon, covered: shapely.Polygon, under: tuple[float, float]
) -> None:
    """Fix a fascia or bargeboard to each outer edge of a piece of roof, and a gutter to the low ones."""
    level, slope = under
    tall = (SOFFIT + ROOF_THICKNESS) * float(np.hypot(1.0, slope)) - 10.0
    ring = shapely.geometry.polygon.orient(piece, sign=-1.0).exterior.coords
    for (xa, za), (xb, zb) in pairwise(ring):
        run = float(np.hypot(xb - xa, zb - za))
        middle = shapely.Point((xa + xb) / 2, (za + zb) / 2)
        if run < 1.0 or covered.exterior.distance(middle) > 0.5:
            continue  # a cut between two slopes, not an edge
        ya, yb = level + slope * xa, level + slope * xb
        along, up = ((xb - xa) / run, 0.0, (zb - za) / run), (0.0, 1.0, 0.0)
        out_x = -along[2]
        board = shapely.Polygon(
            [(0, ya - FASCIA_DROP), (run, yb - FASCIA_DROP), (run, yb + tall), (0, ya + tall)]
        )
        placed = frame((xa, 0.0, za), along, up)
        pile.profile("fascia", "joinery", board, (0.0, BOARD_THICKNESS), placed, "fascia")
        if abs(yb - ya) < 1.0 and slope * out_x < -0.02:  # level, and the roof falls outward
            outward = frame((xb, ya + tall - 30.0, zb), (out_x, 0.0, along[0]), up)
            outward[:, 3] += outward[:, 0] * (BOARD_THICKNESS + GUTTER_RADIUS + 2.0)
            _hang_gutter(pile, outward, (-10.0, run + 10.0))


def _half_round(radius: float) -> Floats:
    around = np.linspace(np.pi, 2 * np.pi, 19)
    return np.column_stack([radius * np.cos(around), radius * np.sin(around)])


def _hang_gutter(pile: Pile, placed: Floats, span: tuple[float, float]) -> None:
    """Hang a half-round gutter with a stop end at both ends."""
    outer, inner = _half_round(GUTTER_RADIUS), _half_round(GUTTER_RADIUS - GUTTER_SKIN)
    pile.profile(
        "gutter", "gutter", shapely.Polygon(np.concatenate([outer, inner[::-1]])), span, placed, "gutter"
    )
    for low in (span[0], span[1] - GUTTER_SKIN):
        pile.profile("gutter", "gutter", shapely.Polygon(inner), (low, low + GUTTER_SKIN), placed, "gutter")


def level_eaves(pile: Pile, body: Body, head: float) -> None:
    """Soffit, fascia and a half-round gutter on all four sides.

    Parameters
    ----------
    pile : Pile
    body : Body
    head : float
        Soffit. [mm]
    """
    x0, x1, z0, z1 = _eaves_line(body)
    t = BOARD_THICKNESS
    pile.box("soffit", "soffit", (x0 + t, x1 - t), (head, head + SOFFIT), (z0 + t, z1 - t), "soffit")
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
        _hang_gutter(pile, placed, (x0 - over, x1 + over))
    for x in (x0 - r - 2.0, x1 + r + 2.0):
        placed = frame((x, y, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
        _hang_gutter(pile, placed, (z0 - 2.0, z1 + 2.0))


def _eaves_line(body: Body) -> Body:
    out = BATTEN + NOSE + EAVES
    return body[0] - out, body[1] + out, body[2] - out, body[3] + out


def hipped_roof(wall: str, body: Body, head: float) -> Part:
    """Build a hipped roof as one convex solid.

    Parameters
    ----------
    wall : str
        In whose axes it is.
    body : Body
    head : float
        Soffit. [mm]
    """
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
