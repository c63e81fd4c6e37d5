"""Free openings and the narrowest place, on the small wall and on built ones."""

from dataclasses import replace

import numpy as np
import pytest

from cladmodel.checks.air import NAME, check_air
from cladmodel.checks.airways import Place, airways, clad_between
from cladmodel.checks.exposure import Exposure, Mesh
from cladmodel.checks.finding import Verdict
from cladmodel.errors import SceneError
from cladmodel.model import Kind
from cladmodel.standards.sources import Source, Standing
from cladmodel.standards.ventilation import OPENING_RULES, OpeningRule

from ...building import WINDOW, build_text, scene_text
from .given import FULL, of, verdicts


def run(bench, model, exposure=FULL):
    return list(check_air(model, bench.rules, exposure))


def test_the_sound_wall_is_sound(bench):
    found = run(bench, bench.model)
    assert verdicts(found) == {Verdict.OK}
    assert {f.check for f in found} == {NAME}


def test_slots_are_measured_one_by_one_in_each_bay(bench):
    # 60 slots of 14 x 4 at 40 centres; those cut by a batten count as far as they show.
    for way in (w for w in airways(bench.model, "front") if w.place is Place.FOOT):
        middles = (np.arange(60) + 0.5) * 40.0
        shown = np.minimum(middles + 7, way.right) - np.maximum(middles - 7, way.left)
        assert way.area == pytest.approx(4.0 * shown.clip(min=0).sum(), abs=1e-6)
        assert way.narrowest == pytest.approx(4.0, abs=1e-9)
        assert way.beside == "V1"


def test_the_gap_at_the_head_is_up_to_the_soffit(bench):
    top = max(float(p.vertices[:, 1].max()) for p in bench.model.of_kind(Kind.BOARD))
    for way in (w for w in airways(bench.model, "front") if w.place is Place.HEAD):
        assert way.narrowest == pytest.approx(870.0 - top, abs=1e-6)
        assert way.area == pytest.approx((870.0 - top) * (way.right - way.left), abs=1e-3)
        assert way.beside == "soffit"


def test_a_strip_with_too_few_slots(bench):
    poor = replace(bench.model, parts=(*bench.without("V1").parts, bench.vent_strip(slots=30, hole=4.0)))
    (fault,) = of(run(bench, poor), "fail")
    assert "foot" in fault.text
    assert fault.mark == "V1"
    assert fault.measured < fault.limit == 1000.0


def test_a_fillet_hard_on_the_boards_closes_the_head(bench):
    top = bench.part("06a").vertices[:, 1].max()
    fillet = bench.block("C1", Kind.FILLET, (0, top + 0.4, 0), (2400, 900, 30))
    (fault,) = of(run(bench, bench.with_parts(fillet)), "fail")
    assert "head" in fault.text
    assert fault.mark == "C1"
    assert fault.measured == pytest.approx(0.4 * 1000 * FULL.mesh.open_share, rel=1e-3)


def test_one_bay_closed_at_the_head_is_found_by_itself(bench):
    top = bench.part("06a").vertices[:, 1].max()
    block = bench.block("C1", Kind.FILLET, (700, top + 0.1, 0), (1100, 900, 30))
    (fault,) = of(run(bench, bench.with_parts(block)), "fail")
    assert 700 < fault.where[0] < 1100


def test_slots_narrower_than_the_rule(bench):
    rule = OpeningRule(
        name="x",
        area=10.0,
        narrowest=5.0,
        source=Source(name="test", standing=Standing.COMMON),
    )
    (fault,) = of(run(bench, bench.model, replace(FULL, openings=rule)), "fail")
    assert fault.measured == pytest.approx(4.0)
    assert fault.unit == "mm"


def test_another_source_asks_for_more(bench):
    faults = of(run(bench, bench.model, replace(FULL, openings=OPENING_RULES["BS 8200"])), "fail")
    assert [f.limit for f in faults] == [5000.0]


def test_without_a_mesh_given_insects_are_not_assessed(bench):
    (finding,) = of(run(bench, bench.model, Exposure()), "not_assessed")
    assert "needs aperture" in finding.text


def test_a_coarse_mesh_and_coarse_slots_let_insects_in(bench):
    (finding,) = of(run(bench, bench.model, replace(FULL, mesh=Mesh(aperture=6.0))), "caution")
    assert finding.measured == 6.0
    limit = replace(FULL.insects, value=3.5)
    (finding,) = of(run(bench, bench.model, replace(FULL, insects=limit)), "caution")
    assert finding.mark == "V1"
    assert finding.measured == pytest.approx(4.0)


def test_no_strip_leaves_the_whole_cavity_open_to_insects(bench):
    (finding,) = of(run(bench, bench.without("V1"), Exposure()), "not_assessed")
    assert "45 mm gap at the head" in finding.text
    foot = [w for w in airways(bench.without("V1"), "front") if w.place is Place.FOOT]
    assert all(w.narrowest == pytest.approx(25.0) and not w.stripped for w in foot)


@pytest.mark.parametrize("mark", ["M1"])
def test_no_membrane_is_not_assessed(bench, mark):
    (finding,) = run(bench, bench.without(mark))
    assert finding.verdict is Verdict.NOT_ASSESSED
    assert "needs" in finding.text


def windowed(board=None, sill=WINDOW["sill"], **trims):
    opening = [WINDOW | {"sill": sill}]
    return build_text(scene_text(wall={"length": 4200}, opening=opening, trims=trims, board=board or {}))


def test_a_wall_with_a_window_has_all_four_places():
    built = windowed()
    ways = airways(built.model, built.model.walls[0].name)
    assert {way.place for way in ways} == set(Place)
    assert verdicts(check_air(built.model, built.rules, FULL)) == {Verdict.OK}
    # Under the sill the gap runs aslant past the top board's arris: a little under what was set.
    sill = [way.narrowest for way in ways if way.place is Place.SILL]
    assert all(8.0 < gap <= 10.0 for gap in sill)


@pytest.mark.parametrize(("field", "place"), [("sill_gap", "sill"), ("head_gap", "opening head")])
def test_a_gap_set_too_small_at_an_opening(field, place):
    # Edges cut square would stand in the sill at such a gap: that is refused, see below.
    built = windowed({"edge_cut": "level"}, sill=960, **{field: 0.8})
    faults = of(check_air(built.model, built.rules, FULL), "fail")
    assert faults
    assert all(place in f.text for f in faults)


def test_a_sill_gap_that_square_edges_would_close_is_refused():
    with pytest.raises(SceneError, match=r"trims.sill_gap = 0.8: must be at least"):
        windowed(sill_gap=0.8)


def test_soffit_follows_a_rake(bench):
    wall = replace(bench.model.walls[0], outline=np.array([(0, 0), (2400, 0), (2400, 900), (0, 600)], float))
    assert clad_between(wall, 1200.0) == (pytest.approx(0.0), pytest.approx(750.0))


def test_under_a_rake_the_gap_is_the_same_in_every_bay():
    built = build_text(scene_text(wall={"length": 3600, "ridge_at": 1800, "ridge_height": 3300}))
    heads = [w for w in airways(built.model, built.model.walls[0].name) if w.place is Place.HEAD]
    assert len(heads) >= 6
    assert max(w.hole for w in heads) < 40.0
    assert verdicts(check_air(built.model, built.rules, FULL)) == {Verdict.OK}


def test_bays_over_a_door_open_at_its_head_and_have_no_foot():
    door = {"name": "door", "kind": "door", "left": 1300, "width": 900, "head": 1930}
    built = build_text(scene_text(wall={"length": 4200}, opening=[door]))
    ways = airways(built.model, built.model.walls[0].name)
    over = [w for w in ways if 1290 < (w.left + w.right) / 2 < 2210]
    assert {w.place for w in over} == {Place.OPENING, Place.HEAD}
    assert {w.place for w in ways if w not in over} == {Place.FOOT, Place.HEAD}
    assert verdicts(check_air(built.model, built.rules, FULL)) == {Verdict.OK}
