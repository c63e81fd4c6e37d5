"""The four arrises of a cut, whatever points lie on its edges."""

from __future__ import annotations

import numpy as np
import pytest

from cladmodel.checks.arrises import arrises_of

BACK_LOW, FRONT_LOW, FRONT_HIGH, BACK_HIGH = (15.8, 1082.8), (31.7, 1084.8), (6.0, 1207.6), (0.0, 1206.8)


@pytest.mark.parametrize(
    "ring",
    [
        pytest.param([BACK_LOW, FRONT_LOW, FRONT_HIGH, BACK_HIGH], id="four corners"),
        pytest.param(
            [BACK_LOW, (23.75, 1083.8), FRONT_LOW, FRONT_HIGH, BACK_HIGH, (7.9, 1144.8)],
            id="points on edges",
        ),
        pytest.param(
            [
                (15.7999, 1082.8008),
                BACK_LOW,
                (31.6999, 1084.7995),
                FRONT_LOW,
                (31.6998, 1084.801),
                FRONT_HIGH,
                (0.0004, 1206.80005),
                BACK_HIGH,
            ],
            id="corners of two or three points, close by a slanting end",
        ),
    ],
)
def test_arrises(ring):
    found = np.array(arrises_of(np.array(ring)))
    assert found == pytest.approx(np.array([BACK_LOW, FRONT_LOW, FRONT_HIGH, BACK_HIGH]), abs=2e-3)
