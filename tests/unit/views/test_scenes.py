"""Views by name and number, comparison, cut-out, cut-away and turn: each shows what it says."""

import io
from itertools import pairwise

import numpy as np
import pytest
from PIL import Image

from cladmodel.errors import OutputError
from cladmodel.model import Kind
from cladmodel.views import cameras, named
from cladmodel.views.colour import colour_of, light_of
from cladmodel.views.comparing import compare, laid_out
from cladmodel.views.cutaway import cut_place, cut_stretch, cutaway
from cladmodel.views.finishes import finish
from cladmodel.views.peel import kept_within
from cladmodel.views.preview import caption_of, preview, shoot, with_surroundings
from cladmodel.views.sun import daylight_in_words
from cladmodel.views.turntable import round_it, turntable
from cladmodel.views.wood_image import flat_colours, wood_image

from ...building import SCENES, build_file
from .conftest import SIZE, inner, luminance, pieces_seen
from .judging import difference, lab_of


@pytest.fixture(scope="module")
def seed_store():
    return build_file(SCENES / "seed-store.toml").model


@pytest.fixture(scope="module")
def everything(seed_store):
    return with_surroundings(seed_store)


def picture(file):
    with Image.open(file) as image:
        return np.asarray(image, float) / 255


def volume(part):
    a, b, c = (part.vertices[part.faces[:, k]] for k in range(3))
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6)


# Views


@pytest.mark.parametrize("kind", ["left", "right", "front"])
@pytest.mark.parametrize("wall", ["south", "east", "north", "west"])
def test_every_whole_view_shows_all_of_it_from_outside_its_wall(seed_store, everything, wall, kind):
    camera = named.camera_named(seed_store, everything, f"{wall} {kind}", SIZE).fitted(SIZE)
    placed = camera.project(cameras.points_of(seed_store, everything), SIZE)
    assert placed.min() >= 0
    assert (placed.max(axis=0) <= SIZE).all()
    frame = seed_store.wall_by_name[wall].frame
    assert (np.array(camera.eye) - frame[:3, 3]) @ frame[:3, 2] > 1000.0
    ends = [[0.0, 0.0, 0.0], [seed_store.wall_by_name[wall].length, 0.0, 0.0]]
    left, right = np.linalg.norm(seed_store.to_building(wall, np.array(ends)) - camera.eye, axis=1)
    if kind == "front":
        assert left == pytest.approx(right, rel=0.05)
    else:
        assert (left < right) == (kind == "left")


@pytest.mark.parametrize("wall", ["south", "west"])
def test_close_views_show_a_post_and_laps_without_a_door(seed_store, everything, wall):
    post = named.camera_named(seed_store, everything, f"{wall} post", SIZE).fitted(SIZE)
    corner = seed_store.to_building(wall, np.array([[-30.0, 1100.0, 20.0]]))
    assert (np.abs(post.project(corner, SIZE)[0] / SIZE - 0.5) < 0.4).all()
    lap = named.camera_named(seed_store, everything, f"{wall} lap", SIZE).fitted(SIZE)
    for opening in seed_store.wall_by_name[wall].openings:
        if opening.door:
            edges = [[opening.left, 300.0, 0.0], [opening.right, 300.0, 0.0]]
            x = lap.project(seed_store.to_building(wall, np.array(edges)), SIZE)[:, 0]
            assert x.max() < 0 or x.min() > SIZE[0]


def test_views_of_the_first_wall_need_no_name_and_others_are_said(seed_store, everything):
    short, full = (named.camera_named(seed_store, everything, n, SIZE) for n in ("left", "south left"))
    assert short == full
    assert len(named.names(seed_store)) == 4 * len(named.KINDS)
    for wrong in ("above", "south above", "attic left", ""):
        with pytest.raises(OutputError, match="south left"):
            named.camera_named(seed_store, everything, wrong, SIZE)


def test_a_camera_by_numbers_sees_what_it_was_turned_to(seed_store, everything):
    """Looking back along -z from 5 m out, 90 degrees wide: 5 m to either side are the picture's edges."""
    camera = named.camera_named(seed_store, everything, "1000, 1600, 5000, 180, 90", (1000, 500))
    places = camera.project(
        np.array([[1000, 1600, 0], [-4000, 1600, 0], [6000, 4100, 0]], float), (1000, 500)
    )
    assert places == pytest.approx(np.array([[500, 250], [0, 250], [1000, 0]], float), abs=1e-6)


@pytest.mark.parametrize("numbers", ["1,2,3", "a,b,c,d,e", "0,0,0,0,0", "0,0,0,0,150", "nan,0,0,0,60"])
def test_a_camera_that_cannot_be_is_refused(seed_store, everything, numbers):
    with pytest.raises(OutputError, match="view = "):
        named.camera_named(seed_store, everything, numbers, SIZE)


def test_a_camera_by_numbers_looks_where_it_is_told():
    camera = cameras.by_numbers((1000.0, 1600.0, 8000.0), (200.0, 900.0, -300.0), 40.0, SIZE)
    middle = camera.project(np.array([[200.0, 900.0, -300.0]]), SIZE)[0]
    assert middle == pytest.approx([SIZE[0] / 2, SIZE[1] / 2])
    left, right, bottom, top = camera.window
    assert np.degrees(2 * np.arctan((right - left) / 2)) == pytest.approx(40.0)
    assert (right - left) / (top - bottom) == pytest.approx(SIZE[0] / SIZE[1])
    plumb = camera.project(np.array([[0.0, 0.0, 0.0], [0.0, 2000.0, 0.0]]), SIZE)
    assert plumb[0, 0] == pytest.approx(plumb[1, 0])


@pytest.mark.parametrize(
    ("towards", "field"), [((0.0, 9000.0, 100.0), 40.0), ((0.0, 0.0, 0.0), 40.0), ((0.0, 0.0, 900.0), 170.0)]
)
def test_a_camera_that_cannot_be_is_said(towards, field):
    with pytest.raises(OutputError, match=r"camera|field"):
        cameras.by_numbers((0.0, 0.0, 0.0), towards, field, SIZE)


# Cut out, quick, dated


def test_without_a_background_only_the_building_is_left(tool_store, tmp_path):
    file = preview(tool_store.model, "bare", tmp_path / "c.png", size=SIZE, transparent=True)
    shown = picture(file)
    assert shown.shape == (SIZE[1], SIZE[0], 4)
    shot = shoot(tool_store.model, finish("bare"), size=SIZE)
    section = np.array([*shot.stage.section, "sky"])
    seen = section[np.where(shot.picture.triangle >= 0, shot.stage.piece[shot.picture.triangle], -1)]
    gone = np.isin(seen, ["grass", "bank", "sky"])
    assert shown[..., 3][gone].mean() < 0.05
    assert shown[..., 3][~gone].mean() > 0.95
    solid = shown[..., 3] == 1.0
    # What is left has the light it has on its lawn.
    assert np.abs(shown[..., :3] - shot.shown)[solid].mean() < 2 / 255


def test_a_quick_picture_is_nearly_the_same(tool_store, tmp_path, shots):
    quick = picture(
        preview(tool_store.model, "bare", tmp_path / "q.png", size=SIZE, quick=True, captioned=False)
    )
    assert np.abs(quick - shots("bare").shown).mean() < 6 / 255


def test_the_file_says_what_the_caption_says(tool_store, tmp_path):
    file = preview(
        tool_store.model,
        finish("bare", "spruce"),
        tmp_path / "d.png",
        size=(64, 40),
        quick=True,
        dated="3 May",
        captioned=False,
    )
    with Image.open(file) as image:
        assert image.info["Description"] == caption_of(finish("bare", "spruce"), "3 May")
    assert "Published fresh colour" in caption_of(finish("bare", "spruce"))
    assert "Illustrative" in caption_of(finish("oiled", "spruce"))
    assert caption_of(finish("bare"), "3 May").endswith("indicative.  3 May")


@pytest.mark.parametrize("words", ["#8d9c90", "lab(45, 30, 20)", "lab(35, -5, -25)"])
def test_a_painted_wall_has_the_colour_asked_for_against_a_white_one_in_the_same_neutral_light(
    tool_store, words
):
    model = tool_store.model
    light = daylight_in_words("overcast", model)
    lit = {
        name: shoot(model, finish(name, trims="#ffffff"), size=SIZE, daylight=light)
        for name in (words, "#ffffff")
    }
    boards = [p.mark for p in model.of_kind(Kind.BOARD)]
    front = inner(np.isin(pieces_seen(lit[words]), boards))
    share = lit[words].picture.light[front].sum(axis=0) / lit["#ffffff"].picture.light[front].sum(axis=0)
    assert difference(lab_of(share), lab_of(light_of(colour_of(words)))) < 6.0


# Several finishes


@pytest.mark.parametrize("count", range(2, 17))
def test_boxes_are_alike_and_keep_clear_of_each_other(count):
    boxes = laid_out(count, (1600, 1000), 18)
    assert len(boxes) == count
    assert len({box[2:] for box in boxes}) == 1
    for i, (x, y, w, h) in enumerate(boxes):
        assert 0 <= x < x + w <= 1600
        assert 0 <= y < y + h <= 1000 - 2 * 18
        for a, b, c, d in boxes[i + 1 :]:
            assert x + w < a or a + c < x or y + h + 18 < b or b + d + 18 < y


def test_each_finish_is_shown_in_its_own_box(tool_store, tmp_path):
    size = (480, 300)
    shown = picture(compare(tool_store.model, ["black", "#f4f4f0", "silver"], tmp_path / "c.png", size=size))
    assert shown.shape == (300, 480, 3)
    bright = []
    for left, top, wide, tall in laid_out(3, size, 9):
        middle = shown[
            top + int(0.55 * tall) : top + int(0.7 * tall), left + int(0.3 * wide) : left + int(0.5 * wide)
        ]
        bright.append(float(luminance(middle).mean()))
    assert bright[0] < 0.5 * bright[2] < bright[1]


def test_too_few_or_unknown_finishes_are_said(tool_store, tmp_path):
    with pytest.raises(OutputError, match="2 to 16"):
        compare(tool_store.model, ["bare"], tmp_path / "c.png")
    with pytest.raises(OutputError, match="tartan"):
        compare(tool_store.model, ["bare", "tartan"], tmp_path / "c.png")


# Cut away


def test_what_is_kept_of_a_piece_is_closed_and_within_limits(tool_store):
    board = max(tool_store.model.of_kind(Kind.BOARD), key=lambda p: np.ptp(p.vertices[:, 0]))
    low, high = board.vertices.min(axis=0), board.vertices.max(axis=0)
    middle = (low + high) / 2
    kept = kept_within(board, (low[0] + 100.0, low[1] - 1.0), (middle[0], middle[1]))
    assert kept.vertices[:, 0].min() == pytest.approx(low[0] + 100.0)
    assert kept.vertices[:, 0].max() == pytest.approx(middle[0])
    assert kept.vertices[:, 1].max() == pytest.approx(middle[1])
    assert 0 < volume(kept) < volume(board) / 2
    assert kept_within(board, (high[0] + 1.0, low[1]), (high[0] + 50.0, high[1])) is None
    assert kept_within(board, tuple(low[:2] - 1), tuple(high[:2] + 1)) is board


def test_every_layer_reaches_the_cut(tool_store):
    model = tool_store.model
    wall = model.walls[0]
    x = cut_place(model, wall)
    assert not any(o.left - 60.0 < x < o.right + 60.0 for o in wall.openings)
    stretch = cut_stretch(model, wall, (x - 700.0, -100.0), (x, 700.0))
    at_cut = {p.kind for p in stretch.parts if abs(p.vertices[:, 0].max() - x) < 1e-6}
    assert {
        Kind.BOARD,
        Kind.MEMBRANE,
        Kind.SHEATHING,
        Kind.STARTER,
        Kind.VENT_STRIP,
        Kind.SOLE_PLATE,
    } <= at_cut
    assert all(p.vertices[:, 0].min() > x - 701.0 for p in stretch.parts)
    heads = np.concatenate([f.heads for f in stretch.fixings])
    assert heads[:, 0].max() < x
    assert heads[:, 1].max() < 700.0
    assert any(p.kind is Kind.BATTEN for p in stretch.parts)


def test_a_wall_is_shown_cut_through(tool_store, tmp_path):
    file = cutaway(tool_store.model, tmp_path / "cut.png", size=(320, 200), supersample=1)
    shown = picture(file)
    paper = shown[100, 5]
    assert (np.abs(shown - paper).max(axis=2) > 0.1).mean() > 0.1
    assert np.abs(shown[60:, :6] - paper).max() < 0.05  # nothing is cropped
    through = cutaway(tool_store.model, tmp_path / "w.png", at=2500.0, span=(700.0, 2400.0), size=(320, 200))
    assert np.abs(picture(through) - shown).max() > 0.3


@pytest.mark.parametrize(
    "ask", [{"wall": "attic"}, {"at": 9e5}, {"span": (500.0, 510.0)}, {"span": (9000.0, 9900.0)}]
)
def test_a_cut_that_meets_nothing_is_said(tool_store, tmp_path, ask):
    with pytest.raises(OutputError, match=next(iter(ask))):
        cutaway(tool_store.model, tmp_path / "x.png", size=(64, 40), **ask)


# Turn


def test_the_turn_keeps_one_scale_and_shows_all_in_every_frame(seed_store, everything):
    points = cameras.points_of(seed_store, everything)
    walk = round_it(seed_store, points, 8, SIZE)
    assert len({camera.window for camera in walk}) == 1
    for camera in walk:
        placed = camera.project(points, SIZE)
        assert placed.min() >= 0
        assert (placed.max(axis=0) <= SIZE).all()
    turns = np.unwrap([camera.azimuth for camera in walk])
    assert [b - a for a, b in pairwise(turns)] == pytest.approx([np.pi / 4] * 7)


@pytest.mark.parametrize("suffix", ["gif", "webp"])
def test_a_turn_has_its_frames_and_repeats(tool_store, tmp_path, suffix):
    file = turntable(
        tool_store.model,
        "oiled",
        tmp_path / f"t.{suffix}",
        size=(64, 40),
        frames=4,
        seconds=2.0,
        supersample=1,
    )
    with Image.open(io.BytesIO(file.read_bytes())) as image:
        assert image.n_frames == 4
        assert image.info["loop"] == 0
        frames = []
        for k in range(4):
            image.seek(k)
            frames.append(np.asarray(image.convert("RGB"), float))
            if suffix == "gif":
                assert image.info["duration"] == 500
    assert all(np.abs(a - b).mean() > 3.0 for a, b in pairwise(frames))


def test_a_turn_of_another_kind_is_said(tool_store, tmp_path):
    with pytest.raises(OutputError, match=r"\.gif or \.webp"):
        turntable(tool_store.model, "bare", tmp_path / "t.avi")
    with pytest.raises(OutputError, match="frames"):
        turntable(tool_store.model, "bare", tmp_path / "t.gif", frames=1)


# For other formats


def test_images_of_the_timber_meet_themselves_and_carry_the_finish():
    oiled = finish("oiled", "larch")
    made = wood_image(oiled, "board", halved=2)
    with Image.open(io.BytesIO(made.image)) as image:
        face = np.asarray(image.convert("RGB"), float) / 255
    assert all(side.bit_count() == 1 for side in face.shape[:2])  # powers of two, for phones
    assert made.size_mm[0] / face.shape[1] == pytest.approx(made.size_mm[1] / face.shape[0], rel=0.51)
    assert np.abs(face[0] - face[-1]).mean() < 0.02
    inside = np.abs(np.diff(face, axis=1)).mean()
    assert np.abs(face[:, 0] - face[:, -1]).mean() < 3 * inside + 0.02
    assert face.mean(axis=(0, 1)) == pytest.approx(flat_colours(oiled)["board"], abs=0.03)
    with pytest.raises(KeyError):
        wood_image(oiled, "glass")


def test_flat_colours_are_those_of_the_finish():
    black, white = flat_colours(finish("black")), flat_colours(finish("#f4f4f0"))
    assert max(black["board"]) < 0.3 < min(white["board"])
    assert set(black) == set(white)
    assert all(0 <= value <= 1 for colour in black.values() for value in colour)
