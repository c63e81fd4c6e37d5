"""The preview: steady, lit from the right side, nothing cropped, nothing black that is not black."""

import numpy as np
import pytest
from PIL import Image

from cladmodel.errors import OutputError
from cladmodel.model import Kind
from cladmodel.views import cameras
from cladmodel.views.cameras import Camera
from cladmodel.views.daylight import Daylight
from cladmodel.views.finishes import finish
from cladmodel.views.preview import preview, shoot, with_surroundings

from .conftest import SIZE, inner, luminance, pieces_seen


def boards_in(model):
    return [p.mark for p in model.of_kind(Kind.BOARD)]


def test_the_same_seed_draws_the_same_picture(tool_store, shots):
    again = shoot(tool_store.model, finish("bare"), size=SIZE)
    difference = np.abs(again.shown - shots("bare").shown).mean()
    assert difference < 0.5 / 255


def test_another_seed_deals_other_boards(shots):
    assert np.abs(shots("bare", seed=2).shown - shots("bare").shown).max() > 8 / 255


def test_the_sunny_side_is_brighter_than_the_shady_side(tool_store, shots):
    shot = shots("bare")
    seen = pieces_seen(shot)
    front = inner(np.isin(seen, boards_in(tool_store.model)))
    side = inner(np.char.startswith(seen, "~ra"))
    assert front.sum() > 200
    assert side.sum() > 100
    bright = luminance(shot.shown)
    assert bright[front].mean() > 1.25 * bright[side].mean()


def test_black_is_darker_than_oiled_is_darker_than_bare(tool_store, shots):
    front = inner(np.isin(pieces_seen(shots("bare")), boards_in(tool_store.model)))
    mean = {name: luminance(shots(name).shown)[front].mean() for name in ("black", "oiled", "bare")}
    assert mean["black"] < 0.6 * mean["oiled"]
    assert mean["oiled"] < 0.9 * mean["bare"]


def test_paint_keeps_the_hue_it_was_asked_for(tool_store, shots):
    front = inner(np.isin(pieces_seen(shots("bare")), boards_in(tool_store.model)))
    red = shots("#a04038").shown[front].mean(axis=0)
    assert red[0] > 1.6 * red[1]
    assert red[0] > 1.6 * red[2]


def test_there_is_a_shadow_under_each_butt(tool_store):
    model = tool_store.model
    size = (120, 160)
    wall = model.walls[0]
    x = np.array([700.0, 900.0])
    corners = np.array([[a, y, 0.0] for a in (600.0, 1000.0) for y in (260.0, 800.0)])
    camera = cameras.framing(corners, 0.0, 2500.0, 500.0, size)
    shot = shoot(model, finish("bare"), size=size, camera=camera, supersample=1)
    bright = luminance(shot.shown)
    seen = pieces_seen(shot)
    for butt in wall.rod[3:6]:
        # On the face of the course below: just under its butt, and well down in the open.
        under = np.array([[a, butt - 8.0, 22.0] for a in x])
        open_to_sun = np.array([[a, butt - 70.0, 26.0] for a in x])
        for dark, lit in zip(camera.project(under, size), camera.project(open_to_sun, size), strict=True):
            assert seen[int(lit[1]), int(lit[0])] in boards_in(model)
            assert bright[int(dark[1]), int(dark[0])] < 0.8 * bright[int(lit[1]), int(lit[0])]


@pytest.mark.parametrize("size", [(160, 100), (100, 160), (200, 60)], ids=["wide", "tall", "very wide"])
@pytest.mark.parametrize("side", ["left", "right"])
def test_nothing_is_cropped(tool_store, size, side):
    model = tool_store.model
    parts = with_surroundings(model)
    camera = cameras.three_quarter(model, parts, size, side=side).fitted(size)
    placed = camera.project(cameras.points_of(model, parts), size)
    assert placed.min() > 0
    assert (placed.max(axis=0) < size).all()


def test_uprights_stand_upright_and_the_horizon_is_under_the_eaves(tool_store):
    model = tool_store.model
    camera = cameras.three_quarter(model, with_surroundings(model), SIZE)
    post = np.array([[0.0, 0.0, 50.0], [0.0, 2400.0, 50.0]])
    placed = camera.project(post, SIZE)
    assert placed[0, 0] == pytest.approx(placed[1, 0], abs=1e-9)
    assert camera.eye[1] < model.walls[0].head


def test_rays_go_where_projection_says(tool_store):
    model = tool_store.model
    camera = cameras.three_quarter(model, with_surroundings(model), SIZE)
    points = np.array([[0.0, 0.0, 50.0], [5200.0, 2400.0, 0.0], [1000.0, 300.0, -4000.0]])
    placed = camera.project(points, SIZE).astype(np.float32)
    ways = camera.rays(placed[:, 0], placed[:, 1], SIZE)
    straight = points - camera.eye
    straight /= np.linalg.norm(straight, axis=1, keepdims=True)
    np.testing.assert_allclose(ways, straight, atol=2e-6)


def test_windows_are_not_black(tool_store, shots):
    shot = shots("black")
    pane = next(p for p in with_surroundings(tool_store.model) if p.material == "glass")
    placed = shot.camera.project(pane.vertices, SIZE)
    (left, top), (right, bottom) = placed.min(axis=0), placed.max(axis=0)
    part = luminance(shot.shown)[int(top) + 1 : int(bottom), int(left) + 1 : int(right)]
    assert part.mean() > 0.12
    assert part.std() > 0.01


def test_no_light_gets_into_a_wall_without_windows(bare_wall):
    from cladmodel.views.skylight import half_sphere
    from cladmodel.views.staging import Tracer, stage

    model = bare_wall.model
    parts = [p for p in with_surroundings(model) if p.section != "grass"]
    scene = stage(model, parts, model.fixings, 1, cameras.ground_level(model))
    tracer = Tracer(scene.corners, np.arange(len(scene.corners)))
    ways = half_sphere(4000)[:, [0, 2, 1]]
    wall = model.walls[0]
    inside = np.array([wall.length / 2, 900.0, -wall.depth_to_frame - wall.frame_depth - 400.0], np.float32)
    starts = np.broadcast_to(inside, ways.shape).astype(np.float32).copy()
    assert tracer.blocked(starts, np.ascontiguousarray(ways)).all()


def test_nail_heads_show_at_their_true_size(tool_store):
    model = tool_store.model
    size = (200, 200)
    nails = model.fixings[0]
    head = nails.heads[np.argmin(np.abs(nails.heads[:, 0] - 1200.0) + np.abs(nails.heads[:, 1] - 400.0))]
    around = head + np.array([[a, b, 0.0] for a in (-15.0, 15.0) for b in (-15.0, 15.0)])
    camera = cameras.framing(around, 0.0, 400.0, float(head[1]), size)
    seen = pieces_seen(shoot(model, finish("bare"), size=size, camera=camera, supersample=1))
    on_head = np.char.startswith(seen, nails.mark)
    per_mm = np.ptp(camera.project(around, size)[:, 0]) / 30.0
    radius = nails.fastener.head_diameter / 2 * per_mm
    assert on_head.sum() == pytest.approx(np.pi * radius**2, rel=0.12)


def test_the_caption_is_only_in_its_corner(tool_store, tmp_path):
    size = (320, 200)
    pictures = []
    for captioned in (True, False):
        file = preview(
            tool_store.model, "bare", tmp_path / "p.png", size=size, supersample=1, captioned=captioned
        )
        with Image.open(file) as image:
            pictures.append(np.asarray(image.convert("RGB"), float))
    changed = np.abs(pictures[0] - pictures[1]).max(axis=2) > 0
    assert changed.any()
    assert not changed[: int(0.85 * size[1])].any()


def test_a_camera_and_daylight_of_ones_own_are_taken(tool_store):
    low = Daylight(azimuth=-1.2, altitude=0.2)
    camera = Camera(eye=(2600.0, 1200.0, 6000.0), azimuth=np.pi, window=(-0.5, 0.5, -0.3, 0.3))
    shot = shoot(tool_store.model, finish("oiled"), size=SIZE, camera=camera, daylight=low, supersample=1)
    assert shot.camera.eye == camera.eye
    assert np.isfinite(shot.shown).all()


def test_a_folder_that_is_not_there_is_one_clear_message(tool_store, tmp_path):
    target = tmp_path / "nowhere" / "p.png"
    with pytest.raises(OutputError, match=r"p\.png: cannot be written: there is no folder .*; make it first"):
        preview(tool_store.model, "bare", target, size=(32, 20), supersample=1)
    assert not target.parent.exists()
