"""One thing wrong is reported by the check it belongs to and by no other."""

import pytest

from cladmodel.checks.finding import Verdict, verdict
from cladmodel.checks.run import CHECKS, run_checks


def test_the_sound_wall_is_sound_in_every_check(bench):
    findings = run_checks(bench.model, bench.rules)
    assert verdict(findings) is Verdict.OK
    assert [f.check for f in findings] == list(CHECKS)
    assert all(f.verdict is Verdict.OK for f in findings)
    names = "solids lap tilt contact cavity joints nails noses slivers concealed clashes clearance"
    assert list(CHECKS) == names.split()


BOARDS = ["01a", "02a", "03a", "04b", "06a"]


@pytest.mark.parametrize("mark", BOARDS)
def test_a_hundredth_into_a_batten_is_a_clash(bench, mark):
    found = bench.failing(bench.moved(mark, (0, 0, -0.01)))
    assert list(found) == ["clashes"]
    (finding,) = found["clashes"]
    assert finding.mark == mark
    assert finding.measured == pytest.approx(0.01, rel=0.02)


@pytest.mark.parametrize("mark", BOARDS)
@pytest.mark.parametrize("by", [-1.0, 1.0])
def test_a_millimetre_off_its_line_is_contact(bench, mark, by):
    found = bench.failing(bench.moved(mark, (0, by, 0)))
    assert list(found) == ["contact"]
    assert [f.mark for f in found["contact"]] == [mark]


@pytest.mark.parametrize("mark", BOARDS)
@pytest.mark.parametrize("about", ["bottom", "middle", "top"])
@pytest.mark.parametrize("degrees", [-2.0, 2.0])
def test_two_degrees_off_is_tilt(bench, mark, about, degrees):
    found = bench.failing(bench.turned(mark, degrees, about))
    assert list(found) == ["tilt"]
    (finding,) = found["tilt"]
    assert finding.mark == mark
    assert finding.measured == pytest.approx(2.0, abs=1e-9)


@pytest.mark.parametrize("by", [(45, 0, 0), (0, -20, 0), (0, 0, 6), (0, 0, -6), (20, 0, 0)])
def test_a_moved_nail_is_nails(bench, by):
    found = bench.failing(bench.nails_moved(bench.nail("03a", 600.0), by))
    assert list(found) == ["nails"]
    assert {f.mark for f in found["nails"]} == {"03a"}


def test_a_board_well_into_its_batten_is_a_clash_only(bench):
    found = bench.failing(bench.moved("03a", (0, 0, -0.5)))
    assert list(found) == ["clashes"]
    assert [f.mark for f in found["clashes"]] == ["03a"]


def test_a_board_pulled_off_is_contact_only(bench):
    found = bench.failing(bench.moved("03a", (0, 0, 0.8)))
    assert list(found) == ["contact"]
    assert [f.mark for f in found["contact"]] == ["03a"]
