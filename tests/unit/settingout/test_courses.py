"""Dividing a height, by example."""

from __future__ import annotations

import numpy as np
import pytest

from cladmodel.errors import SettingOutError
from cladmodel.settingout.courses import butt_lines, butt_lines_nearest


@pytest.mark.parametrize(
    ("foot", "head", "gauge", "courses"),
    [
        pytest.param(0, 2400, 135, 18, id="2400 at 135"),
        pytest.param(0, 2430, 135, 18, id="a whole number exactly"),
        pytest.param(0, 2430.001, 135, 19, id="a hair more takes one more"),
        pytest.param(0, 13.5 * 18, 13.5, 18, id="float noise takes none"),
        pytest.param(-37.5, 250.5, 144, 2, id="foot below the datum"),
        pytest.param(0, 50, 135, 1, id="less than one gauge"),
    ],
)
def test_fewest_courses(foot, head, gauge, courses):
    rod = butt_lines(foot, head, gauge)
    assert len(rod) == courses + 1
    assert rod == pytest.approx(foot + (head - foot) / courses * np.arange(courses + 1))


@pytest.mark.parametrize(
    ("height", "gauge", "courses"),
    [(61, 10, 6), (64, 10, 6), (65, 10, 7), (66, 10, 7), (4, 10, 1), (2400, 135, 18)],
)
def test_nearest_courses(height, gauge, courses):
    assert len(butt_lines_nearest(0, height, gauge)) == courses + 1


@pytest.mark.parametrize("divide", [butt_lines, butt_lines_nearest])
def test_messages_say_what_to_do(divide):
    with pytest.raises(SettingOutError, match="make the board wider or the lap less"):
        divide(0, 2400, -10)
    with pytest.raises(SettingOutError, match="head 100 mm is not above foot 100 mm; measure them again"):
        divide(100, 100, 135)
