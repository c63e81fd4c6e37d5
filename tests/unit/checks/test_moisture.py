"""The wall dried and wetted, measured on the solids that have moved."""

from dataclasses import replace

import numpy as np
import pytest

from cladmodel.checks.finding import Verdict
from cladmodel.checks.lap import laps
from cladmodel.checks.leans import leans
from cladmodel.checks.moisture import NAME, check_moisture, states, steady_lean
from cladmodel.checks.moved import moved_model, widths
from cladmodel.checks.run import run_checks
from cladmodel.checks.seats import seats
from cladmodel.model import Kind
from cladmodel.solids.measure import gather, open_edges, volumes
from cladmodel.standards.climate import CLIMATES
from cladmodel.standards.species import SPECIES, Sawn

from .given import FULL, of, verdicts

WIDTH = 170.0


def run(bench, exposure=FULL, model=None):
    return list(check_moisture(model or bench.model, bench.rules, exposure))


def set_to(limit, value):
    return replace(limit, value=value)


def test_the_sound_wall_is_sound(bench):
    found = run(bench)
    assert verdicts(found) == {Verdict.OK}
    assert {f.check for f in found} == {NAME}
    assert len(found) == 6


def test_every_output_says_where_its_figures_come_from(bench):
    found = run(bench)
    moved = [f for f in found if "driest" in f.text]
    assert moved
    assert all("from memory: Wood Handbook" in f.basis for f in moved)
    assert all("an assumption: climate 'temperate'" in f.basis for f in moved)
    (said,) = [f for f in run(bench, replace(FULL, species=SPECIES["European larch"])) if "wide" in f.text]
    assert "stand-in: western larch" in said.text


@pytest.mark.parametrize("name", ["climate", "species", "fixing_moisture"])
def test_without_one_input_it_is_not_assessed(bench, name):
    found = run(bench, replace(FULL, **{name: None}))
    missing = of(found, "not_assessed")
    words = {"climate": "climate", "species": "species", "fixing_moisture": "moisture content at fixing"}
    assert missing
    assert all(f"needs {words[name]}" in f.text for f in missing)
    assert not any("driest" in f.text for f in found)


def test_boards_shrink_about_their_nails_and_stay_closed(bench):
    dried = moved_model(bench.model, -0.02, -0.01)
    before, after = bench.model.of_kind(Kind.BOARD), dried.of_kind(Kind.BOARD)
    lean = np.radians(leans(before))
    assert widths(before, lean) == pytest.approx(WIDTH, abs=1e-9)
    assert widths(after, lean) == pytest.approx(WIDTH * 0.98, abs=1e-9)
    np.testing.assert_allclose(leans(after), leans(before), atol=1e-9)
    soup = gather(after)
    assert not open_edges(soup).any()
    np.testing.assert_allclose(volumes(soup), volumes(gather(before)) * 0.98 * 0.99, rtol=1e-9)
    for old, new in zip(before, after, strict=True):
        np.testing.assert_allclose(new.vertices[:, 0], old.vertices[:, 0], atol=0)
    # What is at the nail's height stays there.
    heads = bench.model.fixings[0].heads
    nail = heads[bench.nail("03a", 600.0), 1]
    old, new = bench.part("03a").vertices[:, 1], next(p for p in after if p.mark == "03a").vertices[:, 1]
    assert new.min() > old.min()
    assert new.max() < old.max()
    assert (nail - new.min()) / (nail - old.min()) == pytest.approx(0.98, abs=2e-3)


def test_the_lap_lost_is_the_width_times_the_movement(bench):
    dry, _ = states(FULL.climate, FULL.species, Sawn.FLAT, FULL.fixing_moisture)
    _, before, _ = laps(seats(bench.model, "front"))
    _, after, _ = laps(seats(moved_model(bench.model, dry.across, dry.through), "front"))
    # Both boards count, each from its own nail: together one whole width.
    np.testing.assert_allclose(before - after, -WIDTH * dry.across, atol=1e-6)
    (said,) = [f for f in run(bench) if "laps" in f.text]
    assert said.measured == pytest.approx(after.min(), abs=1e-9)


def test_the_clearance_lost_is_from_the_nail_to_the_thin_edge(bench):
    _, wet = states(FULL.climate, FULL.species, Sawn.FLAT, FULL.fixing_moisture)
    (said,) = [f for f in run(bench) if "comes within" in f.text]
    up = bench.model.fixings[0].heads[bench.nail("03a", 600.0), 1] - 2 * 131.0
    # 8 clear when hung (the test wall's own setting).
    assert said.measured == pytest.approx(8.0 - wet.across * (WIDTH - up), abs=0.05)


def test_lap_too_small_when_dry(bench):
    found = run(bench, replace(FULL, dry_lap=set_to(FULL.dry_lap, 39.0)))
    (fault,) = of(found, "fail")
    assert "laps" in fault.text
    assert "others are beyond" in fault.text
    assert not of(run(bench, replace(FULL, dry_lap=set_to(FULL.dry_lap, 30.0))), "fail")


def test_green_oak_hung_wet_for_a_sunny_wall(bench):
    wet = replace(FULL, species=SPECIES["European oak"], climate=CLIMATES["sun-baked"], fixing_moisture=29.0)
    found = run(bench, replace(wet, dry_lap=set_to(FULL.dry_lap, 30.0)))
    assert any("too wet" in f.text for f in of(found, "caution"))
    (fault,) = of(found, "fail")
    assert fault.measured < 30.0


def test_boards_hung_bone_dry_swell_up_to_the_nails(bench):
    dry = replace(FULL, species=SPECIES["European oak"], fixing_moisture=6.0)
    found = run(bench, replace(dry, wet_clearance=set_to(FULL.wet_clearance, 2.0)))
    assert any("too dry" in f.text for f in of(found, "caution"))
    (fault,) = of(found, "fail")
    assert "comes within" in fault.text
    assert fault.measured < 2.0


def test_a_gap_that_opens_is_measured_on_the_dried_solids(bench):
    (said,) = [f for f in run(bench) if "gap" in f.text]
    dry, _ = states(FULL.climate, FULL.species, Sawn.FLAT, FULL.fixing_moisture)
    space = seats(moved_model(bench.model, dry.across, dry.through), "front").bottom
    assert said.measured == pytest.approx(np.nanmax(space), abs=1e-6)
    assert said.measured > 0.05
    found = run(bench, replace(FULL, dry_gap=set_to(FULL.dry_gap, 0.05)))
    (fault,) = of(found, "caution")
    assert "gap" in fault.text


def test_quarter_sawn_boards_move_less(bench):
    flat, quarter = (
        next(f for f in run(bench, replace(FULL, sawn=sawn)) if "wide, changes" in f.text) for sawn in Sawn
    )
    assert quarter.measured < flat.measured


def test_all_checks_run_on_the_dried_and_the_wet_solids(bench):
    for across in (-0.012, 0.006):
        found = run_checks(moved_model(bench.model, across, across / 2), bench.rules)
        assert {"lap", "nails", "solids", "tilt"} <= {f.check for f in found}
        assert all(f.verdict is Verdict.OK for f in found if f.check in ("lap", "solids", "tilt", "nails"))


def test_lean_follows_the_closed_form(bench):
    assert np.degrees(steady_lean(170, 22, 9, 131)) == pytest.approx(5.266661, abs=1e-6)
    assert np.degrees(steady_lean(170, 22, 9, 131)) == pytest.approx(bench.tilt_deg, abs=1e-9)
    (said,) = [f for f in run(bench) if "seated anew" in f.text]
    assert 0 < said.measured < 0.2


def test_nothing_moves_when_nothing_changes(bench):
    still = moved_model(bench.model, 0.0, 0.0)
    for old, new in zip(bench.model.parts, still.parts, strict=True):
        np.testing.assert_array_equal(old.vertices, new.vertices)
