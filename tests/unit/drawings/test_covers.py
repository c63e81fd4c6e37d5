"""What shows of each board from outside."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest
import shapely

from cladmodel.drawings.covers import (
    IN_FRONT,
    flashing_bodies,
    front_outline,
    front_pieces,
    visible_covers,
)
from cladmodel.drawings.elevation import elevation_sheet
from cladmodel.drawings.primitives import Fill, Layer, Line, Polyline
from cladmodel.drawings.strokes import texts
from cladmodel.model import CornerKind, Kind, Model
from cladmodel.schedules.rod import rod


def test_covers_do_not_overlap_and_leave_nothing_out(model: Model) -> None:
    covers = visible_covers(model, model.walls[0])
    for (_, one), (_, two) in combinations(covers, 2):
        assert one.intersection(two).area < 1e-3
    boards = shapely.union_all([front_outline(p) for p in model.of_kind(Kind.BOARD)])
    front = shapely.union_all([front_outline(p) for p in model.of_kind(*IN_FRONT)])
    shown = shapely.union_all([shape for _, shape in covers])
    assert shown.area == pytest.approx(boards.difference(front).area, rel=1e-9)


def test_the_cover_is_the_gauge(bare: Model) -> None:
    wall = bare.walls[0]
    marks = rod(bare, wall)
    by_mark = {part.mark: shape for part, shape in visible_covers(bare, wall)}
    board = next(p for p in bare.of_kind(Kind.BOARD) if p.course == 3)
    middle = shapely.LineString(
        [(board.vertices[:, 0].min() + 50, -100), (board.vertices[:, 0].min() + 50, 3000)]
    )
    assert by_mark[board.mark].intersection(middle).length == pytest.approx(marks[2].gauge, abs=1e-6)


def test_every_board_is_lettered_once(model: Model) -> None:
    words = [t.text for t in texts(elevation_sheet(model, model.walls[0].name).primitives)]
    marks = [p.mark for p in model.of_kind(Kind.BOARD)]
    lettered = [mark for mark in marks if words.count(mark) == 1]
    assert not [mark for mark in marks if words.count(mark) > 1]
    missing = [mark for mark in marks if mark not in lettered]
    told = ", ".join(missing) if len(missing) <= 6 else "see the cut list"
    assert not missing or f"{len(marks)} boards, {len(missing)} too small to letter: {told}" in words


def test_every_board_of_a_gable_and_of_a_building_is_lettered(building: Model, gable: Model) -> None:
    for model in (building, gable):
        for wall in model.walls:
            words = [t.text for t in texts(elevation_sheet(model, wall.name).primitives)]
            assert [p.mark for p in model.of_kind(Kind.BOARD, wall=wall.name) if p.mark not in words] == []


def test_a_neighbours_post_stands_at_the_corner(building: Model) -> None:
    for wall in building.walls:
        posts = [p for p in front_pieces(building, wall) if p.kind is Kind.POST]
        assert len(posts) == 2
        left, right = sorted(posts, key=lambda p: float(p.vertices[:, 0].min()))
        size = float(left.vertices[:, 0].max() - left.vertices[:, 0].min())
        inside = wall.left_corner is CornerKind.INSIDE
        assert left.vertices[:, 0].min() == pytest.approx(0.0 if inside else -size, abs=1e-6)
        inside = wall.right_corner is CornerKind.INSIDE
        size = float(right.vertices[:, 0].max() - right.vertices[:, 0].min())
        assert right.vertices[:, 0].max() == pytest.approx(wall.length + (0.0 if inside else size), abs=1e-6)


def test_only_a_flashings_cap_is_drawn_in_front(window: Model) -> None:
    behind, before = flashing_bodies(window, window.walls[0])
    (flashing,) = window.of_kind(Kind.FLASHING)
    assert len(behind) == len(before) == 1
    faces = len(behind[0].faces) + len(before[0].faces)
    assert faces == len(flashing.faces)
    assert behind[0].vertices[:, 1].max() == flashing.vertices[:, 1].max()  # the upstand
    assert before[0].vertices[:, 2].max() == flashing.vertices[:, 2].max()  # the drip
    fills = [p for p in elevation_sheet(window, "north").primitives if isinstance(p, Fill)]
    first_board = next(n for n, fill in enumerate(fills) if fill.colour == "#f3e3c4")
    head_trim = next(
        n
        for n, fill in enumerate(fills)
        if fill.colour == "#dfc398" and _reaches(fill, fills[_metal(fills)[-1]])
    )
    at = _metal(fills)
    assert at[0] < first_board
    assert at[-1] > head_trim


def _metal(fills: list[Fill]) -> list[int]:
    return [n for n, fill in enumerate(fills) if fill.colour == "#8d939a"]


def _reaches(trim: Fill, cap: Fill) -> bool:
    """Whether a trim lies under the cap's lower part, as the head trim does."""
    return bool(shapely.Polygon(trim.outline).intersection(shapely.Polygon(cap.outline)).area > 0.1)


def test_battens_end_where_they_end(gable: Model) -> None:
    soffit = gable.walls[0].top_line
    lines = [
        p
        for p in elevation_sheet(gable, "gable").primitives
        if isinstance(p, Line) and p.layer is Layer.HIDDEN
    ]
    battens = gable.of_kind(Kind.BATTEN)
    assert len(lines) == 2 * len(battens)
    for batten in battens:
        x, y = batten.vertices[:, 0], batten.vertices[:, 1]
        assert np.all(y <= np.interp(x, *soffit.T) + 1e-6)


def test_heights_of_both_ends_and_the_ridge(building: Model, gable: Model) -> None:
    west = {d.value for d in elevation_sheet(building, "west").dimensions if d.what == "foot to soffit"}
    assert west == {2100.0, 2650.0}  # 2100 at the left end; 2400 and a foot 250 lower at the right
    ridge = [d.value for d in elevation_sheet(gable, "gable").dimensions if d.what == "foot to ridge"]
    assert ridge == pytest.approx([2100 + 2200 * np.tan(np.radians(40))])


def test_ground_follows_the_foot(building: Model) -> None:
    sheet = elevation_sheet(building, "south")
    (line,) = [p for p in sheet.primitives if isinstance(p, Polyline) and p.layer is Layer.GROUND]
    heights = [y for _, y in line.points]
    scale = next(d.scale for d in sheet.dimensions)
    assert (heights[-1] - heights[0]) * scale == pytest.approx(250.0)


def test_dimensions_of_the_elevation(window: Model) -> None:
    sheet = elevation_sheet(window, "north")
    found = {d.what: d.value for d in sheet.dimensions}
    boards = [p.vertices for p in window.of_kind(Kind.BOARD)]
    low, high = min(v[:, 0].min() for v in boards), max(v[:, 0].max() for v in boards)
    assert found["boards between the posts"] == pytest.approx(high - low)
    along = [d.value for d in sheet.dimensions if d.what == "along the wall"]
    assert along[1] == pytest.approx(1000.0)
    assert sum(along) == pytest.approx(high - low)
