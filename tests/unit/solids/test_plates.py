"""Plates by example: faces, edges square and level, holes, and what is refused."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely

from cladmodel.errors import SolidError
from cladmodel.solids.plates import Plate, frame, lift

from ... import remeasure

UPRIGHT = frame((0, 0, 0), (1, 0, 0), (0, 1, 0))
LEAN = math.radians(5.2)
LEANT = frame((0, 0, 0), (1, 0, 0), (0, math.cos(LEAN), -math.sin(LEAN)))
NOTCHED = shapely.box(0, 0, 1000, 170) - shapely.box(300, 120, 600, 200)


def one(polygon, thickness=20.0, placed=UPRIGHT, **more):
    (solid,) = lift([Plate(polygon=polygon, thickness=thickness, frame=placed, **more)])
    assert remeasure.is_closed(solid.faces)
    return solid


def test_frame_is_right_handed():
    assert frame((1, 2, 3), (1, 0, 0), (0, 1, 0)).tolist() == [[1, 0, 0, 1], [0, 1, 0, 2], [0, 0, 1, 3]]


def test_nothing_gives_nothing():
    assert lift([]) == []


def test_a_tapered_board_has_eight_corners_where_they_belong():
    solid = one(shapely.box(10, 0, 110, 170), 22.0, taper=13 / 170)
    corners = {tuple(np.round(v, 9)) for v in solid.vertices}
    assert corners == {(x, y, z) for x in (10, 110) for y, z in ((0, 0), (0, 22), (170, 0), (170, 9))}
    assert len(solid.faces) == 12
    assert remeasure.volume(solid.vertices, solid.faces) == pytest.approx(100 * 170 * 15.5)


def test_faces_look_outward():
    solid = one(shapely.box(0, 0, 100, 170))
    normal, area = remeasure.normals(solid.vertices, solid.faces)
    for axis in np.concatenate([np.eye(3), -np.eye(3)]):
        assert area[normal @ axis > 0.999].sum() > 0
    assert normal.T @ area == pytest.approx(np.zeros(3), abs=1e-9)


def test_rows_of_slots_go_right_through():
    """Slots in line with each other, which ear cutting alone would spoil."""
    slots = [shapely.box(x, y, x + 30, y + 4) for x in range(5, 960, 40) for y in (4, 17)]
    strip = shapely.Polygon(shapely.box(0, 0, 1000, 25).exterior, [s.exterior.coords for s in slots])
    solid = one(strip, 2.0)
    assert remeasure.volume(solid.vertices, solid.faces) == pytest.approx(2 * (25_000 - 120 * len(slots)))


@pytest.mark.parametrize("polygon", [shapely.box(0, 0, 1000, 170), NOTCHED], ids=["whole", "notched"])
def test_edges_square_to_the_face(polygon):
    solid = one(polygon, placed=LEANT)
    normal, _ = remeasure.normals(solid.vertices, solid.faces)
    assert np.all(np.isclose(np.abs(normal @ LEANT[:, 2]), 1) | np.isclose(normal @ LEANT[:, 2], 0))


def test_level_cut_edges_are_level_and_square_ones_stay_square():
    """A notch is cut level in the wall; the board's own two edges are as the saw mill left them."""
    solid = one(NOTCHED, placed=LEANT, plumb=LEAN, square_at=(0.0, 170.0))
    normal, _ = remeasure.normals(solid.vertices, solid.faces)
    edges = normal[np.abs(normal @ LEANT[:, 2]) < 0.999]
    kinds = {tuple(np.round(n, 6) + 0.0) for n in edges}
    up = tuple(np.round(LEANT[:, 1], 6) + 0.0)
    assert kinds == {(1, 0, 0), (-1, 0, 0), (0, 1, 0), up, tuple(-np.array(up) + 0.0)}


def test_level_and_square_cut_differ_at_the_face_by_what_the_lean_gives():
    """Up to 2.4 mm at 5 degrees for a thick board: said in the trade notes, seen in the solids."""
    rip = shapely.box(0, 0, 500, 100)
    square = one(rip, 25.0, LEANT, square_at=(0.0,)).vertices[:, 1].max()
    level = one(rip, 25.0, LEANT, plumb=LEAN, square_at=(0.0,)).vertices[:, 1].max()
    assert square - level == pytest.approx(25 * math.sin(LEAN), abs=1e-9)
    assert 2.0 < square - level < 2.4


@pytest.mark.parametrize(
    "polygon",
    [
        pytest.param(shapely.Polygon([(0, 0), (10, 10), (10, 0), (0, 10)]), id="crosses itself"),
        pytest.param(shapely.Polygon(), id="empty"),
        pytest.param(shapely.Polygon([(0, 0), (10, 0), (20, 0)]), id="no area"),
    ],
)
def test_polygons_that_are_none(polygon):
    with pytest.raises(SolidError, match="plate 1"):
        lift([Plate(polygon=shapely.box(0, 0, 1, 1), thickness=1, frame=UPRIGHT),
              Plate(polygon=polygon, thickness=1, frame=UPRIGHT)])  # fmt: skip


def test_taper_that_runs_out():
    with pytest.raises(SolidError, match="taper runs out before its far edge"):
        one(shapely.box(0, 0, 100, 170), 10.0, taper=0.06)


def test_no_thickness():
    with pytest.raises(SolidError):
        one(shapely.box(0, 0, 100, 170), 0.0)
