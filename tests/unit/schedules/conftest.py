"""A wall with a window, and boards at the trade's own figures made from plates alone."""

from __future__ import annotations

import pytest

from cladmodel.build import build_model, load_scene_text
from cladmodel.model import Model
from cladmodel.scene.job import Scene

WINDOW = """
title = "Shed | *north* <b>"
[wall]
name = "north"
length = { foot = 4100, middle = 4102, head = 4106 }
height = 2310
ground_clearance = 170
[[opening]]
name = "window"
left = 1450
width = 1000
sill = 880
head = 1830
"""


@pytest.fixture(scope="session")
def scene() -> Scene:
    return load_scene_text(WINDOW)


@pytest.fixture(scope="session")
def model(scene: Scene) -> Model:
    return build_model(scene)
