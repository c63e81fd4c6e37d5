"""What random breakage showed that a check passed over: each place once, small enough to follow."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from cladmodel.checks.air import check_air
from cladmodel.checks.board_facts import check_board_facts
from cladmodel.checks.cavity import check_cavity
from cladmodel.checks.clearance import check_clearance
from cladmodel.checks.contact import check_contact
from cladmodel.checks.exposure import Exposure
from cladmodel.checks.joints import check_joints
from cladmodel.checks.lap import check_lap
from cladmodel.checks.noses import check_noses
from cladmodel.checks.slivers import check_slivers
from cladmodel.checks.tilt import check_tilt
from cladmodel.model import Kind
from cladmodel.solids.plates import Plate, frame, lift


def failing(findings):
    return [f for f in findings if f.verdict in ("fail", "caution")]


def rehung(bench, mark, **changes):
    """The same board from plates, with a notch or of another thickness."""
    old = bench.part(mark)
    low, high = old.vertices.min(axis=0), old.vertices.max(axis=0)
    tilt = np.radians(bench.tilt_deg)
    new = bench.board(mark, old.course, low[0], high[0], tilt, low[1], **changes)
    return bench.model.replace_parts([new])


@pytest.mark.parametrize(("left", "right"), [(700.0, 720.0), (5.0, 300.0)], ids=["between battens", "an end"])
def test_a_notch_in_a_top_edge_is_a_short_lap_there(bench, left, right):
    (found,) = failing(check_lap(rehung(bench, "03a", notch=(left, 150, right, 171)), bench.rules))
    assert (found.mark, found.other) == ("04a", "03a")
    assert left - 1 < found.where[0] < right + 1
    assert found.measured == pytest.approx(19.55, abs=0.01)


def test_a_notch_deeper_than_the_lap_is_no_opening(bench):
    (found,) = failing(check_lap(rehung(bench, "03a", notch=(700, 120, 720, 171)), bench.rules))
    assert found.measured < 0


def test_of_two_boards_one_is_off_level_by_all_of_it(bench):
    """Neither half-way between them nor, at 0.5, within 0.3 of it."""
    found = failing(check_contact(bench.moved("02a", (0, -0.5, 0.0)), bench.limit(contact=1.0)))
    assert [abs(f.measured) for f in found if "course" in f.text] == [pytest.approx(0.5, abs=1e-9)]


def test_a_post_planed_at_one_nose_only(bench):
    low = bench.part("03a").vertices.min(axis=0)[1]
    side = shapely.box(-25, 0, 50, 870).difference(shapely.box(38, low - 10, 51, low + 30))
    # Plate axes: out of the wall, up, to the left.
    (solid,) = lift([Plate(polygon=side, thickness=75.0, frame=frame((0, 0, 0), (0, 0, 1), (0, 1, 0)))])
    post = replace(bench.part("PL"), vertices=solid.vertices, faces=solid.faces)
    model = bench.model.replace_parts([post])
    assert {f.mark for f in failing(check_noses(model, bench.rules))} == {"03a"}


def test_a_strip_sawn_in_steps_is_one_strip(bench):
    """Two stretches of 80, each too short to count, are 160 of low board."""
    up = 170.0
    part = bench.part("03a")
    shape = shapely.box(5, 0, 2395, up)
    shape = shape.difference(shapely.box(600, 50, 680, 171)).difference(shapely.box(680, 45, 760, 171))
    (solid,) = lift([Plate(polygon=shape, thickness=1.0, frame=frame((0, 262, 0), (1, 0, 0), (0, 1, 0)))])
    model = bench.model.replace_parts([replace(part, vertices=solid.vertices, faces=solid.faces)])
    (found,) = failing(check_slivers(model, bench.rules))
    assert (found.mark, found.measured) == ("03a", pytest.approx(50.0, abs=0.1))


def test_a_batten_cut_away_behind_a_joint_bears_nothing(bench):
    """The doubled batten's right half ends below course 2's joint and begins again above it."""
    joint = 200.0
    cut = [
        bench.block("B4f", Kind.BATTEN, (1200, 2, -25), (1250, joint - 60, 0)),
        bench.block("B4h", Kind.BATTEN, (1200, joint + 60, -25), (1250, 870, 0)),
    ]
    model = replace(bench.without("B4"), parts=(*bench.without("B4").parts, *cut))
    (found,) = failing(check_joints(model, bench.rules))
    assert found.mark == "02a"
    assert "batten" in found.text


@pytest.mark.parametrize("end", [1100.0, 700.0])
def test_a_board_cut_far_too_short_leaves_a_joint_open(bench, end):
    part = bench.part("02a")
    vertices = part.vertices.copy()
    vertices[vertices[:, 0] > 1000, 0] = end
    found = failing(check_joints(bench.model.replace_parts([part.with_vertices(vertices)]), bench.rules))
    assert [f.measured for f in found if "open" in f.text] == [pytest.approx(1201.5 - end, abs=1e-6)]


def test_a_board_cut_short_of_its_post(bench):
    part = bench.part("03a")
    vertices = part.vertices.copy()
    vertices[vertices[:, 0] < 100, 0] = 80.0
    (found,) = failing(check_joints(bench.model.replace_parts([part.with_vertices(vertices)]), bench.rules))
    assert (found.mark, found.other, found.measured) == ("03a", "PL", 80.0)
    assert "80.0 mm short of post PL" in found.text


def test_a_board_left_out_bares_the_membrane(bench):
    found = failing(check_cavity(bench.without("03a"), bench.rules))
    assert len(found) == 4  # in every bay
    assert all("Nothing covers the membrane" in f.text for f in found)
    assert all(300 < f.where[1] < 420 for f in found)


def test_a_bulging_membrane_takes_depth_where_it_bulges_alone(bench):
    bulge = bench.block("MX", Kind.MEMBRANE, (800, 400, -25.5), (1000, 440, -5))
    found = failing(check_cavity(bench.with_parts(bulge), bench.rules))
    assert found
    assert all(800 <= f.where[0] <= 1000 and 399 <= f.where[1] <= 441 for f in found)


def test_a_stray_piece_of_batten_is_no_side_of_a_bay(bench):
    stray = bench.block("BX", Kind.BATTEN, (900, 400, -15), (905, 430, -8))
    (found,) = failing(check_cavity(bench.with_parts(stray), bench.rules))
    assert (found.mark, found.measured) == ("BX", pytest.approx(10.0, abs=1e-6))


def test_what_lies_on_a_strip_closes_its_slots(bench):
    lying = bench.block("KX", Kind.PACKER, (625, 2, -25), (1150, 5, 0))
    found = failing(check_air(bench.with_parts(lying), bench.rules, Exposure()))
    assert [f.mark for f in found] == ["V1"]


def test_of_two_strips_in_a_bay_the_one_with_the_wide_slot_is_named(bench):
    whole = bench.part("V1")
    left = whole.with_vertices(whole.vertices * (0.375, 1, 1))
    wide = bench.vent_strip(slots=20, hole=20.0)
    right = replace(wide, mark="V2").with_vertices(wide.vertices * (0.625, 1, 1.5) + (900, 0, 0.5 * 25))
    model = replace(bench.without("V1"), parts=(*bench.without("V1").parts, left, right))
    found = failing(check_air(model, bench.rules, Exposure()))
    assert {f.mark for f in found if "insects" in f.text} == {"V2"}


def test_a_packer_may_be_the_lowest_timber(bench):
    low = bench.block("KX", Kind.PACKER, (100, -150, 0), (140, -100, 5))
    (found,) = failing(check_clearance(bench.with_parts(low), bench.rules))
    assert (found.mark, found.measured) == ("KX", 50.0)


def test_a_board_of_half_the_thickness_is_still_judged(bench):
    found = list(check_board_facts(rehung(bench, "03a", butt=11.0, thin=5.0), bench.rules, Exposure()))
    (slim,) = [f for f in found if "recommended" in f.text]
    assert (slim.mark, slim.measured) == ("03a", pytest.approx(170 / 11, abs=1e-6))


@pytest.mark.parametrize("degrees", [30.0, 60.0])
def test_a_board_far_over_spoils_no_other_ones_lean(bench, degrees):
    found = failing(check_tilt(bench.turned("03a", degrees), bench.rules))
    assert [(f.mark, f.verdict) for f in found] == [("03a", "fail")]
