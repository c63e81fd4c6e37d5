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
BANK = 4500.0  # uneven ground falls to the lowest over this distance

FLAT = frame((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, -1.0))  # s along x, y against z, n up


def lying(plan: shapely.Geometry) -> shapely.Geometry:
    """A plan in x and z turned into a lying plate's own axes."""
    return shapely.transform(plan, lambda points: points * [1.0, -1.0])


def spread(plan: shapely.Polygon, out: float) -> shapely.Polygon:
    """A plan pushed out on all sides, its corners kept square."""
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
    """Points of one wall in another's axes: (n, 3). [mm]"""
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
    """Ground that meets every wall at its own level and falls away to the lowest; gravel along the walls."""
    from scipy.spatial import KDTree

    tree = KDTree(lines[:, [0, 2]])

    def level(points: Floats) -> Floats:
        away, which = tree.query(points, k=6)
        weight = 1.0 / (away + 60.0) ** 2
        near = (lines[which, 1] * weight).sum(axis=1) / weight.sum(axis=1)
        near = np.minimum(near, lines[which[:, :3], 1].min(axis=1) + 0.15 * away[:, 0])
        far = np.clip((away[:, 0] - GRAVEL) / BANK, 0.0, 1.0)
        return np.asarray(low + (near - low) * (1.0 - far * far * (3.0 - 2.0 * far)))

    margin = spread(plan, GRAVEL)
    return [
        _sheet(base.name, "~bank", spread(plan, LAWN).bounds, level, low - 400.0, "bank", None),
        _sheet(
            base.name,
            "~gravel",
            margin.bounds,
            lambda p: level(p) + GRAVEL_TOP,
            low - 300.0,
            "gravel",
            margin,
        ),
    ]


def _sheet(
    wall: str,
    mark: str,
    bounds: tuple[float, float, float, float],
    level: Callable[[Floats], Floats],
    bottom: float,
    section: str,
    within: shapely.Polygon | None,
) -> Part:
    """Make a closed block with an uneven top, on a grid; squares outside a plan are left out."""
    x = np.linspace(bounds[0], bounds[2], max(2, round((bounds[2] - bounds[0]) / GRID)) + 1)
    z = np.linspace(bounds[1], bounds[3], max(2, round((bounds[3] - bounds[1]) / GRID)) + 1)
    grid_x, grid_z = np.meshgrid(x, z)
    plan = np.column_stack([grid_x.ravel(), grid_z.ravel()])
    top = np.column_stack([plan[:, 0], level(plan), plan[:, 1]])
    count, across = len(top), len(x)
    corner = (np.arange(len(z) - 1)[:, None] * across + np.arange(across - 1)[None]).ravel()
    squares = np.column_stack([corner, corner + across, corner + across + 1, corner + 1])
    if within is not None:
        middle = plan[squares].mean(axis=1)
        squares = squares[shapely.contains_xy(within, middle[:, 0], middle[:, 1])]
    upper = np.concatenate([squares[:, [0, 1, 2]], squares[:, [0, 2, 3]]])
    edges = np.concatenate([squares[:, [k, (k + 1) % 4]] for k in range(4)])
    inside = {(int(b), int(a)) for a, b in edges}
    rim = np.array([(a, b) for a, b in edges.tolist() if (a, b) not in inside])
    a, b = rim[:, 0], rim[:, 1]
    skirt = np.concatenate([np.column_stack([b, a, a + count]), np.column_stack([b, a + count, b + count])])
    vertices = np.concatenate([top, np.column_stack([plan[:, 0], np.full(count, bottom), plan[:, 1]])])
    faces = np.concatenate([upper, upper[:, ::-1] + count, skirt])
    used, index = np.unique(faces, return_inverse=True)
    return Part(
        mark=mark,
        kind=Kind.SCENERY,
        wall=wall,
        vertices=vertices[used],
        faces=index.reshape(faces.shape),
        material="ground",
        section=section,
    )
