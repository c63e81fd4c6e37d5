"""The rod by example: bands between lines to be met, and what cannot be met."""

from __future__ import annotations

import math

import numpy as np
import pytest

from cladmodel.errors import SettingOutError
from cladmodel.settingout.rod import RodLine, bands, set_rod
from cladmodel.settingout.tilt import Profile, steady_tilt

INCH = 25.4  # mm


def rod(head=2400.0, top=None, largest=138.0, least=110.0, spread=25.0, wanted=None, lines=(), lean=None):
    named = [RodLine(name=name, height=height) for name, height in lines]
    return set_rod(
        head=head,
        top=head if top is None else top,
        largest=largest,
        least=least,
        spread=spread,
        wanted=wanted,
        lines=named,
        lean=lean,
    )


def test_navedtra_window_as_bands():
    """NAVEDTRA 14044, fig. 4-3: 31 in below the sill, 61 in beside the window, at 10 in."""
    counts = bands([0, 31 * INCH, 92 * INCH], 10.5 * INCH, 8 * INCH, 2 * INCH)
    assert counts == [3, 6]
    gauges = np.array([31, 61]) / counts
    assert gauges == pytest.approx([10 + 1 / 3, 10 + 1 / 6])


def test_navedtra_window_on_the_rod():
    found = rod(
        head=92 * INCH,
        largest=10.5 * INCH,
        least=8 * INCH,
        spread=2 * INCH,
        lines=[("window sill", 31 * INCH)],
    )
    assert found.met == ("window sill",)
    assert len(found.lines) == 1 + 3 + 6
    assert found.lines[3] == pytest.approx(31 * INCH)


def test_equal_courses_when_nothing_is_to_be_met():
    found = rod()
    gauges = np.diff(found.lines)
    assert gauges == pytest.approx([2400 / 18] * 18)  # 18 is the fewest that keep 138
    assert (found.met, found.missed) == ((), ())


@pytest.mark.parametrize("sill", [700.0, 845.5, 890.0, 1010.0])
@pytest.mark.parametrize("head", [1930.0, 2046.0])
def test_no_gauge_over_the_largest_none_under_the_least(sill, head):
    found = rod(lines=[("sill", sill), ("head", head)])
    gauges = np.diff(found.lines)
    assert gauges.max() <= 138.0 + 1e-9
    assert gauges.min() >= 110.0 - 1e-9
    assert gauges.max() - gauges.min() <= 25.0 + 1e-9
    assert {*found.met, *found.missed} == {"sill", "head"}
    for name, height in (("sill", sill), ("head", head)):
        assert (np.abs(found.lines - height).min() <= 0.3) == (name in found.met)


def test_counts_are_the_most_even_there_are():
    """Against every combination of counts."""
    heights = [0.0, 843.0, 2011.0, 2400.0]
    counts = bands(heights, 138, 110, 28)
    sizes = np.diff(heights)

    def unevenness(chosen):
        gauges = sizes / np.array(chosen)
        return gauges.max() - gauges.min()

    every = [
        (a, b, c)
        for a in range(1, 30)
        for b in range(1, 30)
        for c in range(1, 30)
        if all(110 <= s / n <= 138 for s, n in zip(sizes, (a, b, c), strict=True))
    ]
    assert len(every) > 1
    assert unevenness(counts) == pytest.approx(min(unevenness(e) for e in every))


def test_bands_that_no_counts_fit():
    assert bands([0, 100, 2400], 138, 110, 25) is None  # 100 high is less than the least gauge
    assert bands([0, 139, 2400], 138, 110, 25) is None  # and 139 more than one and less than two courses


def test_a_line_that_cannot_be_met_is_named_and_the_others_are_kept():
    found = rod(lines=[("window sill", 890.0), ("low sill", 60.0)])
    assert found.met == ("window sill",)
    assert found.missed == ("low sill",)


def test_of_two_lines_too_close_the_first_named_is_met():
    found = rod(lines=[("first", 1200.0), ("second", 1240.0)])
    assert (found.met, found.missed) == (("first",), ("second",))
    found = rod(lines=[("second", 1240.0), ("first", 1200.0)])
    assert (found.met, found.missed) == (("second",), ("first",))


def test_too_little_spread_gives_the_line_up():
    near = rod(lines=[("sill", 890.0)], spread=25.0)
    strict = rod(lines=[("sill", 890.0)], spread=0.0)
    assert near.met == ("sill",)
    assert strict.missed == ("sill",)
    assert np.ptp(np.diff(strict.lines)) == pytest.approx(0, abs=1e-9)


def test_gauges_that_would_lean_too_far_apart_give_the_line_up():
    """One course of 136 and two of 111.5 lean 2 deg apart, as plain to see as a crooked board."""
    board = Profile(width=170, butt=22, thin_edge=9)

    def lean(gauge):
        return steady_tilt(board, gauge)

    heights = [0.0, 136.0, 359.0]
    assert bands(heights, 138, 110, 25) == [1, 2]
    assert math.degrees(lean(111.5) - lean(136.0)) > 2
    assert bands(heights, 138, 110, 25, lean) is None
    found = rod(head=359.0, lines=[("sill", 136.0)], lean=lean)
    assert found.missed == ("sill",)
    assert np.diff(found.lines) == pytest.approx([359 / 3] * 3)


def test_a_gable_carries_the_last_gauge_on_up():
    found = rod(head=2400.0, top=3900.0, lines=[("sill", 890.0)])
    gauges = np.diff(found.lines)
    above = gauges[found.lines[:-1] >= 2400.0 - 1e-9]
    assert found.lines[-1] >= 3900.0
    assert above == pytest.approx([above[0]] * len(above))
    assert 2400.0 in found.lines


def test_wanted_gauge_takes_the_nearest_count():
    assert np.diff(rod(wanted=120.0).lines) == pytest.approx([120.0] * 20)


def test_no_gauge_at_all():
    with pytest.raises(SettingOutError, match="must be above 0"):
        rod(largest=0.0)
