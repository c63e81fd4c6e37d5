"""Jobs that random search once built unsound; each must now build sound, in every check of the solids."""

from __future__ import annotations

import pytest

from ..building import build_text, failing

CASES = {
    "a top course with no room for its packer": """
title = "Trial"
board = { width = 125, butt = 16, thin_edge = 6, stock = [6000], fitting_gap = 3, edge_cut = "level" }
wall = { length = 1500, height = 2700, foot = [[0, 0], [1050, 0], [1050, 150], [1500, 150]] }
""",
    "a board that reaches the top before the last course": """
title = "Trial"
board = { stock = [3600], fitting_gap = 8 }
posts = { size = 90, inside_size = 90 }
studs = { centres = 400 }
battens = { thickness = 38, width = 63 }
rod = { align = ["all sills", "all heads"] }

[building]
rectangle = [5458, 5298]
heights = [2400, 2400, 2100, 2100]
wall = [
  { name = "wall A", foot = [[0, -250], [2729, -250], [2729, 0], [5458, 0]] },
  { name = "wall D", foot = [[0, 0], [3179, 0], [3179, -250], [5298, -250]] },
]
""",
    "bands whose boards lean too far apart": """
title = "Trial"
board = { stock = [4200], fitting_gap = 8 }
posts = { size = 100 }
opening = [{ name = "window", left = 1265, width = 1800, head = 1805, sill = 1405 }]
wall = { length = { foot = 4666, middle = 4670, head = 4674 }, height = 2100, foot = [[0, 0], [4666, 267]] }
rod = { align = ["all sills", "all heads"] }
""",
    "lowest boards that lean further than all others": """
title = "Trial"
board = { width = 125, butt = 16, thin_edge = 6, stock = [4800], fitting_gap = 3, edge_cut = "level" }
posts = { size = 100 }
rod = { align = ["all sills", "all heads"] }
opening = [
  { name = "door", left = 865, width = 400, head = 1800, wall = "wall B", kind = "door" },
  { name = "light", left = 320, width = 400, head = 1780, wall = "wall D", sill = 785 },
  { name = "window", left = 1420, width = 1200, head = 2150, wall = "wall D", sill = 430 },
]

[building]
height = 2700
rectangle = [2500, 3185]
wall = [
  { name = "wall B", pitch_deg = 35, ridge_at = 1274 },
  { name = "wall D", pitch_deg = 35, ridge_at = 1911 },
]
""",
    "a doubled batten that ends under the rake": """
title = "Trial"
board = { stock = [6000], edge_cut = "level" }
opening = [{ name = "window", left = 890, width = 600, head = 1880, sill = 560 }]
wall = { length = 6504, height = 2100, pitch_deg = 22.5, ridge_at = 2926.8 }
""",
    "two doors whose trims meet at one height": """
title = "Trial"
board = { width = 150, butt = 20, thin_edge = 8, stock = [4800], fitting_gap = 8 }
posts = { size = 100 }
wall = { length = 4990, height = 2400 }
opening = [
  { name = "wide", left = 380, width = 1800, head = 2000, kind = "door" },
  { name = "narrow", left = 2300, width = 400, head = 2000, kind = "door" },
]
""",
    "a batten whose foot is cut to a slope": """
title = "Trial"
board = { width = 125, butt = 16, thin_edge = 6, stock = [3600], edge_cut = "level" }
posts = { size = 100 }
battens = { thickness = 38, width = 63 }
wall = { length = 1500, height = 2700, foot = [[0, 0], [450, -267], [1500, -267]] }
""",
    "a board whose butt is sawn to a foot that is almost level": """
title = "Trial"
board = { width = 150, butt = 16, thin_edge = 8, stock = [4200], fitting_gap = 8 }
studs = { centres = 400 }
posts = { size = 90, inside_size = 90 }
wall = { length = 4609, height = 2400, pitch_deg = 45, foot = [[0, 0], [4609, -150]] }
""",
    "a strip over a head with no room for a nail": """
title = "Trial"
board = { stock = [6000] }
posts = { size = 90, inside_size = 90 }
wall = { length = 7662, height = 2400 }
rod = { align = ["all sills", "all heads"] }
opening = [
  { name = "first", left = 60, width = 600, head = 2053, sill = 826 },
  { name = "second", left = 1562, width = 600, head = 1881, sill = 716 },
  { name = "third", left = 3777, width = 400, head = 1931, sill = 661 },
  { name = "door", left = 5800, width = 1200, head = 2195, kind = "door" },
]
""",
    "a last length of vent strip too short for a slot": """
title = "Trial"
board = { width = 150, butt = 16, thin_edge = 8, stock = [3600], fitting_gap = 8 }
battens = { thickness = 38, width = 50 }
wall = { length = 5005, height = 2919, pitch_deg = 15, foot = [[0, 0], [5005, 267]] }
""",
    "a board sawn to a foot that runs out under the next butt": """
title = "Trial"
board = { width = 125, butt = 22, thin_edge = 9, stock = [4200] }
posts = { size = 90, inside_size = 90 }
rod = { align = ["all sills", "all heads"] }

[wall]
length = { foot = 4377, middle = 4381, head = 4385 }
height = 2700
foot = [[0, 0], [1564, 0], [4377, -150]]
""",
    "a batten half on a level foot and half on a sloping one": """
title = "Trial"
board = { width = 125, butt = 20, thin_edge = 8, stock = [4200], fitting_gap = 3 }
studs = { centres = 400 }
posts = { size = 100, inside_size = 90 }

[wall]
length = { foot = 1545, middle = 1547, head = 1549 }
height = 2100
pitch_deg = 45
foot = [[0, 0], [801, 0], [1545, 267]]
""",
    "a level cut that would turn a short edge over": """
title = "Trial"
board = { width = 170, butt = 16, thin_edge = 8, stock = [6000], edge_cut = "level" }
posts = { size = 100, inside_size = 90 }

[wall]
length = { foot = 10959, middle = 10955, head = 10951 }
height = 2700
foot = [[0, 0], [10951, -267]]
""",
    "a gable whose post leans out": """
title = "Trial"
board = { width = 200, butt = 22, thin_edge = 6, stock = [4200], fitting_gap = 3, edge_cut = "level" }
wall = { length = { foot = 3257, middle = 3261, head = 3265 }, height = 2700, pitch_deg = 30 }
""",
}


@pytest.mark.parametrize("case", CASES)
def test_is_sound(case):
    findings = build_text(CASES[case]).findings
    assert failing(findings) == set(), [f.text for f in findings if f.verdict == "fail"]
