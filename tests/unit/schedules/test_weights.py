"""Weights and finish areas against figures worked out by hand."""

import pytest

from cladmodel.model import Layer
from cladmodel.schedules.weights import DENSITIES, finish_areas, weights


def test_sheathing_of_a_plain_wall_weighs_its_sheets(bare_wall):
    sheathing = next(w for w in weights(bare_wall.model) if w.layer == Layer.SHEATHING)
    # 3600 x 2400 x 9 less two gaps of 3 mm between three sheets.
    volume = (3600 - 2 * 3) * 2400 * 9 / 1e9
    assert sheathing.volume == pytest.approx(volume, rel=1e-9)
    assert sheathing.mass == pytest.approx(volume * DENSITIES["sheathing"][0], rel=1e-9)


def test_every_layer_is_weighed_once(tool_store):
    layers = [w.layer for w in weights(tool_store.model)]
    assert layers == [str(x) for x in Layer if any(p.layer is x for p in tool_store.model.parts)]


def test_outward_faces_are_less_than_half_of_all(bare_wall):
    every, outward, _ = finish_areas(bare_wall.model)
    # 18 boards of 3590 long: about 170 wide on two faces, and thin edges and butts.
    assert every.area == pytest.approx(18 * 3.590 * (2 * 0.170 + 0.022 + 0.009), rel=0.03)
    assert 0.4 * every.area < outward.area < 0.52 * every.area
