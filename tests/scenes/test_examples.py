"""Every example scene builds; the sound ones are sound, the wrong one fails by name."""

from __future__ import annotations

import re
from collections import Counter

import numpy as np
import pytest

from cladmodel.checks.finding import Verdict
from cladmodel.checks.run import CHECKS
from cladmodel.model import Kind, Use

from .. import remeasure
from ..building import SCENES, Built, bad, build_file, failing

ALL = pytest.mark.parametrize("name", sorted(p.stem for p in SCENES.glob("*.toml")))
SOUND = pytest.mark.parametrize("name", ["tool-store", "bare-wall"])


def built(name: str) -> Built:
    return build_file(SCENES / f"{name}.toml")


def test_the_three_scenes_of_this_stage_are_there():
    assert {"tool-store", "bare-wall", "wrong-wall"} <= {p.stem for p in SCENES.glob("*.toml")}


@ALL
def test_every_part_is_closed_with_a_volume_and_a_mark_of_its_own(name):
    parts = built(name).model.parts
    assert len(parts) > 50
    assert [m for m, n in Counter(p.mark for p in parts).items() if n > 1] == []
    for part in parts:
        assert remeasure.is_closed(part.faces), part.mark
        assert remeasure.volume(part.vertices, part.faces) > 1.0, part.mark
        assert np.isfinite(part.vertices).all(), part.mark


@ALL
def test_marks_are_short_enough_to_pencil_on_a_board(name):
    for part in built(name).model.parts:
        assert len(part.mark) <= 8
        assert re.fullmatch(r"[A-Z][A-Za-z0-9-]*", part.mark), part.mark


@ALL
def test_every_check_has_its_say(name):
    assert list(dict.fromkeys(f.check for f in built(name).findings)) == list(CHECKS)


@SOUND
def test_sound_scenes_have_nothing_to_act_on(name):
    assert [f.text for f in bad(built(name).findings)] == []
    assert Verdict.NOT_ASSESSED not in {f.verdict for f in built(name).findings}


def test_wrong_wall_fails_lap_tilt_and_nails_and_nothing_else(wrong_wall):
    assert failing(wrong_wall.findings) == {"lap", "tilt", "nails"}
    assert {f.check for f in bad(wrong_wall.findings)} == {"lap", "tilt", "nails"}


def test_wrong_wall_says_what_is_wrong_with_it(wrong_wall):
    failed = [f for f in wrong_wall.findings if f.verdict is Verdict.FAIL]
    courses = len(wrong_wall.boards())
    laps = [f for f in failed if f.check == "lap"]
    assert len(laps) == courses - 1
    assert all(18 < f.measured < 22 and f.limit == 32 for f in laps)
    (tilt,) = [f for f in failed if f.check == "tilt"]
    assert tilt.mark == "A01a"
    assert "starter" in tilt.remedy
    through = [f for f in failed if f.check == "nails"]
    assert len(through) == courses - 1  # course 1 has no board below it
    assert all("also through" in f.text for f in through)


@ALL
def test_findings_say_enough_to_act_on(name):
    for finding in built(name).findings:
        assert finding.text.endswith("."), finding.text
        if finding.verdict in (Verdict.FAIL, Verdict.CAUTION):
            assert finding.remedy.endswith("."), finding.text
            assert finding.basis, finding.text
            assert finding.where is not None, finding.text
            assert finding.measured is not None, finding.text


def test_tool_store_has_every_piece_a_wall_of_its_kind_needs(tool_store):
    kinds = Counter(p.kind for p in tool_store.model.parts)
    assert set(Kind) - set(kinds) == {Kind.SCENERY}
    assert (kinds[Kind.POST], kinds[Kind.SIDE_TRIM], kinds[Kind.HEAD_TRIM], kinds[Kind.SILL]) == (2, 2, 1, 1)
    assert {f.use for f in tool_store.model.fixings} == set(Use)


def test_tool_store_right_post_leans_out_with_the_survey(tool_store):
    """4 mm longer at the head: the post leans and every course is cut to its own length."""
    (right,) = [p for p in tool_store.model.of_kind(Kind.POST) if p.mark == "APR"]
    v = right.vertices
    foot, head = v[v[:, 1] < v[:, 1].min() + 1], v[v[:, 1] > v[:, 1].max() - 1]
    assert head[:, 0].min() - foot[:, 0].min() == pytest.approx(4.0, abs=0.05)
    ends = [
        max(b.vertices[:, 0].max() for b in tool_store.boards() if b.course == course)
        for course in range(1, 19)
    ]
    assert np.all(np.diff(ends) > 0)
    assert ends[-1] - ends[0] == pytest.approx(4.0, abs=0.4)


def test_boards_are_notched_round_the_window_and_stop_clear_of_its_trims(tool_store):
    trims = tool_store.model.of_kind(Kind.SIDE_TRIM, Kind.HEAD_TRIM, Kind.SILL)
    low = np.min([t.vertices.min(axis=0) for t in trims], axis=0)
    high = np.max([t.vertices.max(axis=0) for t in trims], axis=0)
    notched = 0
    for board in tool_store.boards():
        rectangle = np.ptp(board.vertices[:, 0])
        inside = (board.vertices > low + 1e-6) & (board.vertices < high - 1e-6)
        assert not inside[:, :2].all(axis=1).any(), board.mark
        notched += len(board.vertices) > 8 and rectangle > 1000
    assert notched >= 2  # one under the sill, one over the head


def test_building_twice_gives_the_same_solids(tool_store):
    from cladmodel.build import build_model

    again = build_model(tool_store.scene)
    assert [p.mark for p in again.parts] == [p.mark for p in tool_store.model.parts]
    for a, b in zip(again.parts, tool_store.model.parts, strict=True):
        assert np.array_equal(a.vertices, b.vertices)
        assert np.array_equal(a.faces, b.faces)
