"""One figure a board: the same as the checks find, and able to go wrong."""

import pytest

from cladmodel.checks.figures import about, board_figures
from cladmodel.checks.lap import check_lap
from cladmodel.checks.rules import Rules
from cladmodel.checks.tilt import check_tilt
from cladmodel.checks.wind import check_wind
from cladmodel.errors import OutputError
from cladmodel.model import Kind

from .given import FULL


def test_laps_are_those_of_the_check(bench):
    figures = board_figures(bench.model, "lap")
    assert set(figures) == {p.mark for p in bench.model.of_kind(Kind.BOARD) if p.course != 1}
    (finding,) = check_lap(bench.model, bench.rules)
    assert min(figures.values()) == pytest.approx(finding.measured, abs=1e-9)


def test_tilts_are_those_of_the_check(wrong_wall):
    figures = board_figures(wrong_wall.model, "tilt")
    assert set(figures) == {p.mark for p in wrong_wall.model.of_kind(Kind.BOARD)}
    found = list(check_tilt(wrong_wall.model, wrong_wall.rules))
    limit = about("tilt", wrong_wall.rules).limit
    assert {f.mark for f in found if f.verdict != "ok"} == {m for m, v in figures.items() if v > limit}
    for finding in found:
        assert figures[finding.mark] == pytest.approx(finding.measured, abs=1e-9)


def test_nail_use_is_that_of_the_check(bench):
    figures = board_figures(bench.model, "nail use", FULL)
    assert set(figures) == {p.mark for p in bench.model.of_kind(Kind.BOARD)}
    worst = list(check_wind(bench.model, bench.rules, FULL))[-1]
    assert max(figures, key=figures.__getitem__) == worst.mark
    assert figures[worst.mark] == pytest.approx(worst.measured, rel=1e-12)


def test_nail_use_wants_to_know_the_wind(bench):
    with pytest.raises(OutputError, match="not assessed: needs wind velocity"):
        board_figures(bench.model, "nail use")


@pytest.mark.parametrize(("name", "worse"), [("lap", "low"), ("tilt", "high"), ("nail use", "high")])
def test_each_figure_says_what_it_is_held_to(name, worse):
    figure = about(name, Rules())
    assert figure.name == name
    assert figure.worse == worse
    assert figure.limit > 0
    assert figure.title
    assert figure.unit


def test_an_unknown_figure_says_which_there_are(bench):
    for ask in (lambda: about("colour", Rules()), lambda: board_figures(bench.model, "colour")):
        with pytest.raises(OutputError, match="lap, tilt, nail use"):
            ask()
