"""Sections are cut on a batten and a stud, clear of joints, trims and openings."""

from __future__ import annotations

import numpy as np

from cladmodel.model import Kind, Model, Part
from cladmodel.schedules.cut_lines import CLEAR, opening_cut, plain_cut


def spans(part: Part, x: float) -> bool:
    return bool(part.vertices[:, 0].min() < x < part.vertices[:, 0].max())


def test_plain_cut_is_on_a_batten_and_a_stud_clear_of_joints(model: Model) -> None:
    wall = model.walls[0]
    x = plain_cut(model, wall)
    assert sum(spans(p, x) for p in model.of_kind(Kind.BATTEN)) == 1
    assert any(spans(p, x) for p in model.of_kind(Kind.STUD))
    assert not any(spans(p, x) for p in model.of_kind(Kind.SIDE_TRIM, Kind.SILL, Kind.HEAD_TRIM, Kind.POST))
    courses = [p.course for p in model.of_kind(Kind.BOARD) if spans(p, x)]
    assert sorted(courses) == list(range(1, len(wall.rod)))
    ends = np.concatenate([p.vertices[:, 0] for p in model.of_kind(Kind.BOARD)])
    assert np.abs(ends - x).min() >= CLEAR


def test_a_joint_put_there_moves_the_cut(model: Model) -> None:
    wall = model.walls[0]
    x = plain_cut(model, wall)
    board = next(p for p in model.of_kind(Kind.BOARD) if spans(p, x) and p.course == 3)
    vertices = board.vertices.copy()
    vertices[vertices[:, 0] > x, 0] = x + 1.0  # cut off just beyond the old place
    moved = plain_cut(model.replace_parts([board.with_vertices(vertices)]), wall)
    assert abs(moved - (x + 1.0)) >= CLEAR


def test_opening_cut_goes_through_the_opening(model: Model) -> None:
    wall = model.walls[0]
    (opening,) = wall.openings
    x = opening_cut(model, wall, opening)
    assert opening.left < x < opening.right
    assert any(spans(p, x) for p in model.of_kind(Kind.BATTEN))
