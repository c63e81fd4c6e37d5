"""Laws of plates: whatever the polygon, lifting it gives one closed solid of the right volume."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from cladmodel.errors import SolidError
from cladmodel.solids.plates import Plate, frame, lift

from .. import remeasure
from .strategies import polygons


def turned_frame(about: float, lean: float) -> np.ndarray:
    """Frame turned about the upright axis, then leant back."""
    s = np.array([math.cos(about), 0.0, -math.sin(about)])
    out = np.array([math.sin(about), 0.0, math.cos(about)])
    y = np.array([0.0, math.cos(lean), 0.0]) - out * math.sin(lean)
    return frame((300.0, -40.0, 12.0), s, y)


@settings(max_examples=150)
@given(
    polygon=polygons(),
    thickness=st.floats(0.5, 80),
    share=st.floats(-0.9, 0.9),
    about=st.floats(0, 6),
    lean=st.floats(-0.6, 0.6),
)
def test_square_cut_plate_is_closed_and_holds_thickness_at_the_centroid_times_area(
    polygon, thickness, share, about, lean
):
    # The taper uses up to nine tenths of the thickness within the polygon's own reach.
    reach = max(abs(polygon.bounds[1]), abs(polygon.bounds[3]))
    taper = share * thickness / reach
    placed = turned_frame(about, lean)
    (solid,) = lift([Plate(polygon=polygon, thickness=thickness, taper=taper, frame=placed)])
    assert remeasure.is_closed(solid.faces)
    volume = remeasure.volume(solid.vertices, solid.faces)
    expected = polygon.area * (thickness - taper * polygon.centroid.y)
    assert volume == pytest.approx(expected, rel=1e-9)
    assert volume > 0
    own = (solid.vertices - placed[:, 3]) @ placed[:, :3]
    back, front = own[: len(own) // 2], own[len(own) // 2 :]
    assert back[:, 2] == pytest.approx(0.0, abs=1e-9)
    assert front[:, 2] == pytest.approx(thickness - taper * front[:, 1], abs=1e-9)
    assert front[:, :2] == pytest.approx(back[:, :2], abs=1e-9)


@settings(max_examples=60)
@given(polygon=polygons(), thickness=st.floats(1, 40), lean=st.floats(0.01, 0.2))
def test_level_cut_plate_is_closed_and_its_edges_run_level_or_upright(polygon, thickness, lean):
    """Every edge that runs along the wall is cut level; every other holds the level line across itself."""
    # Edges slide while they are cut: keep to polygons whose edges stay apart.
    assume(polygon.buffer(-8).geom_type == "Polygon" and not polygon.buffer(-8).is_empty)
    assume(len(polygon.interiors) == 0)
    hull = shapely.convex_hull(polygon)
    placed = turned_frame(0.0, lean)
    (solid,) = lift([Plate(polygon=hull, thickness=thickness, frame=placed, plumb=lean)])
    assert remeasure.is_closed(solid.faces)
    assert remeasure.volume(solid.vertices, solid.faces) > 0
    half = len(solid.vertices) // 2
    across = solid.vertices[half:] - solid.vertices[:half]
    assert across[:, 2] == pytest.approx(across[:, 2].max(), abs=1e-6) or np.all(across[:, 2] > 0)
    normal, _ = remeasure.normals(solid.vertices, solid.faces)
    faces = normal[np.abs(normal @ placed[:, 2]) < 0.999999]
    # Out along the wall's own z there is no slope in any cut edge: it shows edge-on from the front.
    assert faces[:, 2] == pytest.approx(0.0, abs=1e-9)


@settings(max_examples=40)
@given(shapes=st.lists(polygons(), min_size=1, max_size=6), thickness=st.floats(1, 40))
def test_many_plates_at_once_are_the_same_as_one_by_one(shapes, thickness):
    placed = turned_frame(0.4, 0.1)
    plates = [Plate(polygon=p, thickness=thickness, frame=placed) for p in shapes]
    for together, plate in zip(lift(plates), plates, strict=True):
        (alone,) = lift([plate])
        assert np.array_equal(together.vertices, alone.vertices)
        assert np.array_equal(together.faces, alone.faces)


@settings(max_examples=40)
@given(polygon=polygons(), steps=st.integers(1, 4))
def test_points_in_line_change_nothing(polygon, steps):
    """Corners added along straight edges are dropped again: no sliver, the same volume."""
    dense = shapely.segmentize(polygon, polygon.length / (12 * steps))
    placed = turned_frame(0.0, 0.0)
    one, two = lift([Plate(polygon=p, thickness=20.0, frame=placed) for p in (polygon, dense)])
    assert len(two.vertices) <= len(one.vertices)
    assert remeasure.volume(two.vertices, two.faces) == pytest.approx(
        remeasure.volume(one.vertices, one.faces), rel=1e-9
    )
    assert remeasure.is_closed(two.faces)


@settings(max_examples=40)
@given(polygon=polygons(), thickness=st.floats(1, 40))
def test_a_taper_that_runs_out_is_refused(polygon, thickness):
    top = polygon.bounds[3]
    assume(top > 1)
    with pytest.raises(SolidError, match="taper runs out"):
        lift(
            [
                Plate(
                    polygon=polygon,
                    thickness=thickness,
                    taper=1.01 * thickness / top,
                    frame=turned_frame(0, 0),
                )
            ]
        )
