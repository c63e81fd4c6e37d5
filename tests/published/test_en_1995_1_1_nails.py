"""EN 1995-1-1:2004 + A1 + A2, 8.3.2: nails pulled. Source: shared/en-1995-1-1-nails.toml, found second-hand.

8.3.2(8) is from memory. Some stored programs put f_head into the d t term of eq. 8.24: tested against.
"""

from __future__ import annotations

import pytest

from cladmodel.errors import CladmodelError
from cladmodel.standards import nails
from cladmodel.standards.sources import Standing

from .data import published

BOOK = published("en-1995-1-1-nails")


def strengths(timber):
    density = nails.TIMBERS[timber].density
    return nails.withdrawal_strength(density), nails.head_strength(density)


def pulled(case, *, ringed=False, **more):
    f_ax, f_head = strengths(case["timber"])
    return nails.pull(
        diameter=case["diameter"],
        head=case["head"],
        penetration=case.get("penetration", 40),
        thickness=case["thickness"],
        f_ax=f_ax,
        f_head=f_head,
        ringed=ringed,
        **more,
    )


@pytest.mark.parametrize("row", BOOK["strength"], ids=lambda row: row["timber"])
def test_strengths_and_densities(row):
    timber = nails.TIMBERS[row["timber"]]
    assert (timber.density, timber.mean) == (row["density"], row["mean"])
    assert strengths(row["timber"]) == pytest.approx((row["f_ax"], row["f_head"]), abs=6e-4)


@pytest.mark.parametrize("case", BOOK["nail"])
def test_nails(case):
    held = pulled(case)
    assert held.out == pytest.approx(case["out"], abs=case["tolerance"])
    assert held.holds == held.out
    assert held.governs == "point"
    if "through" in case:
        assert held.through == pytest.approx(case["through"], abs=case["tolerance"])
    if "factor" in case:
        assert held.reduction == pytest.approx(case["factor"], abs=5e-5)
    if "design" in case:
        design = held.design(nails.K_MOD[3]["instantaneous"], nails.GAMMA_CONNECTION)
        assert design == pytest.approx(case["design"], abs=case["tolerance"])


def test_the_head_term_takes_the_withdrawal_strength_along_the_shank():
    trap = BOOK["trap"]
    f_ax, f_head = strengths(trap["timber"])
    wrong = f_head * trap["diameter"] * trap["thickness"] + f_head * trap["head"] ** 2
    assert wrong == pytest.approx(trap["wrong_through"], abs=0.1)
    right = f_ax * trap["diameter"] * trap["thickness"] + f_head * trap["head"] ** 2
    assert pulled(trap).through == pytest.approx(right, rel=1e-12)


def test_a_ringed_nail_has_no_shank_term():
    case = BOOK["nail"][1]
    _, f_head = strengths(case["timber"])
    assert pulled(case, ringed=True).through == pytest.approx(f_head * case["head"] ** 2, rel=1e-12)


@pytest.mark.parametrize("shank", ["smooth", "ringed"])
def test_short_points(shank):
    for times, factor in BOOK["short_point"][shank]:
        own = nails.penetration_factor(times * 2.5, 2.5, ringed=shank == "ringed")
        assert own == pytest.approx(factor, abs=1e-9)


def test_drying_under_load():
    case = BOOK["nail"][1]
    dry, wet = pulled(case), pulled(case, drying=True)
    assert wet.out == pytest.approx(dry.out * BOOK["drying"]["factor"], rel=1e-12)
    assert wet.through == pytest.approx(dry.through * BOOK["drying"]["factor"], rel=1e-12)
    assert nails.DRYING.standing is Standing.MEMORY


def test_pre_drilling():
    case = BOOK["pre_drilling"]
    own = nails.least_undrilled(case["diameter"], case["density"])
    assert own == pytest.approx(case["least"], abs=1e-9)
    split = nails.least_undrilled(case["diameter"], case["density"], splits=True)
    assert split == pytest.approx(case["least_splitting"], abs=1e-9)
    # Thick nails in dense timber: the other term governs.
    assert nails.least_undrilled(6.0, 530.0) == pytest.approx((13 * 6 - 30) * 530 / 400)
    assert nails.least_undrilled(6.0, 530.0, splits=True) == pytest.approx((13 * 6 - 30) * 530 / 200)


@pytest.mark.parametrize("service", ["1", "2", "3"])
def test_k_mod_and_gamma_m(service):
    assert list(nails.K_MOD[int(service)]) == BOOK["k_mod"]["durations"]
    assert list(nails.K_MOD[int(service)].values()) == BOOK["k_mod"][service]
    assert BOOK["gamma_m"]["connection"] == nails.GAMMA_CONNECTION


def test_c18():
    timber = nails.TIMBERS["C18"]
    assert [timber.density, timber.mean] == BOOK["density"]["C18"]


def test_no_head_smaller_than_its_shank():
    with pytest.raises(CladmodelError, match="not smaller"):
        pulled({**BOOK["nail"][1], "head": 2.0})


@pytest.mark.parametrize("duration", BOOK["k_mod"]["durations"])
def test_smooth_nails_hold_no_lasting_pull(duration):
    assert nails.may_be_pulled(duration, ringed=False) == (duration not in BOOK["not_lasting"]["durations"])
    assert nails.may_be_pulled(duration, ringed=True)
