from dataclasses import replace

from cladmodel.checks.concealed import check_concealed
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
