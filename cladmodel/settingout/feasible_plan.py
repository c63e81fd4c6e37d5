"""What must hold of a wall's or building's plan, heights and foot before there are walls at all."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

import shapely

from cladmodel.errors import Problem
from cladmodel.scene.job import BuildingTable, Scene, SideFields
from cladmodel.settingout.plan import corner_heights, plan_corners, ridge_of, turns, wall_names

# A right angle taped on site is one to within this. [rad] common practice, no source: 5 mm in 3 m
SQUARE = 0.0017
# Two measurements of one thing agree to within this. [mm] common practice, no source
AGREE = 0.5
MOST_WALL = 40_000.0  # as of a wall on its own [mm] no trade knows this limit
LEAST_WALL = 600.0  # [mm] common practice, no source: two posts and a board that can be nailed
MOST_SLOPE = 2.0  # of a foot [-] common practice, no source: a steeper one is a step
LEAST_HEIGHT = 400.0  # between foot and top, anywhere [mm] common practice, no source


def building_problems(scene: Scene) -> Iterator[Problem]:
    """Problems of a scene's plan.

    Parameters
    ----------
    scene : Scene
    """
    if (scene.wall is None) == (scene.building is None):
        given = "both" if scene.wall is not None else "neither"
        yield Problem(
            path="wall",
            value=given,
            allowed="give either [wall], for one wall on its own, or [building]",
            remedy="A scene is one job.",
        )
        return
    if scene.wall is not None:
        wall = scene.wall
        length = min(wall.length.foot, wall.length.head)
        yield from _line_problems("wall", wall, length, (wall.height, wall.height))
        return
    assert scene.building is not None
    problems = list(_corner_problems(scene.building))
    yield from problems or _wall_problems(scene.building)


def _corner_problems(building: BuildingTable) -> Iterator[Problem]:
    if (building.rectangle is None) == (building.corners is None):
        yield Problem(
            path="building.corners",
            value=building.corners,
            allowed="give either rectangle or corners",
            remedy="A rectangle is the length of the first wall and of the second.",
        )
        return
    if (building.height is None) == (building.heights is None):
        yield Problem(
            path="building.height",
            value=building.height,
            allowed="give either height, all round, or heights, one for each corner",
            remedy="Measure from the foot of the cladding up to the soffit.",
        )
        return
    corners = plan_corners(building)
    shape = shapely.Polygon(corners)
    if not shape.is_valid or shape.area <= 0:
        _, _, spot = shapely.is_valid_reason(shape).partition("[")
        yield Problem(
            path="building.corners",
            value=corners,
            allowed="must go once round without crossing itself",
            remedy=f"Walls meet near east and north {spot[:-1]}." if spot else "Nothing is enclosed.",
        )
        return
    if not shape.exterior.is_ccw:
        yield Problem(
            path="building.corners",
            value=corners,
            allowed="must go round anticlockwise, seen from above with north up",
            remedy="List them the other way round.",
        )
        return
    for n, turn in enumerate(turns(corners)):
        if abs(abs(turn) - math.pi / 2) > SQUARE:
            yield Problem(
                path=f"building.corners[{n + 1}]",
                value=corners[n],
                allowed=f"must turn by a right angle; it turns by {math.degrees(turn):.2f} degrees",
                remedy="Posts are square: other angles are not built.",
            )
    for n, name in enumerate(wall_names(building)):
        length = math.dist(corners[n], corners[(n + 1) % len(corners)])
        if length < LEAST_WALL:
            yield Problem(
                path=f"building.corners[{n + 1}]",
                value=corners[n],
                allowed=f"{name} must be at least {LEAST_WALL:g} long; it is {length:g}",
                remedy="Two posts and a nailable board must fit.",
            )
        if length > MOST_WALL:
            yield Problem(
                path=f"building.corners[{n + 1}]",
                value=corners[n],
                allowed=f"{name} must be at most {MOST_WALL:g} long; it is {length:g}",
                remedy="Check the corners, or make two jobs of it.",
            )
    if building.heights is not None and len(building.heights) != len(corners):
        yield Problem(
            path="building.heights",
            value=building.heights,
            allowed=f"must be one for each of the {len(corners)} corners",
            remedy="In the order of the corners.",
        )


def _wall_problems(building: BuildingTable) -> Iterator[Problem]:
    corners, names = plan_corners(building), wall_names(building)
    if len(set(names)) < len(names) or len(building.names) > len(corners):
        yield Problem(
            path="building.names",
            value=building.names,
            allowed=f"must be at most {len(corners)} different names",
            remedy="One for each wall, from the first corner on.",
        )
        return
    heights = corner_heights(building)
    details: dict[str, SideFields] = {}
    for n, side in enumerate(building.wall):
        if side.name not in names or side.name in details:
            yield Problem(
                path=f"building.wall[{n + 1}].name",
                value=side.name,
                allowed="must be one of " + ", ".join(names) + ", each once",
                remedy="Name walls with building.names.",
            )
            continue
        details[side.name] = side
        at = names.index(side.name)
        length = math.dist(corners[at], corners[(at + 1) % len(corners)])
        path = f"building.wall[{n + 1}]"
        yield from _line_problems(path, side, length, (heights[at], heights[(at + 1) % len(heights)]))
        if side.length is not None:
            least = min(side.length.foot, side.length.head)
            if abs(least - length) > AGREE:
                yield Problem(
                    path=f"{path}.length",
                    value={"foot": side.length.foot, "head": side.length.head},
                    allowed=f"its least must be the plan's {length:g}",
                    remedy="Draw the plan to the shortest measurement; the post is packed out to the others.",
                )
    yield from _feet_meet(names, details)


def _feet_meet(names: tuple[str, ...], details: dict[str, SideFields]) -> Iterator[Problem]:
    """The foot must be at one height where two walls meet."""
    for n, name in enumerate(names):
        following = names[(n + 1) % len(names)]
        here, there = details.get(name), details.get(following)
        ends = here.foot[-1][1] if here and here.foot else 0.0
        begins = there.foot[0][1] if there and there.foot else 0.0
        if abs(ends - begins) > AGREE:
            yield Problem(
                path=f"building.wall ({following}).foot",
                value=begins,
                allowed=f"must begin at {ends:g}, where {name} ends",
                remedy="One post stands there; step the foot along a wall, not at a corner.",
            )


def _line_problems(
    path: str, fields: SideFields, length: float, heights: tuple[float, float]
) -> Iterator[Problem]:
    foot = fields.foot
    if foot:
        along = [x for x, _ in foot]
        ends = abs(along[0]) > AGREE or abs(along[-1] - length) > AGREE
        if len(foot) < 2 or ends or any(b < a for a, b in itertools.pairwise(along)):
            yield Problem(
                path=f"{path}.foot",
                value=foot,
                allowed=f"must run from 0 to the wall's length of {length:g}, rising along it",
                remedy="Two points at one place along make a step.",
            )
            return
        steep = next(
            (
                (a, b)
                for a, b in itertools.pairwise(foot)
                if abs(b[1] - a[1]) > MOST_SLOPE * (b[0] - a[0]) > 0
            ),
            None,
        )
        if steep is not None:
            yield Problem(
                path=f"{path}.foot",
                value=steep,
                allowed=f"must slope by at most {MOST_SLOPE:g} in 1, or else step",
                remedy="Two points at one place along make a step.",
            )
        if max(up for _, up in foot) > min(heights) - LEAST_HEIGHT:
            yield Problem(
                path=f"{path}.foot",
                value=foot,
                allowed=f"must stay {LEAST_HEIGHT:g} below the soffit",
                remedy="Heights are measured from the building's own foot.",
            )
    if fields.ridge_height is not None and fields.pitch_deg is not None:
        yield Problem(
            path=f"{path}.pitch_deg",
            value=fields.pitch_deg,
            allowed="give either ridge_height or pitch_deg",
            remedy="One follows from the other.",
        )
        return
    ridge = ridge_of(fields, length, heights)
    if ridge is not None and not (0 < ridge[0] < length and ridge[1] > max(heights)):
        yield Problem(
            path=f"{path}.ridge_height",
            value=ridge,
            allowed=f"the ridge must stand between 0 and {length:g} along and above {max(heights):g}",
            remedy="Measure from the wall's left corner and from the foot of the cladding.",
        )
