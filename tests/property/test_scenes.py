"""Any scene either builds, with every part closed and none in another, or is refused in words."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cladmodel.build import build_model, load_scene_text
from cladmodel.errors import CladmodelError, SceneError
from cladmodel.model import Kind, Model
from cladmodel.solids.clashes import overlaps
from cladmodel.solids.measure import gather

from .. import remeasure
from ..building import scene_text
from .strategies import scenes, strange_scenes

TOUCH = 1e-3  # mm: deeper than this is a clash


def built_or_refused(text: str) -> tuple[Model | None, str]:
    """Model of a scene, or what the refusal says."""
    try:
        return build_model(load_scene_text(text)), ""
    except CladmodelError as error:
        return None, str(error)


@settings(max_examples=80)
@given(tables=scenes())
def test_a_scene_builds_clean_or_is_refused(tables):
    text = scene_text(**tables)
    model, refusal = built_or_refused(text)
    if model is None:
        assert len(refusal) > 20
        assert "plate " not in refusal, "no one knows what plate 57 is"
        return
    marks = [part.mark for part in model.parts]
    assert len(marks) == len(set(marks))
    for part in model.parts:
        assert remeasure.is_closed(part.faces), part.mark
        assert remeasure.volume(part.vertices, part.faces) > 0, part.mark
    deep = [
        (marks[o.first], marks[o.second], round(o.depth, 4)) for o in overlaps(gather(model.parts), TOUCH)
    ]
    assert deep == []
    assert model.of_kind(Kind.BOARD)


@settings(max_examples=50)
@given(tables=strange_scenes())
def test_a_scene_that_makes_no_sense_is_built_as_said_or_refused_in_words(tables):
    model, refusal = built_or_refused(scene_text(**tables))
    if model is None:
        assert len(refusal) > 20
    else:
        assert all(remeasure.is_closed(part.faces) for part in model.parts)


junk = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-10, 10_000),
    st.floats(),
    st.text(max_size=8),
    st.lists(st.integers(-5, 5), max_size=3),
    st.dictionaries(st.sampled_from(["foot", "middle", "head", "x"]), st.integers(-5, 5000), max_size=3),
)


@settings(max_examples=150)
@given(
    table=st.sampled_from(
        ["board", "battens", "starter", "opening", "fixings", "rules", "vent_strip", "wall"]
    ),
    field=st.sampled_from(
        ["width", "butt", "stock", "thickness", "left", "length", "rows", "board_nail", "extra", "x"]
    ),
    value=junk,
)
def test_junk_anywhere_is_refused_with_its_path_or_taken_for_what_it_is(table, field, value):
    from cladmodel.build import _sound
    from cladmodel.scene.loading import read_table

    data = {"title": "Trial", "wall": {"length": 3600, "height": 2400}}
    data.setdefault(table, {})[field] = value
    problems = None
    try:
        scene = _sound(read_table(data))
    except SceneError as error:
        problems = error.problems
    if problems is None:
        assert scene.title == "Trial"
        return
    assert problems
    for problem in problems:
        assert problem.path
        assert problem.allowed
        assert problem.remedy


def test_strategy_makes_scenes_that_build_and_scenes_that_do_not():
    """The law above would be empty if all were refused."""
    came = {"built": 0, "refused": 0}

    @settings(max_examples=40, database=None)
    @given(tables=scenes())
    def count(tables):
        try:
            load_scene_text(scene_text(**tables))
        except SceneError:
            came["refused"] += 1
        except ValueError:
            pass  # the law above reports it
        else:
            came["built"] += 1

    count()
    assert came["built"] >= 10
    assert came["refused"] >= 1


@pytest.mark.parametrize("value", [float("nan"), float("inf"), float("-inf")])
@pytest.mark.parametrize(
    "field", ["wall.height", "board.width", "battens.thickness", "posts.size", "rules.cavity"]
)
def test_no_number_field_takes_what_is_no_number(field, value):
    table, key = field.split(".")
    tables = {table: {key: value}} if table != "wall" else {"wall": {"length": 3600, "height": value}}
    with pytest.raises(SceneError) as caught:
        load_scene_text(scene_text(**tables))
    assert [p.path for p in caught.value.problems] == [field]
