"""Wood Handbook (FPL-GTR-282), table 4-2 and eq. 4-5: moisture that air brings wood to.

Source: shared/wood-handbook-emc.toml. The table prints 17.9 for 21.1 degC at 85 %, where the equation
gives 17.95.
"""

from __future__ import annotations

import numpy as np
import pytest

from cladmodel.errors import CladmodelError
from cladmodel.standards.moisture import EMC, equilibrium_moisture
from cladmodel.standards.sources import Standing

from .data import published

BOOK = published("wood-handbook-emc")


@pytest.mark.parametrize(("temperature", "humidity", "printed"), BOOK["table"]["rows"])
def test_table_4_2(temperature, humidity, printed):
    own = float(equilibrium_moisture(temperature, humidity))
    assert own == pytest.approx(printed, abs=BOOK["table"]["tolerance"])


@pytest.mark.parametrize("temperature", ["10", "20", "30"])
def test_equation_at_round_celsius(temperature):
    own = equilibrium_moisture(float(temperature), BOOK["equation"]["humidity"])
    assert own == pytest.approx(BOOK["equation"][temperature], abs=BOOK["equation"]["tolerance"] + 1e-9)


def equation(temperature, humidity, w, k, k1, k2):
    w, k, k1, k2 = (np.polynomial.polynomial.polyval(temperature, c) for c in (w, k, k1, k2))
    kh = k * humidity / 100
    one, two = k1 * kh, k1 * k2 * kh**2
    return 1800 / w * (kh / (1 - kh) + (one + 2 * two) / (1 + one + two))


def test_the_fahrenheit_constants_agree():
    own = BOOK["fahrenheit"]
    for celsius in np.linspace(-1, 39, 21):
        for humidity in range(5, 96, 5):
            other = equation(celsius * 9 / 5 + 32, humidity, own["w"], own["k"], own["k1"], own["k2"])
            assert float(equilibrium_moisture(celsius, humidity)) == pytest.approx(
                other, abs=own["agree_within"]
            )


def test_the_constants_in_circulation_are_not_ours():
    trap = BOOK["misprint"]
    k = (0.805, 0.000736, trap["k_square"])
    wrong = equation(*trap["at"], (349, 1.29, 0.0135), k, trap["k1"], (1.91, 0.0407, -0.000293))
    assert wrong == pytest.approx(trap["gives"], abs=0.005)
    assert float(equilibrium_moisture(*trap["at"])) == pytest.approx(trap["right"], abs=0.005)


@pytest.mark.parametrize("humidity", [-1, 100.5, float("nan")])
def test_no_such_air(humidity):
    with pytest.raises(CladmodelError, match="0 to 100"):
        equilibrium_moisture(20, humidity)


def test_how_it_got_here_is_said():
    assert EMC.standing is Standing.SECOND_HAND
    assert "found second-hand" in EMC.basis
