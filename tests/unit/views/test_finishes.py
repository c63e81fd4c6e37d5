"""Finishes, grain and maps."""

import numpy as np
import pytest

from cladmodel.errors import OutputError
from cladmodel.views import grain, tiles
from cladmodel.views.coats import BARE, SILVER, painted_coat
from cladmodel.views.colour import colour_of, encode, hex_of, light_of, light_of_lab
from cladmodel.views.finishes import FINISHES, finish
from cladmodel.views.textures import STEEPEST, coarser, coat_strip, ripmap, wood_ripmap
from cladmodel.views.timbers import TIMBERS

from .judging import difference, lab_of


@pytest.fixture(scope="module")
def small():
    return grain.make_masks(5, strips=3, length=512)


def test_every_finish_is_found_by_its_name():
    for name, one in FINISHES.items():
        assert finish(name) is one
        assert one.name == name


def test_an_unknown_finish_says_what_there_is():
    with pytest.raises(OutputError, match="bare, treated"):
        finish("tartan")


@pytest.mark.parametrize("colour", ["#000000", "#8d9c90", "#ffffff", "#0a80f3"])
def test_screen_colours_survive_the_way_to_light_and_back(colour):
    assert hex_of(light_of(colour)) == colour


def test_encoding_rises_and_stays_in_range():
    light = np.linspace(-0.5, 2.0, 101, dtype=np.float32)
    shown = encode(light)
    assert shown.min() >= 0
    assert shown.max() <= 1
    assert (np.diff(shown) >= 0).all()


def test_grain_is_the_same_for_the_same_seed_and_runs_along_the_board(small):
    again = grain.make_masks(5, strips=3, length=512)
    np.testing.assert_array_equal(small.rings, again.rings)
    other = grain.make_masks(6, strips=3, length=512)
    assert (small.rings != other.rings).mean() > 0.3
    rings = small.rings.astype(float)
    across, along = np.abs(np.diff(rings, axis=1)).mean(), np.abs(np.diff(rings, axis=2)).mean()
    assert across > 2.5 * along


def test_strips_repeat_along_without_a_seam(small):
    rings = small.rings.astype(float)
    seam = np.abs(rings[:, :, 0] - rings[:, :, -1]).mean()
    assert seam < 3 * np.abs(np.diff(rings, axis=2)).mean()


def test_boards_have_knots(small):
    many = grain.make_masks(7, strips=6, length=1024)
    assert (many.knots > 200).any()
    assert (many.knots > 200).mean() < 0.02


def test_paint_takes_its_colour_and_hides_most_of_the_grain(small):
    bare = coat_strip(small, 0, BARE)[:3]
    paint = coat_strip(small, 0, painted_coat("#8d9c90"))[:3]
    asked = light_of("#8d9c90")
    np.testing.assert_allclose(paint.mean(axis=(1, 2)), asked, rtol=0.06)
    assert (paint.std(axis=(1, 2)) < 0.35 * bare.std(axis=(1, 2))).all()


def test_averages_are_kept_at_every_halving(small):
    maps = wood_ripmap(small, [(BARE, 0)])
    rng = np.random.default_rng(0)
    n = 4000
    place = rng.uniform(0, 512, n).astype(np.float32), rng.uniform(20, 236, n).astype(np.float32)
    index = np.zeros(n, int)
    means, spreads = [], []
    for size in (1.0, 4.0, 32.0):
        pixel = np.full(n, size, np.float32)
        value = maps.sample(index, *place, pixel, pixel, np.zeros(n, np.float32))
        means.append(value[:, :3].mean(axis=0))
        spreads.append(value[:, 1].std())
        assert np.abs(value[:, 3]).max() <= STEEPEST
    np.testing.assert_allclose(means[1], means[0], rtol=0.03)
    np.testing.assert_allclose(means[2], means[0], rtol=0.05)
    # What is too fine for a pixel is averaged away, so it cannot turn into moire.
    assert spreads[2] < 0.6 * spreads[0]


def test_a_texel_is_found_where_it_was_painted():
    paint = np.zeros((4, 64, 64), np.float32)
    paint[0, 10, 20] = 1.0
    maps = ripmap(lambda _: paint, 1, (64, 64), [2.0], wrap=True)
    one = np.ones(1, np.float32)

    def red(along, across):
        place = np.array([along], np.float32), np.array([across], np.float32)
        return maps.sample(np.zeros(1, int), *place, one, one, 0 * one)[0, 0]

    assert red(20.5 * 2.0, 10.5 * 2.0) == pytest.approx(1.0, abs=0.01)
    assert red((20.5 + 64) * 2.0, (10.5 - 64) * 2.0) == pytest.approx(1.0, abs=0.01)
    assert red(23.5 * 2.0, 10.5 * 2.0) == pytest.approx(0.0, abs=0.01)


def test_coarser_masks_keep_their_averages(small):
    half = coarser(small)
    assert half.rings.shape == (3, grain.WIDTH // 2, 256)
    assert half.rings.mean() == pytest.approx(small.rings.mean(), abs=1.0)


@pytest.mark.parametrize("tile", range(tiles.COUNT))
def test_tiles_repeat_without_a_seam_and_stay_in_range(tile):
    light = tiles.paint(tile)[:3]
    assert light.min() >= 0
    assert light.max() < 1
    for axis in (1, 2):
        # No line across the tile stands out more at its edge than somewhere within.
        steps = np.abs(np.diff(light, axis=axis)).mean(axis=(0, 3 - axis))
        edge = np.abs(np.take(light, 0, axis) - np.take(light, -1, axis)).mean()
        assert edge < 1.5 * steps.max()


def test_tiles_come_back_from_the_cache_as_they_were_painted(monkeypatch):
    made = tiles.tile_of.__wrapped__(tiles.CONCRETE)
    np.testing.assert_allclose(made[:3], tiles.paint(tiles.CONCRETE)[:3], atol=0.005)
    monkeypatch.setattr(tiles, "paint", None)
    np.testing.assert_array_equal(tiles.tile_of.__wrapped__(tiles.CONCRETE), made)


def test_a_damaged_cache_is_made_again(tmp_path, monkeypatch, small):
    file = tmp_path / "grain.npz"
    file.write_bytes(b"not a cache")
    monkeypatch.setattr(grain, "_cache_file", lambda seed: file)
    monkeypatch.setattr(grain, "make_masks", lambda seed: small)
    assert grain.masks.__wrapped__(5) is small
    assert grain._read(file) is None  # kept, but of another shape than a full set: never trusted


def test_a_cache_that_cannot_be_written_is_done_without(tmp_path, monkeypatch, small):
    blocker = tmp_path / "file"
    blocker.write_text("in the way")
    monkeypatch.setattr(grain, "_cache_file", lambda seed: blocker / "deeper" / "grain.npz")
    monkeypatch.setattr(grain, "make_masks", lambda seed: small)
    assert grain.masks.__wrapped__(5) is small


def test_a_full_set_comes_back_from_the_cache_as_it_was(tmp_path, monkeypatch, small):
    shape = small.rings.shape
    monkeypatch.setattr(grain, "STRIPS", shape[0])
    monkeypatch.setattr(grain, "LENGTH", shape[2])
    grain._write(tmp_path / "deep" / "grain.npz", small)
    back = grain._read(tmp_path / "deep" / "grain.npz")
    np.testing.assert_array_equal(back.knots, small.knots)
    assert [f.name for f in (tmp_path / "deep").iterdir()] == ["grain.npz"]


def face(coat, masks):
    """Average L*a*b* over faces in a coat."""
    means = [coat_strip(masks, k, coat)[:3].mean(axis=(1, 2)) for k in range(len(masks.rings))]
    return lab_of(np.mean(means, axis=0))


@pytest.fixture(scope="module")
def logs():
    return grain.make_masks(11, strips=8, length=1024)


def test_lab_and_light_are_each_other_s_inverse():
    rng = np.random.default_rng(3)
    light = rng.random((50, 3))
    for value in light:
        np.testing.assert_allclose(light_of_lab(*lab_of(value)), value, atol=1e-9)
    np.testing.assert_allclose(lab_of(np.ones(3)), [100.0, 0.0, 0.0], atol=0.02)


@pytest.mark.parametrize(
    ("name", "published"), [("spruce", (80.08, 7.55, 21.56)), ("fir", (80.46, 6.84, 18.90))]
)
def test_a_face_has_the_published_colour(name, published, logs):
    # woodresearch.sk, colour change: mean of fresh boards; spread of its own boards is 3.7 in L*.
    assert difference(face(TIMBERS[name].coat, logs), published) < 1.5
    assert "Published" in finish("bare", name).standing


def test_spruce_has_the_screen_colour_reckoned_for_it():
    light = light_of_lab(80.08, 7.55, 21.56).astype(np.float32)  # own arithmetic, D65: (227, 193, 159)
    assert hex_of(light) == "#e3c19f"


@pytest.mark.parametrize("words", ["#4b6a5f", "lab(62, -6, 5)", "lab(35, 30, 20)"])
def test_a_painted_face_is_near_the_colour_asked_for(words, logs):
    coat = finish(words).board
    assert difference(face(coat, logs), lab_of(light_of(colour_of(words)))) < 2.5


@pytest.mark.parametrize(
    "words", ["#12345", "lab(62, -6)", "lab(50, 127, -128)", "lab(120, 0, 0)", "lab(a, b, c)"]
)
def test_what_is_no_colour_is_said(words):
    with pytest.raises(OutputError, match="colour"):
        finish(words)


def test_timbers_differ_and_show_through_oil_more_than_through_black(logs):
    bare = {name: face(finish("bare", name).board, logs) for name in TIMBERS}
    names = list(TIMBERS)
    for i, one in enumerate(names):
        for other in names[i + 1 :]:
            assert difference(bare[one], bare[other]) > 1.0, (one, other)
    for a, b in (("spruce", "larch"), ("oak", "cedar")):
        oiled = difference(*(face(finish("oiled", t).board, logs) for t in (a, b)))
        black = difference(*(face(finish("black", t).board, logs) for t in (a, b)))
        assert oiled > 3 * black


def test_weathering_goes_from_fresh_to_silver_and_larch_is_slower_than_spruce(logs):
    ages = (0.0, 2.0, 6.0, 18.0, 120.0)
    for name in ("spruce", "larch"):
        fresh, silver = face(TIMBERS[name].coat, logs), face(finish("silver", name).board, logs)
        left = [difference(face(finish("silver", name, months=m).board, logs), silver) for m in ages]
        assert left[0] == pytest.approx(difference(fresh, silver), abs=0.5)
        assert left == sorted(left, reverse=True)
        assert left[-1] < 1.0
        assert left[0] - left[1] > 3.0  # to be seen within two months

    def colour_left(name):
        start, now = (np.hypot(*face(finish("silver", name, months=m).board, logs)[1:]) for m in (0.0, 18.0))
        return now / start

    assert colour_left("spruce") < colour_left("larch")


def test_softwood_keeps_the_finishes_as_they_are():
    for name, one in FINISHES.items():
        assert finish(name, "softwood") is one
    assert finish("silver").board is SILVER
    assert not finish("bare").source


def test_trims_can_have_their_own_finish():
    made = finish("oiled", "larch", trims="#ffffff")
    assert made.trim.early == made.post.early == "#ffffff"
    assert made.board == finish("oiled", "larch").board
    assert finish("bare", trims="black").post == FINISHES["black"].post
    assert made.title == "Oiled larch"


def test_ages_and_timbers_that_mean_nothing_are_said():
    with pytest.raises(OutputError, match="softwood, spruce"):
        finish("bare", "teak")
    with pytest.raises(OutputError, match="silver"):
        finish("oiled", months=3.0)
    with pytest.raises(OutputError, match="silver"):
        finish("silver", months=-3.0)
    assert finish("silver", "larch", months=8.0).title == "Weathered larch, 8 months"
