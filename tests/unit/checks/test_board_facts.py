"""What the boards are, read off their cuts."""

from dataclasses import replace

import numpy as np
import pytest

from cladmodel.checks.board_facts import NAME, check_board_facts
from cladmodel.checks.exposure import Exposure, Heart
from cladmodel.checks.finding import Verdict
from cladmodel.model import Kind

from ...building import build_text, scene_text
from .given import FULL, of

TAPER = np.degrees(np.arctan(13 / 170))


def run(bench, exposure=FULL, model=None):
    return list(check_board_facts(model or bench.model, bench.rules, exposure))


def stocky(bench):
    """The same wall in boards 110 x 22/9, which no rule calls slim; hung anyhow, only measured."""
    tilt = bench.steady(110, 22, 9, 90)
    boards = [bench.board(f"0{n}a", n, 5, 2395, tilt, (n - 1) * 90, width=110) for n in (1, 2, 3)]
    rest = [p for p in bench.model.parts if p.kind is not Kind.BOARD]
    return replace(bench.model, parts=(*rest, *boards))


def test_slim_boards_are_a_caution(bench):
    (finding,) = of(run(bench), "caution")
    assert finding.measured == pytest.approx(170 / 22, rel=1e-9)
    assert finding.limit == 6.0
    assert "recommended" in finding.text


def test_stocky_boards_are_sound(bench):
    found = run(bench, model=stocky(bench))
    assert {f.verdict for f in found} == {Verdict.OK}
    assert {f.check for f in found} == {NAME}
    assert found[0].measured == pytest.approx(5.0, rel=1e-9)


def test_square_faces_and_both_slopes_are_said(bench):
    (said,) = [f for f in run(bench) if "square" in f.text]
    assert said.verdict is Verdict.OK
    assert said.measured == pytest.approx(0.0, abs=1e-9)
    assert f"rise {bench.tilt_deg:.1f} deg" in said.text
    assert f"rise {bench.tilt_deg + TAPER:.1f}." in said.text


def test_a_board_with_its_other_face_to_the_back(bench):
    board = bench.part("03a")
    up = np.array([0, np.cos(np.radians(bench.tilt_deg)), -np.sin(np.radians(bench.tilt_deg))])
    height = board.vertices @ up
    low = np.flatnonzero(height < height.min() + 1e-6)
    front = low[board.vertices[low, 2] > board.vertices[low, 2].mean()]
    assert len(front) == 2
    # Its butt square to the face that slants: the front arris comes up along the back by t1 tan(taper).
    vertices = board.vertices.copy()
    vertices[front] += 22.0 * np.tan(np.radians(TAPER)) * up
    model = bench.model.replace_parts([board.with_vertices(vertices)])
    (fault,) = [f for f in of(run(bench, model=model), "caution") if f.unit == "deg"]
    assert fault.mark == "03a"
    assert fault.measured == pytest.approx(TAPER, abs=1e-6)
    assert f"rises {bench.tilt_deg + TAPER:.1f} deg" in fault.text
    assert f"would rise {bench.tilt_deg:.1f}." in fault.text


def test_heart_in_and_bare_ends_are_cautions(bench):
    given = replace(FULL, heart=Heart.IN, cut_ends_treated=False)
    faults = of(run(bench, given, stocky(bench)), "caution")
    assert [f.text.split()[0] for f in faults] == ["Heart", "Cut"]


@pytest.mark.parametrize(("name", "what"), [("heart", "Heart side"), ("cut_ends_treated", "Cut ends")])
def test_without_one_input_it_is_not_assessed(bench, name, what):
    (finding,) = of(run(bench, replace(FULL, **{name: None})), "not_assessed")
    assert finding.text.startswith(f"{what}: not assessed: needs")


def test_nothing_given_still_measures_the_solids(bench):
    found = run(bench, Exposure())
    assert len(of(found, "not_assessed")) == 2
    assert len(found) == 4


def test_a_board_cut_to_a_point_under_a_ridge_is_no_turned_board():
    built = build_text(scene_text(wall={"length": 3600, "ridge_at": 1800, "ridge_height": 3300}))
    found = list(check_board_facts(built.model, built.rules, FULL))
    (said,) = [f for f in found if "square" in f.text]
    assert said.verdict is Verdict.OK
    assert said.measured == pytest.approx(0.0, abs=1e-6)
