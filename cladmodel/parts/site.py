"""The plan that walls enclose, and the ground and plinth under it; pictures only."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import shapely

from cladmodel.model import Floats, Kind, Part, Wall
from cladmodel.parts.scenery import Pile
from cladmodel.solids.plates import frame

# All by eye, for pictures only. [mm]
GRAVEL = 420.0  # width of the gravel margin
GRAVEL_TOP = 12.0  # over the lawn
EDGING = 50.0
EDGING_TOP = 24.0
LAWN = 6000.0  # lawn beyond the margin; views carry it on to the horizon
PLINTH_TOP = 49.0  # behind the foot of the cladding, just under the sole plate
BATTEN = 25.0  # batten thickness where no batten is given
SAME = 5.0  # grounds closer in level than this are one
GRID = 150.0  # of uneven ground
RAMP = 0.18  # steepest that uneven ground rises along a wall: a bank one can mow [-]
SOFTENED = 60.0  # ground levels are softened over about this far
BANK = 4500.0  # uneven ground falls to the lowest over this distance

FLAT = frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, -1.0))  # s along x, y against z, n up


def lying(plan: shapely.Geometry) -> shapely.Geometry:
    """A plan in x and z turned into a lying plate's own axes.

    Parameters
    ----------
    plan : shapely.Geometry
        [mm]
    """
    return shapely.transform(plan, lambda points: points * [1.0, -1.0])


def spread(plan: shapely.Polygon, out: float) -> shapely.Polygon:
    """A plan pushed out on all sides, its corners kept square.

    Parameters
    ----------
    plan : shapely.Polygon
    out : float
        Below 0 inward. [mm]
    """
    return plan.buffer(out, join_style="mitre", mitre_limit=2.0)


def plan_of(base: Wall, walls: Sequence[Wall]) -> shapely.Polygon:
    """What several walls enclose, at the outer face of their sheathing, in one wall's x and z.

    Parameters
    ----------
    base : Wall
        Whose axes are used.
    walls : sequence of Wall

    Returns
    -------
    shapely.Polygon
        If the walls do not close, the rectangle round them. [mm]
    """
    lines = [
        shapely.LineString(placed_in(base, wall, [0.0, wall.length], 0.0, -BATTEN)[:, [0, 2]])
        for wall in walls
    ]
    merged = shapely.union_all(shapely.set_precision(lines, 1.0))
    rings = shapely.polygonize([merged]).geoms
    return max(rings, key=lambda ring: ring.area, default=shapely.box(*merged.bounds))


def placed_in(base: Wall, wall: Wall, x: Sequence[float] | Floats, y: float | Floats, z: float) -> Floats:
    """Points of one wall in another's axes: (n, 3). [mm]

    Parameters
    ----------
    base, wall : Wall
        To whose axes, and from whose.
    x, y : (n,) float
        One y will do for all. [mm]
    z : float
        [mm]
    """
    local = np.column_stack([x, np.broadcast_to(y, len(x)), np.full(len(x), z), np.ones(len(x))])
    return np.asarray((local @ (np.linalg.inv(base.frame) @ wall.frame).T)[:, :3])


def lay_ground(pile: Pile, base: Wall, walls: Sequence[Wall], plan: shapely.Polygon) -> list[Part]:
    """Lay lawn, gravel margin, edging and plinth.

    Parameters
    ----------
    pile : Pile
        Takes what is flat.
    base : Wall
    walls : sequence of Wall
    plan : shapely.Polygon
        Of the walls, in the base's x and z.

    Returns
    -------
    list of Part
        What is not flat.
    """
    lines = np.concatenate([_ground_line(base, wall) for wall in walls])
    low, high = float(lines[:, 1].min()), float(lines[:, 1].max())
    foot = max(
        float(placed_in(base, w, w.foot_line[:, 0], w.foot_line[:, 1], 0.0)[:, 1].max()) for w in walls
    )
    set_back = max(wall.depth_to_frame for wall in walls) - BATTEN + 6.0  # just behind the sheathing
    _flat(pile, "plinth", "plinth", spread(plan, -set_back), (low - 50.0, foot + PLINTH_TOP), "plinth")
    if high - low > SAME:
        return _uneven(base, plan, lines, low)
    inner, outer = spread(plan, GRAVEL), spread(plan, GRAVEL + EDGING)
    _flat(pile, "lawn", "ground", spread(plan, LAWN), (low - 200.0, low), "grass")
    _flat(pile, "gravel", "ground", inner, (low, low + GRAVEL_TOP), "gravel")
    _flat(pile, "edging", "ground", outer.difference(inner), (low, low + EDGING_TOP), "edging")
    return []


def _flat(
    pile: Pile, name: str, material: str, plan: shapely.Geometry, span: tuple[float, float], section: str
) -> None:
    for piece in getattr(plan, "geoms", [plan]):
        pile.profile(name, material, lying(piece), span, FLAT, section)


def _ground_line(base: Wall, wall: Wall) -> Floats:
    """Ground along the foot of one wall, in the base's axes: (n, 3).

    At a step the lower ground is taken a little way into the higher, so that no board stands in it.
    """
    foot = wall.foot_line
    x = np.arange(0.0, wall.length + 1.0, 100.0)
    near = np.stack(
        [np.interp(np.clip(x + shift, 0, wall.length), *_stepped(foot)) for shift in (-150, 0, 150)]
    )
    return placed_in(base, wall, x, near.min(axis=0) - wall.clearance, 0.0)


def _stepped(line: Floats) -> tuple[Floats, Floats]:
    """Nudge the two points of each step apart, so that the line can be read off."""
    x = line[:, 0].copy()
    x[1:] += np.where(np.diff(x) < 1e-6, 1e-3, 0.0)
    return x, line[:, 1]


def _uneven(base: Wall, plan: shapely.Polygon, lines: Floats, low: float) -> list[Part]:
    """Ground that meets every wall at or below its own level and falls away to the lowest."""
    from scipy.spatial.distance import cdist

    places = lines[:, [0, 2]]
    # At a stepped foot the ground climbs to the higher level in a bank, never above what a wall allows.
    levels = (lines[:, 1] + RAMP * cdist(places, places)).min(axis=1)

    def level(points: Floats) -> Floats:
        weight = 1.0 / (cdist(points, places, "sqeuclidean") + SOFTENED**2) ** 2
        near = weight @ levels / weight.sum(axis=1)
        away = shapely.distance(shapely.points(points), plan)
        far = np.clip((away - GRAVEL) / BANK, 0.0, 1.0)
        return np.asarray(low + (near - low) * (1.0 - far * far * (3.0 - 2.0 * far)))

    def bank(points: Floats) -> Floats:
        under = shapely.distance(shapely.points(points), plan) < 0.7 * GRAVEL
        return level(points) - np.where(under, EDGING, 0.0)  # well below the gravel that lies on it

    def margin(mark: str, out: tuple[float, float], over: float, across: int) -> Part:
        def top(points: Floats) -> Floats:
            return level(points) + over

        return _ring(base.name, f"~{mark}", plan, out, top, low - 300.0, across, mark)

    return [
        _sheet(base.name, "~bank", spread(plan, LAWN).bounds, bank, low - 400.0),
        margin("gravel", (-100.0, GRAVEL), GRAVEL_TOP, 4),
        margin("edging", (GRAVEL, GRAVEL + EDGING), EDGING_TOP, 1),
    ]


def _ring(
    wall: str,
    mark: str,
    plan: shapely.Polygon,
    out: tuple[float, float],
    level: Callable[[Floats], Floats],
    bottom: float,
    across: int,
    section: str,
) -> Part:
    """Make a closed block that runs round a plan, its top following the ground.

    Parameters
    ----------
    wall, mark, section : str
    plan : shapely.Polygon
    out : (2,) float
        Inner and outer edge, from the plan outward. [mm]
    level : callable
        Height of the top at (n, 2) points in plan. [mm]
    bottom : float
        [mm]
    across : int
        Steps from the inner to the outer edge.
    """
    ring = np.asarray(shapely.geometry.polygon.orient(shapely.simplify(plan, 1.0)).exterior.coords)[:-1]
    ahead = np.roll(ring, -1, axis=0) - ring
    ahead /= np.linalg.norm(ahead, axis=1, keepdims=True)
    normal = np.column_stack([ahead[:, 1], -ahead[:, 0]])
    before = np.roll(normal, 1, axis=0)
    mitre = (before + normal) / (1.0 + np.einsum("ij,ij->i", before, normal))[:, None]
    lengths = np.linalg.norm(np.roll(ring, -1, axis=0) - ring, axis=1)
    share = [np.arange(n) / n for n in np.maximum(1, np.round(lengths / GRID)).astype(int)]
    corner = np.repeat(np.arange(len(ring)), [len(s) for s in share])
    t, after = np.concatenate(share)[:, None], (corner + 1) % len(ring)
    middle = ring[corner] * (1 - t) + ring[after] * t
    step = mitre[corner] * (1 - t) + mitre[after] * t
    reach = np.linspace(out[0], out[1], across + 1)
    flat = (middle[:, None] + step[:, None] * reach[:, None]).reshape(-1, 2)
    top = np.column_stack([flat[:, 0], level(flat), flat[:, 1]])
    low = np.column_stack([flat[:, 0], np.full(len(flat), bottom), flat[:, 1]])
    round_it, deep, count = len(middle), across + 1, len(flat)
    u = np.repeat(np.arange(round_it), across)
    v = np.tile(np.arange(across), round_it)
    a, b = u * deep + v, (u + 1) % round_it * deep + v
    upper = np.concatenate([np.column_stack([a, b, b + 1]), np.column_stack([a, b + 1, a + 1])])
    inner = np.arange(round_it) * deep
    inner_next = np.roll(inner, -1)
    sides = []
    for start, end in ((inner_next, inner), (inner + across, inner_next + across)):
        sides += [
            np.column_stack([start, end + count, end]),
            np.column_stack([start, start + count, end + count]),
        ]
    faces = np.concatenate([upper, upper[:, ::-1] + count, *(side[:, ::-1] for side in sides)])
    return Part(
        mark=mark,
        kind=Kind.SCENERY,
        wall=wall,
        vertices=np.concatenate([top, low]),
        faces=faces,
        material="ground",
        section=section,
    )


def _sheet(
    wall: str,
    mark: str,
    bounds: tuple[float, float, float, float],
    level: Callable[[Floats], Floats],
    bottom: float,
) -> Part:
    """Make a closed block of lawn with an uneven top, on a grid."""
    x = np.linspace(bounds[0], bounds[2], max(2, round((bounds[2] - bounds[0]) / GRID)) + 1)
    z = np.linspace(bounds[1], bounds[3], max(2, round((bounds[3] - bounds[1]) / GRID)) + 1)
    grid_x, grid_z = np.meshgrid(x, z)
    plan = np.column_stack([grid_x.ravel(), grid_z.ravel()])
    top = np.column_stack([plan[:, 0], level(plan), plan[:, 1]])
    count, across = len(top), len(x)
    corner = (np.arange(len(z) - 1)[:, None] * across + np.arange(across - 1)[None]).ravel()
    squares = np.column_stack([corner, corner + across, corner + across + 1, corner + 1])
    upper = np.concatenate([squares[:, [0, 1, 2]], squares[:, [0, 2, 3]]])
    edges = np.concatenate([squares[:, [k, (k + 1) % 4]] for k in range(4)])
    inside = {(int(b), int(a)) for a, b in edges}
    rim = np.array([(a, b) for a, b in edges.tolist() if (a, b) not in inside])
    a, b = rim[:, 0], rim[:, 1]
    skirt = np.concatenate([np.column_stack([b, a, a + count]), np.column_stack([b, a + count, b + count])])
    vertices = np.concatenate([top, np.column_stack([plan[:, 0], np.full(count, bottom), plan[:, 1]])])
    return Part(
        mark=mark,
        kind=Kind.SCENERY,
        wall=wall,
        vertices=vertices,
        faces=np.concatenate([upper, upper[:, ::-1] + count, skirt]),
        material="ground",
        section="bank",
    )
