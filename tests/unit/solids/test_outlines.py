"""Outlines read into rings and cut into triangles, each against shapely."""

from __future__ import annotations

import numpy as np
import pytest
import shapely

from cladmodel.errors import SolidError
from cladmodel.solids.outlines import four_cornered, read_rings, triangulate

NOTCHED = shapely.box(0, 0, 900, 170).difference(shapely.box(300, 90, 500, 200))
SLOTTED = shapely.box(0, 0, 120, 25).difference(
    shapely.union_all([shapely.box(10, 5, 40, 9), shapely.box(60, 5, 90, 9)])
)
RAKED = shapely.Polygon([(0, 0), (700, 0), (500, 150), (80, 150)])
ARROW = shapely.Polygon([(0, 0), (100, 0), (30, 30), (0, 100)])  # four corners, one of them turned in
SPLIT = shapely.Polygon(
    [(0, 0), (250, 0), (600, 0), (600, 100), (600, 170), (0, 170)]
)  # corners on straight lines
ALL = [NOTCHED, SLOTTED, RAKED, ARROW, SPLIT]


def many(*polygons):
    found = np.empty(len(polygons), object)
    found[:] = polygons
    return found


def read(*polygons):
    return read_rings(many(*polygons), np.arange(len(polygons)))


def test_four_cornered_takes_convex_quadrilaterals_alone():
    index, corners = four_cornered(many(NOTCHED, RAKED, ARROW, SLOTTED, shapely.box(3, 4, 9, 8)))
    assert index.tolist() == [1, 4]
    for own, polygon in zip(corners, (RAKED, shapely.box(3, 4, 9, 8)), strict=True):
        again = shapely.Polygon(own)
        assert again.equals(polygon)
        assert again.exterior.is_ccw


def test_four_cornered_turns_clockwise_ones_round():
    (index,), (corners,) = four_cornered(many(shapely.Polygon([(0, 0), (0, 5), (7, 5), (7, 0)])))
    assert index == 0
    assert shapely.Polygon(corners).exterior.is_ccw


def test_a_corner_on_a_straight_line_is_not_one_of_four():
    index, _ = four_cornered(many(shapely.Polygon([(0, 0), (5, 0), (10, 0), (5, 9)])))
    assert index.tolist() == []


def test_rings_turn_with_the_solid_on_their_left_and_drop_corners_on_lines():
    rings = read(*ALL)
    assert np.bincount(rings.part).tolist() == [8, 12, 4, 4, 4]
    for n, part in enumerate(rings.ring_part):
        own = rings.points[rings.starts[n] : rings.starts[n + 1]]
        ring = shapely.LinearRing(own)
        outer = n == 0 or rings.ring_part[n - 1] != part
        assert ring.is_ccw == outer
    assert np.array_equal(rings.following[rings.leading], np.arange(len(rings.points)))


def test_triangles_cover_each_polygon_once_and_nothing_else():
    rings = read(*ALL)
    triangles, owner = triangulate(rings, len(ALL))
    assert np.all(np.diff(owner) >= 0)
    for n, polygon in enumerate(ALL):
        pieces = [shapely.Polygon(rings.points[t]) for t in triangles[owner == n]]
        assert all(piece.exterior.is_ccw for piece in pieces)
        assert sum(piece.area for piece in pieces) == pytest.approx(polygon.area, rel=1e-12)
        assert shapely.union_all(pieces).symmetric_difference(polygon).area < 1e-6
        corners = int((rings.part == n).sum())
        holes = len(polygon.interiors)
        assert len(pieces) == corners + 2 * holes - 2  # Euler: every corner used, none added


@pytest.mark.parametrize(
    "polygon",
    [
        pytest.param(shapely.Polygon([(0, 0), (10, 10), (10, 0), (0, 10)]), id="crosses itself"),
        pytest.param(shapely.Polygon([(0, 0), (10, 0), (5, 0)]), id="flat"),
        pytest.param(shapely.Polygon(), id="empty"),
        pytest.param(shapely.Polygon([(0, 0), (10, 0), (10, np.inf), (0, 5)]), id="endless"),
        pytest.param(
            shapely.Polygon([(0, 0), (10, 0), (10, 5), (10, 9), (10, 5), (0, 5)]), id="doubles back"
        ),
    ],
)
def test_what_bounds_nothing_is_refused_by_its_name(polygon):
    with pytest.raises(SolidError, match="plate 7"):
        read_rings(many(RAKED, polygon), np.array([3, 7]))
