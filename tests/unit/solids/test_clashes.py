import numpy as np
import pytest
from shapely.geometry import Polygon

from cladmodel.solids.clashes import box_pairs, overlaps
from cladmodel.solids.measure import gather

TOUCH = 1e-3
L_SHAPE = Polygon([(0, 0), (100, 0), (100, 20), (20, 20), (20, 100), (0, 100)])


def turn_x(degrees):
    c, s = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    return np.array([[1, 0, 0], [0, c, -s], [0, s, c]])


def test_boxes_face_to_face_only_touch(make_box):
    soup = gather([make_box((0, 0, 0), (50, 2400, 25)), make_box((0, 0, 25), (4800, 170, 47))])
    assert overlaps(soup, TOUCH) == []


@pytest.mark.parametrize("depth", [0.0011, 0.01, 3.0])
def test_depth_is_how_far_one_must_move(make_box, depth):
    soup = gather([make_box((0, 0, 0), (50, 2400, 25)), make_box((-10, 100, 25 - depth), (4800, 270, 47))])
    (found,) = overlaps(soup, TOUCH)
    assert found.depth == pytest.approx(depth, abs=1e-12)
    assert found.where == pytest.approx((25, 185, 25 - depth / 2), abs=1e-6)
    assert overlaps(soup, depth + 1e-9) == []


def test_a_leaning_piece_goes_in_by_its_arris(make_box):
    leaning = make_box((0, 0, 0), (1000, 170, 22)).turned(turn_x(-5))
    lowest = leaning.vertices[:, 2].min()
    for depth, wanted in ((-0.01, 0), (0.0, 0), (0.01, 1)):
        wall = make_box((300, -500, lowest - 25), (350, 500, lowest + depth))
        found = overlaps(gather([wall, leaning]), TOUCH)
        assert len(found) == wanted
        if wanted:
            assert found[0].depth == pytest.approx(depth, rel=0.01)


def test_crossed_edges_need_the_edge_axes(make_box):
    """Two sticks on edge, crossing: no face tells them apart, the two edges do."""
    c = np.sqrt(0.5)
    on_edge_x = make_box((-50, -5, -5), (50, 5, 5)).turned([[1, 0, 0], [0, c, -c], [0, c, c]])
    on_edge_y = make_box((-5, -50, -5), (5, 50, 5)).turned([[c, 0, c], [0, 1, 0], [-c, 0, c]])
    diagonal = 5 * np.sqrt(2)
    apart = on_edge_y.moved((0, 0, 2 * diagonal + 0.01))
    in_each_other = on_edge_y.moved((0, 0, 2 * diagonal - 0.01))
    assert overlaps(gather([on_edge_x, apart]), TOUCH) == []
    (found,) = overlaps(gather([on_edge_x, in_each_other]), TOUCH)
    assert found.depth == pytest.approx(0.01, abs=1e-9)


def test_a_notch_is_empty_and_a_notched_piece_is_solid(make_lift, make_box):
    notched = make_lift(L_SHAPE, 22)
    trim = make_box((20, 20, -10), (60, 100, 60))
    assert overlaps(gather([notched, trim]), TOUCH) == []
    (found,) = overlaps(gather([notched, trim.moved((-0.5, 0, 0))]), TOUCH)
    assert found.depth == pytest.approx(0.5, abs=1e-9)
    assert found.where == pytest.approx((19.75, 60, 11), abs=1e-6)
    through = make_box((5, 5, -10), (10, 10, 60))
    (found,) = overlaps(gather([notched, through]), TOUCH)
    assert (found.first, found.second) == (0, 1)


def test_groups_limit_the_pairs(make_box):
    soup = gather([make_box((0, 0, 0), (10, 10, 10)).moved((i, 0, 0)) for i in range(3)])
    assert len(overlaps(soup, TOUCH)) == 3
    found = overlaps(soup, TOUCH, np.array([0, 0, 1]))
    assert [(o.first, o.second) for o in found] == [(0, 2), (1, 2)]


def test_box_pairs_agree_with_trying_every_pair():
    rng = np.random.default_rng(7)
    low = rng.uniform(-3000, 3000, (200, 3)) * (1, 1, 0.05)
    high = low + rng.uniform(1, 2000, (200, 3)) * (1, 0.2, 0.05)
    a, b = np.triu_indices(200, 1)
    meet = ((low[a] + TOUCH <= high[b]) & (low[b] + TOUCH <= high[a])).all(axis=1)
    first, second = box_pairs(low, high, TOUCH)
    assert list(zip(first, second, strict=True)) == list(zip(a[meet], b[meet], strict=True))
    assert len(first) > 50
