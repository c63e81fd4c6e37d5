import numpy as np
import pytest
from shapely.geometry import Polygon

from cladmodel.solids.measure import bounds, convex, extent_at, extents_at, gather, open_edges, volumes

HOLED = Polygon([(0, 0), (90, 0), (90, 40), (0, 40)], [[(10, 10), (10, 30), (20, 30), (20, 10)]])


def test_gather_keeps_solids_apart(make_box, make_lift):
    soup = gather([make_box((0, 0, 0), (1, 2, 3)), make_lift(HOLED, 5)])
    assert soup.count == 2
    assert soup.vertex_starts.tolist() == [0, 8, 24]
    assert soup.faces[soup.face_part == 1].min() == 8
    low, high = bounds(soup)
    assert low.tolist() == [[0, 0, 0], [0, 0, 0]]
    assert high.tolist() == [[1, 2, 3], [90, 40, 5]]


def test_volume_far_away_and_inside_out(make_lift):
    far = make_lift(HOLED, 5).moved((1e6, -2e6, 3e6))
    turned = type(far)(far.vertices, far.faces[:, ::-1])
    assert volumes(gather([far, turned])) == pytest.approx([17000, -17000], abs=1e-3)


def test_open_edges_counts_what_a_missing_face_leaves(make_box):
    whole = make_box((0, 0, 0), (1, 2, 3))
    holed = type(whole)(whole.vertices, whole.faces[1:])
    flipped = type(whole)(whole.vertices, np.r_[whole.faces[:1, ::-1], whole.faces[1:]])
    assert open_edges(gather([whole, holed, flipped])).tolist()[:2] == [0, 3]
    assert open_edges(gather([whole, flipped]))[1] > 0


def test_convex(make_box, make_lift):
    assert convex(gather([make_box((0, 0, 0), (1, 2, 3)), make_lift(HOLED, 5)])).tolist() == [True, False]


def test_nothing_at_all():
    soup = gather([])
    assert volumes(soup).shape == (0,)
    assert open_edges(soup).shape == (0,)
    assert bounds(soup)[0].shape == (0, 3)


def test_two_boxes_as_one_solid_are_not_convex(make_box):
    one, two = make_box((0, 0, 0), (1, 2, 3)), make_box((5, 0, 0), (6, 2, 3))
    both = type(one)(np.r_[one.vertices, two.vertices], np.r_[one.faces, two.faces + 8])
    assert convex(gather([both, one])).tolist() == [False, True]


@pytest.mark.parametrize(
    ("x", "wanted"), [(5.0, (0, 40)), (15.0, (0, 40)), (0.0, (0, 40)), (90.0, (0, 40)), (90.1, None)]
)
def test_extent_where_a_plane_cuts(make_lift, x, wanted):
    assert extent_at(make_lift(HOLED, 5), 0, x, 1) == wanted


def test_extent_of_a_slanting_end(make_lift):
    raked = make_lift(Polygon([(0, 0), (100, 0), (60, 40), (0, 40)]), 5)
    assert extent_at(raked, 1, 10.0, 0) == pytest.approx((0, 90))
    assert extent_at(raked, 1, 40.0, 0) == pytest.approx((0, 60))


def test_many_extents_at_once_are_those_one_by_one(make_box, make_lift):
    raked = make_lift(Polygon([(0, 0), (100, 0), (60, 40), (0, 40)]), 5)
    solids = [make_box((0, 0, 0), (50, 2, 3)), make_lift(HOLED, 5), raked]
    part = np.array([2, 0, 1, 1, 0, 2, 2, 1])
    at = np.array([80.0, 20.0, 15.0, 90.0, 50.5, 100.0, -1.0, 0.0])
    low, high = extents_at(gather(solids), part, 0, at, 1)
    wanted = [extent_at(solids[p], 0, float(x), 1) for p, x in zip(part, at, strict=True)]
    assert [None if np.isnan(a) else (a, b) for a, b in zip(low, high, strict=True)] == wanted
    assert wanted.count(None) == 2
