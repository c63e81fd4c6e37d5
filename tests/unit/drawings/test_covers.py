"""What shows of each board from outside."""

from __future__ import annotations

from itertools import combinations

import pytest
import shapely

from cladmodel.drawings.covers import IN_FRONT, front_outline, visible_covers
from cladmodel.drawings.elevation import elevation_sheet
from cladmodel.drawings.strokes import texts
from cladmodel.model import Kind, Model
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
    missing = len(marks) - len(lettered)
    assert missing == 0 or f"{len(marks)} boards, {missing} too small to letter: see the cut list" in words


def test_dimensions_of_the_elevation(window: Model) -> None:
    sheet = elevation_sheet(window, "north")
    found = {d.what: d.value for d in sheet.dimensions}
    boards = [p.vertices for p in window.of_kind(Kind.BOARD)]
    low, high = min(v[:, 0].min() for v in boards), max(v[:, 0].max() for v in boards)
    assert found["boards between the posts"] == pytest.approx(high - low)
    along = [d.value for d in sheet.dimensions if d.what == "along the wall"]
    assert along[1] == pytest.approx(1000.0)
    assert sum(along) == pytest.approx(high - low)
