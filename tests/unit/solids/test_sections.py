import numpy as np
import pytest
import shapely
from shapely.geometry import Polygon

from cladmodel.solids.measure import gather
from cladmodel.solids.sections import rings, section_polygons

HOLED = Polygon(
    [(0, 0), (90, 0), (90, 40), (30, 40), (30, 90), (0, 90)],
    [[(10, 10), (10, 30), (20, 30), (20, 10)], [(50, 10), (50, 30), (70, 30), (70, 10)]],
)


def test_box_cut_each_way_shows_the_named_axes(make_box):
    box = make_box((1, 20, 300), (3, 25, 308))
    for plane, shown in (
        ({"x": 2.0}, (300, 20, 308, 25)),
        ({"y": 22.0}, (1, 300, 3, 308)),
        ({"z": 301.0}, (1, 20, 3, 25)),
    ):
        ((part, polygon),) = section_polygons([box], **plane)
        assert part is box
        assert polygon.bounds == shown
        assert polygon.exterior.is_ccw
        assert len(polygon.exterior.coords) == 5


def test_a_piece_is_cut_from_just_above_its_lower_end_to_its_upper_end(make_box):
    box = make_box((0, 0, 0), (10, 1, 1))
    assert section_polygons([box], x=0.0) == []
    assert section_polygons([box], x=10.0 + 1e-12) == []
    for x in (1e-9, 5.0, 10.0):
        ((_, polygon),) = section_polygons([box], x=x)
        assert polygon.area == pytest.approx(1.0, abs=1e-12)


def test_holes_and_notches_come_back_exactly(make_lift):
    ((_, polygon),) = section_polygons([make_lift(HOLED, 25)], z=12.0)
    assert polygon.is_valid
    assert shapely.equals(polygon, HOLED)
    assert len(polygon.interiors) == 2


def test_cut_across_holes_gives_several_pieces_in_part_order(make_lift, make_box):
    holed, box = make_lift(HOLED, 25), make_box((0, 0, 100), (90, 5, 110))
    found = section_polygons([box, holed], y=20.0)
    assert [part for part, _ in found] == [holed] * 3
    assert sorted(p.bounds for _, p in found) == [(0, 0, 10, 25), (20, 0, 50, 25), (70, 0, 90, 25)]
    found = section_polygons([box, holed], y=4.0)
    assert [part for part, _ in found] == [box, holed]
    assert found[1][1].bounds == (0, 0, 90, 25)


def test_plane_through_corners_and_edges_still_closes(make_lift):
    holed = make_lift(HOLED, 25)
    for y in (10.0, 30.0, 40.0, 90.0):
        total = sum(p.area for _, p in section_polygons([holed], y=y))
        line = shapely.intersection(HOLED, shapely.LineString([(-1, y - 1e-9), (100, y - 1e-9)]))
        assert total == pytest.approx(line.length * 25, abs=1e-5)


def test_turned_solids_agree_with_an_independent_kernel(make_lift):
    manifold3d = pytest.importorskip("manifold3d")
    rng = np.random.default_rng(4)
    for _ in range(20):
        turn, _ = np.linalg.qr(rng.normal(size=(3, 3)))
        if np.linalg.det(turn) < 0:
            turn[:, 0] *= -1
        mesh = make_lift(HOLED, 25).turned(turn)
        at = float(np.quantile(mesh.vertices[:, 2], rng.uniform(0.1, 0.9)))
        solid = manifold3d.Manifold(manifold3d.Mesh64(mesh.vertices, mesh.faces.astype(np.uint64)))
        wanted = solid.slice(at).area()
        assert sum(p.area for _, p in section_polygons([mesh], z=at)) == pytest.approx(wanted, abs=1e-6)
        assert all(p.is_valid for _, p in section_polygons([mesh], z=at))


def test_rings_carry_their_solid_and_sign(make_lift, make_box):
    soup = gather([make_box((0, 0, 0), (5, 5, 20)), make_lift(HOLED, 25)])
    found = rings(soup, 2, 10.0)
    assert [r.part for r in found] == [0, 1, 1, 1]
    assert sorted(r.area for r in found[1:]) == [-400.0, -200.0, 5100.0]


@pytest.mark.parametrize("planes", [{}, {"x": 1.0, "y": 2.0}])
def test_exactly_one_plane(planes, make_box):
    with pytest.raises(ValueError, match="exactly one"):
        section_polygons([make_box((0, 0, 0), (1, 1, 1))], **planes)
