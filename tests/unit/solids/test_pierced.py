"""Pierced slabs: which polygons have a lattice, and that each makes exactly the slab asked for."""

import itertools

import numpy as np
import pytest
import shapely
import trimesh

from cladmodel.errors import SolidError
from cladmodel.solids.pierced import lattices, pierced_faces, pierced_vertices
from cladmodel.solids.plates import Plate, frame, lift
from cladmodel.solids.sections import section_polygons

FLAT = frame((0, 0, 0), (1, 0, 0), (0, 1, 0))


def lines(rng, slots):
    """Rising lines for so many slots, unevenly spaced, not starting at 0."""
    return rng.uniform(-3e3, 3e3) + np.cumsum(rng.uniform(0.5, 40, 2 * slots + 2))


def boxes(s, y):
    return [
        [s[i], y[j], s[i + 1], y[j + 1]]
        for i, j in itertools.product(range(1, len(s) - 1, 2), range(1, len(y) - 1, 2))
    ]


def ring(rng, box):
    """Corners of a box, from any of them on, either way round."""
    low_s, low_y, high_s, high_y = box
    corners = np.roll(
        [(low_s, low_y), (high_s, low_y), (high_s, high_y), (low_s, high_y)], rng.integers(4), 0
    )
    return corners[:: rng.choice([1, -1])]


def slab(rng, outer, holes):
    rings = [ring(rng, hole) for hole in holes]
    return shapely.Polygon(ring(rng, outer), [rings[i] for i in rng.permutation(len(rings))])


def random_slab(seed):
    rng = np.random.default_rng(seed)
    s, y = lines(rng, int(rng.integers(1, 30))), lines(rng, int(rng.integers(1, 5)))
    return s, y, slab(rng, [s[0], y[0], s[-1], y[-1]], boxes(s, y))


@pytest.mark.parametrize("seed", range(40))
def test_a_lattice_is_read_whatever_way_its_rings_run(seed):
    s, y, polygon = random_slab(seed)
    found = lattices(np.array([polygon]))[0]
    assert np.array_equal(found.s, s)
    assert np.array_equal(found.y, y)


@pytest.mark.parametrize("seed", range(40))
def test_a_pierced_slab_is_closed_and_holds_exactly_what_it_should(seed):
    s, y, polygon = random_slab(seed)
    rng = np.random.default_rng(seed)
    taper = rng.uniform(-0.02, 0.02)
    thickness = 2.0 + max(taper * y[0], taper * y[-1])
    turn, _ = np.linalg.qr(rng.normal(size=(3, 3)))
    place = frame(rng.uniform(-5e3, 5e3, 3), turn[:, 0], turn[:, 1])
    (solid,) = lift([Plate(polygon=polygon, thickness=thickness, taper=taper, frame=place)])
    assert len(solid.vertices) == 2 * (len(s) * (len(y) - 2) + 4)
    mesh = trimesh.Trimesh(solid.vertices, solid.faces, process=False)
    assert mesh.is_volume
    assert mesh.volume == pytest.approx(polygon.area * (thickness - taper * polygon.centroid.y), rel=1e-9)
    assert mesh.euler_number == 2 - 2 * len(polygon.interiors)


@pytest.mark.parametrize("seed", range(8))
def test_slots_are_where_the_polygon_has_them(seed):
    _, _, polygon = random_slab(seed)
    (solid,) = lift([Plate(polygon=polygon, thickness=2.0, frame=FLAT)])
    ((_, cut),) = section_polygons([solid], z=1.0)
    assert cut.symmetric_difference(polygon).area < 1e-9 * polygon.area
    assert len(cut.interiors) == len(polygon.interiors)


def test_a_slab_with_one_slot():
    faces = pierced_faces(4, 4)
    polygon = shapely.box(0, 0, 30, 20).difference(shapely.box(5, 5, 10, 15))
    lattice = lattices(np.array([polygon]))[0]
    vertices = pierced_vertices(lattice, 4.0, 0.0, FLAT)
    # Each cap: two cells beside the slot and two fans over three steps and a gap, each 4; 8 edges round
    # and 4 in the slot, two triangles each.
    assert faces.shape == (2 * (2 * 2 + 2 * 4) + 2 * (8 + 4), 3)
    assert trimesh.Trimesh(vertices, faces, process=False).volume == pytest.approx(4 * (30 * 20 - 5 * 10))


OUTER = [0.0, 0.0, 130.0, 48.0]
SLOTS = boxes([0, 10, 30, 40, 60, 70, 90, 100, 120, 130], [0, 8, 14, 28, 34, 48])


def changed(index, box):
    return [*SLOTS[:index], box, *SLOTS[index + 1 :]]


NO_LATTICE = {
    "no slots": [],
    "one missing": SLOTS[:-1],
    "one shifted": changed(3, [40, 28, 61, 34]),
    "one by a hair": changed(3, [40, 28, np.nextafter(60, 61), 34]),
    "one higher by a hair": changed(3, [40, 28, 60, np.nextafter(34, 35)]),
    "one lower": changed(6, [100, 7, 120, 13]),
    "one twice as long": changed(3, [40, 28, 65, 34]),
    "two made one": [*SLOTS[:2], [40, 8, 90, 14], SLOTS[3], *SLOTS[5:]],
    "one more between": [*SLOTS, [32, 16, 38, 26]],
}


@pytest.mark.parametrize("holes", NO_LATTICE.values(), ids=NO_LATTICE.keys())
def test_slots_that_are_no_lattice_take_the_long_way_and_are_sound_too(holes):
    polygon = slab(np.random.default_rng(1), OUTER, holes)
    assert polygon.is_valid
    assert lattices(np.array([polygon])) == {}
    (solid,) = lift([Plate(polygon=polygon, thickness=2.0, frame=FLAT)])
    mesh = trimesh.Trimesh(solid.vertices, solid.faces, process=False)
    assert mesh.is_volume
    assert mesh.volume == pytest.approx(2 * polygon.area)


UNSOUND = {
    "across the edge": changed(0, [-5, 8, 30, 14]),
    "along the edge": changed(0, [0, 8, 30, 14]),
    "along the foot": [[s0, 0, s1, y1] if y0 == 8 else [s0, y0, s1, y1] for s0, y0, s1, y1 in SLOTS],
    "outside": changed(0, [200, 8, 230, 14]),
    "the same twice": [*SLOTS[:-1], SLOTS[0]],
    "over the next one": changed(2, [40, 8, 90, 14]),
    "no width": changed(2, [40, 8, 40, 14]),
    "endless": changed(7, [100, 28, np.inf, 34]),
}


@pytest.mark.parametrize("holes", UNSOUND.values(), ids=UNSOUND.keys())
def test_slots_that_cannot_be_cut_are_no_lattice_and_are_refused(holes):
    polygon = slab(np.random.default_rng(2), OUTER, holes)
    assert lattices(np.array([polygon])) == {}
    with pytest.raises(SolidError, match=r"^plate 0: "):
        lift([Plate(polygon=polygon, thickness=2.0, frame=FLAT)])


def test_a_slab_without_end_is_refused():
    polygon = slab(np.random.default_rng(2), [0.0, 0.0, np.inf, 48.0], SLOTS)
    with pytest.raises(SolidError, match=r"^plate 0: "):
        lift([Plate(polygon=polygon, thickness=2.0, frame=FLAT)])


def test_slots_that_touch_at_a_corner_are_no_lattice():
    polygon = slab(np.random.default_rng(3), OUTER, [[10, 8, 30, 14], [30, 14, 40, 20]])
    assert lattices(np.array([polygon])) == {}


def test_other_shapes_with_as_many_points_are_no_lattice():
    # One triangle and one five-sided hole have as many points as two slots.
    holes = [[(10, 8), (30, 8), (10, 14)], [(40, 8), (60, 8), (60, 14), (50, 16), (40, 14)]]
    leaning = [[(10, 8), (30, 9), (29, 15), (9, 14)]]
    outer = shapely.box(*OUTER).exterior
    round_one = shapely.Polygon(
        [(0, 0), (140, 5), (135, 53), (-5, 48)], [shapely.box(10, 8, 30, 14).exterior]
    )
    shapes = [shapely.Polygon(outer, holes), shapely.Polygon(outer, leaning), round_one]
    assert lattices(np.array(shapes)) == {}
    assert all(shape.is_valid for shape in shapes)


def test_none_of_nothing():
    assert lattices(np.empty(0, object)) == {}
