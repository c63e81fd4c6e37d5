"""Built walls: with a window, with a door, bare, deliberately wrong, and one that is awkward to draw."""

from __future__ import annotations

import pytest

from cladmodel.build import build_model, load_scene_text
from cladmodel.model import Model

WINDOW = """
title = "Shed <north> & co"
[wall]
name = "north"
length = 4100
height = 2310
ground_clearance = 170
[[opening]]
name = "window"
left = 1450
width = 1000
sill = 900
head = 1850
"""

DOOR = """
title = "Shed, door side"
[wall]
name = "south"
length = 3700
height = 2350
[[opening]]
name = "door"
kind = "door"
left = 1300
width = 950
head = 2010
"""

BARE = """
title = "Bare"
[wall]
length = 3300
height = 2450
[board]
width = 150
butt = 20
thin_edge = 8
"""

WRONG = """
title = "Wrong on purpose"
[wall]
length = 3600
height = 2400
[board]
width = 170
butt = 22
thin_edge = 9
least_lap = 5
[starter]
thickness = 3
"""

DEEP = """
title = "A long wall far above the ground, of untapered boards, with a title too long for its place"
[wall]
length = 9363
height = 4393
ground_clearance = 460
[board]
width = 120
butt = 18
thin_edge = 18
least_lap = 40
"""

GABLE = """
title = "Gable"
[wall]
name = "gable"
length = 4400
height = 2100
pitch_deg = 40
[[opening]]
name = "tall light"
left = 60
width = 400
sill = 500
head = 1800
[[opening]]
name = "window"
left = 1000
width = 900
sill = 900
head = 1900
[[opening]]
name = "gable vent"
left = 1800
width = 700
sill = 2450
head = 2900
"""

SCENES = {"window": WINDOW, "door": DOOR, "bare": BARE, "wrong": WRONG, "deep": DEEP, "gable": GABLE}


@pytest.fixture(scope="session", params=SCENES)
def model(request: pytest.FixtureRequest) -> Model:
    return build_model(load_scene_text(SCENES[request.param]))


@pytest.fixture(scope="session")
def window() -> Model:
    return build_model(load_scene_text(WINDOW))


@pytest.fixture(scope="session")
def bare() -> Model:
    return build_model(load_scene_text(BARE))


@pytest.fixture(scope="session")
def gable() -> Model:
    return build_model(load_scene_text(GABLE))
