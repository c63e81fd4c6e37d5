"""Sun, sky, skylight and tone."""

from datetime import date, datetime

import numpy as np
import pytest

from cladmodel.errors import OutputError
from cladmodel.views.backdrop import backdrop
from cladmodel.views.daylight import Daylight, clear_sky, sun_vector
from cladmodel.views.skylight import frames, half_sphere, smooth
from cladmodel.views.staging import Tracer
from cladmodel.views.sun import (
    WORDS,
    Place,
    air_mass,
    clear_daylight,
    daylight_at,
    daylight_in_words,
    moment,
    sun_position,
)
from cladmodel.views.tone import KNEE, develop, undevelop


def test_the_sun_stands_where_it_was_put():
    np.testing.assert_allclose(sun_vector(0.0, np.pi / 2), [0, 1, 0], atol=1e-7)
    np.testing.assert_allclose(sun_vector(np.pi / 2, 0.0), [1, 0, 0], atol=1e-7)
    assert np.linalg.norm(Daylight(azimuth=0.3, altitude=0.7).direction) == pytest.approx(1, abs=1e-6)


def test_the_sky_is_brighter_near_the_horizon_and_near_the_sun():
    light = Daylight()
    up = np.array([[0, 1, 0]], np.float32)
    level = np.array([[-light.direction[0], 0.02, -light.direction[2]]], np.float32)
    level /= np.linalg.norm(level)
    zenith, horizon, sun = (clear_sky(d, light).sum() for d in (up, level, light.direction[None]))
    assert zenith < horizon < sun


def test_the_backdrop_is_finite_everywhere_and_steady():
    rng = np.random.default_rng(0)
    ways = rng.normal(size=(5000, 3)).astype(np.float32)
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    first = backdrop(Daylight(), 1).radiance(ways)
    assert np.isfinite(first).all()
    assert first.min() > 0
    np.testing.assert_array_equal(first, backdrop(Daylight(), 1).radiance(ways))


def test_gathering_rays_fall_as_on_a_matt_surface():
    ways = half_sphere(256)
    np.testing.assert_allclose(np.linalg.norm(ways, axis=1), 1, atol=1e-6)
    np.testing.assert_allclose(ways[:, :2].mean(axis=0), 0, atol=0.01)
    # Cosine-weighted: the mean of the third component is 2/3 (own derivation).
    assert ways[:, 2].mean() == pytest.approx(2 / 3, abs=0.005)
    for start in range(16):  # what one pixel sends covers the half-sphere too
        assert ways[start::16, 2].mean() == pytest.approx(2 / 3, abs=0.05)


def test_frames_are_square():
    normal = np.random.default_rng(1).normal(size=(50, 3)).astype(np.float32)
    normal /= np.linalg.norm(normal, axis=1, keepdims=True)
    made = frames(normal)
    np.testing.assert_allclose(made @ made.transpose(0, 2, 1), np.tile(np.eye(3), (50, 1, 1)), atol=1e-5)
    np.testing.assert_allclose(made[:, 2], normal)


def test_smoothing_keeps_to_one_plane_and_keeps_the_average():
    planes = np.zeros((12, 16), int)
    planes[:, 8:] = 1
    field = np.zeros((12, 16, 4), np.float32)
    field[:, 8:] = 5.0
    out = smooth(field.reshape(-1, 4), planes.ravel(), (16, 12), np.ones(192, np.float32))[0].reshape(
        12, 16, 4
    )
    np.testing.assert_allclose(out, field)
    noise = np.random.default_rng(2).random((12, 16, 4)).astype(np.float32)
    calm, _ = smooth(noise.reshape(-1, 4), np.zeros(192, int), (16, 12), np.ones(192, np.float32))
    assert calm.std() < 0.4 * noise.std()
    assert calm.mean() == pytest.approx(noise.mean(), abs=0.03)


def test_a_pattern_of_four_by_four_is_averaged_away():
    block = np.arange(16, dtype=np.float32).reshape(4, 4)
    field = np.repeat(np.tile(block, (6, 6))[..., None], 4, axis=2)
    known = np.ones(24 * 24, np.float32)
    out = smooth(field.reshape(-1, 4), np.zeros(24 * 24, int), (24, 24), known)[0].reshape(24, 24, 4)
    np.testing.assert_allclose(out[8:16, 8:16], 7.5, atol=1e-4)


def test_light_gathered_at_every_other_pixel_reaches_all_of_its_plane_and_no_other():
    planes = np.zeros((12, 16), int)
    planes[:, 9:] = 1
    planes[5, 5] = 2  # too small to have any of its own
    known = np.zeros((12, 16), np.float32)
    known[::2, ::2] = 1.0
    field = np.where(planes[..., None] == 1, 5.0, 1.0) * known[..., None] * np.ones(4)
    light, found = smooth(field.reshape(-1, 4).astype(np.float32), planes.ravel(), (16, 12), known.ravel())
    light, found = light.reshape(12, 16, 4), found.reshape(12, 16)
    assert found[5, 5] == 0
    assert (found[planes < 2] == 1).all()
    np.testing.assert_allclose(light[planes == 0], 1.0)
    np.testing.assert_allclose(light[planes == 1], 5.0)


def test_a_ray_finds_the_nearer_of_two_squares():
    square = np.array([[[0, 0, 0], [1, 0, 0], [1, 1, 0]], [[0, 0, 0], [1, 1, 0], [0, 1, 0]]], np.float32)
    both = np.concatenate([square, square + np.float32([0, 0, 2])])
    tracer = Tracer(both, np.array([10, 11, 20, 21]))
    start = np.array([[0.5, 0.4, 5.0], [3.0, 3.0, 5.0]], np.float32)
    down = np.array([[0, 0, -1], [0, 0, -1]], np.float32)
    met, far = tracer.first(start, down)
    assert met.tolist() == [20, -1]
    assert far[0] == pytest.approx(3.0)
    assert tracer.blocked(start, down).tolist() == [True, False]


def test_tone_is_true_below_the_knee_and_never_burns_out():
    low = np.linspace(0, KNEE, 20, dtype=np.float32)
    np.testing.assert_allclose(develop(low, 1.0), low, atol=1e-6)
    high = develop(np.linspace(0, 50, 500, dtype=np.float32), 1.0)
    assert (np.diff(high) >= 0).all()
    assert high.max() <= 1.0
    for value in (0.2, KNEE, 0.9):
        back = develop(np.array([undevelop(value, 0.8)], np.float32), 0.8)
        assert back[0] == pytest.approx(value, abs=1e-5)


HERE = Place(latitude=52.0, longitude=0.0)


@pytest.mark.parametrize(
    ("hour", "side"),
    [
        pytest.param(7.0, (1, 0), id="in the east"),
        pytest.param(12.0, (0, 1), id="in the south"),
        pytest.param(17.5, (-1, 0), id="in the west"),
    ],
)
def test_the_sun_goes_round_a_plan_drawn_true(hour, side):
    light = daylight_at(HERE, moment(date(2024, 6, 21), hour, HERE))
    x, _, z = light.direction
    level = np.hypot(x, z)
    assert (x / level, z / level) == pytest.approx(side, abs=0.35)


def test_a_wall_that_faces_west_has_the_evening_sun_before_it():
    light = daylight_at(HERE, moment(date(2024, 6, 21), 17.5, HERE), faces=270.0)
    assert light.direction[2] > 0.7


def test_the_noon_sun_is_as_high_as_latitude_and_season_say():
    noon = moment(date(2024, 6, 20), 12.0 + 1.7 / 60, HERE)  # the sun is 1.7 min late then
    _, altitude = sun_position(HERE, noon, refraction=False)
    assert altitude == pytest.approx(90.0 - 52.0 + 23.44, abs=0.05)


def test_a_lower_sun_is_weaker_warmer_and_drawn_with_a_longer_exposure():
    high, low = (clear_daylight(0.0, float(np.radians(a))) for a in (50.0, 8.0))
    assert sum(low.sun) < 0.6 * sum(high.sun)
    assert low.sun[0] / low.sun[2] > 1.4 * high.sun[0] / high.sun[2]
    assert low.exposure > 1.1 * high.exposure
    assert low.low > 0.5
    assert high.low == 0.0
    usual = clear_daylight(0.0, Daylight().altitude)
    assert usual.sun == pytest.approx(Daylight().sun)
    assert usual.exposure == pytest.approx(1.0)


def test_air_mass_grows_towards_the_horizon():
    assert air_mass(np.pi / 2) == pytest.approx(1.0, abs=0.001)
    assert air_mass(0.0) == pytest.approx(38.0, abs=0.5)  # Kasten and Young 1989: about 38, from memory


def test_a_covered_sky_has_no_sun_and_no_blue():
    ways = np.array([[0.0, 0.2, -1.0], [0.3, 0.9, 0.1]], np.float32)
    ways /= np.linalg.norm(ways, axis=1, keepdims=True)
    grey = clear_sky(ways, Daylight(overcast=1.0, sun=(0.0, 0.0, 0.0)))
    assert (grey.max(axis=1) < 1.15 * grey.min(axis=1)).all()
    assert grey[1].sum() > 1.3 * grey[0].sum()  # brighter overhead


@pytest.mark.parametrize("word", WORDS)
def test_every_word_gives_light_from_before_the_first_wall(word, tool_store):
    light = daylight_in_words(word, tool_store.model)
    assert light.direction @ tool_store.model.walls[0].frame[:3, 2] > 0.3
    assert light.altitude > 0
    assert (sum(light.sun) == 0) == (word == "overcast")


def test_what_makes_no_daylight_is_said(tool_store):
    with pytest.raises(OutputError, match="low evening"):
        daylight_in_words("dusk", tool_store.model)
    with pytest.raises(OutputError, match="too low"):
        daylight_at(HERE, moment(date(2024, 12, 21), 22.0, HERE))
    with pytest.raises(OutputError, match="UTC"):
        sun_position(HERE, datetime(2024, 6, 21, 12))
    with pytest.raises(OutputError, match="hour"):
        moment(date(2024, 6, 21), 25.0, HERE)
    with pytest.raises(OutputError, match="UTC"):
        moment(date(2024, 6, 21), 12.0, HERE, ahead=20.0)
    with pytest.raises(OutputError, match="latitude"):
        Place(latitude=120.0, longitude=0.0)
    with pytest.raises(OutputError, match="longitude"):
        Place(latitude=0.0, longitude=200.0)
