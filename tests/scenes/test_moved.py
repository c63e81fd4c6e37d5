"""A piece moved on purpose is caught by the check whose business it is, and by no other."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from cladmodel.checks.finding import Verdict
from cladmodel.checks.run import run_checks
from cladmodel.model import Kind, Model, Part, Use

from ..building import Built, bad, build_text, failing

BOARDS = ["A01a", "A05a", "A05b", "A12b", "A15a", "A18a"]  # foot, run of two, beside and over the window, top


def part(model: Model, mark: str) -> Part:
    return next(p for p in model.parts if p.mark == mark)


def shifted(built: Built, mark: str, by: tuple[float, float, float]) -> Model:
    piece = part(built.model, mark)
    return built.model.replace_parts([piece.with_vertices(piece.vertices + np.array(by))])


def turned(built: Built, mark: str, degrees: float) -> Model:
    """Turn a board about its bottom back arris, its top outward for degrees above 0."""
    piece = part(built.model, mark)
    lowest = piece.vertices[np.argmin(piece.vertices[:, 1])]
    hinge = np.array([0.0, lowest[1], lowest[2]])
    sin, cos = np.sin(np.radians(degrees)), np.cos(np.radians(degrees))
    turn = np.array([[1, 0, 0], [0, cos, -sin], [0, sin, cos]])
    return built.model.replace_parts([piece.with_vertices((piece.vertices - hinge) @ turn.T + hinge)])


def caught(built: Built, model: Model) -> dict[str, set[str]]:
    """Which checks object, and to which marks."""
    found: dict[str, set[str]] = {}
    for finding in bad(run_checks(model, built.rules)):
        found.setdefault(finding.check, set()).add(finding.mark)
    return found


@pytest.mark.parametrize("mark", BOARDS)
def test_a_board_a_hundredth_of_a_millimetre_into_its_batten(tool_store, mark):
    assert caught(tool_store, shifted(tool_store, mark, (0, 0, -0.01))) == {"clashes": {mark}}


@pytest.mark.parametrize("mark", BOARDS)
def test_a_board_a_millimetre_down(tool_store, mark):
    assert caught(tool_store, shifted(tool_store, mark, (0, -1, 0))) == {"contact": {mark}}


@pytest.mark.parametrize("mark", ["A01a", "A07a", "A18a"])
def test_a_board_a_millimetre_down_where_a_course_is_one_board(bare_wall, mark):
    found = caught(bare_wall, shifted(bare_wall, mark, (0, -1, 0)))
    assert set(found) == {"contact"}
    assert mark in found["contact"]


@pytest.mark.parametrize("mark", BOARDS)
def test_a_board_a_millimetre_off_its_batten(tool_store, mark):
    found = caught(tool_store, shifted(tool_store, mark, (0, 0, 1)))
    assert set(found) == {"contact"}
    assert mark in found["contact"]


@pytest.mark.parametrize("degrees", [2, -2])
@pytest.mark.parametrize("mark", BOARDS)
def test_a_board_two_degrees_off(tool_store, mark, degrees):
    (finding,) = bad(run_checks(turned(tool_store, mark, degrees), tool_store.rules))
    assert (finding.check, finding.mark) == ("tilt", mark)
    assert finding.measured == pytest.approx(2.0, abs=0.01)
    assert finding.verdict is Verdict.FAIL


@pytest.mark.parametrize(
    ("by", "says"),
    [
        pytest.param((0, -40, 0), "also through", id="40 down: through the board below"),
        pytest.param((30, 0, 0), "misses the batten", id="30 aside: misses the batten"),
        pytest.param((0, 0, 5), "only 15.4 mm into", id="5 out: not deep enough"),
        pytest.param((0, 0, -3), "sunk into", id="3 in: crushes the board"),
        pytest.param((14, 0, 0), "from the side of batten", id="14 aside: too near the batten's edge"),
        pytest.param((0, -6, 0), "above the top of the board below", id="6 down: no room to swell"),
    ],
)
@pytest.mark.parametrize(("mark", "x"), [("A04a", 600.0), ("A15b", 4800.0)], ids=["A04a", "A15b"])
def test_a_moved_nail(tool_store, mark, x, by, says):
    """Nails on battens that stand alone: 30 aside of one there is no other."""
    (nails,) = tool_store.model.fixings_for(Use.BOARD)
    heads = nails.heads.copy()
    low = part(tool_store.model, mark).vertices[:, 1].min()
    near = np.flatnonzero((heads[:, 1] > low) & (heads[:, 1] < low + 130))
    heads[near[np.abs(heads[near, 0] - x).argmin()]] += by
    moved = replace(nails, heads=heads)
    model = replace(
        tool_store.model, fixings=tuple(moved if f is nails else f for f in tool_store.model.fixings)
    )
    findings = bad(run_checks(model, tool_store.rules))
    assert {f.check for f in findings} == {"nails"}
    assert any(says in f.text for f in findings), [f.text for f in findings]
    assert {f.mark for f in findings} == {mark}


def test_a_nail_left_out(tool_store):
    (nails,) = tool_store.model.fixings_for(Use.BOARD)
    fewer = replace(nails, heads=np.delete(nails.heads, 50, 0), directions=np.delete(nails.directions, 50, 0))
    model = replace(
        tool_store.model, fixings=tuple(fewer if f is nails else f for f in tool_store.model.fixings)
    )
    (finding,) = bad(run_checks(model, tool_store.rules))
    assert finding.check == "nails"
    assert "without a nail" in finding.text


def test_a_nail_left_out_where_battens_stand_close():
    """Close battens share a nail, but not more of them than one nail can hold."""
    built = build_text(
        'title = "Trial"\nwall = { length = 1500, height = 2400 }\n'
        "battens = { extra = [700, 790, 880, 970, 1060] }\n"
    )
    (nails,) = built.model.fixings_for(Use.BOARD)
    low = part(built.model, "A05a").vertices[:, 1].min()
    own = (nails.heads[:, 1] > low) & (nails.heads[:, 1] < low + 130)
    inside = np.flatnonzero(own & (nails.heads[:, 0] > 600) & (nails.heads[:, 0] < 1100))
    assert len(inside) >= 3
    left = np.delete(np.arange(len(nails.heads)), inside[len(inside) // 2])
    fewer = replace(nails, heads=nails.heads[left], directions=nails.directions[left])
    model = replace(built.model, fixings=tuple(fewer if f is nails else f for f in built.model.fixings))
    found = [f for f in run_checks(model, built.rules) if f.verdict is Verdict.FAIL]
    assert not failing(built.findings)
    assert [(f.check, f.mark) for f in found] == [("nails", "A05a")]
    assert "without a nail" in found[0].text


def test_a_post_pushed_in_until_the_noses_stand_proud(bare_wall):
    """20 in: the post then stands in the batten's corner too, so look at noses alone."""
    found = caught(bare_wall, shifted(bare_wall, "APL", (0, 0, -20)))
    assert "APL" not in found["noses"]
    assert len(found["noses"]) == len(bare_wall.boards())


def test_a_board_left_out_is_missed(tool_store):
    """The boards above and its neighbours bear on nothing there; the nails hold nothing."""
    model = replace(tool_store.model, parts=tuple(p for p in tool_store.model.parts if p.mark != "A05a"))
    assert "nails" in caught(tool_store, model)


def test_a_piece_of_timber_left_in_the_cavity(bare_wall):
    batten = next(p for p in bare_wall.model.of_kind(Kind.BATTEN) if p.mark == "AB03")
    x, y, z = batten.vertices.T
    # A short piece laid level from one batten to the next, as a stop to the air.
    wide = (
        next(p for p in bare_wall.model.of_kind(Kind.BATTEN) if p.mark == "AB04").vertices[:, 0].min()
        - x.max()
    )
    low = np.column_stack(
        [np.where(x > x.mean(), x.max() + wide, x.max()), np.where(y > y.mean(), 1250.0, 1200.0), z]
    )
    stop = replace(batten, mark="ABX", vertices=low)
    model = replace(bare_wall.model, parts=(*bare_wall.model.parts, stop))
    assert caught(bare_wall, model) == {"cavity": {"ABX"}}
