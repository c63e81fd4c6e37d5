import pytest

from cladmodel.checks.leans import leans, off_lean, uneven
from cladmodel.checks.tilt import check_tilt
from cladmodel.model import Kind


def test_sound(bench):
    (finding,) = check_tilt(bench.model, bench.rules)
    assert finding.verdict == "ok"
    assert finding.measured == pytest.approx(0.0, abs=1e-9)
    assert leans(bench.model.of_kind(Kind.BOARD)) == pytest.approx([5.266661] * 8, abs=1e-6)


@pytest.mark.parametrize(
    ("degrees", "verdict"), [(0.4, "ok"), (0.7, "caution"), (-0.7, "caution"), (1.5, "fail")]
)
def test_one_board_off(bench, degrees, verdict):
    (finding,) = check_tilt(bench.turned("03a", degrees), bench.rules)
    assert finding.verdict == verdict
    assert finding.mark == "03a"
    assert finding.measured == pytest.approx(abs(degrees), abs=1e-9)


def test_the_first_course_is_held_to_all_the_rest(bench):
    (finding,) = check_tilt(bench.turned("01a", -1.5), bench.rules)
    assert finding.mark == "01a"
    assert "1.50 deg less than the rest of the wall" in finding.text
    assert "starter" in finding.remedy


def test_only_plain_faults_are_kept_from_the_other_checks(bench):
    assert off_lean(bench.model, bench.rules) == frozenset()
    assert off_lean(bench.turned("03a", 0.7), bench.rules) == frozenset()
    assert off_lean(bench.turned("03a", 1.2), bench.rules) == {"03a"}


def test_a_board_on_its_own_has_none_to_differ_from(bench):
    (board,) = [bench.part("03a")]
    assert uneven([board], leans([board])).tolist() == [0.0]
