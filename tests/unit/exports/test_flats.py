"""Triangles gathered into flat faces, and solids told to be an outline pushed straight through."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
import trimesh
from hypothesis import given
from hypothesis import strategies as st

from cladmodel.exports.flats import Flat, flat_faces, pushed
from cladmodel.solids.plates import Plate, frame, lift

ALONG, LEANING = (1.0, 0.0, 0.0), (0.0, np.cos(0.09), -np.sin(0.09))


def lifted(polygon: shapely.Polygon, *, taper: float = 0.0, **more):
    (solid,) = lift(
        [
            Plate(
                polygon=polygon,
                thickness=22.0,
                taper=taper,
                frame=frame((3.0, 131.0, 15.6), ALONG, LEANING),
                **more,
            )
        ]
    )
    return solid.vertices, solid.faces


def ring_area(ring: np.ndarray) -> float:
    x, y = ring.T
    return float((x * np.roll(y, -1) - y * np.roll(x, -1)).sum() / 2)


def total_area(vertices: np.ndarray, flats: list[Flat]) -> float:
    """Surface by the rings alone: holes run the other way and take themselves off."""
    total = 0.0
    for flat in flats:
        for ring in flat.rings:
            spokes = vertices[list(ring)] - vertices[ring[0]]
            total += np.cross(spokes[:-1], spokes[1:]).sum(axis=0) @ flat.normal / 2
    return total


def test_a_box_is_six_faces_pushed_along_its_longest_side() -> None:
    vertices, faces = lifted(shapely.box(0, 0, 1000, 170))
    flats = flat_faces(vertices, faces)
    assert sorted(len(flat.corners) for flat in flats) == [4] * 6
    through = pushed(vertices, flats)
    assert through.depth == pytest.approx(1000.0)
    assert abs(through.direction @ ALONG) == pytest.approx(1.0)
    (ring,) = through.rings
    assert ring_area(ring) == pytest.approx(22.0 * 170.0)


def test_a_feather_edge_board_is_its_section_pushed_along_it() -> None:
    vertices, faces = lifted(shapely.box(0, 0, 1000, 170), taper=13 / 170)
    through = pushed(vertices, flat_faces(vertices, faces))
    assert through.depth == pytest.approx(1000.0)
    assert ring_area(through.rings[0]) == pytest.approx(170.0 * (22.0 + 9.0) / 2)


def test_a_notched_board_is_not_pushed() -> None:
    vertices, faces = lifted(shapely.box(0, 0, 1000, 170) - shapely.box(400, 100, 700, 200), taper=13 / 170)
    flats = flat_faces(vertices, faces)
    # Back, top, two ends, butt, two cheeks and the floor of the notch; the front; and the top in two.
    assert len(flats) == 10
    assert pushed(vertices, flats) is None


def test_a_sheet_with_holes_is_pushed_with_them() -> None:
    outline = shapely.box(0, 0, 1200, 800) - shapely.box(100, 100, 300, 200) - shapely.box(500, 300, 900, 700)
    vertices, faces = lifted(outline)
    through = pushed(vertices, flat_faces(vertices, faces))
    assert through.depth == pytest.approx(22.0)
    areas = [ring_area(ring) for ring in through.rings]
    assert areas[0] == pytest.approx(1200.0 * 800.0)
    assert sorted(areas[1:]) == pytest.approx([-400.0 * 400.0, -200.0 * 100.0])


def test_a_pushed_outline_gives_every_corner_back() -> None:
    vertices, faces = lifted(shapely.Polygon([(0, 0), (300, 0), (280, 150), (40, 170)]))
    through = pushed(vertices, flat_faces(vertices, faces))
    across = np.cross(through.direction, through.along)
    (ring,) = through.rings
    near = through.origin + ring[:, :1] * through.along + ring[:, 1:] * across
    both = np.concatenate([near, near + through.depth * through.direction])
    gap = np.linalg.norm(both[:, None] - vertices[None], axis=2)
    assert gap.min(axis=0).max() < 1e-9


@given(
    st.lists(st.tuples(st.floats(0.1, 1.0), st.floats(0.3, 1.0)), min_size=3, max_size=9),
    st.sampled_from([0.0, 13 / 170]),
    st.booleans(),
)
def test_faces_close_the_solid_and_pushing_keeps_its_volume(steps, taper, hole) -> None:
    """Law: rings hold all of the surface; outline times depth is the volume."""
    angles = np.cumsum([turn for turn, _ in steps])
    angles *= 2 * np.pi / (angles[-1] + 0.3)
    ring = [
        (120 + 100 * r * np.cos(a), 85 + 80 * r * np.sin(a)) for a, (_, r) in zip(angles, steps, strict=True)
    ]
    polygon = shapely.Polygon(ring).buffer(0)
    if polygon.geom_type != "Polygon" or polygon.area < 100.0:
        return
    if hole:
        middle = polygon.representative_point().buffer(2.0, quad_segs=1)
        polygon = polygon - middle if polygon.contains(middle.buffer(1.0)) else polygon
    vertices, faces = lifted(polygon, taper=taper)
    flats = flat_faces(vertices, faces)
    assert flats is not None
    whole = trimesh.Trimesh(vertices, faces, process=False)
    assert total_area(vertices, flats) == pytest.approx(whole.area, rel=1e-9)
    through = pushed(vertices, flats)
    if taper == 0.0:
        assert through is not None
    if through is not None:
        solid = through.depth * sum(ring_area(ring) for ring in through.rings)
        assert solid == pytest.approx(whole.volume, rel=1e-9)


def test_what_is_not_closed_has_no_faces() -> None:
    vertices, faces = lifted(shapely.box(0, 0, 100, 50))
    assert flat_faces(vertices, faces[1:]) is None
    assert flat_faces(vertices, np.concatenate([faces, faces[:1]])) is None


def test_a_triangle_without_area_is_left_to_the_triangles() -> None:
    vertices, faces = lifted(shapely.box(0, 0, 100, 50))
    vertices = np.concatenate([vertices, vertices[:1]])
    a, b, c = faces[0]
    split = np.array([[a, b, len(vertices) - 1], [b, c, len(vertices) - 1], [c, a, len(vertices) - 1]])
    vertices[-1] = (vertices[a] + vertices[b]) / 2
    assert flat_faces(vertices, np.concatenate([split, faces[1:]])) is None
    # The same corner moved inside the triangle makes three good ones in one plane.
    vertices[-1] = (vertices[a] + vertices[b] + vertices[c]) / 3
    flats = flat_faces(vertices, np.concatenate([split, faces[1:]]))
    assert len(flats) == 6


def test_solids_joined_along_an_edge_are_left_to_the_triangles() -> None:
    one, other = trimesh.creation.box((1, 1, 1)), trimesh.creation.box((1, 1, 1))
    other.apply_translation((1, 1, 0))
    joined = trimesh.util.concatenate([one, other])
    joined.merge_vertices()
    assert len(joined.vertices) == 14
    assert flat_faces(np.array(joined.vertices), np.array(joined.faces)) is None


def test_corners_of_one_face_that_touch_are_left_to_the_triangles() -> None:
    """A slab with two three-sided spikes that meet in one point of its top.

    Every edge has two triangles, but the ring round the spikes passes that point twice.
    """
    meet, corners = (15, 15), [(0, 0), (30, 0), (30, 30), (0, 30)]
    left, right = [meet, (5, 20), (5, 10)], [meet, (25, 10), (25, 20)]
    top, triangles = trimesh.creation.triangulate_polygon(
        shapely.Polygon(corners, [left, right]), engine="earcut"
    )
    plan = [tuple(point) for point in np.unique(top, axis=0).tolist()]
    rows = [plan.index(tuple(point)) for point in top.tolist()]
    at = {point: plan.index(point) for point in (*corners, *left, *right)}
    vertices = [(x, y, 10.0) for x, y in plan] + [(x, y, 0.0) for x, y in corners]
    vertices += [(8.0, 15.0, 20.0), (22.0, 15.0, 20.0)]
    bottom, tips = [len(plan) + n for n in range(4)], [len(plan) + 4, len(plan) + 5]
    faces = [[rows[corner] for corner in triangle] for triangle in triangles]
    ups = np.cross(*(np.diff(np.array(vertices)[faces], axis=1).swapaxes(0, 1)))[:, 2]
    faces = [face if up > 0 else face[::-1] for face, up in zip(faces, ups, strict=True)]
    faces += [[bottom[0], bottom[2], bottom[1]], [bottom[0], bottom[3], bottom[2]]]
    for n in range(4):
        here, there = at[corners[n]], at[corners[(n + 1) % 4]]
        faces += [[bottom[n], bottom[(n + 1) % 4], there], [bottom[n], there, here]]
    for ring, tip in ((left, tips[0]), (right, tips[1])):
        anticlockwise = ring if ring_area(np.array(ring, float)) > 0 else ring[::-1]
        faces += [[at[anticlockwise[n]], at[anticlockwise[(n + 1) % 3]], tip] for n in range(3)]
    solid = trimesh.Trimesh(np.array(vertices), np.array(faces), process=False)
    assert solid.is_volume
    assert flat_faces(np.array(vertices), np.array(faces)) is None


def test_a_ball_has_as_many_faces_as_triangles() -> None:
    ball = trimesh.creation.icosphere(subdivisions=2)
    flats = flat_faces(np.array(ball.vertices) * 100.0, np.array(ball.faces))
    assert len(flats) == len(ball.faces)
    assert pushed(np.array(ball.vertices) * 100.0, flats) is None
