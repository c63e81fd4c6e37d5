from dataclasses import replace

import numpy as np

from cladmodel.checks.concealed import _no_eye, _soffit, check_concealed
from cladmodel.model import Kind


def test_sound(bench):
    (finding,) = check_concealed(bench.model, bench.rules)
    assert finding.verdict == "ok"
    assert "None of the 2 concealed fixings" in finding.text


def test_a_screw_through_the_posts_face_is_seen(bench):
    nails, post = bench.model.fixings
    heads = post.heads.copy()
    heads[1] = (-40.0, 600.0, 50.0)
    ways = post.directions.copy()
    ways[1] = (0.0, 0.0, -1.0)
    model = replace(bench.model, fixings=(nails, replace(post, heads=heads, directions=ways)))
    (finding,) = check_concealed(model, bench.rules)
    assert finding.verdict == "fail"
    assert finding.where[:2] == (-40.0, 600.0)
    open_ = replace(model, fixings=(nails, replace(model.fixings[1], concealed=False)))
    assert list(check_concealed(open_, bench.rules)) == []


def test_without_boards_the_screws_show(bench):
    bare = bench.without(*(p.mark for p in bench.model.of_kind(Kind.BOARD)))
    found = list(check_concealed(bare, bench.rules))
    assert [f.verdict for f in found] == ["fail", "fail"]
    assert all(f.measured > 10 for f in found)


def test_lines_up_into_the_soffit_are_no_eyes(bench):
    """A head just under the soffit, in front of the boards' tops: seen from below, never from above."""
    lines = np.array([[0.0, 0.6, 0.8], [0.0, -0.6, 0.8], [0.0, 0.1, 0.995]])
    lines /= np.linalg.norm(lines, axis=1)[:, None]
    wall = bench.model.walls[0]
    found = _no_eye(np.array([(1200.0, 850.0, 0.0), (1200.0, -100.0, 0.0)]), lines, 50.0, wall)
    # 850: 37 up at the front, over 870; 5 up, under it. -100: the ground at -200 is 133 off: too near.
    assert found.tolist() == [[True, False, False], [False, True, False]]


def test_the_soffit_of_a_gable_follows_its_rake(bench):
    outline = np.array([(0.0, 0.0), (4000.0, 0.0), (4000.0, 2000.0), (2000.0, 3500.0), (0.0, 2000.0)])
    gable = replace(bench.model.walls[0], outline=outline, foot_points=2)
    at = _soffit(gable, np.array([-10.0, 0.0, 1000.0, 2000.0, 3000.0, 4100.0]))
    assert at.tolist() == [2000.0, 2000.0, 2750.0, 3500.0, 2750.0, 2000.0]
