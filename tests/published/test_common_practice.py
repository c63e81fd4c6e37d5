"""What a carpenter would say without a book. Source: shared/common-practice.toml."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from cladmodel.model import Kind
from cladmodel.settingout.courses import butt_lines

from .. import remeasure
from ..building import build_text, scene_text
from .data import published

SAID = published("common-practice")


def test_a_175_board_with_40_lap_covers_135_and_2400_takes_18_courses():
    rod = butt_lines(0, SAID["height"], SAID["width"] - SAID["lap"])
    assert SAID["width"] - SAID["lap"] == SAID["cover"]
    assert len(rod) - 1 == SAID["courses"]
    assert np.diff(rod) == pytest.approx(SAID["gauge"], abs=0.005)


def test_the_same_wall_as_solids():
    built = build_text(
        scene_text(wall={"height": SAID["height"]}, board={"width": SAID["width"], "least_lap": SAID["lap"]})
    )
    sections = [remeasure.section_of(b.vertices, b.faces, 933.7) for b in built.boards()]
    assert len(sections) == SAID["courses"]
    assert np.diff([s[0, 1] for s in sections]) == pytest.approx(SAID["gauge"], abs=0.005)
    laps = [remeasure.lap_along(a, b) for a, b in itertools.pairwise(sections)]
    assert min(laps) >= SAID["lap"]


def test_battens_stock_and_end_gaps_when_nothing_is_said():
    wall = build_text(scene_text(wall={"length": 9000}))
    for batten in wall.model.of_kind(Kind.BATTEN):
        if "B" in batten.mark[-1]:
            continue  # the return battens of the corner posts lie the other way round
        z = batten.vertices[:, 2]
        assert z.max() - z.min() == pytest.approx(SAID["batten"], abs=1e-12)
    longest = max(np.ptp(b.vertices[:, 0]) for b in wall.boards())
    assert longest <= SAID["stock"]
    assert longest > SAID["stock"] / 2  # and long boards are used, not short ones
    left, right = (next(p for p in wall.model.of_kind(Kind.POST) if p.mark.endswith(e)) for e in "LR")
    low, high = SAID["end_gap"]
    assert low <= min(b.vertices[:, 0].min() for b in wall.boards()) - left.vertices[:, 0].max() <= high
    assert low <= right.vertices[:, 0].min() - max(b.vertices[:, 0].max() for b in wall.boards()) <= high
