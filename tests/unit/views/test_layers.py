"""The wall peeled back: clean cuts, true sizes, labels that keep clear of each other."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from cladmodel.errors import OutputError
from cladmodel.model import Kind
from cladmodel.views import on_paper as module
from cladmodel.views.labels import Label, stair
from cladmodel.views.layers import layers, steps_of
from cladmodel.views.peel import STOPS, cut_right_of, peel

from .judging import clashes


def volume(part):
    a, b, c = (part.vertices[part.faces[:, k]] for k in range(3))
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)


def is_closed(part):
    edges = np.concatenate([part.faces[:, [0, 1]], part.faces[:, [1, 2]], part.faces[:, [2, 0]]])
    ahead = {tuple(e) for e in edges.tolist()}
    return len(ahead) == len(edges) and all((b, a) in ahead for a, b in ahead)


def test_a_cut_piece_is_closed_and_keeps_its_share(tool_store):
    board = max(tool_store.model.of_kind(Kind.BOARD), key=lambda p: np.ptp(p.vertices[:, 0]))
    low, high = board.vertices[:, 0].min(), board.vertices[:, 0].max()
    at = low + 0.3 * (high - low)
    cut = cut_right_of(board, at)
    assert is_closed(cut)
    assert cut.vertices[:, 0].max() == pytest.approx(at, abs=1e-6)
    assert 0 < volume(cut) < volume(board)
    assert cut.mark == board.mark
    assert cut.course == board.course


def test_each_layer_is_cut_further_back_than_the_one_behind_it(tool_store):
    model = tool_store.model
    peeled = peel(model, model.walls[0])

    def reach(*kinds):
        return max(p.vertices[:, 0].max() for p in peeled.parts if p.kind in kinds)

    order = [
        reach(Kind.BOARD),
        reach(Kind.BATTEN),
        reach(Kind.MEMBRANE),
        reach(Kind.SHEATHING),
        reach(Kind.STUD),
    ]
    assert order == sorted(order)
    assert all(b - a > 100 for a, b in pairwise(order))
    assert reach(Kind.MEMBRANE) == pytest.approx(STOPS[Kind.MEMBRANE] * model.walls[0].length, abs=1e-6)
    assert sum(p.kind is Kind.POST for p in peeled.parts) == 1


def test_courses_step_back_from_foot_to_head_and_keep_their_nails(tool_store):
    model = tool_store.model
    peeled = peel(model, model.walls[0])
    ends = {}
    for part in peeled.parts:
        if part.kind is Kind.BOARD:
            ends[part.course] = max(ends.get(part.course, 0.0), part.vertices[:, 0].max())
    reach = [ends[course] for course in sorted(ends)]
    assert reach[0] - reach[-1] > 0.2 * model.walls[0].length
    nails = [f for f in peeled.fixings if not f.concealed and len(f.heads)]
    assert max(f.heads[:, 0].max() for f in nails) < reach[0]


def test_labels_carry_sizes_read_off_the_pieces(tool_store):
    model = tool_store.model
    wall = model.walls[0]
    words = " | ".join(step.words for step in steps_of(model, wall, peel(model, wall)))
    batten = model.of_kind(Kind.BATTEN)[0]
    wide, deep = np.ptp(batten.vertices[:, 0]), np.ptp(batten.vertices[:, 2])
    assert f"Battens {wide:.0f} x {deep:.0f}" in words
    courses = len({p.course for p in model.of_kind(Kind.BOARD)})
    assert f"{courses} courses" in words
    sheet = model.of_kind(Kind.SHEATHING)[0]
    assert f"Sheathing {np.ptp(sheet.vertices[:, 2]):.0f} thick" in words


def test_a_wall_without_openings_has_no_label_for_trims(bare_wall):
    model = bare_wall.model
    wall = model.walls[0]
    steps = steps_of(model, wall, peel(model, wall))
    assert not any("Trims" in step.words for step in steps)
    assert any("Feather-edge boards" in step.words for step in steps)


@pytest.mark.parametrize("name", ["tool_store", "bare_wall"])
def test_every_step_gets_its_label_and_none_overlap(name, request, tmp_path, monkeypatch):
    model = request.getfixturevalue(name).model
    placed = []
    original = module.place_labels

    def keep(*args):
        found = original(*args)
        placed.extend(found)
        return found

    monkeypatch.setattr(module, "place_labels", keep)
    size = (640, 400)
    file = layers(model, tmp_path / "layers.png", size=size, supersample=1)
    with Image.open(file) as image:
        assert image.size == size
    wall = model.walls[0]
    assert sum(len(group) for group in placed) == len(steps_of(model, wall, peel(model, wall)))
    for group in placed:
        assert clashes(group) == []
        for one in group:
            assert one.box[0] >= 0
            assert one.box[2] <= size[0]
            assert one.box[1] >= 0
            assert one.box[3] <= size[1]


@given(st.lists(st.floats(40, 600), min_size=1, max_size=7), st.booleans())
def test_stairs_of_short_labels_never_clash(places, above):
    y = 300.0 if above else 100.0
    labels = [Label(words=f"{k} batten", at=(x, y)) for k, x in enumerate(places)]
    edge = 10.0 if above else 390.0
    placed = stair(labels, edge=edge, above=above, size=12, width=1000)
    assert clashes(placed) == []
    assert {p.label.words for p in placed} == {one.words for one in labels}


def test_an_unknown_wall_says_which_there_are(tool_store, tmp_path):
    with pytest.raises(OutputError, match=tool_store.model.walls[0].name):
        layers(tool_store.model, tmp_path / "x.png", wall="nowhere")
