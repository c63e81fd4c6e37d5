import math

import numpy as np
import pytest

from cladmodel.checks.contact import check_contact, owned_pairs
from cladmodel.checks.seats import _long_edges, seats

# Slope of a steady 170 x 22/9 board's face from upright: lean and taper together.
FACE = math.radians(5.266661) + math.atan(13 / 170)
BACK = math.radians(5.266661)


def test_sound_contacts_are_exact(bench):
    (finding,) = check_contact(bench.model, bench.rules)
    assert finding.verdict == "ok"
    assert finding.measured < 1e-9
    cut = seats(bench.model, "front")
    assert np.abs(cut.bottom).max() < 1e-9
    assert np.abs(cut.top).max() < 1e-9
    # 14 cuts; a joint of 3 stands clear of them all.
    assert len(cut.board) == 14 * 6


def test_pulled_off_shows_the_gap_at_the_top(bench):
    (finding,) = check_contact(bench.moved("06a", (0, 0, 0.8)), bench.rules)
    assert (finding.mark, finding.verdict) == ("06a", "fail")
    assert finding.measured == pytest.approx(0.8, abs=1e-9)
    assert "batten" in finding.text


def test_pulled_off_by_less_than_any_packer_shows_the_gap_at_the_butt(bench):
    """0.3 behind a top edge is let pass; the same board's butt then stands off the face below it."""
    (finding,) = check_contact(bench.moved("06a", (0, 0, 0.3)), bench.rules)
    assert (finding.mark, finding.other, finding.verdict) == ("06a", "05a", "fail")
    assert finding.measured == pytest.approx(0.3 * math.cos(FACE), abs=1e-6)


def test_too_low_goes_into_the_board_below(bench):
    (finding,) = check_contact(bench.moved("03a", (0, -1, 0)), bench.rules)
    assert (finding.mark, finding.other) == ("03a", "02a")
    assert finding.measured == pytest.approx(-math.sin(FACE), abs=1e-6)


def test_too_high_stands_off_the_starter(bench):
    (finding,) = check_contact(bench.moved("01a", (0, 1, 0)), bench.rules)
    assert (finding.mark, finding.other) == ("01a", "S1")
    assert finding.measured == pytest.approx(math.sin(BACK), abs=1e-6)


def test_out_of_level_within_a_course(bench):
    """Half a millimetre moves the contact by less than a hair: it shows as a step at the joint."""
    found = list(check_contact(bench.moved("04b", (0, 0.5, 0)), bench.limit(contact=0.2)))
    assert [f.mark for f in found] == ["04b"]
    assert found[0].measured == pytest.approx(0.5, abs=1e-9)
    assert "above the rest of its course" in found[0].text


def test_pairs_it_owns_are_those_it_reports(bench):
    assert owned_pairs(bench.model, bench.rules) == frozenset()
    assert owned_pairs(bench.moved("03a", (0, -1, 0)), bench.rules) == {
        frozenset(("03a", "02a")),
        frozenset(("03a", "02b")),
    }
    assert owned_pairs(bench.moved("03a", (0, 0, -0.5)), bench.rules) == frozenset()


def test_a_rake_cut_is_no_top_edge():
    """A gable's board: butt 800 long, top edge 100, rakes between; its peak has no top edge at all."""
    board = np.array([(0.0, 0.0), (800.0, 0.0), (450.0, 170.0), (350.0, 170.0)])
    (left, right), (top_left, top_right) = _long_edges(board)
    assert (left.tolist(), right.tolist()) == ([0.0, 0.0], [800.0, 0.0])
    assert (top_left.tolist(), top_right.tolist()) == ([350.0, 170.0], [450.0, 170.0])
    _, (peak, _) = _long_edges(np.array([(0.0, 0.0), (800.0, 0.0), (400.0, 170.0)]))
    assert np.isnan(peak).all()


def test_notches_are_bridged():
    notched = np.array(
        [(0.0, 0.0), (800, 0), (800, 170), (500, 170), (500, 90), (300, 90), (300, 170), (0, 170)]
    )
    (left, right), (top_left, top_right) = _long_edges(notched)
    assert (left[0], right[0]) == (0.0, 800.0)
    assert (top_left[0], top_right[0]) == (0.0, 800.0)
