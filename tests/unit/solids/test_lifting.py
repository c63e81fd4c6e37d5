"""Lifting many plates at once: closed, of exactly the right volume, in the right place; what is refused."""

import math

import numpy as np
import pytest
import shapely
import trimesh
from shapely import affinity

from cladmodel.errors import SolidError
from cladmodel.solids.plates import Plate, frame, lift

FLAT = frame((0, 0, 0), (1, 0, 0), (0, 1, 0))
SQUARE = shapely.box(0, 0, 100, 50)
NOTCHED = shapely.Polygon([(0, 0), (900, 0), (900, 60), (400, 60), (400, 170), (0, 170)])


def plate(polygon, thickness=9.0, **more):
    return Plate(polygon=polygon, thickness=thickness, **{"frame": FLAT, **more})


def mesh_of(solid):
    """As other software sees it: nothing merged or mended."""
    return trimesh.Trimesh(solid.vertices, solid.faces, process=False)


def exact_volume(one):
    """Volume of a square-cut plate: thickness at the centroid times area."""
    return (one.thickness - one.taper * one.polygon.centroid.y) * one.polygon.area


def star(rng, corners):
    """Simple polygon round the origin with corners at random angles and distances."""
    angle = np.sort(rng.uniform(0, 2 * math.pi, corners))
    gaps = np.diff(np.append(angle, angle[0] + 2 * math.pi))
    angle = angle if gaps.max() < math.pi - 0.1 else np.linspace(0, 2 * math.pi, corners, endpoint=False)
    reach = rng.uniform(20, 200, corners)
    return shapely.Polygon(np.column_stack([reach * np.cos(angle), reach * np.sin(angle)]))


def pierced_star(rng):
    """A star with up to four square holes in a row, as far as they fit."""
    shape = star(rng, int(rng.integers(5, 14)))
    for x in rng.uniform(-12, 12) + np.arange(int(rng.integers(0, 5))) * 6.0:
        hole = shapely.box(x, -2, x + 4, 2)
        if shape.contains_properly(hole):
            shape = shape.difference(hole)
    return shape


def some_frame(rng):
    turn, _ = np.linalg.qr(rng.normal(size=(3, 3)))
    return frame(rng.uniform(-5e3, 5e3, 3), turn[:, 0], turn[:, 1])


def some_plates(seed, count=60):
    rng = np.random.default_rng(seed)
    shapes = [
        lambda: shapely.box(0, 0, *rng.uniform(1, 5000, 2)),
        lambda: affinity.rotate(NOTCHED, rng.uniform(0, 360)),
        lambda: star(rng, int(rng.integers(3, 16))),
        lambda: pierced_star(rng),
    ]
    for _ in range(count):
        shape = shapes[rng.integers(len(shapes))]()
        _, low, _, high = shape.bounds
        taper = rng.choice([0.0, rng.uniform(-0.2, 0.2)])
        thick = rng.uniform(2, 50) + max(taper * low, taper * high)
        # A user's rings may run either way and start anywhere.
        shape = shape.reverse() if rng.random() < 0.5 else shape
        yield plate(shape, thick, taper=taper, frame=some_frame(rng))


@pytest.mark.parametrize("seed", range(12))
def test_many_plates_are_closed_and_hold_exactly_what_they_should(seed):
    plates = list(some_plates(seed))
    for one, solid in zip(plates, lift(plates), strict=True):
        mesh = mesh_of(solid)
        assert mesh.is_volume
        assert mesh.volume == pytest.approx(exact_volume(one), rel=1e-9)


@pytest.mark.parametrize("seed", range(4))
def test_a_plate_does_not_depend_on_the_plates_beside_it(seed):
    plates = list(some_plates(seed, 25))
    for one, solid in zip(plates, lift(plates), strict=True):
        (alone,) = lift([one])
        assert np.array_equal(alone.vertices, solid.vertices)
        assert np.array_equal(alone.faces, solid.faces)


def test_back_vertices_come_first_and_lie_on_the_polygon():
    (solid,) = lift([plate(NOTCHED, 22.0, taper=13 / 170)])
    back, front = np.split(solid.vertices, 2)
    assert (back[:, 2] == 0).all()
    assert back[:, :2] == pytest.approx(front[:, :2])
    assert front[:, 2] == pytest.approx(22.0 - 13 / 170 * front[:, 1])
    assert shapely.Polygon(back[:, :2]).equals(NOTCHED)


def test_a_plate_stands_where_its_frame_says():
    # s goes up, y goes out of the wall, so n points along the wall to the right.
    (solid,) = lift([plate(SQUARE, 9.0, frame=frame((1000, 200, -25), (0, 1, 0), (0, 0, 1)))])
    assert solid.vertices.min(axis=0) == pytest.approx((1000, 200, -25))
    assert solid.vertices.max(axis=0) == pytest.approx((1009, 300, 25))


def test_corners_on_a_straight_line_are_dropped():
    ring = [(50, 0), (100, 0), (100, 0), (100, 25), (100, 50), (30, 50), (20, 50), (0, 50), (0, 0), (10, 0)]
    (solid,) = lift([plate(shapely.Polygon(ring))])
    assert len(solid.vertices) == 8
    assert mesh_of(solid).volume == pytest.approx(100 * 50 * 9)


def test_a_true_corner_next_to_dropped_ones_stays():
    ring = [(0, 0), (40, 0), (80, 0), (100, 0), (100, 50), (99, 50), (98, 50), (0, 50)]
    (solid,) = lift([plate(shapely.Polygon(ring))])
    assert solid.vertices[:4, :2].tolist() == [[0, 0], [100, 0], [100, 50], [0, 50]]


def test_slots_in_a_line_that_are_no_lattice_are_closed():
    # The last slot is shorter: ear cutting would lose corners of slots that stand in line.
    slots = [shapely.box(10 + 40 * i, 8, 40 + 40 * i, 12) for i in range(30)]
    slots[-1] = shapely.box(1180, 8, 1195, 12)
    shape = shapely.box(0, 0, 1220, 25).difference(shapely.union_all(slots))
    (solid,) = lift([plate(shape, 2.0)])
    assert mesh_of(solid).is_volume
    assert mesh_of(solid).volume == pytest.approx(2 * (1220 * 25 - 29 * 120 - 60))


@pytest.mark.parametrize("lean_deg", [-4.0, 3.0, 7.5])
def test_edges_cut_level_are_level_and_square_ones_square(lean_deg):
    lean = math.radians(lean_deg)
    sin, cos = math.sin(lean), math.cos(lean)
    board = plate(
        NOTCHED, 22.0, taper=13 / 170, plumb=lean, square_at=(0.0, 170.0),
        frame=frame((0, 0, 0), (1, 0, 0), (0, cos, -sin)),
    )  # fmt: skip
    (solid,) = lift([board])
    mesh = mesh_of(solid)
    assert mesh.is_volume
    back, front = np.split(solid.vertices, 2)
    up = np.linalg.norm(back[:, 1:], axis=1)
    notch = np.abs(up - 60) < 1e-9
    assert notch.sum() == 2
    assert front[notch, 1] == pytest.approx(back[notch, 1])
    square = np.array((0.0, sin, cos))
    for height, edge in ((0.0, up < 1e-9), (170.0, np.abs(up - 170) < 1e-9)):
        thick = 22.0 - 13 / 170 * height
        assert front[edge] == pytest.approx(back[edge] + thick * square)


def unchecked(points):
    """A polygon of numbers that numpy itself would warn of."""
    with np.errstate(invalid="ignore"):
        return shapely.Polygon(points)


REFUSED = {
    "nothing": shapely.Polygon(),
    "a line": shapely.Polygon([(0, 0), (10, 10), (20, 20)]),
    "a bow": shapely.Polygon([(0, 0), (10, 10), (10, 0), (0, 10)]),
    "a crossing": shapely.Polygon(
        [(0, 0), (50, 0), (50, 50), (30, 50), (30, -9), (20, -9), (20, 50), (0, 50)]
    ),
    "a spike": shapely.Polygon([(0, 0), (10, 0), (15, 0), (10, 0), (10, 10), (0, 10)]),
    "a hole outside": shapely.Polygon(SQUARE.exterior, [shapely.box(200, 0, 210, 10).exterior]),
    "a slot across the edge": shapely.Polygon(SQUARE.exterior, [shapely.box(90, 10, 110, 20).exterior]),
    "two slots in each other": shapely.Polygon(
        SQUARE.exterior, [shapely.box(10, 10, 30, 20).exterior, shapely.box(20, 15, 40, 25).exterior]
    ),
    "not a number": unchecked([(0, 0), (10, 0), (10, math.nan), (0, 10)]),
    "endless": unchecked([(0, 0), (math.inf, 0), (math.inf, 10), (0, 10)]),
    "twice round": shapely.Polygon([(0, 0), (9, 0), (5, 9), (0, 0), (9, 0), (5, 9)]),
}


@pytest.mark.parametrize("shape", REFUSED.values(), ids=REFUSED.keys())
@pytest.mark.parametrize("place", [0, 2])
def test_a_shape_that_bounds_nothing_is_refused_by_number(shape, place):
    plates = [plate(SQUARE), plate(NOTCHED)]
    plates.insert(place, plate(shape))
    with pytest.raises(SolidError, match=rf"^plate {place}: "):
        lift(plates)


def slotted(columns=3, rows=2):
    slots = [
        shapely.box(10 + 30 * i, 8 + 20 * j, 30 + 30 * i, 14 + 20 * j)
        for i in range(columns)
        for j in range(rows)
    ]
    return shapely.box(0, 0, 10 + 30 * columns, 8 + 20 * rows).difference(shapely.union_all(slots))


@pytest.mark.parametrize("shape", [SQUARE, NOTCHED, slotted()], ids=["box", "notched", "slotted"])
@pytest.mark.parametrize("rising", [1, -1])
def test_a_taper_that_runs_out_is_refused_by_number(shape, rising):
    _, low, _, high = shape.bounds
    if rising < 0:
        shape = affinity.translate(shape, 0, -high)
    good = plate(shape, 10.0, taper=rising * 9.9 / (high - low))
    bad = plate(shape, 10.0, taper=rising * 10 / (high - low))
    assert len(lift([good, good])) == 2
    with pytest.raises(SolidError, match=r"^plate 1: its taper runs out"):
        lift([good, bad])


def test_no_plates_give_no_solids():
    assert lift([]) == []


def test_lattices_and_other_plates_keep_their_order():
    shapes = [slotted(), SQUARE, slotted(2, 4), NOTCHED, slotted()]
    plates = [plate(shape, 5.0 + i) for i, shape in enumerate(shapes)]
    volumes = [mesh_of(solid).volume for solid in lift(plates)]
    assert volumes == pytest.approx([exact_volume(one) for one in plates])


def test_a_bevelled_slab_with_a_lattice_is_closed():
    (solid,) = lift([plate(slotted(), 9.0, plumb=0.1)])
    assert mesh_of(solid).is_volume
    back, front = np.split(solid.vertices, 2)
    # Every edge is cut aslant alike, so the front stands lower by the lean over the thickness.
    assert front - back == pytest.approx(np.tile((0.0, -9 * math.tan(0.1), 9.0), (len(back), 1)))


def test_a_frame_is_right_handed_to_the_last_digit():
    rng = np.random.default_rng(7)
    for origin, s, y in rng.normal(size=(200, 3, 3)):
        assert np.array_equal(frame(origin, s, y), np.column_stack([s, y, np.cross(s, y), origin]))
