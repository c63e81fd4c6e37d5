import numpy as np
import pytest

from cladmodel.checks.bays import bays
from cladmodel.checks.cavity import check_cavity
from cladmodel.model import Kind


def test_sound(bench):
    (finding,) = check_cavity(bench.model, bench.rules)
    assert finding.verdict == "ok"
    assert finding.measured == pytest.approx(25.0, abs=1e-9)
    assert "All 4 bays" in finding.text


def test_depths_follow_the_boards_backs(bench):
    """Between its two contacts a board's back runs straight from kick-out to nothing."""
    bay = bays(bench.model, "front")[1]
    part = bench.part("06a")
    row = int(np.abs(bay.y - 750).argmin())
    lean = np.radians(5.266661)
    assert bay.parts[bay.hit[row, 2]] is part
    assert bay.depth[row, 2] == pytest.approx(25 + 15.604501 - (bay.y[row] - 655) * np.tan(lean), abs=1e-5)


def test_thin_battens_are_too_shallow(bench):
    found = list(check_cavity(bench.model, bench.limit(cavity=25.5)))
    assert found
    assert all(f.verdict == "fail" for f in found)
    assert min(f.measured for f in found) == pytest.approx(25.0, abs=1e-9)


def test_a_piece_standing_in_a_bay_is_found_by_its_depth(bench):
    lump = bench.block("X", Kind.PACKER, (701, 300, -13), (707, 306, -2))
    (finding,) = check_cavity(bench.with_parts(lump), bench.rules)
    assert (finding.mark, finding.verdict) == ("X", "fail")
    assert finding.measured == pytest.approx(12.0, abs=1e-9)


@pytest.mark.parametrize("height", [2.5, 400.0, 850.0])
def test_a_level_batten_closes_a_bay(bench, height):
    across = bench.block("X", Kind.BATTEN, (625, height, -25), (1150, height + 40, 0))
    (finding,) = check_cavity(bench.with_parts(across), bench.rules)
    assert (finding.mark, finding.verdict) == ("X", "fail")
    assert "is closed at y" in finding.text
    assert finding.where[0] == pytest.approx(887.5, abs=300)


def test_a_level_batten_with_a_way_past_does_not(bench):
    short = bench.block("X", Kind.BATTEN, (800, 400, -25), (1150, 440, 0))
    found = list(check_cavity(bench.with_parts(short), bench.rules))
    assert not any("is closed" in f.text for f in found)


def test_baffles_that_leave_no_way_between_them_close_a_bay(bench):
    """Each leaves half the bay open, but one stands right on the other."""
    left = bench.block("X1", Kind.BATTEN, (625, 400, -25), (900, 440, 0))
    right = bench.block("X2", Kind.BATTEN, (880, 440, -25), (1150, 480, 0))
    found = [f for f in check_cavity(bench.with_parts(left, right), bench.rules) if "is closed" in f.text]
    assert [f.mark for f in found] == ["X2"]


def test_a_strip_with_few_slots_lets_too_little_air_through(bench):
    model = bench.model.replace_parts([bench.vent_strip(slots=10)])
    (finding,) = check_cavity(model, bench.rules)
    assert (finding.mark, finding.unit) == ("V1", "mm2/m")
    # Slots stand at 120 + 240 i; those at 600 and 1800 are under battens. From first to last bay it is 2.3 m.
    assert finding.measured == pytest.approx(8 * 14 * 4 / 2.3, abs=1e-6)


def test_a_strip_where_battens_leave_no_bay_has_none_to_air(bench):
    # A strip without a slot: up to just past the batten it stands under, then up to the next one.
    for right, sound in ((60.0, True), (700.0, False)):
        strip = bench.block("V2", Kind.VENT_STRIP, (0, 500, -25), (right, 502, 0))
        found = list(check_cavity(bench.with_parts(strip), bench.rules))
        assert ("V2" in {f.mark for f in found if f.verdict == "fail"}) is not sound


def test_no_membrane_no_cavity(bench):
    (finding,) = check_cavity(bench.without("M1"), bench.rules)
    assert finding.verdict == "not_assessed"


def test_no_boards_nothing_to_measure_to(bench):
    bare = bench.without("S1", *(p.mark for p in bench.model.of_kind(Kind.BOARD)))
    (finding,) = check_cavity(bare, bench.rules)
    assert finding.verdict == "not_assessed"
