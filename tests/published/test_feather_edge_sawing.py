"""Two boards out of one plank. Source: shared/feather-edge-sawing.toml."""

from __future__ import annotations

import numpy as np
import pytest

from .. import remeasure
from ..building import build_text, scene_text
from .data import published

SAWING = published("feather-edge-sawing")


@pytest.mark.parametrize("plank", SAWING["plank"], ids=lambda p: str(p["thickness"]))
@pytest.mark.parametrize("width", [150, 200])
def test_two_boards_laid_head_to_tail_with_the_kerf_between_fill_the_plank(plank, width):
    board = {"width": width, "butt": plank["butt"], "thin_edge": plank["thin_edge"]}
    built = build_text(scene_text(board=board, posts={"size": 100}))
    first = built.boards()[0]
    shape = remeasure.section_of(first.vertices, first.faces, 933.7)
    up = np.linspace(0, 1, 7)
    thickness = np.linalg.norm(
        (shape[1] + up[:, None] * (shape[3] - shape[1])) - (shape[0] + up[:, None] * (shape[2] - shape[0])),
        axis=1,
    )
    assert thickness[0] == pytest.approx(plank["butt"], abs=1e-9)
    assert thickness[-1] == pytest.approx(plank["thin_edge"], abs=1e-9)
    # The other board lies upside down on it: its thin edge over this one's butt.
    assert thickness + thickness[::-1] + plank["kerf"] == pytest.approx(plank["thickness"], abs=1e-9)


@pytest.mark.parametrize("row", SAWING["cover"], ids=lambda r: str(r["width"]))
def test_cover_is_width_less_lap(row):
    board = {"width": row["width"], "butt": 25, "thin_edge": 9, "least_lap": row["lap"]}
    built = build_text(scene_text(wall={"height": row["cover"] * 12}, board=board, posts={"size": 100}))
    feet = [b.vertices[:, 1].min() for b in built.boards()]
    assert np.diff(feet) == pytest.approx(row["cover"], abs=1e-9)
