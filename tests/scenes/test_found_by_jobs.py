"""Jobs that the generator of random jobs once built unsound; each must now build sound, in every check.

Those of `test_found_by_chance` are held to the checks of the solids; these to air, moisture and wind as well.
"""

from __future__ import annotations

import pytest

from cladmodel.build import build_model, load_scene_text
from cladmodel.measuring import measure

from ..building import failing

CASES = {
    "a packer beside the starter where a slope begins": """
title = "Trial"
studs = { centres = 450 }
wall = { length = 5977, height = 2100, foot = [[0, 0], [3183, 0], [5977, -150]] }
""",
    "a head batten beside a post that leans out": """
title = "Trial"
battens = { extra = [1502] }
wall = { length = { foot = 1825, middle = 1831, head = 1837 }, height = 2400 }
opening = [{ left = 1165, width = 600, head = 1920, sill = 1567 }]
""",
    "a post whose relief just clears the vent strip": """
title = "Trial"
posts = { size = 87, foot_relief = 0 }
wall = { length = 4386, height = 2400, foot = [[0, 0], [4386, -150]] }
""",
    "an inside post where the foot slopes": """
title = "Trial"

[building]
corners = [[0, 0], [4200, 0], [4200, 1200], [1200, 1200], [1200, 2700], [0, 2700]]
height = 2100
wall = [
  { name = "wall C", foot = [[0, 0], [3000, -250]] },
  { name = "wall D", foot = [[0, -250], [1500, 0]] },
]
""",
    "boards that butt on one wide batten, over its screws": """
title = "Trial"
battens = { width = 75 }
wall = { length = 9068, height = 2400 }
""",
    "a step that a butt line all but meets": """
title = "Trial"
board = { width = 100, stock = [3000] }
rod = { least_gauge = 90 }
wall = { length = 3459, height = 2400, foot = [[0, 0], [1014, 0], [1014, 267], [3459, 267]] }
""",
    "a narrow batten at a post that leans": """
title = "Trial"
battens = { width = 38 }
wall = { length = { foot = 3813, middle = 3819, head = 3825 }, height = 1433 }
""",
    "narrow battens at leaning posts under a rake": """
title = "Trial"
battens = { width = 38 }
wall = { length = { foot = 3177, middle = 3183, head = 3189 }, height = 2700, pitch_deg = 22.5 }
""",
    "wide battens under a steep rake": """
title = "Trial"
battens = { width = 75 }
wall = { length = 5273, height = 2700, pitch_deg = 55 }
""",
    "a board cut to a foot that is almost level": """
title = "Trial"
board = { width = 125 }
wall = { length = 2601, height = 2400, foot = [[0, 0], [2601, -60]] }
opening = [{ left = 340, width = 900, head = 2145, sill = 427 }]
rod = { align = ["all sills", "all heads"] }
""",
    "a strip over a head with the next butt close above": """
title = "Trial"
board = { width = 100, butt = 14 }
wall = { length = 3066, height = 2100, foot = [[0, 0], [1509, 0], [3066, -400]] }
opening = [{ left = 517, width = 1002, head = 1870, sill = 728 }]
""",
    "a last length of vent strip under a post": """
title = "Trial"
battens = { thickness = 38 }
posts = { size = 90 }
vent_strip = { stock = 2000 }
wall = { length = 1956, height = 2100, foot = [[0, 0], [1956, -60]] }
""",
    "a course nailed at two heights, when dry": """
title = "Trial"
wall = { length = { foot = 9191, middle = 9197, head = 9203 }, height = 1059 }
opening = [{ left = 930, width = 1800, head = 799, kind = "door" }]
climate = { name = "temperate" }
timber = { species = "European larch", fixing_moisture = 14 }
""",
    "the packers of a rake's fillet over boards that dry": """
title = "Trial"
wall = { length = { foot = 5007, middle = 5013, head = 5019 }, height = 2700, ridge_height = 4453 }
climate = { name = "temperate" }
timber = { species = "European larch", fixing_moisture = 24 }
""",
    "a wide board notched a little over a head": """
title = "Trial"
board = { width = 200, butt = 22, thin_edge = 9, stock = [2400, 3600, 3900], end_trim = 10 }
battens = { thickness = 32, width = 38 }
posts = { size = 88, inside_size = 88 }
trims = { thickness = 52 }
fixings = { board_nail = { diameter = 2.3, length = 60 } }
studs = { depth = 89, thickness = 47, lintel = 95, plate_overhang = 50 }
wall = { length = { foot = 3543, middle = 3547.0, head = 3551 }, height = 1842, pitch_deg = 55 }
opening = [{ left = 418, width = 400, head = 1610, sill = 651 }]
""",
}

NAILS_THAT_HOLD_NOTHING = """
title = "Trial"
board = { width = 131, butt = 24, thin_edge = 11 }
fixings = { board_nail = { length = 40 } }
wall = { length = 4132, height = 2400 }
timber = { batten_class = "C24", board_class = "C16", fixing_moisture = 16 }
wind = { pressure = 400, building_height = 5, building_breadth = 4 }
"""


@pytest.mark.parametrize("case", CASES)
def test_is_sound(case):
    scene = load_scene_text(CASES[case])
    findings = measure(scene, build_model(scene))
    assert failing(findings) == set(), [f.text for f in findings if f.verdict == "fail"]


def test_nails_that_hold_nothing_in_the_wind_are_said():
    scene = load_scene_text(NAILS_THAT_HOLD_NOTHING)
    failed = [f.text for f in measure(scene, build_model(scene)) if f.verdict == "fail" and f.check == "wind"]
    assert len(failed) == 1
    assert "holds nothing" in failed[0]
