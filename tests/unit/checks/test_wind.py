"""Suction on each nail's own strip of wall against what that nail holds."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from cladmodel.checks.exposure import WindInputs
from cladmodel.checks.finding import Verdict
from cladmodel.checks.shadows import shadow
from cladmodel.checks.tributary import held, showing
from cladmodel.checks.wind import NAME, check_wind, nail_uses, patches, peak
from cladmodel.model import Kind
from cladmodel.standards.wind import NATIONALS, TERRAINS

from ...building import WINDOW, build_text, scene_text
from .given import FULL, of, verdicts


def run(bench, exposure=FULL, model=None):
    return list(check_wind(model or bench.model, bench.rules, exposure))


def with_wind(exposure=FULL, **values):
    return replace(exposure, wind=replace(exposure.wind, **values))


def with_nail(bench, **values):
    nails, *rest = bench.model.fixings
    return replace(bench.model, fixings=(replace(nails, fastener=replace(nails.fastener, **values)), *rest))


def test_the_sound_wall_is_sound(bench):
    found = run(bench)
    assert verdicts(found) == {Verdict.OK}
    assert {f.check for f in found} == {NAME}
    worst = found[-1]
    assert 0 < worst.measured < 1
    assert "an engineer decides" in worst.basis
    assert "assumption: no pressure in the cavity" in worst.basis


def test_one_nail_by_hand(bench):
    wall = bench.model.walls[0]
    use = next(
        u
        for u in nail_uses(bench.model, wall, FULL)
        if u.held.board.mark == "03a" and u.held.nail.head[0] == 600
    )
    # Half-way to the nails at 25 and 1175; one gauge high.
    assert use.area == pytest.approx((1175 - 25) / 2 * 131.0 / 1e6, rel=1e-9)
    # Wall 2.4 m, building 2.4 wide and 2.8 high: e 2.4, zone A to 0.48 m from each end; h/d 1.17.
    q = peak(FULL.wind)
    left, right = (25 + 600) / 2 / 1e3, (600 + 1175) / 2 / 1e3
    suction = q * 0.131 * ((0.48 - left) * 1.4 + (right - 0.48) * 1.1)
    assert use.pull == pytest.approx(1.5 * suction, rel=1e-9)
    assert use.zone == "B"
    depth = use.held.nail.penetration
    factor = min(depth / (2 * 2.65) - 3, 1.0)
    assert use.holds.out == pytest.approx(factor * 6.0 * 2.65 * depth, rel=1e-12)
    assert use.holds.through == pytest.approx(20.0 * 36.0, rel=1e-12)
    assert use.resists == pytest.approx(use.holds.out * 0.70 / 1.3, rel=1e-12)


def test_strips_of_all_nails_cover_what_shows_exactly_once(bench):
    built = build_text(scene_text(wall={"length": 4200}, opening=[WINDOW]))
    for model in (bench.model, built.model):
        wall = model.walls[0].name
        boards = model.of_kind(Kind.BOARD, wall=wall)
        strips = [item.strip for item in held(model, wall)]
        whole = shapely.union_all([shadow(board) for board in boards])
        assert sum(strip.area for strip in strips) == pytest.approx(whole.area, rel=1e-9)
        assert shapely.union_all(strips).area == pytest.approx(whole.area, rel=1e-6)


def test_a_board_shows_as_much_as_the_gauge(bench):
    # Course 6 above it has no joint, through which its lap would show.
    shown = showing(bench.model.of_kind(Kind.BOARD))
    assert shown["05a"].area == pytest.approx((2400 - 10) * 131.0, rel=1e-9)


def test_zones_are_the_worst_of_both_ends():
    built = build_text(scene_text(wall={"length": 9000}))
    inputs = WindInputs(velocity=24.0, terrain=TERRAINS["II"], height=3.0, breadth=4.0)
    spans = patches(built.model.walls[0], inputs)
    # e = 4: A 0.8, B to 4, C between.
    assert [(s.zone, s.left, s.right) for s in spans] == [
        ("A", 0.0, pytest.approx(800.0)),
        ("B", pytest.approx(800.0), pytest.approx(4000.0)),
        ("C", pytest.approx(4000.0), pytest.approx(5000.0)),
        ("B", pytest.approx(5000.0), pytest.approx(8200.0)),
        ("A", pytest.approx(8200.0), 9000.0),
    ]


def test_the_far_side_of_a_tall_thin_building_is_zone_e_where_that_is_worse():
    built = build_text(scene_text(wall={"length": 9000}))
    inputs = WindInputs(velocity=24.0, terrain=TERRAINS["II"], height=8.0, breadth=2.0)
    middle = [s for s in patches(built.model.walls[0], inputs) if s.left < 4500 < s.right]
    assert [s.zone for s in middle] == ["E"]
    assert middle[0].coefficient == pytest.approx(-0.65)


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("velocity", "wind velocity"),
        ("terrain", "terrain"),
        ("height", "height of the building"),
        ("breadth", "breadth of the building"),
    ],
)
def test_without_one_wind_input_it_is_not_assessed(bench, name, words):
    (finding,) = run(bench, with_wind(**{name: None}))
    assert finding.verdict is Verdict.NOT_ASSESSED
    assert f"needs {words}." in finding.text


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("board_timber", "timber class of the boards"),
        ("batten_timber", "timber class of the battens"),
        ("fixing_moisture", "moisture content at fixing"),
    ],
)
def test_without_one_timber_input_it_is_not_assessed(bench, name, words):
    (finding,) = run(bench, replace(FULL, **{name: None}))
    assert finding.verdict is Verdict.NOT_ASSESSED
    assert f"needs {words}." in finding.text


def test_without_nails_it_is_not_assessed(bench):
    (finding,) = [f for f in run(bench, model=replace(bench.model, fixings=())) if f.check == NAME]
    assert finding.verdict is Verdict.NOT_ASSESSED


def test_a_pressure_from_a_national_chart_stands_in(bench):
    found = run(bench, with_wind(velocity=None, terrain=None, pressure=600.0))
    assert found[0].measured == 600.0
    assert not of(found, "not_assessed")


def test_a_gale_pulls_nails_of_declared_strength_out(bench):
    (fault,) = of(run(bench, with_wind(velocity=60.0)), "fail")
    assert fault.measured > 1
    assert "others are beyond" in fault.text
    assert "point out of the batten" in fault.text


def test_a_ringed_nail_without_its_declared_strength_is_not_condemned(bench):
    gale = replace(with_wind(velocity=30.0), f_ax=None)
    (doubt,) = of(run(bench, gale), "caution")
    assert "assumption: strength of smooth nails" in doubt.basis
    wanted = float(doubt.remedy.split(": ")[1].split(" ")[0])
    assert not of(run(bench, replace(gale, f_ax=wanted + 0.1)), "fail")
    assert of(run(bench, replace(gale, f_ax=wanted - 0.1)), "fail")


def test_a_smooth_nail_fails_outright(bench):
    smooth = with_nail(bench, ringed=False, length=55.0)
    assert of(run(bench, replace(with_wind(velocity=40.0), f_ax=None), model=smooth), "fail")


def test_a_nail_too_short_holds_nothing(bench):
    (fault,) = of(run(bench, model=with_nail(bench, length=42.0)), "fail")
    assert "holds nothing" in fault.text
    assert fault.measured < fault.limit == 6.0


def test_a_headless_pin_pulls_through(bench):
    pin = with_nail(bench, headed=False, head_diameter=2.65)
    (fault,) = of(run(bench, replace(with_wind(velocity=30.0), f_head=None), model=pin), "fail")
    assert "head through the board" in fault.text


def test_green_timber_holds_two_thirds(bench):
    wall = bench.model.walls[0]
    dry, wet = (nail_uses(bench.model, wall, replace(FULL, fixing_moisture=m)) for m in (16.0, 28.0))
    for a, b in zip(dry, wet, strict=True):
        assert b.resists == pytest.approx(a.resists * 2 / 3, rel=1e-12)
    assert (
        "from memory: EN 1995-1-1:2004+A1+A2 8.3.2(8)"
        in run(bench, replace(FULL, fixing_moisture=28.0))[-1].basis
    )


def test_one_nail_left_out_loads_its_neighbours(bench):
    nails, *rest = bench.model.fixings
    index = bench.nail("03a", 600.0)
    fewer = replace(
        nails, heads=np.delete(nails.heads, index, 0), directions=np.delete(nails.directions, index, 0)
    )
    wall = bench.model.walls[0]
    less = nail_uses(replace(bench.model, fixings=(fewer, *rest)), wall, FULL)
    own = [u for u in less if u.held.board.mark == "03a"]
    assert len(own) == 4
    assert max(u.area for u in own) == pytest.approx((1765 - 25) / 2 * 131 / 1e6, rel=1e-9)


def test_a_moved_nail_changes_its_own_hold_only(bench):
    wall = bench.model.walls[0]
    index = bench.nail("03a", 600.0)
    before = nail_uses(bench.model, wall, FULL)
    after = nail_uses(bench.nails_moved(index, (0, 0, 1.5)), wall, FULL)
    changed = [
        a.held.board.mark for a, b in zip(before, after, strict=True) if a.resists != pytest.approx(b.resists)
    ]
    assert changed == ["03a"]


def test_taller_than_the_table_goes_to_an_engineer(bench):
    (finding,) = run(bench, with_wind(height=13.0))
    assert finding.verdict is Verdict.NOT_ASSESSED
    assert "an engineer" in finding.text


def test_pressure_in_the_cavity_adds(bench):
    wall = bench.model.walls[0]
    still = nail_uses(bench.model, wall, FULL)
    pushed = nail_uses(bench.model, wall, with_wind(behind=0.2))
    q = peak(FULL.wind)
    for a, b in zip(still, pushed, strict=True):
        assert b.pull - a.pull == pytest.approx(1.5 * 0.2 * q * a.area, rel=1e-9)


def test_national_choice_goes_through():
    inputs = WindInputs(
        velocity=24.0, terrain=TERRAINS["II"], height=3.0, breadth=4.0, national=NATIONALS["United Kingdom"]
    )
    plain = replace(inputs, national=NATIONALS["recommended"])
    assert peak(inputs) == pytest.approx(peak(plain) * 1.226 / 1.25, rel=1e-12)


def test_a_smooth_nail_holds_no_lasting_pull(bench):
    smooth = with_nail(bench, ringed=False, length=55.0)
    (fault,) = of(run(bench, replace(FULL, duration="long"), smooth), "fail")
    assert "long duration" in fault.text
    assert not of(run(bench, replace(FULL, duration="long")), "fail")
