from dataclasses import replace

import numpy as np
import pytest

from cladmodel.checks.noses import check_noses
from cladmodel.model import Kind


def nose(bench):
    return float(bench.part("03a").vertices[:, 2].max())


def test_sound(bench):
    (finding,) = check_noses(bench.model, bench.rules)
    assert finding.verdict == "ok"
    assert finding.measured == pytest.approx(50 - nose(bench), abs=1e-9)
    # Kick-out and the butt's thickness square to a board leaning 5.267 deg.
    assert nose(bench) == pytest.approx(15.604501 + 22 * 0.995778, abs=1e-4)


def test_a_post_too_thin(bench):
    thin = bench.block("PL", Kind.POST, (-75, 0, -25), (0, 900, 36))
    found = list(check_noses(bench.model.replace_parts([thin]), bench.rules))
    # Only boards that stop against that post.
    assert {f.mark for f in found} == {"01a", "02a", "03a", "04a", "05a", "06a"}
    assert {f.other for f in found} == {"PL"}
    assert found[0].measured == pytest.approx(36 - nose(bench), abs=1e-9)
    assert "prouder than post PL" in found[0].text


def test_a_side_trim_counts_too(bench):
    trim = bench.block("T1", Kind.SIDE_TRIM, (1100, 150, 0), (1145, 260, 38))
    short = [f for f in check_noses(bench.with_parts(trim), bench.rules) if f.verdict == "fail"]
    assert {f.other for f in short} == {"T1"}


def test_nothing_to_stop_against(bench):
    (finding,) = check_noses(bench.without("PL", "PR"), bench.rules)
    assert finding.verdict == "not_assessed"


def test_the_post_may_belong_to_the_wall_round_the_corner(bench):
    """The same left post, given to a wall that runs back from that corner, and another far behind."""
    back = np.array([[0.0, 0, 1, 0], [0, 1, 0, 0], [-1, 0, 0, 0], [0, 0, 0, 1]])
    side = replace(bench.model.walls[0], name="side", frame=back)
    post = bench.part("PL")
    turned = replace(post.with_vertices(post.vertices @ back[:3, :3]), wall="side")
    far = replace(bench.block("PF", Kind.POST, (-75, 0, -4000), (0, 900, -3925)), wall="front")
    parts = (*(p for p in bench.model.parts if p.mark not in ("PL", "PR")), turned, far)
    model = replace(bench.model, walls=(*bench.model.walls, side), parts=parts)
    (finding,) = [f for f in check_noses(model, bench.rules) if f.wall == "front"]
    assert (finding.verdict, finding.other) == ("ok", "PL")
    assert finding.measured == pytest.approx(50 - nose(bench), abs=1e-9)


def test_a_nose_that_stands_out_for_its_lean_is_left_to_tilt(bench):
    rules = bench.limit(nose=50 - nose(bench) - 0.5)
    assert [f.verdict for f in check_noses(bench.model, rules)] == ["ok"]
    assert [f.verdict for f in check_noses(bench.turned("03a", 2.0, "top"), rules)] == ["ok"]
    (finding,) = check_noses(bench.turned("03a", 0.4, "top"), rules)
    assert (finding.verdict, finding.mark) == ("fail", "03a")
