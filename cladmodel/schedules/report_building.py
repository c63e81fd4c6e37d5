"""What the report says of the building as a whole: one rod round all walls, corners and their posts."""

from __future__ import annotations

from typing import Any

from cladmodel.model import Model
from cladmodel.schedules.building_rod import building_rod, corner_levels
from cladmodel.schedules.makeup import MakeUp, PostBatten, makeup

Json = dict[str, Any]


def rod_rows(model: Model) -> list[Json]:
    """One row a course, the lowest first.

    Parameters
    ----------
    model : Model
    """
    return [
        {
            "course": line.course,
            "from_datum_mm": line.height,
            "gauge_mm": line.gauge,
            "walls": list(line.walls),
            "spread_mm": line.spread,
        }
        for line in building_rod(model)
    ]


def corner_rows(model: Model) -> list[Json]:
    """One row a corner: its post's make-up, and how level the courses meet there.

    Parameters
    ----------
    model : Model
    """
    levels = {level.corner: level for level in corner_levels(model)}
    rows = []
    for one in makeup(model):
        level = levels.get(one.name)
        rows.append(
            {
                "corner": one.name,
                "kind": str(one.kind),
                "walls": list(one.walls),
                "post": _post(one),
                "battens": [_batten(batten) for batten in one.battens],
                "courses_compared": 0 if level is None else level.compared,
                "level_difference_mm": None if level is None else level.difference,
                "worst_course": None if level is None else level.course,
            }
        )
    return rows


def _post(one: MakeUp) -> Json:
    return {
        "mark": one.mark,
        "width_mm": one.width,
        "depth_mm": one.depth,
        "length_mm": one.length,
        "relief_height_mm": one.relief_height,
        "relief_along_mm": one.relief_along,
        "relief_out_mm": one.relief_out,
    }


def _batten(batten: PostBatten) -> Json:
    return {
        "mark": batten.mark,
        "wall": batten.wall,
        "thickness_mm": batten.thickness,
        "width_mm": batten.width,
        "length_mm": batten.length,
        "above_post_foot_mm": batten.above_foot,
        "screw": batten.screw,
        "screws_from_foot_mm": list(batten.screws),
        "screw_spacing_mm": batten.spacing,
    }
