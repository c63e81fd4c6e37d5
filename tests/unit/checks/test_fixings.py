"""What fixings are, and where board nails sit in their boards."""

from dataclasses import replace

import numpy as np
import pytest

from cladmodel.checks.exposure import Drilled
from cladmodel.checks.finding import Verdict
from cladmodel.checks.fixings import NAME, check_fixings
from cladmodel.checks.metals import judge
from cladmodel.standards.nails import TIMBERS
from cladmodel.standards.species import SPECIES

from .given import FULL, of, verdicts

WIDE = replace(FULL, wide=replace(FULL.wide, value=180.0))
"""The test wall's 170 boards taken as sound, to see the rest."""


def run(bench, exposure=WIDE, model=None):
    return list(check_fixings(model or bench.model, bench.rules, exposure))


def with_nail(bench, **values):
    nails, *rest = bench.model.fixings
    return replace(bench.model, fixings=(replace(nails, fastener=replace(nails.fastener, **values)), *rest))


def said(words, findings):
    return [f for f in findings if words in f.text]


def test_the_sound_wall_is_sound(bench):
    found = run(bench)
    assert verdicts(found) == {Verdict.OK}
    assert {f.check for f in found} == {NAME}
    total = sum(len(group.heads) for group in bench.model.fixings)
    assert found[0].measured == total
    assert f"{len(bench.model.fixings[0].heads)} ring-shank nail" in found[0].text
    assert "all driven level" in found[0].text


def test_skewed_nails_are_said(bench):
    nails, *rest = bench.model.fixings
    directions = nails.directions.copy()
    directions[3] = (0.0, -np.sin(np.radians(20)), -np.cos(np.radians(20)))
    found = run(bench, model=replace(bench.model, fixings=(replace(nails, directions=directions), *rest)))
    assert "up to 20 deg off level" in found[0].text


@pytest.mark.parametrize("values", [{"headed": False}, {"head_diameter": 2.65}])
def test_headless_pins_fail(bench, values):
    (fault,) = of(run(bench, model=with_nail(bench, **values)), "fail")
    assert "no head" in fault.text


def test_short_nails_fail_and_smooth_ones_want_more(bench):
    (fault,) = of(run(bench, model=with_nail(bench, length=43.0)), "fail")
    assert (fault.measured, fault.limit) == (43.0, pytest.approx(44.0))
    (fault,) = of(run(bench, model=with_nail(bench, ringed=False)), "fail")
    assert fault.limit == pytest.approx(55.0)


@pytest.mark.parametrize(
    ("material", "species", "treated", "verdict"),
    [
        ("stainless steel", "European oak", True, "ok"),
        ("silicon bronze", "western redcedar", False, "ok"),
        ("galvanised steel", "European oak", False, "fail"),
        ("galvanised steel", "European larch", False, "fail"),
        ("galvanised steel", "Scots pine", True, "caution"),
        ("galvanised steel", "Scots pine", False, "ok"),
        ("bright steel", "Scots pine", False, "fail"),
    ],
)
def test_metal_against_timber(bench, material, species, treated, verdict):
    assert judge(material, SPECIES[species], treated=treated)[0] == verdict
    exposure = replace(WIDE, species=SPECIES[species], treated=treated)
    found = of(run(bench, exposure, with_nail(bench, material=material)), verdict)
    assert any(SPECIES[species].name in f.text or material in f.text for f in found)


def test_wide_boards_on_one_nail_are_a_caution(bench):
    (finding,) = of(run(bench, FULL), "caution")
    assert finding.measured == pytest.approx(170.0)
    assert finding.limit == 150.0
    assert "conflicts with the one-nail rule" in finding.basis


def test_ends_want_more_room_undrilled(bench):
    # The nails nearest an end stand 20 from it: 7 d of 2.65 drilled, 10 d not.
    (fault,) = said("the end of", of(run(bench, replace(WIDE, drilled=Drilled.NONE)), "caution"))
    assert fault.measured == pytest.approx(20.0, abs=1e-6)
    assert fault.limit == pytest.approx(26.5)
    assert not said("the end of", of(run(bench, replace(WIDE, drilled=Drilled.ENDS)), "caution"))


def test_a_nail_too_near_the_butt(bench):
    index = bench.nail("01a", 600.0)
    up = bench.model.fixings[0].heads[index, 1]
    moved = bench.nails_moved(index, (0, -(up - 6.0), 0))
    (fault,) = of(run(bench, model=moved), "caution")
    assert "edge" in fault.text
    assert fault.mark == "01a"
    assert fault.measured == pytest.approx(6.0, abs=0.2)


def test_dense_timber_must_be_drilled(bench):
    oak = replace(WIDE, board_timber=TIMBERS["D30"])
    assert any(f.unit == "kg/m3" for f in of(run(bench, replace(oak, drilled=Drilled.ENDS)), "fail"))
    assert not of(run(bench, oak), "fail")


def test_thin_wood_is_drilled(bench):
    thick = with_nail(bench, diameter=3.1, head_diameter=7.0)
    (fault,) = said("passes", of(run(bench, replace(WIDE, drilled=Drilled.ENDS), thick), "caution"))
    assert "undrilled" in fault.text
    assert fault.limit == pytest.approx(7 * 3.1)
    assert fault.measured < fault.limit
    assert "2.2 mm holes" in fault.remedy


def test_wood_that_splits_is_drilled_sooner(bench):
    fir = replace(WIDE, species=SPECIES["Norway spruce"], drilled=Drilled.ENDS)
    (fault,) = of(run(bench, fir), "caution")
    assert fault.limit == pytest.approx(14 * 2.65)
    assert "from memory" in fault.basis


@pytest.mark.parametrize(
    ("name", "words", "what"),
    [
        ("species", "species of the boards", {"Metal", "Pre-drilling"}),
        ("treated", "whether the timber is treated", {"Metal"}),
        ("drilled", "which nail holes are drilled", {"Nails", "Pre-drilling"}),
        ("board_timber", "timber class of the boards", {"Nails", "Pre-drilling"}),
    ],
)
def test_without_one_input_its_rules_are_not_assessed(bench, name, words, what):
    missing = of(run(bench, replace(WIDE, **{name: None})), "not_assessed")
    assert {f.text.split()[0].rstrip(":") for f in missing} == what
    assert all(f"needs {words}." in f.text for f in missing)


def test_without_fixings_it_is_not_assessed(bench):
    (finding,) = run(bench, model=replace(bench.model, fixings=()))
    assert finding.verdict is Verdict.NOT_ASSESSED
