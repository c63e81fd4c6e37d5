"""Tilt, kick-out and lap of feather-edge boards, measured on built walls. Source: shared/tilt-table.toml."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from cladmodel.model import Kind
from cladmodel.settingout.tilt import Profile, steady_tilt

from .. import remeasure
from ..building import Built, build_text, scene_text
from .data import published

TABLE = published("tilt-table")
EXACT = 1e-6  # the table is given to so many decimals [mm, deg]
COURSES = 8
BETWEEN_BATTENS = 933.7  # no vertex lies on this plane


def wall_of(row: dict[str, float], **tables: object) -> Built:
    board = {key: row[key] for key in ("width", "butt", "thin_edge")} | {"wanted_gauge": row["gauge"]}
    return build_text(
        scene_text(wall={"height": COURSES * row["gauge"]}, board=board, posts={"size": 120}, **tables)
    )


def named(row: dict[str, float]) -> str:
    return f"{row['width']}x{row['butt']}/{row['thin_edge']} at {row['gauge']}"


@pytest.mark.parametrize("row", TABLE["row"], ids=named)
def test_every_course_of_a_built_wall_leans_laps_and_kicks_out_as_the_table_says(row):
    boards = wall_of(row).boards()
    assert len(boards) == COURSES
    sections = [remeasure.section_of(b.vertices, b.faces, BETWEEN_BATTENS) for b in boards]
    for board, shape in zip(boards, sections, strict=True):
        assert math.degrees(remeasure.back_lean(board.vertices, board.faces)) == pytest.approx(
            row["tilt_deg"], abs=EXACT
        )
        assert shape[0, 0] == pytest.approx(row["kick_out"], abs=EXACT)
    for lower, upper in itertools.pairwise(sections):
        assert upper[0, 1] - lower[0, 1] == pytest.approx(row["gauge"], abs=1e-9)
        assert remeasure.lap_along(lower, upper) == pytest.approx(row["lap"], abs=EXACT)
        assert lower[3, 1] - upper[0, 1] == pytest.approx(row["vertical_lap"], abs=EXACT)
        assert remeasure.gap_at_top(lower, upper) == pytest.approx(row["gap"], abs=EXACT)
        assert remeasure.off_face(lower, upper) == pytest.approx(0.0, abs=1e-9)


@pytest.mark.parametrize("row", TABLE["row"], ids=named)
def test_whole_boards_touch_the_batten_and_keep_their_own_section(row):
    for board in wall_of(row).boards()[:-1]:  # the last is ripped under the soffit
        shape = remeasure.section_of(board.vertices, board.faces, BETWEEN_BATTENS)
        assert shape[2, 0] == pytest.approx(0.0, abs=1e-9)
        assert np.linalg.norm(shape[2] - shape[0]) == pytest.approx(row["width"], abs=1e-9)
        assert np.linalg.norm(shape[1] - shape[0]) == pytest.approx(row["butt"], abs=1e-9)
        assert np.linalg.norm(shape[3] - shape[2]) == pytest.approx(row["thin_edge"], abs=1e-9)


@pytest.mark.parametrize("row", TABLE["starter"], ids=named)
def test_starter_strip_that_gives_course_1_the_lean_of_the_rest(row):
    built = wall_of(row, starter={"height": row["height"]})
    (strip,) = built.model.of_kind(Kind.STARTER)
    low, high = strip.vertices.min(axis=0), strip.vertices.max(axis=0)
    assert high[2] - low[2] == pytest.approx(row["thickness"], abs=EXACT)
    assert (low[1], high[1], low[2]) == pytest.approx((0.0, row["height"], 0.0), abs=1e-12)
    # Its top front arris lies on the back of course 1.
    first = remeasure.section_of(built.boards()[0].vertices, built.boards()[0].faces, BETWEEN_BATTENS)
    back = first[2] - first[0]
    reach = first[0] + back * (row["height"] - first[0, 1]) / back[1]
    assert reach[0] == pytest.approx(high[2], abs=1e-9)


@pytest.mark.parametrize("row", TABLE["tilt"], ids=named)
def test_tilts_from_a_second_working(row):
    profile = Profile(width=row["width"], butt=row["butt"], thin_edge=row["thin_edge"])
    assert math.degrees(steady_tilt(profile, row["gauge"])) == pytest.approx(row["tilt_deg"], abs=5e-5)
