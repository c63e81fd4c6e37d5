"""Reading a scene: what is taken, what is at fault and where, and what stands in for it."""

from __future__ import annotations

import pytest

from cladmodel.errors import Problem, SceneError
from cladmodel.scene.build_up import BoardTable
from cladmodel.scene.fields import basis_of
from cladmodel.scene.job import Scene
from cladmodel.scene.loading import read, read_table, read_text

GOOD = {"title": "Trial", "wall": {"length": 3600, "height": 2400}}


def test_one_length_is_all_three():
    scene = read_table(GOOD).scene
    assert (scene.wall.length.foot, scene.wall.length.middle, scene.wall.length.head) == (3600, 3600, 3600)


def test_three_lengths():
    lengths = {"foot": 5200, "middle": 5202, "head": 5204}
    scene = read_table({"title": "T", "wall": {"length": lengths, "height": 2400}}).scene
    assert scene.wall.length.model_dump() == lengths


def test_integers_are_lengths_too_but_text_and_yes_are_not():
    assert isinstance(read_table(GOOD).scene.wall.height, float)
    for value in ("2400", True, None):
        reading = read_table({"title": "T", "wall": {"length": 3600, "height": value}})
        assert [p.path for p in reading.problems] == ["wall.height"]


def test_a_faulty_field_gives_way_to_its_default_and_is_named_as_spoiled():
    reading = read_table(GOOD | {"board": {"width": "wide", "butt": 25}, "posts": {"sise": 90}})
    assert reading.spoiled == {"board.width", "posts.sise"}
    assert (reading.scene.board.width, reading.scene.board.butt) == (170, 25)


def test_a_faulty_required_field_leaves_no_scene():
    assert read_table({"title": "T", "wall": {"length": 3600}}).scene is None


@pytest.mark.parametrize(
    ("extra", "path"),
    [
        (
            {"opening": [{"left": 900, "width": 900, "head": 1900}, {"left": "x", "width": 9, "head": 1}]},
            "opening[2].left",
        ),
        ({"board": {"stock": [4800, 3]}}, "board.stock[2]"),
        ({"battens": {"extra": [1, 2, "three"]}}, "battens.extra[3]"),
        ({"fixings": {"board_nail": {"length": 5000}}}, "fixings.board_nail.length"),
        ({"wall": {"length": {"foot": 1000, "middle": 1000, "head": 1}, "height": 2400}}, "wall.length.head"),
        ({"starter": {"thickness": "thick"}}, "starter.thickness"),
    ],
)
def test_paths_count_from_one_and_lead_to_the_fault(extra, path):
    assert path in [p.path for p in read_table(GOOD | extra).problems]


def test_one_problem_for_one_field():
    """A union of a word and a number fails twice inside; the user hears of it once."""
    problems = read_table(GOOD | {"starter": {"thickness": [1]}}).problems
    assert [p.path for p in problems] == ["starter.thickness"]


def test_scene_is_frozen():
    scene = read_table(GOOD).scene
    with pytest.raises(ValueError, match="frozen"):
        scene.title = "Other"


def test_read_text_and_read_say_where_toml_goes_wrong(tmp_path):
    with pytest.raises(SceneError, match="line 2"):
        read_text('title = "T"\nwall = = 3\n')
    file = tmp_path / "job.toml"
    file.write_text('title = "T"\nwall = = 3\n')
    with pytest.raises(SceneError, match=r"job\.toml.*line 2"):
        read(file)


def test_a_byte_order_mark_is_no_fault(tmp_path):
    """Some editors put one at the start of a UTF-8 file."""
    file = tmp_path / "job.toml"
    file.write_bytes(b"\xef\xbb\xbf" + b'title = "T"\n[wall]\nlength = 3600\nheight = 2400\n')
    assert read(file).problems == ()


def test_problems_are_one_line_each_and_long_values_are_cut_short():
    problem = Problem(path="board.stock", value=list(range(100)), allowed="must be few", remedy="Buy fewer.")
    assert len(str(problem)) < 140
    assert str(problem).endswith("...: must be few. Buy fewer.")
    assert "\n" not in str(Problem(path="title", value="a\nb", allowed="must be one line", remedy="Join it."))
    error = SceneError([problem, problem])
    assert str(error).count("\n") == 1


def test_basis_says_when_a_value_is_the_scene_s_own():
    assert basis_of(BoardTable(), "kerf") == "common practice, no source"
    assert (
        basis_of(BoardTable(kerf=4), "kerf") == "set in the scene; default from: common practice, no source"
    )


def test_scene_defaults_alone_are_valid_again():
    """Every default passes the bounds it stands beside."""
    scene = read_table(GOOD).scene
    assert Scene.model_validate(scene.model_dump()) == scene
