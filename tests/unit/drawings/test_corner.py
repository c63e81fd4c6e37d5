"""Figures on the corner sheets against sections of the same solids by trimesh."""

from __future__ import annotations

import re

import numpy as np
import pytest
import trimesh

from cladmodel.drawings.corner import corner_sheets
from cladmodel.drawings.corner_cut import cut_corner
from cladmodel.drawings.primitives import Sheet
from cladmodel.drawings.strokes import texts
from cladmodel.model import CornerKind, Kind, Model, Part
from cladmodel.schedules.corners import Corner, corners, in_axes

SEEN = 0.02  # mm: what a drawing's figure may differ from another program's section


def extent(part: Part, y: float) -> np.ndarray:
    """(2, 2) least and most x and z where trimesh cuts a part level."""
    mesh = trimesh.Trimesh(part.vertices, part.faces, process=False)
    cut = mesh.section(plane_origin=[0, y, 0], plane_normal=[0, 1, 0])
    assert cut is not None
    return np.array(cut.bounds)[:, [0, 2]]


def drawn(sheet: Sheet, what: str) -> list[float]:
    return [d.value for d in sheet.dimensions if d.what == what]


def cut_height(sheet: Sheet) -> float:
    (words,) = [t.text for t in texts(sheet.primitives) if t.text.startswith("Cut ")]
    return float(re.findall(r"[\d.]+", words)[0])


def beside(model: Model, corner: Corner, wall: str, y: float) -> Part:
    """The one board of a wall that the cut meets next to the corner, in the post's axes."""
    found = [
        in_axes(model, p, corner.home)
        for p in model.of_kind(Kind.BOARD, wall=wall)
        if p.vertices[:, 1].min() < y < p.vertices[:, 1].max()
    ]
    post = corner.post.vertices[:, [0, 2]].mean(axis=0)
    return min(found, key=lambda p: np.linalg.norm(p.vertices[:, [0, 2]] - post, axis=1).min())


def test_one_sheet_for_each_different_corner(building: Model, model: Model) -> None:
    titles = [sheet.title for sheet in corner_sheets(building)]
    assert len(titles) == 2
    assert "outside corner, south / east, east / porch" in titles[0]
    assert "inside corner, porch / nook" in titles[1]
    (ends,) = corner_sheets(model)
    assert "left end" in ends.title
    assert "right end" in ends.title


@pytest.mark.parametrize("kind", [CornerKind.OUTSIDE, CornerKind.INSIDE])
def test_figures_of_a_plan(building: Model, kind: CornerKind) -> None:
    sheet = corner_sheets(building)[0 if kind is CornerKind.OUTSIDE else 1]
    corner = next(c for c in corners(building) if c.kind is kind)
    cut = cut_corner(building, corner)
    y = cut.y
    assert cut_height(sheet) == pytest.approx(y, abs=0.06)
    low, high = extent(corner.post, y)
    assert drawn(sheet, "post along the wall")[0] == pytest.approx(high[0] - low[0], abs=SEEN)
    assert drawn(sheet, "post out") == pytest.approx([high[1] - low[1]], abs=SEEN)
    left, right = (beside(building, corner, wall.name, y) for wall in corner.walls)
    (left_low, left_high), (right_low, right_high) = extent(left, y), extent(right, y)
    inside = kind is CornerKind.INSIDE
    gaps = [low[0] - left_high[0], right_low[1] - high[1] if inside else low[1] - right_high[1]]
    assert drawn(sheet, "fitting gap") == pytest.approx(gaps, abs=SEEN)
    noses = [left.vertices[:, 2].max(), right.vertices[:, 0].min() if inside else right.vertices[:, 0].max()]
    proud = [high[1] - noses[0], noses[1] - low[0] if inside else high[0] - noses[1]]
    assert drawn(sheet, "post past the noses") == pytest.approx(proud, abs=SEEN)
    assert min(proud) > 0
    assert drawn(sheet, "batten") == pytest.approx([50.0, 50.0], abs=SEEN)
    membrane = max(p.vertices[:, 2].max() for p in building.of_kind(Kind.MEMBRANE, wall=corner.home.name))
    assert drawn(sheet, "cavity") == pytest.approx([left_low[1] - membrane], abs=SEEN)


def test_a_board_moved_along_changes_its_gap_only(building: Model) -> None:
    corner = corners(building)[0]
    y = cut_corner(building, corner).y
    board = beside(building, corner, "south", y)
    moved = board.with_vertices(board.vertices - [3.0, 0.0, 0.0])
    before, after = (corner_sheets(m)[0] for m in (building, building.replace_parts([moved])))
    assert drawn(after, "fitting gap")[0] - drawn(before, "fitting gap")[0] == pytest.approx(3.0)
    assert drawn(after, "fitting gap")[1] == pytest.approx(drawn(before, "fitting gap")[1])
    assert drawn(after, "post past the noses") == pytest.approx(drawn(before, "post past the noses"))


def test_relief_of_the_foot_is_dimensioned(building: Model) -> None:
    outside, inside = corner_sheets(building)
    for sheet in (outside, inside):
        (height,) = drawn(sheet, "relief height")
        post = next(c for c in corners(building) if c.name in sheet.title).post
        levels = np.unique(np.round(post.vertices[:, 1], 6))
        assert height == pytest.approx(levels[1] - levels[0], abs=SEEN)
    xs = np.unique(np.round(corners(building)[0].post.vertices[:, 0], 6))
    assert drawn(outside, "relief along") == pytest.approx([xs[1] - xs[0]], abs=SEEN)


def test_every_post_and_batten_is_in_the_make_up(building: Model) -> None:
    words = " ".join(t.text for sheet in corner_sheets(building) for t in texts(sheet.primitives))
    for corner in corners(building):
        assert f" {corner.post.mark} " in words
        for batten in corner.battens:
            assert f" {batten.mark} " in words
