"""Plans, tops and feet that make no building are refused, each with the path of the field at fault."""

from __future__ import annotations

import pytest

from cladmodel.build import build_model, load_scene_text
from cladmodel.errors import SceneError

from ..building import scene_text, toml

SQUARE = [[0, 0], [6000, 0], [6000, 4000], [0, 4000]]
L = [[0, 0], [6000, 0], [6000, 3000], [3500, 3000], [3500, 5000], [0, 5000]]


def building(openings=(), rod=None, **fields):
    tables = {
        "title": "Trial",
        "building": {"height": 2400, **fields},
        "opening": list(openings),
        **({"rod": rod} if rod else {}),
    }
    return "\n".join(f"{key} = {toml(value)}" for key, value in tables.items()) + "\n"


def window(**fields):
    return {
        "name": "window",
        "wall": "wall A",
        "left": 1500,
        "width": 900,
        "sill": 900,
        "head": 1900,
        **fields,
    }


def problems(text):
    with pytest.raises(SceneError) as caught:
        load_scene_text(text)
    return {p.path: p for p in caught.value.problems}


def test_the_plans_that_the_others_spoil_are_sound():
    for corners in (SQUARE, L):
        assert build_model(load_scene_text(building(corners=corners, openings=[window()]))).parts


def test_a_gable_so_flat_that_it_leaves_no_hole_over_an_inside_corner_is_built():
    """35 degrees over a post of 72 and a gap of 5 rise by 54; 60 may lie bare."""
    scene = load_scene_text(building(corners=L, wall=[{"name": "wall C", "pitch_deg": 35}]))
    assert build_model(scene).parts


REFUSED = {
    "another angle than 90": (
        building(corners=[[0, 0], [6000, 0], [6000, 4000], [400, 4000]]),
        "building.corners[1]",
        "right angle",
    ),
    "a bay of 45": (
        building(corners=[[0, 0], [6000, 0], [6000, 3000], [5000, 4000], [0, 4000]]),
        "building.corners[3]",
        "45.00 degrees",
    ),
    "a corner on a straight wall": (
        building(corners=[[0, 0], [3000, 0], [6000, 0], [6000, 4000], [0, 4000]]),
        "building.corners[2]",
        "right angle",
    ),
    "clockwise": (building(corners=SQUARE[::-1]), "building.corners", "anticlockwise"),
    "an L clockwise": (building(corners=L[::-1]), "building.corners", "anticlockwise"),
    "crossing itself": (
        building(corners=[[0, 0], [6000, 0], [0, 4000], [6000, 4000]]),
        "building.corners",
        "without crossing itself",
    ),
    "crossing itself at right angles": (
        building(corners=[[0, 0], [6000, 0], [6000, 4000], [3000, 4000], [3000, -2000], [0, -2000]]),
        "building.corners",
        "without crossing itself",
    ),
    "a corner given twice": (
        building(corners=[[0, 0], [6000, 0], [6000, 0], [6000, 4000], [0, 4000]]),
        "building.corners[2]",
        "at least 600 long; it is 0",
    ),
    "no area": (
        building(corners=[[0, 0], [6000, 0], [6000, 0], [0, 0]]),
        "building.corners",
        "without crossing itself",
    ),
    "a wall too short for two posts": (
        building(corners=[[0, 0], [6000, 0], [6000, 4000], [5600, 4000], [5600, 4400], [0, 4400]]),
        "building.corners[3]",
        "at least 600",
    ),
    "rectangle and corners": (
        building(rectangle=[6000, 4000], corners=SQUARE),
        "building.corners",
        "either rectangle or corners",
    ),
    "a height for every corner but one": (
        building(corners=SQUARE, heights=[2400, 2400, 2100]).replace("height = 2400, ", ""),
        "building.heights",
        "at least 4",
    ),
    "heights of an L for four corners only": (
        building(corners=L, heights=[2400, 2400, 2100, 2100]).replace("height = 2400, ", ""),
        "building.heights",
        "each of the 6 corners",
    ),
    "ridge below the eaves": (
        building(rectangle=[6000, 4000], wall=[{"name": "wall B", "ridge_height": 2300}]),
        "building.wall[1].ridge_height",
        "above 2400",
    ),
    "ridge off the wall": (
        building(rectangle=[6000, 4000], wall=[{"name": "wall B", "ridge_height": 3300, "ridge_at": 4100}]),
        "building.wall[1].ridge_height",
        "between 0 and 4000",
    ),
    "pitch and ridge height": (
        building(rectangle=[6000, 4000], wall=[{"name": "wall B", "ridge_height": 3300, "pitch_deg": 30}]),
        "building.wall[1].pitch_deg",
        "either ridge_height or pitch_deg",
    ),
    "feet that do not meet at a corner": (
        building(
            rectangle=[6000, 4000],
            wall=[{"name": "wall A", "foot": [[0, 0], [3000, 0], [3000, -200], [6000, -200]]}],
        ),
        "building.wall (wall B).foot",
        "must begin at -200",
    ),
    "a foot shorter than its wall": (
        building(rectangle=[6000, 4000], wall=[{"name": "wall A", "foot": [[0, 0], [5000, 0]]}]),
        "building.wall[1].foot",
        "from 0 to the wall's length of 6000",
    ),
    "a foot too steep for a slope": (
        building(
            rectangle=[6000, 4000],
            wall=[{"name": "wall A", "foot": [[0, 0], [2000, 0], [2100, 210], [4000, 0], [6000, 0]]}],
        ),
        "building.wall[1].foot",
        "at most 2 in 1",
    ),
    "a gable over an inside corner": (
        building(corners=L, wall=[{"name": "wall C", "pitch_deg": 45}]),
        "building.wall (wall C).pitch_deg",
        "over the post of an inside corner; it rises by",
    ),
    "a foot that comes too near the soffit": (
        building(
            rectangle=[6000, 4000],
            wall=[
                {
                    "name": "wall A",
                    "foot": [[0, 0], [2000, 0], [2000, 2100], [4000, 2100], [4000, 0], [6000, 0]],
                }
            ],
        ),
        "building.wall[1].foot",
        "stay 400 below the soffit",
    ),
    "a wall of no such name": (
        building(rectangle=[6000, 4000], wall=[{"name": "north", "pitch_deg": 30}]),
        "building.wall[1].name",
        "wall A, wall B, wall C, wall D",
    ),
    "two walls of one name": (
        building(rectangle=[6000, 4000], names=["a", "b", "a", "d"]),
        "building.names",
        "different names",
    ),
    "a measured length that the plan does not have": (
        building(rectangle=[6000, 4000], wall=[{"name": "wall A", "length": 5900}]),
        "building.wall[1].length",
        "the plan's 6000",
    ),
    "an opening through the eaves line": (
        building(rectangle=[6000, 4000], openings=[window(head=2500)]),
        "opening[1].head",
        "at most under this soffit",
    ),
    "an opening through the rake of its gable": (
        building(
            rectangle=[6000, 4000],
            wall=[{"name": "wall B", "pitch_deg": 30}],
            openings=[window(wall="wall B", left=400, sill=1500, head=2450)],
        ),
        "opening[1].head",
        "at most under this soffit",
    ),
    "an opening in no wall": (
        building(rectangle=[6000, 4000], openings=[window(wall="east")]),
        "opening[1].wall",
        "must be one of wall A",
    ),
    "an opening in the corner's timbers": (
        building(rectangle=[6000, 4000], openings=[window(left=20)]),
        "opening[1].left",
        "clear of the corner's timbers",
    ),
    "a pier too narrow to nail": (
        building(rectangle=[6000, 4000], openings=[window(), window(name="next", left=2600)]),
        "opening[2].left",
        "trims must meet",
    ),
    "a door over a step": (
        building(
            rectangle=[6000, 4000],
            wall=[
                {
                    "name": "wall A",
                    "foot": [[0, 0], [2000, 0], [2000, 200], [4000, 200], [4000, 0], [6000, 0]],
                }
            ],
            openings=[
                {"name": "door", "kind": "door", "wall": "wall A", "left": 1700, "width": 900, "head": 1975}
            ],
        ),
        "opening[1].left",
        "level stretch",
    ),
    "a survey slip": (
        building(
            rectangle=[6000, 4000],
            wall=[{"name": "wall A", "length": {"foot": 6000, "middle": 6050, "head": 6100}}],
        ),
        "building.wall (wall A).length",
        "may differ by 48 mm",
    ),
    "wall and building": (
        scene_text(building={"rectangle": [6000, 4000], "height": 2400}),
        "wall",
        "either [wall]",
    ),
    "neither": ('title = "x"\n', "wall", "either [wall]"),
}


@pytest.mark.parametrize("case", REFUSED)
def test_refused_with_the_path_of_the_field(case):
    text, path, allowed = REFUSED[case]
    found = problems(text)
    assert path in found, found
    assert allowed in str(found[path])
    assert found[path].remedy


def test_lines_that_the_rod_cannot_meet_are_named():
    text = building(
        rectangle=[6000, 4000],
        openings=[window(), window(name="high light", left=3500, sill=980, head=1950)],
        rod={"align": ["all sills", "all heads"], "most_spread": 2},
    )
    notes = " ".join(build_model(load_scene_text(text)).notes)
    missed = notes.split("the rod cannot meet: ")[1].split(";")[0]
    assert "high light" in missed
