import numpy as np
import pytest

from cladmodel.solids.near import boxes_met


@pytest.mark.parametrize("axes", [1, 2, 3])
@pytest.mark.parametrize("seed", range(5))
def test_the_same_pairs_as_by_trying_each_with_each(axes, seed):
    rng = np.random.default_rng(seed)

    def boxes(count):
        low = rng.integers(0, 12, (count, axes)).astype(float)
        return low, low + rng.integers(0, 4, (count, axes))

    (low, high), (others_low, others_high) = boxes(23), boxes(37)
    one, other = boxes_met(low, high, others_low, others_high)
    each = (low[:, None] <= others_high) & (high[:, None] >= others_low)
    wanted = np.nonzero(each.all(axis=2))
    assert len(one) > 0
    assert (one.tolist(), other.tolist()) == tuple(w.tolist() for w in wanted)


def test_boxes_that_only_touch_meet_and_a_hair_more_parts_them():
    low, high = np.zeros((1, 3)), np.ones((1, 3))
    for axis in range(3):
        aside = np.zeros((1, 3))
        aside[0, axis] = 1.0
        assert len(boxes_met(low, high, low + aside, high + aside)[0]) == 1
        aside[0, axis] = np.nextafter(1.0, 2.0)
        assert len(boxes_met(low, high, low + aside, high + aside)[0]) == 0


def test_nothing_meets_nothing():
    none, one = np.empty((0, 3)), np.zeros((1, 3))
    assert boxes_met(none, none, one, one)[0].size == 0
    assert boxes_met(one, one, none, none)[1].size == 0
