"""NAVEDTRA 14044, fig. 4-3: equal courses of bevel siding. Source: shared/navedtra-14044.toml."""

from __future__ import annotations

import pytest

from cladmodel.checks.finding import Verdict
from cladmodel.checks.lap import check_lap
from cladmodel.checks.rules import Limit, Rules
from cladmodel.settingout.courses import butt_lines_nearest

from ..building import build_text, scene_text
from .data import published

BOOK = published("navedtra-14044")
INCH = BOOK["inch"]
LEAST = BOOK["least_lap_in"] * INCH
CASES = pytest.mark.parametrize("case", BOOK["coursing"], ids=lambda case: case["place"])


def gauge_in(case):
    whole, part, parts = case["gauge_in"]
    return whole + part / parts


@CASES
def test_count_and_gauge_in_inches(case):
    rod = butt_lines_nearest(0, case["height_in"], case["wanted_in"])
    assert len(rod) - 1 == case["courses"]
    assert rod[1] - rod[0] == pytest.approx(gauge_in(case), abs=1e-12)


def wall_of(case):
    # Thicknesses: least for 10-12 in bevel siding in a local code (3/16 and 11/16 in).
    board = {
        "width": BOOK["dressed_in"] * INCH,
        "butt": 11 / 16 * INCH,
        "thin_edge": 3 / 16 * INCH,
        "wanted_gauge": case["wanted_in"] * INCH,
        "least_lap": LEAST,
    }
    return build_text(scene_text(wall={"height": case["height_in"] * INCH}, board=board))


@CASES
def test_boards_of_a_built_wall_stand_at_that_gauge(case):
    feet = [board.vertices[:, 1].min() for board in wall_of(case).boards()]
    assert len(feet) == case["courses"]
    for course, foot in enumerate(feet):
        assert foot == pytest.approx(course * gauge_in(case) * INCH, abs=1e-9)
    assert feet[1] == pytest.approx(case["gauge_mm"], abs=5e-4)


@CASES
def test_lap_check_knows_which_of_the_two_laps_less_than_an_inch(case):
    built = wall_of(case)
    rules = Rules(lap=Limit(value=LEAST, basis=BOOK["source"]["title"]))
    findings = list(check_lap(built.model, rules))
    verdicts = {f.verdict for f in findings}
    assert verdicts == ({Verdict.OK} if case["laps_enough"] else {Verdict.FAIL})
    # The board leans, so it laps a little more than width less gauge, by less than half a millimetre.
    plain = BOOK["dressed_in"] * INCH - gauge_in(case) * INCH
    for finding in findings:
        assert plain < finding.measured < plain + 0.5
    if not case["laps_enough"]:
        assert len(findings) == case["courses"] - 1
        assert {f.mark[:3] for f in findings} == {"A02", "A03"}
