import numpy as np
import pytest

from cladmodel.solids.measure import gather
from cladmodel.solids.rays import caster, crossings

OUT = np.array([[0.0, 0.0, 1.0]])


def test_first_hit_is_exact_far_from_the_origin(make_box):
    wall = make_box((8000, 0, 40), (9600, 2400, 62)).turned(
        [[1, 0, 0], [0, np.cos(0.09), np.sin(0.09)], [0, -np.sin(0.09), np.cos(0.09)]]
    )
    heights = np.linspace(100, 2000, 37)
    origins = np.c_[np.full(37, 8123.456), heights, np.full(37, -300.0)]
    face, distance = caster(gather([wall])).first(origins, np.repeat(OUT, 37, axis=0))
    assert (face >= 0).all()
    # Turned back into the piece's own axes, every hit lies on its back plane z = 40.
    own = heights * np.sin(0.09) + (distance - 300.0) * np.cos(0.09)
    assert own == pytest.approx(np.full(37, 40.0), abs=1e-9)


def test_misses_and_the_nearest_of_several(make_box):
    soup = gather([make_box((0, 0, 50), (10, 10, 60)), make_box((0, 0, 20), (10, 10, 30))])
    origins = np.array([[3.0, 7.0, 0.0], [30.0, 7.0, 0.0]])
    face, distance = caster(soup).first(origins, np.repeat(OUT, 2, axis=0))
    assert soup.face_part[face[0]] == 1
    assert distance[0] == pytest.approx(20.0, abs=1e-12)
    assert face[1] == -1
    assert np.isinf(distance[1])
    empty_face, empty_distance = caster(gather([])).first(origins, np.repeat(OUT, 2, axis=0))
    assert (empty_face == -1).all()
    assert np.isinf(empty_distance).all()


def test_crossings_list_every_solid_in_order(make_box):
    soup = gather([make_box((0, 0, 50), (10, 10, 60)), make_box((0, 0, 20), (10, 10, 30))])
    # The second line runs exactly through the diagonals of the faces, the third misses.
    origins = np.array([[3.0, 7.0, 0.0], [5.0, 5.0, 0.0], [11.0, 5.0, 0.0]])
    found = crossings(soup, origins, np.repeat(OUT, 3, axis=0), -5.0, 100.0)
    assert found.line.tolist() == [0, 0, 1, 1]
    assert found.part.tolist() == [1, 0, 1, 0]
    assert found.enter == pytest.approx([20, 50, 20, 50], abs=1e-12)
    assert found.leave == pytest.approx([30, 60, 30, 60], abs=1e-12)
    short = crossings(soup, origins[:1], OUT, 0.0, 40.0)
    assert short.part.tolist() == [1]
