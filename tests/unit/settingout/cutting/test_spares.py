"""Spare boards against sums of the binomial law."""

from __future__ import annotations

import math

import pytest

from cladmodel.errors import SettingOutError
from cladmodel.settingout.cutting.spares import spare_boards


def chance_of_enough(boards, ordered, rejected):
    return sum(
        math.comb(ordered, bad) * rejected**bad * (1 - rejected) ** (ordered - bad)
        for bad in range(ordered - boards + 1)
    )


@pytest.mark.parametrize("boards", [1, 21, 50, 108, 250])
@pytest.mark.parametrize("rejected", [0.02, 0.03, 0.1])
def test_fewest_spares_that_make_it_sure(boards, rejected):
    spares = spare_boards(boards, rejected)
    assert chance_of_enough(boards, boards + spares, rejected) >= 0.95
    assert spares == 0 or chance_of_enough(boards, boards + spares - 1, rejected) < 0.95


def test_none_rejected_none_spare():
    assert spare_boards(40, 0.0) == 0
    assert spare_boards(0) == 0


def test_shares_out_of_range_are_refused():
    with pytest.raises(SettingOutError, match=r"rejected 1\.0"):
        spare_boards(10, 1.0)
