"""Sun, sky, skylight and tone."""

import numpy as np
import pytest

from cladmodel.views.backdrop import backdrop
from cladmodel.views.daylight import Daylight, clear_sky, sun_vector
from cladmodel.views.skylight import frames, half_sphere, smooth
from cladmodel.views.staging import Tracer
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
    out = smooth(field.reshape(-1, 4), planes.ravel(), (16, 12)).reshape(12, 16, 4)
    np.testing.assert_allclose(out, field)
    noise = np.random.default_rng(2).random((12, 16, 4)).astype(np.float32)
    calm = smooth(noise.reshape(-1, 4), np.zeros(192, int), (16, 12))
    assert calm.std() < 0.4 * noise.std()
    assert calm.mean() == pytest.approx(noise.mean(), abs=0.03)


def test_a_pattern_of_four_by_four_is_averaged_away():
    block = np.arange(16, dtype=np.float32).reshape(4, 4)
    field = np.repeat(np.tile(block, (6, 6))[..., None], 4, axis=2)
    out = smooth(field.reshape(-1, 4), np.zeros(24 * 24, int), (24, 24)).reshape(24, 24, 4)
    np.testing.assert_allclose(out[8:16, 8:16], 7.5, atol=1e-4)


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
