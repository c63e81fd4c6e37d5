import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cladmodel.standards import nails

SIZES = st.floats(1.5, 6.0)


@given(SIZES, st.floats(0.0, 120.0), st.booleans())
def test_a_deeper_point_never_holds_less(diameter, depth, ringed):
    def held(penetration):
        return nails.pull(
            diameter=diameter,
            head=2.2 * diameter,
            penetration=penetration,
            thickness=18.0,
            f_ax=2.45,
            f_head=8.575,
            ringed=ringed,
        ).holds

    assert held(depth) <= held(depth + 5.0) + 1e-9


@given(SIZES, st.floats(300.0, 500.0), st.floats(0.0, math.pi / 2), st.booleans())
def test_an_edge_pushed_against_is_never_nearer(diameter, density, angle, drilled):
    own = nails.distances(diameter, density, pre_drilled=drilled, angle=angle)
    assert own.end_loaded >= own.end
    assert own.edge_loaded >= own.edge
    assert own.end > own.edge


def test_what_gives_way_first_is_named():
    given_ = {"diameter": 2.65, "penetration": 40.0, "thickness": 18.0, "f_ax": 2.45, "f_head": 8.575}
    assert nails.pull(**given_, head=6.0, ringed=False).governs == "point"
    pin = nails.pull(**given_, head=2.65, ringed=True)
    assert pin.governs == "head"
    assert pin.holds == pytest.approx(8.575 * 2.65**2)


def test_front_timber_may_hold_the_shank_by_its_own_strength():
    given_ = {"diameter": 3.0, "penetration": 40.0, "thickness": 20.0, "f_ax": 2.45, "f_head": 5.0}
    base = nails.pull(**given_, head=6.0, ringed=False)
    soft = nails.pull(**given_, head=6.0, ringed=False, f_ax_front=1.9)
    assert base.through - soft.through == pytest.approx((2.45 - 1.9) * 3.0 * 20.0)
    assert base.out == soft.out
