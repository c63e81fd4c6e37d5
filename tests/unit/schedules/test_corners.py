"""Corners, the posts' make-up and one rod round the building, against trimesh and against moved parts."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest
import trimesh

from cladmodel.model import CornerKind, Kind, Model, Part, Use
from cladmodel.schedules.building_rod import building_rod, corner_levels
from cladmodel.schedules.corners import corners, in_axes, screws_of
from cladmodel.schedules.makeup import makeup, relief


def test_every_post_is_a_corner_between_neighbours(building: Model) -> None:
    found = corners(building)
    assert [c.name for c in found] == [
        "south / east",
        "east / porch",
        "porch / nook",
        "nook / north",
        "north / west",
        "west / south",
    ]
    assert [c.kind for c in found].count(CornerKind.INSIDE) == 1
    assert found[2].kind is CornerKind.INSIDE
    assert sorted(c.post.mark for c in found) == sorted(p.mark for p in building.of_kind(Kind.POST))


def test_a_lone_wall_has_two_ends(model: Model) -> None:
    left, right = corners(model)
    assert (left.name, right.name) == ("north, left end", "north, right end")
    assert (left.left, right.right) == (None, None)
    assert left.post.vertices[:, 0].max() < right.post.vertices[:, 0].min()


def test_battens_touch_their_post(building: Model) -> None:
    for corner in corners(building):
        assert len(corner.battens) == 2
        assert [b.wall for b in corner.battens] == [w.name for w in corner.walls]
        for batten in corner.battens:
            placed = in_axes(building, batten, corner.home)
            gap = np.maximum(
                corner.post.vertices.min(axis=0) - placed.vertices.max(axis=0),
                placed.vertices.min(axis=0) - corner.post.vertices.max(axis=0),
            )
            assert gap.max() == pytest.approx(0.0, abs=1e-9)


def test_every_concealed_post_screw_is_listed_once(building: Model) -> None:
    listed = sum(
        len(heads)
        for corner in corners(building)
        for batten in corner.battens
        for _, heads in screws_of(building, corner, batten)
    )
    assert listed == sum(len(group.heads) for group in building.fixings_for(Use.POST))
    assert listed == sum(len(b.screws) for one in makeup(building) for b in one.battens)


def test_make_up_is_measured_on_the_solids(building: Model) -> None:
    by_mark = {part.mark: part for part in building.parts}
    for one in makeup(building):
        low, high = trimesh.Trimesh(by_mark[one.mark].vertices, by_mark[one.mark].faces).bounds
        assert (one.width, one.length, one.depth) == pytest.approx(tuple(high - low))
        for batten in one.battens:
            mesh = trimesh.Trimesh(by_mark[batten.mark].vertices, by_mark[batten.mark].faces)
            assert batten.length == pytest.approx(mesh.extents[1])
            assert batten.above_foot == pytest.approx(mesh.bounds[0][1] - low[1])
            assert all(0 < place < batten.length for place in batten.screws)
            assert batten.spacing == pytest.approx(np.diff(batten.screws).max())


def test_a_longer_post_shows(building: Model) -> None:
    post = building.of_kind(Kind.POST)[0]
    longer = post.with_vertices(
        post.vertices + np.where(post.vertices[:, 1:2] > 1000, [0.0, 30.0, 0.0], [0.0, 0.0, 0.0])
    )
    before, after = makeup(building)[0], makeup(building.replace_parts([longer]))[0]
    assert after.length - before.length == pytest.approx(30.0)


def cut_foot(post: Part) -> tuple[float, float]:
    """Volume missing at a post's foot, and its height, by trimesh."""
    mesh = trimesh.Trimesh(post.vertices, post.faces, process=False)
    levels = np.unique(np.round(post.vertices[:, 1], 9))
    return float(np.prod(mesh.extents) - mesh.volume), float(levels[1] - levels[0])


def test_relief_of_an_outside_post_is_what_its_volume_lacks(building: Model) -> None:
    for corner in corners(building):
        height, along, out = relief(corner.post)
        missing, by_trimesh = cut_foot(corner.post)
        assert height == pytest.approx(by_trimesh)
        size = float(np.ptp(corner.post.vertices[:, 0]))
        kept = (size - along) * (size - out)
        plan = along * out if corner.kind is CornerKind.OUTSIDE else size * size - kept
        assert missing == pytest.approx(plan * height, rel=1e-6)


def test_a_whole_post_has_no_relief(building: Model) -> None:
    post = building.of_kind(Kind.POST)[0]
    block = trimesh.creation.box(bounds=[post.vertices.min(axis=0), post.vertices.max(axis=0)])
    whole = replace(post, vertices=np.array(block.vertices), faces=np.array(block.faces))
    assert relief(whole) == (0.0, 0.0, 0.0)


def test_relief_of_a_leaning_post(model: Model) -> None:
    left, right = (relief(corner.post) for corner in corners(model))
    assert right == pytest.approx(left, abs=0.02)


def test_one_rod_round_all_walls(building: Model) -> None:
    lines = building_rod(building)
    assert [line.course for line in lines] == list(range(1, len(lines) + 1))
    assert lines[0].walls == ("south", "west")
    assert set(lines[5].walls) == {wall.name for wall in building.walls}
    assert max(line.spread for line in lines) < 0.01
    for below, above in itertools.pairwise(lines):
        assert below.gauge == pytest.approx(above.height - below.height)
    assert lines[-1].gauge is None


def test_courses_meet_at_every_corner(building: Model) -> None:
    levels = corner_levels(building)
    assert len(levels) == 6
    for level in levels:
        assert level.compared >= 10
        assert level.difference is not None
        assert level.difference < 0.01


def test_a_board_raised_at_a_corner_shows_there_only(building: Model) -> None:
    boards = [p for p in building.of_kind(Kind.BOARD, wall="east") if p.course == 6]
    last = max(boards, key=lambda p: float(p.vertices[:, 0].max()))
    reach = last.vertices[:, 0].max()
    turned = last.vertices.copy()
    turned[turned[:, 0] > reach - 5, 1] += 0.7  # its right-hand end only
    levels = {lv.corner: lv for lv in corner_levels(building.replace_parts([last.with_vertices(turned)]))}
    assert levels["east / porch"].difference == pytest.approx(0.7, abs=1e-6)
    assert levels["east / porch"].course == 6
    assert levels["south / east"].difference == pytest.approx(0.0, abs=1e-6)


def test_a_lone_wall_has_no_corner_to_compare(model: Model) -> None:
    assert corner_levels(model) == ()
