"""Each kind of piece as built: where it stands, how big it is, what it leaves free."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from cladmodel.model import Kind, Layer, Part, Use

from ... import remeasure
from ...building import WINDOW, Built, build_text, failing, scene_text

DOOR = {"name": "door", "kind": "door", "left": 1800, "width": 900, "head": 2030}


def box(part: Part) -> tuple[np.ndarray, np.ndarray]:
    return part.vertices.min(axis=0), part.vertices.max(axis=0)


def of(built: Built, *kinds: Kind) -> list[Part]:
    return built.model.of_kind(*kinds)


def by_mark(built: Built, mark: str) -> Part:
    return next(p for p in built.model.parts if p.mark == mark)


@pytest.fixture(scope="module")
def with_door() -> Built:
    return build_text(scene_text(wall={"length": 4800}, opening=[DOOR]))


def test_layers_follow_each_other_from_frame_to_boards(bare_wall):
    """Back to front: frame, sheathing, membrane, battens, each starting where the last ends."""
    levels = []
    for layer in (Layer.FRAME, Layer.SHEATHING, Layer.MEMBRANE):
        parts = [p for p in bare_wall.model.parts if p.layer is layer]
        assert len({(p.vertices[:, 2].min(), p.vertices[:, 2].max()) for p in parts}) == 1
        levels.append((parts[0].vertices[:, 2].min(), parts[0].vertices[:, 2].max()))
    scene = bare_wall.scene
    assert levels[2][1] == pytest.approx(-scene.battens.thickness)
    for behind, before in itertools.pairwise(levels):
        assert behind[1] == pytest.approx(before[0], abs=1e-12)
    assert [high - low for low, high in levels] == pytest.approx(
        [scene.studs.depth, scene.sheathing.thickness, scene.membrane.thickness]
    )
    wall = bare_wall.model.walls[0]
    assert wall.depth_to_frame == pytest.approx(-levels[0][1])


def test_studs_stand_at_their_centres_between_the_plates(bare_wall):
    (sole,), (head,) = of(bare_wall, Kind.SOLE_PLATE), of(bare_wall, Kind.HEAD_PLATE)
    studs = of(bare_wall, Kind.STUD)
    for stud in studs:
        low, high = box(stud)
        assert low[1] == pytest.approx(sole.vertices[:, 1].max())
        assert high[1] == pytest.approx(head.vertices[:, 1].min())
    inner = sorted(float(np.mean(s.vertices[:, 0])) for s in studs)[1:-1]
    assert inner == pytest.approx([600.0 * n for n in range(1, len(inner) + 1)])


def test_studs_are_doubled_beside_a_window_and_the_lintel_bears_on_the_inner_ones(tool_store):
    (opening,) = tool_store.model.walls[0].openings
    (lintel,) = of(tool_store, Kind.LINTEL)
    low, high = box(lintel)
    thick = tool_store.scene.studs.thickness
    assert (low[0], high[0], low[1]) == pytest.approx(
        (opening.left - thick, opening.right + thick, opening.head)
    )
    studs = [box(s) for s in of(tool_store, Kind.STUD)]
    for edge, away in ((opening.left, -1), (opening.right, 1)):
        inner = [s for s in studs if edge in (s[0][0], s[1][0]) and s[1][1] == pytest.approx(opening.head)]
        assert len(inner) == 1
        outer = [
            s for s in studs if edge + away * thick in (s[0][0], s[1][0]) and s[1][1] > opening.head + 200
        ]
        assert outer
    assert len(of(tool_store, Kind.SILL_PLATE)) == 1


def test_sheathing_joints_fall_on_studs_with_their_gap(bare_wall):
    scene = bare_wall.scene
    edges = sorted({(round(b[0][0], 6), round(b[1][0], 6)) for b in map(box, of(bare_wall, Kind.SHEATHING))})
    for (_, right), (left, _) in itertools.pairwise(edges):
        assert left - right == pytest.approx(scene.sheathing.gap)
        middle = (left + right) / 2
        assert any(low[0] < middle < high[0] for low, high in map(box, of(bare_wall, Kind.STUD)))


def test_nothing_closes_the_rough_opening(with_door):
    """No sheet, membrane, batten, board or plate stands in a doorway."""
    (door,) = with_door.model.walls[0].openings
    kinds = (Kind.SHEATHING, Kind.MEMBRANE, Kind.BATTEN, Kind.BOARD, Kind.SOLE_PLATE, Kind.STARTER, Kind.STUD)
    for part in of(with_door, *kinds):
        if part.kind is Kind.BATTEN and part.vertices[:, 1].min() >= door.head:
            continue
        for x in (door.left + 7.3, (door.left + door.right) / 2 + 0.3, door.right - 7.3):
            for polygon in remeasure.cut(part.vertices, part.faces, x):
                _, low, _, high = polygon.bounds
                assert low >= door.head - 1e-9 or high <= 0, part.mark


def test_door_wall_is_sound(with_door):
    assert failing(with_door.findings) == set()
    assert not of(with_door, Kind.SILL)


def test_battens_stand_on_the_vent_strip_over_the_studs(bare_wall):
    strip = of(bare_wall, Kind.VENT_STRIP)[0]
    studs = [box(s) for s in of(bare_wall, Kind.STUD)]
    for batten in of(bare_wall, Kind.BATTEN):
        low, high = box(batten)
        assert low[1] == pytest.approx(strip.vertices[:, 1].max())
        middle = (low[0] + high[0]) / 2
        if 0 < middle < bare_wall.model.walls[0].length:
            assert any(s[0][0] - 1 <= middle <= s[1][0] + 1 for s in studs), batten.mark


def test_battens_are_doubled_where_boards_butt(tool_store):
    joints = set()
    for course in range(1, 19):
        row = sorted(
            (b for b in tool_store.boards() if b.course == course), key=lambda b: b.vertices[:, 0].min()
        )
        for left, right in itertools.pairwise(row):
            gap = right.vertices[:, 0].min() - left.vertices[:, 0].max()
            if gap < 20:
                assert gap == pytest.approx(tool_store.scene.board.joint_gap)
                joints.add(round((right.vertices[:, 0].min() + left.vertices[:, 0].max()) / 2, 6))
    assert len(joints) >= 3
    edges = [(round(box(b)[0][0], 6), round(box(b)[1][0], 6)) for b in of(tool_store, Kind.BATTEN)]
    for joint in joints:
        assert any(right == joint for _, right in edges)
        assert any(left == joint for left, _ in edges)


def test_extra_battens_stand_where_they_were_asked_for():
    built = build_text(scene_text(battens={"extra": [900.0, 1530.0]}))
    centres = [float(np.mean(box(b), axis=0)[0]) for b in of(built, Kind.BATTEN)]
    assert {900.0, 1530.0} <= set(np.round(centres, 6))
    assert failing(built.findings) == set()


@pytest.mark.parametrize("mark", ["APL", "APR"])
def test_a_post_stands_on_the_frame_s_corner_and_lets_the_vent_strip_pass(bare_wall, mark):
    post, length = by_mark(bare_wall, mark), bare_wall.model.walls[0].length
    low, high = box(post)
    size, cavity = bare_wall.scene.posts.size, bare_wall.scene.battens.thickness
    assert high - low == pytest.approx([size, 2400, size])
    assert low[2] == pytest.approx(-cavity)
    assert (high[0] if mark == "APL" else low[0]) == pytest.approx(0 if mark == "APL" else length)
    # Its foot is relieved over the strip's whole breadth, and nowhere else.
    strip = of(bare_wall, Kind.VENT_STRIP)
    beyond = min(s.vertices[:, 0].min() for s in strip), max(s.vertices[:, 0].max() for s in strip)
    inside = (-5.0, 5.0) if mark == "APL" else (length + 5.0, length - 5.0)
    (section,) = remeasure.cut(post.vertices, post.faces, inside[0])
    assert section.area == pytest.approx(size * 2400 - cavity * 4.0)
    assert beyond == pytest.approx((-cavity, length + cavity))


def test_posts_take_two_battens_each_in_their_assembly(bare_wall):
    for name in ("A-post-left", "A-post-right"):
        assembly = [p for p in bare_wall.model.parts if p.assembly == name]
        assert sorted(str(p.kind) for p in assembly) == ["batten", "batten", "post"]


def test_post_screws_are_hidden_and_reach_the_post(bare_wall):
    groups = bare_wall.model.fixings_for(Use.POST)
    assert len(groups) == 4
    for group in groups:
        post = by_mark(bare_wall, "APL" if "left" in group.mark else "APR")
        low, high = box(post)
        assert group.concealed
        for head, tip in zip(group.heads, group.points, strict=True):
            assert not np.all((head > low) & (head < high))
            assert np.all((tip > low) & (tip < high))


def test_the_vent_strip_is_slotted_right_through(bare_wall):
    strip = of(bare_wall, Kind.VENT_STRIP)[0]
    v = strip.vertices
    for y in (v[:, 1].min() + 0.01, v[:, 1].max() - 0.01):
        (plan,) = remeasure.cut(v[:, [1, 0, 2]], strip.faces, y)
        assert len(plan.interiors) > 50


def test_a_ripped_top_board_has_a_packer_at_every_batten_of_the_right_thickness(bare_wall):
    top = bare_wall.boards()[-1]
    shape = remeasure.section_of(top.vertices, top.faces, 933.7)
    width = np.linalg.norm(shape[2] - shape[0])
    thick = shape[0, 0] * (1 - width / bare_wall.scene.board.width)
    packers = [p for p in of(bare_wall, Kind.PACKER) if p.course == top.course]
    assert len(packers) == len([b for b in of(bare_wall, Kind.BATTEN) if not b.mark.endswith(("LB", "RB"))])
    for packer in packers:
        low, high = box(packer)
        assert (low[2], high[2]) == pytest.approx((0, thick), abs=1e-9)
        assert high[1] == pytest.approx(shape[2, 1], abs=1e-9)


def test_without_a_packer_the_top_board_leans_more_and_tilt_says_so():
    built = build_text(scene_text(fillet={"packer": False}))
    leans = [math.degrees(remeasure.back_lean(b.vertices, b.faces)) for b in built.boards()]
    assert leans[-1] > leans[0] + 1
    assert not [p for p in of(built, Kind.PACKER) if p.course]
    assert "tilt" in failing(built.findings)


def test_the_fillet_hangs_clear_of_the_boards_and_hides_their_tops(bare_wall):
    fillet = of(bare_wall, Kind.FILLET)[0]
    low, high = box(fillet)
    assert high[1] == pytest.approx(2400)
    top = bare_wall.boards()[-1]
    assert low[1] < top.vertices[:, 1].max()
    behind = [b for b in bare_wall.boards() if b.vertices[:, 1].max() > low[1]]
    (polygon,) = remeasure.cut(top.vertices, top.faces, 933.7)
    nearest = max(
        x
        for b in behind
        for x, y in remeasure.section_of(b.vertices, b.faces, 933.7)
        if y >= low[1] or b is not top
    )
    assert low[2] - polygon.intersection(_strip(low[1], 2400)).bounds[2] == pytest.approx(
        bare_wall.scene.fillet.stand_off, abs=0.05
    )
    assert nearest > 0


def _strip(low: float, high: float):
    import shapely

    return shapely.box(-500, low, 500, high)


def test_sill_and_head_shed_water_outward(tool_store):
    for kind, fall in (
        (Kind.SILL, tool_store.scene.trims.sill_fall_deg),
        (Kind.HEAD_TRIM, tool_store.scene.trims.head_fall_deg),
    ):
        (piece,) = of(tool_store, kind)
        normal, area = remeasure.normals(piece.vertices, piece.faces)
        top = normal[:, 1] > 0.9
        slope = np.degrees(np.arctan2(normal[top, 2] @ area[top], normal[top, 1] @ area[top]))
        assert slope == pytest.approx(fall, abs=1e-6)


def test_the_sill_reaches_past_the_trims_and_the_flashing_drips_in_front_of_the_head(tool_store):
    (sill,), (flashing,), (head,) = (of(tool_store, k) for k in (Kind.SILL, Kind.FLASHING, Kind.HEAD_TRIM))
    trims = tool_store.scene.trims
    front = head.vertices[:, 2].max()
    assert sill.vertices[:, 2].max() == pytest.approx(front + trims.sill_overhang)
    lip = flashing.vertices[flashing.vertices[:, 2] > front + 1e-9]
    face_top = head.vertices[np.isclose(head.vertices[:, 2], front)][:, 1].max()
    assert face_top - lip[:, 1].min() == pytest.approx(trims.flashing_drip)
    # And behind: up over the membrane, as high as its upstand.
    back = flashing.vertices[flashing.vertices[:, 2] < -tool_store.scene.battens.thickness + 1e-9]
    assert back[:, 1].max() - back[:, 1].min() > trims.flashing_upstand - 5


def test_boards_over_the_window_start_again_on_a_starter_of_their_own(tool_store):
    (opening,) = tool_store.model.walls[0].openings
    over = [s for s in of(tool_store, Kind.STARTER) if s.vertices[:, 1].min() > opening.head]
    assert len(over) <= 1
    foot = [s for s in of(tool_store, Kind.STARTER) if s.vertices[:, 1].min() == 0]
    low, high = box(foot[0])
    assert (low[1], high[1]) == (0, tool_store.scene.starter.height)


@pytest.mark.parametrize("cut", ["square", "level"])
def test_rips_are_cut_as_the_scene_says(cut):
    built = build_text(scene_text(board={"edge_cut": cut}))
    top = built.boards()[-1]
    normal, _ = remeasure.normals(top.vertices, top.faces)
    lean = remeasure.back_lean(top.vertices, top.faces)
    upward = normal[normal[:, 1] > 0.9]
    assert upward[:, 2] == pytest.approx(0 if cut == "level" else -math.sin(lean), abs=1e-9)
    foot = normal[(normal[:, 1] < -0.9)]
    assert foot[:, 2] == pytest.approx(math.sin(lean), abs=1e-9)  # the mill's own edge stays square
    assert failing(built.findings) == set()


def test_fixings_say_what_they_are():
    pin = {"diameter": 2.0, "headed": False, "ringed": False, "length": 55}
    built = build_text(scene_text(fixings={"board_nail": pin}))
    (nails,) = built.model.fixings_for(Use.BOARD)
    assert nails.fastener.name == "nail 2 x 55"
    assert nails.fastener.head_diameter == 2.0
    assert not nails.fastener.headed
    assert nails.directions == pytest.approx(np.tile([0, 0, -1], (len(nails.heads), 1)))


def test_every_nail_s_head_bears_on_a_board_s_face(tool_store):
    (nails,) = tool_store.model.fixings_for(Use.BOARD)
    boards = tool_store.boards()
    for x, y, z in nails.heads[::7]:
        faces = []
        for board in boards:
            low, high = box(board)
            if low[0] < x < high[0] and low[1] < y < high[1]:
                for polygon in remeasure.cut(board.vertices, board.faces, x):
                    across = polygon.intersection(_level(y))
                    if not across.is_empty:
                        faces.append(across.bounds[2])
        assert max(faces) == pytest.approx(z, abs=1e-9)


def _level(y: float):
    import shapely

    return shapely.LineString([(-500, y), (500, y)])


def test_cut_lengths_are_the_pieces_own(tool_store):
    for board in tool_store.boards():
        assert board.cut_length_mm == pytest.approx(np.ptp(board.vertices[:, 0]), abs=1e-6)
    for batten in of(tool_store, Kind.BATTEN):
        size = np.ptp(batten.vertices, axis=0)
        assert batten.cut_length_mm == pytest.approx(max(size[0], size[1]), abs=1.0)


def test_no_board_is_longer_than_one_that_can_be_bought():
    """Whatever the gap left at a joint, none included."""
    for gap in (0, 3):
        built = build_text(scene_text(wall={"length": 9000}, board={"joint_gap": gap}))
        assert max(b.cut_length_mm for b in built.boards()) <= 4800 - 2 * 15


@pytest.mark.parametrize("off", [-20, 20])
def test_a_corner_out_of_plumb_either_way_is_built_clean(off):
    built = build_text(
        scene_text(wall={"length": {"foot": 4200, "middle": 4200 + off / 2, "head": 4200 + off}})
    )
    assert failing(built.findings) == set()


def test_thick_boards_under_the_soffit_stay_clear_of_the_fillet_s_packers():
    board = {"width": 225, "butt": 38, "thin_edge": 25, "least_lap": 40}
    built = build_text(scene_text(board=board, posts={"size": 120}))
    assert "clashes" not in failing(built.findings)


def test_a_steep_sill_is_refused_with_its_field_not_by_a_plate_number():
    from cladmodel.errors import SceneError

    tables = {"trims": {"sill_thickness": 30, "sill_fall_deg": 25, "sill_overhang": 60}, "opening": [WINDOW]}
    with pytest.raises(SceneError, match=r"trims\.sill"):
        build_text(scene_text(**tables))


@pytest.mark.parametrize("sill", [850, 890, 930, 970])
def test_a_window_at_any_height_leaves_a_sound_wall_or_says_what_to_do(sill):
    """Openings seldom meet the courses: boards are notched, and what is left must hold and lap."""
    built = build_text(scene_text(wall={"length": 4200}, opening=[WINDOW | {"sill": sill}]))
    assert failing(built.findings) == set()
