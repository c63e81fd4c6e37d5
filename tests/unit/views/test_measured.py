"""Boards coloured by a figure: colours, scale, worst board, and machines without OpenGL."""

import sys

import numpy as np
import pytest
from PIL import Image

from cladmodel.errors import OutputError, PictureError
from cladmodel.model import Kind
from cladmodel.views import flat
from cladmodel.views.flat import Piece, draw
from cladmodel.views.lettering import fits
from cladmodel.views.measured import NO_FIGURE, _ticks, measured, scale_of
from cladmodel.views.sheet import corners, elevations, laid_out

from ...building import SCENES, build_file

SIZE = (640, 400)


def square(left, low, side, depth, colour):
    corners = np.array([[0, 0, 0], [1, 0, 0], [1, 1, 0], [0, 1, 0]], float) * side
    faces = np.array([[0, 1, 2], [0, 2, 3]])
    return Piece(vertices=corners + np.array([left, low, depth]), faces=faces, colour=colour)


def drawn(model, figures, tmp_path, **more):
    given = {"title": "Lap", "unit": "mm", "limit": 30.0, "worse": "low", "size": SIZE, **more}
    file = measured(model, figures, path=tmp_path / "m.png", **given)
    with Image.open(file) as image:
        return np.asarray(image.convert("RGB"))


def count(picture, colour):
    return int((picture == np.array(colour, np.uint8)).all(axis=2).sum())


def test_pieces_are_drawn_where_they_stand_in_their_own_colours():
    far = square(10.0, -60.0, 50.0, 0.0, (200, 10, 30))
    near = square(40.0, -40.0, 30.0, 5.0, (10, 90, 220))
    shown, seen = draw([far, near], (100, 80), "#ffffff")
    assert shown[50, 20].tolist() == [200, 10, 30]
    assert seen[50, 20] == 0
    assert shown[25, 55].tolist() == [10, 90, 220]  # the nearer one hides the other
    assert seen[25, 55] == 1
    assert seen[5, 5] == -1
    assert shown[5, 5].tolist() == [255, 255, 255]
    assert (seen == 1).sum() == 30 * 30
    assert (seen == 0).sum() == 50 * 50 - 20 * 30


def test_a_wall_is_laid_out_to_one_scale_inside_its_room(tool_store):
    patches = elevations(tool_store.model, [tool_store.model.walls[0].name], lambda _: (0, 0, 0))
    placed, per_pixel = laid_out(patches, (600, 300), 10.0, 0.0)
    low, high = placed[0].span
    assert low[0] >= -1e-6
    assert high[0] <= 600 + 1e-6
    assert -300 <= low[1] < high[1] <= 1e-6
    whole = patches[0].span
    np.testing.assert_allclose((high - low) * per_pixel, whole[1] - whole[0])


def test_walls_of_a_building_neither_overlap_nor_leave_the_sheet():
    model = build_file(SCENES / "meeting-room.toml").model
    patches = elevations(model, [w.name for w in model.walls], lambda _: (0, 0, 0))
    placed, _ = laid_out(patches, (900, 500), 12.0, 16.0)
    spans = [patch.span for patch in placed]
    for i, (low, high) in enumerate(spans):
        assert low[0] >= -1e-6
        assert high[0] <= 900 + 1e-6
        assert low[1] >= -500 - 1e-6
        assert high[1] <= 1e-6
        for low_b, high_b in spans[i + 1 :]:
            assert (high[0] <= low_b[0] or high_b[0] <= low[0]) or (
                high[1] <= low_b[1] or high_b[1] <= low[1]
            )
    boards = {p.mark for p in model.of_kind(Kind.BOARD)}
    assert boards <= {mark for patch in placed for mark in patch.marks}
    assert boards <= {mark for patch in corners(model, lambda _: (0, 0, 0)) for mark in patch.marks}


@pytest.mark.parametrize("worse", ["low", "high"])
def test_colours_darken_the_whole_way_to_the_worst(worse):
    scale = scale_of([0.0, 10.0], 5.0, worse, "mm")
    values = np.linspace(scale.low, scale.high, 81)
    bright = [np.dot(scale.colour(v), (0.299, 0.587, 0.114)) for v in values]
    step = np.diff(bright) * (1 if worse == "low" else -1)
    assert step.min() >= -1.5  # rounding to whole screen values
    wrong = [scale.is_wrong(v) for v in values]
    red = [scale.colour(v)[0] > 1.5 * scale.colour(v)[2] and scale.colour(v)[1] < 100 for v in values]
    assert red == wrong
    assert not scale.is_wrong(5.0)


def test_the_scale_holds_every_value_and_the_limit():
    scale = scale_of([31.0, 33.0, float("inf")], 25.0, "low", "mm")
    assert scale.low < 25.0
    assert scale.high > 33.0
    assert scale.words(31.04) == "31.0"
    assert scale.words(float("inf")) == "no hold"
    even = scale_of([0.0, 0.0], 0.0, "high", "deg")
    assert even.low < even.high or even.low == 0.0 < even.high


@pytest.mark.parametrize("ends", [(0.0, 0.53), (19.4, 32.7), (-3.0, 1000.0)])
def test_ticks_are_few_and_inside(ends):
    ticks = _ticks(*ends)
    assert 3 <= len(ticks) <= 9
    assert all(ends[0] <= t <= ends[1] + 1e-9 for t in ticks)


def test_every_board_takes_its_colour_and_the_worst_its_own(tool_store, tmp_path):
    model = tool_store.model
    boards = model.of_kind(Kind.BOARD)
    figures = {p.mark: 40.0 for p in boards}
    worst = next(p.mark for p in boards if p.course == 8)
    figures[worst] = 12.0
    scale = scale_of(list(figures.values()), 30.0, "low", "mm")
    picture = drawn(model, figures, tmp_path)
    assert count(picture, scale.colour(40.0)) > 0.2 * picture.shape[0] * picture.shape[1]
    only = count(picture, scale.colour(12.0))
    assert only > 300
    sound = drawn(model, {**figures, worst: 39.0}, tmp_path)
    assert count(sound, scale.colour(12.0)) < 0.05 * only


def test_a_board_without_a_figure_stays_pale(tool_store, tmp_path):
    model = tool_store.model
    boards = model.of_kind(Kind.BOARD)
    some = {p.mark: 40.0 for p in boards if p.course != 1}
    pale = count(drawn(model, some, tmp_path), NO_FIGURE)
    assert pale > 1000
    assert count(drawn(model, {p.mark: 40.0 for p in boards}, tmp_path), NO_FIGURE) < 0.05 * pale


def test_a_building_can_be_shown_from_its_corners(tmp_path):
    model = build_file(SCENES / "seed-store.toml").model
    figures = {p.mark: 0.4 + 0.01 * (p.course or 0) for p in model.of_kind(Kind.BOARD)}
    about = {"title": "Use", "unit": "of what it holds", "limit": 1.0, "worse": "high"}
    one = drawn(model, figures, tmp_path, from_corners=True, **about)
    other = drawn(model, figures, tmp_path, wall="east", **about)
    assert one.shape == other.shape == (SIZE[1], SIZE[0], 3)
    assert (one != other).any()


def test_what_cannot_be_shown_is_said(tool_store, tmp_path):
    model = tool_store.model
    mark = model.of_kind(Kind.BOARD)[0].mark
    with pytest.raises(OutputError, match="no board has this figure"):
        drawn(model, {}, tmp_path)
    with pytest.raises(OutputError, match="Q99"):
        drawn(model, {mark: 1.0, "Q99": 1.0}, tmp_path)
    with pytest.raises(OutputError, match=model.walls[0].name):
        drawn(model, {mark: 1.0}, tmp_path, wall="nowhere")


def says_what_to_install(call):
    with pytest.raises(PictureError) as caught:
        call()
    message = str(caught.value)
    assert all(name in message for name in ("libgl1", "libegl1", "libgl1-mesa-dri"))
    assert "\n" not in message


@pytest.mark.parametrize("name", ["pyvista", "vtkmodules.vtkCommonCore"])
def test_without_the_libraries_it_says_what_to_install(name, monkeypatch):
    monkeypatch.setitem(sys.modules, name, None)
    says_what_to_install(lambda: draw([square(0, 0, 10, 0, (1, 2, 3))], (20, 20), "#ffffff"))


@pytest.fixture
def crashing_windows(monkeypatch):
    """A machine on which VTK's window ends the process, as it does where there is no OpenGL."""
    monkeypatch.setattr(flat, "TRIAL", "import os, signal; os.kill(os.getpid(), signal.SIGSEGV)")
    flat._can_draw.cache_clear()
    yield
    flat._can_draw.cache_clear()


@pytest.mark.usefixtures("crashing_windows")
def test_without_opengl_it_says_what_to_install_and_never_opens_a_window(monkeypatch):
    import pyvista

    def opened(**_):
        raise AssertionError("a window was opened")

    monkeypatch.setattr(pyvista, "Plotter", opened)
    says_what_to_install(lambda: draw([square(0, 0, 10, 0, (1, 2, 3))], (20, 20), "#ffffff"))


def test_a_render_that_fails_says_what_to_install(monkeypatch):
    import pyvista

    def fails(*_, **__):
        raise RuntimeError("no\ncontext")

    monkeypatch.setattr(pyvista.Plotter, "screenshot", fails)
    says_what_to_install(lambda: draw([square(0, 0, 10, 0, (1, 2, 3))], (20, 20), "#ffffff"))


def test_words_are_put_where_they_fit():
    area = np.zeros((40, 100), bool)
    area[10:20, 5:95] = True
    x, y = fits(area, (30, 8))
    assert 5 + 15 <= x <= 95 - 15
    assert 14 <= y <= 16
    assert fits(area, (30, 12)) is None
