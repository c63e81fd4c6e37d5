"""Flat-shaded facets, fasteners turned from a profile, and looks: the pieces that writers share."""

from __future__ import annotations

import re

import numpy as np
import pytest
import trimesh

from cladmodel.exports.facets import facets, unit
from cladmodel.exports.fasteners import SIDES, fastener_solid, rotations, turned
from cladmodel.exports.materials import LOOKS, UNKNOWN, look_of
from cladmodel.model import Fastener, Part


def box(width: float, height: float, depth: float) -> tuple[np.ndarray, np.ndarray]:
    mesh = trimesh.creation.box((width, height, depth))
    return np.array(mesh.vertices), np.array(mesh.faces)


def nail(*, headed: bool = True, head_thickness: float = 1.2) -> Fastener:
    return Fastener(
        name="nail",
        diameter=2.8,
        length=65.0,
        head_diameter=7.0 if headed else 2.8,
        head_thickness=head_thickness if headed else 0.0,
        headed=headed,
        ringed=True,
        material="stainless steel",
    )


def polygon_area(radius: float) -> float:
    return SIDES / 2 * np.sin(2 * np.pi / SIDES) * radius**2


def test_a_box_has_four_corners_a_face() -> None:
    vertices, faces = box(1, 2, 3)
    split = facets(vertices, faces, np.zeros(12, int), 1)
    assert len(split.source) == 24
    assert split.corner_start.tolist() == [0, 24]
    np.testing.assert_array_equal(split.source[split.triangles], faces)
    np.testing.assert_allclose(np.abs(split.normals).max(axis=1), 1.0)
    outward = (vertices[split.source] * split.normals).sum(axis=1)
    assert (outward > 0).all()


def test_pieces_share_no_corner_even_where_they_touch() -> None:
    vertices, faces = box(1, 1, 1)
    two = np.concatenate([vertices, vertices + [1.0, 0, 0]])  # noqa: RUF005 - a sum, not a joining
    split = facets(two, np.concatenate([faces, faces + 8]), np.repeat([0, 1], 12), 2)
    assert split.corner_start.tolist() == [0, 24, 48]
    assert split.triangles[:12].max() < 24 <= split.triangles[12:].min()
    assert split.source[:24].max() < 8 <= split.source[24:].min()


def test_a_piece_without_faces_keeps_its_place() -> None:
    vertices, faces = box(1, 1, 1)
    split = facets(vertices, faces, np.ones(12, int), 3)
    assert split.corner_start.tolist() == [0, 0, 24, 24]


def test_no_direction_still_gives_a_unit_vector() -> None:
    assert unit(np.array([[0.0, 0, 0], [0, -2, 0]])).tolist() == [[0, 0, 1], [0, -1, 0]]


@pytest.mark.parametrize("headed", [True, False])
def test_a_fastener_is_a_closed_solid_of_the_right_length(headed: bool) -> None:
    fastener = nail(headed=headed)
    mesh = trimesh.Trimesh(*fastener_solid(fastener))
    assert mesh.is_volume
    assert mesh.bounds[0, 2] == -65.0
    assert mesh.bounds[1, 2] == (1.2 if headed else 0.0)
    tip = 1.5 * 2.8
    shank = polygon_area(1.4) * (65.0 - tip + tip / 3)
    head = polygon_area(3.5) * 1.2 if headed else 0.0
    assert mesh.volume == pytest.approx(shank + head, rel=1e-9)


def test_a_head_alone_is_the_head() -> None:
    mesh = trimesh.Trimesh(*fastener_solid(nail(), head_only=True))
    assert mesh.is_volume
    assert mesh.bounds[:, 2].tolist() == [0.0, 1.2]
    assert mesh.volume == pytest.approx(polygon_area(3.5) * 1.2)


def test_the_end_of_a_pin_is_flush() -> None:
    mesh = trimesh.Trimesh(*fastener_solid(nail(headed=False), head_only=True))
    assert mesh.is_volume
    assert mesh.bounds[1, 2] == 0.0


def test_a_stub_of_a_nail_still_has_a_shank() -> None:
    short = Fastener(
        name="tack",
        diameter=4.0,
        length=5.0,
        head_diameter=8.0,
        head_thickness=0.5,
        headed=True,
        ringed=False,
        material="",
    )
    assert trimesh.Trimesh(*fastener_solid(short)).is_volume


def test_turning_takes_the_point_to_its_direction() -> None:
    rng = np.random.default_rng(5)
    directions = unit(np.concatenate([rng.normal(size=(50, 3)), np.eye(3), -np.eye(3)]))
    turns = rotations(directions)
    np.testing.assert_allclose(np.linalg.norm(turns, axis=1), 1.0)
    found = turned(np.array([[0.0, 0.0, -1.0]]), turns)[:, 0]
    np.testing.assert_allclose(found, directions, atol=1e-12)
    # A rotation, not a mirror: it keeps the hand of three axes.
    axes = turned(np.eye(3), turns)
    np.testing.assert_allclose(np.linalg.det(axes), 1.0)


def test_a_level_nail_is_not_turned_at_all() -> None:
    assert rotations(np.array([[0.0, 0.0, -1.0]])).tolist() == [[0, 0, 0, 1]]


def test_every_documented_material_has_a_look_of_its_own() -> None:
    told = Part.__doc__.split("What the finish goes by:")[1].split("assembly : ")[0]
    documented = set(re.findall(r"[a-z]+", told.replace("(surroundings only)", ""))) - {"or"}
    assert set(LOOKS) == documented
    assert len({look.colour for look in LOOKS.values()}) == len(LOOKS)


def test_an_unknown_material_is_grey() -> None:
    assert look_of("cheese") is UNKNOWN


def test_screen_colours_become_amounts_of_light() -> None:
    # Middle grey of a screen, 0.5, is 21.4 % of its light: a value of the sRGB curve.
    assert look_of("board", {"board": (0.0, 0.5, 1.0)}).linear == pytest.approx((0.0, 0.21404, 1.0), abs=1e-5)


@pytest.mark.parametrize("colour", [(0.0, 1.2, 0.0), (0.5, 0.5), (float("nan"), 0.0, 0.0)])
def test_a_colour_that_is_none_is_refused(colour: tuple[float, ...]) -> None:
    with pytest.raises(ValueError, match="finish colour of board"):
        look_of("board", {"board": colour})  # type: ignore[dict-item]
