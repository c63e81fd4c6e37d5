"""Battens too narrow for the nails of two boards that butt, or beside a post; bays too narrow for a slot."""

from __future__ import annotations

import itertools

import pytest

from cladmodel.build import build_model, load_scene_text
from cladmodel.checks.airways import Place, airways
from cladmodel.errors import SceneError
from cladmodel.measuring import measure
from cladmodel.model import Kind
from cladmodel.settingout.battens import LEAST_BAY, post_column

from ...building import failing, scene_text

THICK = {"board_nail": {"diameter": 3.1, "length": 60}}


def test_a_post_batten_wide_enough_has_no_second_one():
    assert post_column(50, 5, 20, 13) is None


def test_the_second_batten_beside_a_post_stands_where_the_nail_goes():
    assert post_column(38, 5, 20.3, 13.25) == 57
    assert post_column(38, 5, 60, 13.25) == 65


def test_boards_too_short_for_a_wall_on_battens_too_narrow_to_join_them_are_refused():
    text = scene_text(
        wall={"length": 5000},
        board={"stock": [3600], "joint_gap": 5},
        battens={"width": 38},
        fixings=THICK,
    )
    with pytest.raises(SceneError, match=r"battens\.width = 38.0: must be at least 39 "):
        load_scene_text(text)


def test_a_batten_as_wide_as_asked_for_can_be_nailed_at_every_joint():
    text = scene_text(
        wall={"length": 5000},
        board={"stock": [3600], "joint_gap": 5},
        battens={"width": 39},
        fixings=THICK,
    )
    scene = load_scene_text(text)
    assert failing(measure(scene, build_model(scene))) == set()


def test_no_batten_over_a_stud_leaves_a_bay_that_may_get_no_slot():
    """The stud at 600 would leave 24 beside a door's batten that begins at 551."""
    opening = [{"name": "door", "kind": "door", "left": 551, "width": 1800, "head": 1454}]
    model = build_model(load_scene_text(scene_text(opening=opening)))
    edges = sorted((b.vertices[:, 0].min(), b.vertices[:, 0].max()) for b in model.of_kind(Kind.BATTEN))
    gaps = [low - high for (_, high), (low, _) in itertools.pairwise(edges)]
    assert not [gap for gap in gaps if LEAST_BAY < gap < 40]


def test_a_trim_batten_beside_a_post_is_ripped_to_what_room_there_is():
    """The post's batten takes 0 to 50; the trim's, to end at the opening, has 45 left of its 50."""
    opening = [{"name": "window", "left": 95, "width": 900, "sill": 900, "head": 1930}]
    model = build_model(load_scene_text(scene_text(opening=opening, trims={"width": 95})))
    (trim,) = [b for b in model.of_kind(Kind.BATTEN) if b.vertices[:, 0].max() == 95.0]
    assert trim.vertices[:, 0].min() == 50.0
    assert trim.section == "25 x 50, ripped to 45"


def test_a_vent_strip_is_slid_to_where_a_narrow_bay_gets_a_slot():
    """Slots of 20 every 40, centred, all but miss a bay of 22; slid along they meet it."""
    opening = [{"name": "window", "left": 95, "width": 2358, "sill": 372, "head": 653}]
    scene = load_scene_text(
        scene_text(
            wall={"length": 3577, "height": 1053},
            board={"fitting_gap": 2},
            battens={"width": 63},
            trims={"width": 95},
            vent_strip={"slot_length": 20},
            opening=opening,
        )
    )
    model = build_model(scene)
    standing = [b.vertices for b in model.of_kind(Kind.BATTEN) if b.vertices[:, 1].min() < 50]
    edges = sorted((v[:, 0].min(), v[:, 0].max()) for v in standing)
    bays = [(left, right) for (_, left), (right, _) in itertools.pairwise(edges) if right - left > LEAST_BAY]
    assert min(right - left for left, right in bays) == pytest.approx(22.5)
    feet = [w for w in airways(model, model.walls[0].name) if w.place is Place.FOOT]
    assert len(feet) == len(bays)
    assert min(way.narrowest for way in feet) == pytest.approx(4.0)
