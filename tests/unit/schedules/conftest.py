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


MEETING = """
title = "Small L"
[building]
corners = [[0, 0], [3600, 0], [3600, 1800], [2100, 1800], [2100, 3600], [0, 3600]]
names = ["south", "east", "porch", "nook", "north", "west"]
heights = [2400, 2400, 2250, 2250, 2100, 2100]
ground_clearance = 200
[[building.wall]]
name = "south"
foot = [[0, -250], [1200, -250], [1200, 0], [3600, 0]]
[[building.wall]]
name = "west"
foot = [[0, 0], [1800, 0], [1800, -250], [3600, -250]]
[[opening]]
name = "window"
wall = "south"
left = 1500
width = 900
sill = 900
head = 1800
"""


@pytest.fixture(scope="session")
def building() -> Model:
    return build_model(load_scene_text(MEETING))
