"""Space between outlines: clear, touching, in each other; corner to face and side by side."""

from __future__ import annotations

import numpy as np
import pytest

from cladmodel.solids.spaces import spaces


def box(left: float, low: float, right: float, high: float) -> np.ndarray:
    return np.array([(left, low), (right, low), (right, high), (left, high)])


@pytest.mark.parametrize(
    ("other", "space"),
    [
        pytest.param(box(12, 0, 20, 10), 2, id="beside it"),
        pytest.param(box(10, 3, 20, 5), 0, id="touching"),
        pytest.param(box(7, 4, 20, 6), -3, id="three into it"),
        pytest.param(np.array([(11, 5), (20, 0), (20, 10)]), 1, id="a corner before its face"),
    ],
)
def test_space_is_the_widest_clear_strip(other, space):
    one = box(0, 0, 10, 10)
    # Pairs of unlike corners at once, either way round.
    assert spaces([one, other], [other, one]) == pytest.approx([space, space], abs=1e-12)


def test_a_corner_cut_into_two_points_faces_nowhere():
    one = box(0, 0, 10, 10)
    split = np.array([(0, 0), (10, 0), (10 - 1e-14, 7e-15), (10, 10), (0, 10)])
    assert spaces([split, one], [box(10, 3, 20, 5)] * 2) == pytest.approx([0, 0], abs=1e-12)
