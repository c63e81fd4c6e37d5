"""Laps read off solids against the table of board geometry (own closed form, checked three ways)."""

import numpy as np
import pytest

from cladmodel.checks.lap import check_lap, laps
from cladmodel.checks.leans import leans
from cladmodel.checks.seats import seats
from cladmodel.model import Kind, Model

# width, butt, thin edge, gauge: tilt [deg], kick-out, lap along the board, lap upright [mm]
TABLE = [
    (170, 22, 9, 131, 5.266661, 15.604501, 39.553046, 39.108428),
    (150, 20, 8, 115, 5.409265, 14.140396, 35.512126, 35.086164),
    (125, 16, 6, 95, 5.090931, 11.092080, 30.374763, 30.039310),
    (200, 25, 8, 160, 4.098271, 14.293470, 40.409130, 40.060327),
    (225, 32, 10, 180, 4.606722, 18.071072, 45.581497, 45.076288),
    (150, 20, 8, 100, 6.925793, 18.087562, 50.729684, 49.870144),
    (170, 22, 9, 165, 3.266885, 9.687793, 5.268138, 5.236619),
    (120, 18, 18, 100, 10.369760, 21.600000, 21.633339, 21.279993),
]


@pytest.mark.parametrize(("width", "butt", "thin", "gauge", "tilt", "kick", "along", "upright"), TABLE)
def test_the_table_comes_back_from_solids(bench, width, butt, thin, gauge, tilt, kick, along, upright):
    lean = bench.steady(width, butt, thin, gauge)
    boards = [
        bench.board(f"{n}", n + 1, 0, 2400, lean, n * gauge, width=width, butt=butt, thin=thin)
        for n in range(4)
    ]
    battens = [p for p in bench.model.parts if p.kind is Kind.BATTEN]
    model = Model(title="", walls=bench.model.walls, parts=(*battens, *boards), fixings=())
    assert leans(boards) == pytest.approx(np.full(4, tilt), abs=1e-6)
    cut = seats(model, "front")
    assert cut.arrises[:, 0, 0] == pytest.approx(np.full(len(cut.x), kick), abs=1e-6)
    row, measured, plumb = laps(cut)
    assert len(row) == 3 * 14  # two cuts through each of seven battens
    assert measured == pytest.approx(np.full(len(row), along), abs=1e-6)
    assert plumb == pytest.approx(np.full(len(row), upright), abs=1e-6)
    assert np.abs(cut.bottom[cut.below >= 0]).max() < 1e-9
    assert np.abs(cut.top[cut.top < 1e3]).max() < 1e-9


def test_sound_and_short(bench):
    (finding,) = check_lap(bench.model, bench.rules)
    assert finding.verdict == "ok"
    assert finding.measured == pytest.approx(39.553046, abs=1e-6)
    found = list(check_lap(bench.model, bench.limit(lap=39.6)))
    assert {f.mark for f in found} == {"02a", "02b", "03a", "04a", "04b", "05a", "06a"}
    assert all(f.verdict == "fail" for f in found)


def test_one_board_too_high_laps_less_and_the_one_above_more(bench):
    found = list(check_lap(bench.moved("03a", (0, 10, 0)), bench.limit(lap=35.0)))
    (finding,) = found
    assert (finding.mark, finding.verdict) == ("03a", "fail")
    assert finding.measured == pytest.approx(39.553046 - 10 * np.cos(np.radians(5.266661)), abs=1e-6)


def test_a_ten_and_a_third_inch_course_on_an_eleven_and_a_quarter_inch_board_laps_less_than_an_inch(bench):
    """NAVEDTRA 14044 asks 1 in of lap; its own 31 in example leaves 0.917 in on a dressed board."""
    inch = 25.4
    width, gauge = 11.25 * inch, 31 / 3 * inch
    lean = bench.steady(width, 18, 6, gauge)
    boards = [
        bench.board(f"{n}", n + 1, 0, 2400, lean, n * gauge, width=width, butt=18, thin=6) for n in range(3)
    ]
    model = bench.without(*(p.mark for p in bench.model.parts if p.kind is Kind.BOARD))
    model = Model(title="", walls=model.walls, parts=(*model.parts, *boards), fixings=())
    found = list(check_lap(model, bench.limit(lap=inch)))
    assert [f.verdict for f in found] == ["fail", "fail"]
    # Upright it is the plain difference; along the slanting board hardly more.
    assert found[0].measured == pytest.approx(width - gauge * np.cos(lean), abs=1e-6)
    assert 0.916 * inch < found[0].measured < inch
