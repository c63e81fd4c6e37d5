"""A scene that cannot be built is refused: every problem in one clear line, nothing written."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest

from ..building import WINDOW, scene_text, toml
from .conftest import Run


@pytest.fixture
def refused(run: Run, tmp_path: Path) -> Callable[[str], list[str]]:
    """Check and build a scene that cannot be built; return the lines that say why."""

    def call(text: str) -> list[str]:
        file, out = tmp_path / "job.toml", tmp_path / "out"
        file.write_text(text, encoding="utf-8")
        checked = run("check", file)
        built = run("build", file, "--out", out, "--no-pictures")
        assert checked.code == built.code == 2
        assert checked.err == built.err
        assert checked.out == built.out == ""
        assert sorted(p.name for p in tmp_path.iterdir()) == ["job.toml"]
        assert all(line.startswith("cannot be built: ") for line in checked.problems), checked.err
        return [line.removeprefix("cannot be built: ") for line in checked.problems]

    return call


def wall(**values: object) -> str:
    return scene_text(wall=values)


def window(**values: object) -> str:
    return scene_text(opening=[WINDOW | values])


# What is wrong, then the field with its value, what is allowed, and the remedy, as the one line says them.
ONE_PROBLEM = {
    "not a number": (
        wall(height=float("nan")),
        "wall.height = nan: must be an ordinary number.",
        "foot of the cladding up to the soffit",
    ),
    "infinite": (
        wall(length=float("inf")),
        "wall.length = inf: must be an ordinary number.",
        "frame's outer corners",
    ),
    "minus infinite": (
        wall(height=float("-inf")),
        "wall.height = -inf: must be an ordinary number.",
        "soffit",
    ),
    "negative": (
        wall(height=-2400),
        "wall.height = -2400: must be from 400 to 12000 mm.",
        "up to the soffit",
    ),
    "negative length": (
        wall(length=-3600),
        "wall.length = -3600: must be from 600 to 40000 mm.",
        "outer corners",
    ),
    "inches": (
        wall(height=94.5),
        "wall.height = 94.5: must be from 400 to 12000 mm.",
        "94.5 in is 2400.3 mm",
    ),
    "inches in a length": (wall(length=141.7), "must be from 600 to 40000 mm.", "141.7 in is 3599.2 mm"),
    "inches in a board": (
        scene_text(board={"width": 6.7}),
        "board.width = 6.7: must be from 60 to 400 mm.",
        "6.7 in is 170.2 mm",
    ),
    "metres": (wall(height=2.4), "wall.height = 2.4: must be from 400 to 12000 mm.", "2.4 m is 2400 mm"),
    "metres in a stock length": (
        scene_text(board={"stock": [4.8]}),
        "board.stock[1] = 4.8: must be from 600 to 12000 mm.",
        "4.8 m is 4800 mm",
    ),
    "text": (wall(length="3600"), "wall.length = '3600': must be a number, not text.", "without quotes"),
    "text with its unit": (
        wall(height="2400 mm"),
        "wall.height = '2400 mm': must be a number, not text.",
        "unit",
    ),
    "text in a list": (
        scene_text(board={"stock": ["4800"]}),
        "board.stock[1] = '4800': must be a number, not text.",
        "without quotes",
    ),
    "word for a number": (
        scene_text(board={"butt": "thick"}),
        "board.butt = 'thick': must be a",
        "bottom edge",
    ),
    "yes for a number": (scene_text(board={"butt": True}), "board.butt = True: must be a", "bottom edge"),
    "half a row": (scene_text(vent_strip={"rows": 2.5}), "vent_strip.rows = 2.5: must be a", "rows of slots"),
    "empty list": (scene_text(board={"stock": []}), "board.stock = ", "lengths the boards are sold in"),
    "unknown field": (
        scene_text(board={"widht": 170}),
        "board.widht = 170: no such field.",
        "Did you mean 'width'?",
    ),
    "unknown table": (scene_text(bord={"width": 170}), "bord = {'width': 170}: no such field.", "'board'?"),
    "unknown deep down": (
        scene_text(fixings={"board_nail": {"diametre": 2}}),
        "fixings.board_nail.diametre = 2: no such field.",
        "Did you mean 'diameter'?",
    ),
    "unknown and like nothing": (
        scene_text(posts={"zzzz": 1}),
        "posts.zzzz = 1: no such field.",
        "Known here: size",
    ),
    "no such choice": (
        scene_text(finish={"name": "oild"}),
        "finish.name = 'oild': must be 'bare', 'treated'",
        "finish",
    ),
    "starter word": (
        scene_text(starter={"thickness": "fitt"}),
        "starter.thickness = 'fitt': must be 'fit' or a number of mm.",
        "lean of those above",
    ),
    "starter negative": (scene_text(starter={"thickness": -3}), "starter.thickness = -3", "course 1"),
    "starter too big": (
        scene_text(starter={"thickness": 110}),
        "a starter 110 thick",
        "make it thinner or lower",
    ),
    "opening outside": (
        window(left=3000),
        "opening[1].left = 3000.0: the opening",
        "from the wall's left corner",
    ),
    "opening too high": (
        window(head=2390),
        "opening[1].head = 2390.0: must be 2222 at most",
        "must fit above it",
    ),
    "opening upside down": (
        window(sill=1930, head=890),
        "opening[1].head = 890.0: must be above the sill at 1930.",
        "from the foot",
    ),
    "opening negative": (
        window(left=-100),
        "opening[1].left = -100: must be from 0 to 40000 mm.",
        "left corner",
    ),
    "opening in inches": (
        window(width=35.5),
        "opening[1].width = 35.5: must be from 200",
        "35.5 in is 901.7 mm",
    ),
    "window at the foot": (window(sill=20), "opening[1].sill = 20.0: must be at least", "kind = 'door'"),
    "door with a sill": (
        window(kind="door", sill=100),
        "opening[1].sill = 100.0: a door runs down to the foot",
        "Make it a window",
    ),
    "openings on each other": (
        scene_text(opening=[WINDOW, WINDOW | {"left": 1800}]),
        "opening[2].left = 1800.0: its trims must meet those of opening[1] or leave 160 between",
        "long enough to nail",
    ),
    "one opening's table": (
        scene_text(opening=WINDOW),
        "opening = {",
        "[[opening]]",
    ),
    "opening without a head": (
        scene_text(opening=[{k: v for k, v in WINDOW.items() if k != "head"}]),
        "opening[1].head",
        "underside of the lintel",
    ),
    "lap wider than the board": (
        scene_text(board={"least_lap": 180}),
        "board.least_lap = 180.0: must be less than the board's width of 170.",
        "about a fifth",
    ),
    "gauge wider than the board": (
        scene_text(board={"wanted_gauge": 175}),
        "board.wanted_gauge = 175.0: must be less than the board's width of 170",
        "Leave it out",
    ),
    "gauge less than the butt": (
        scene_text(board={"wanted_gauge": 20}),
        "boards cannot lean",
        "larger gauge",
    ),
    "thin edge thicker": (
        scene_text(board={"butt": 9, "thin_edge": 22}),
        "board.thin_edge = 22.0: must not be thicker than the butt of 9.",
        "thick bottom edge",
    ),
    "stock too short": (
        scene_text(board={"stock": [900]}),
        "board.stock = [900.0]: the longest must give at least 1200 mm usable",
        "buy longer boards",
    ),
    "post thinner than the noses": (
        scene_text(posts={"size": 50}),
        "posts.size = 50.0: must be at least 64.0",
        "Thicker there",
    ),
    "trims thinner than the noses": (
        scene_text(trims={"thickness": 20}, opening=[WINDOW]),
        "trims.thickness = 20.0: must be at least 39.0",
        "Thicker there",
    ),
    "slots too many": (
        scene_text(vent_strip={"rows": 6, "slot_width": 12}),
        "vent_strip.slot_width = 12.0: 6 rows in this cavity leave 3.16667 at most.",
        "Fewer rows",
    ),
    "slots run together": (
        scene_text(vent_strip={"slot_length": 40, "slot_spacing": 40}),
        "vent_strip.slot_length = 40.0: must be less than the spacing of 40.",
        "run into each other",
    ),
    "batten off the wall": (
        scene_text(battens={"extra": [600, 5000]}),
        "battens.extra[2] = 5000.0: must be from 50 to 3550",
        "left corner",
    ),
    "corner far out of plumb": (
        wall(length={"foot": 3600, "middle": 3650, "head": 3700}),
        "foot and head may differ by 48 mm at this height.",
        "Tape both again.",
    ),
    "colour that is none": (
        scene_text(finish={"name": "painted", "colour": "red"}),
        "finish.colour = 'red'",
        "#rrggbb",
    ),
    "name that is none": (wall(name=""), "wall.name = ''", "drawings"),
    "title that is a number": (
        scene_text().replace('"Trial"', "3"),
        "title = 3: must be",
        "what the job is called",
    ),
    "not TOML": ("title = \n", "not TOML: Invalid value (at line 1, column 9).", "Mend that line."),
    "said twice": (
        'title = "a"\ntitle = "b"\n',
        "not TOML: Cannot overwrite a value (at line 2",
        "Mend that line.",
    ),
    "too deep": (scene_text() + "[a.b.c.d.e.f.g.h.i.j]\nx = 1\n", "nested more than 8 deep", "Flatten it."),
}


@pytest.mark.parametrize("case", ONE_PROBLEM)
def test_one_problem_one_line(refused, case):
    text, says, remedy = ONE_PROBLEM[case]
    lines = refused(text)
    assert len(lines) == 1, lines
    assert says in lines[0]
    assert remedy in lines[0]
    for jargon in ("tuple", "None", "validation", "dictionary", "any mm", "string", "integer", "instance"):
        assert jargon not in lines[0], lines[0]


def test_all_problems_at_once(refused):
    text = scene_text(
        wall={"length": "3600", "height": -5},
        board={"widht": 170, "thin_edge": 1},
        posts={"size": 5000},
        battens={"width": float("nan")},
        finish={"name": "gold"},
    )
    fields = [line.split(" = ")[0] for line in refused(text)]
    assert set(fields) == {
        "wall.length",
        "wall.height",
        "board.widht",
        "board.thin_edge",
        "posts.size",
        "battens.width",
        "finish.name",
    }
    assert len(fields) == len(set(fields))


def test_values_that_contradict_each_other_are_told_together(refused):
    text = scene_text(
        board={"stock": [900]},
        posts={"size": 50},
        opening=[WINDOW | {"left": 2900}],
        battens={"extra": [9000]},
    )
    fields = [line.split(" = ")[0] for line in refused(text)]
    assert set(fields) == {"board.stock", "battens.extra[1]", "opening[1].left", "posts.size"}


def test_a_faulty_field_is_not_blamed_for_what_depends_on_it(refused):
    (line,) = refused(scene_text(board={"width": "wide"}, posts={"size": 75}))
    assert line.startswith("board.width = 'wide'")


def test_no_joint_can_be_made_names_the_course_and_the_way_out(refused):
    """Each value is sound and no rule of thumb is broken, yet no joint keeps to the rules."""
    (line,) = refused(scene_text(wall={"length": 9000}, board={"stock": [3000]}, rules={"stagger": 2900}))
    assert "course" in line
    assert "rules.stagger" in line or "Add a batten" in line


@pytest.mark.parametrize(
    ("name", "says", "remedy"),
    [
        pytest.param("nothing.toml", "no such file", "cladmodel new nothing.toml", id="missing file"),
        pytest.param("folder", "a folder, not a scene file", "Name the .toml file", id="a folder"),
        pytest.param("latin.toml", "not UTF-8 text", "Save the file as UTF-8", id="not UTF-8"),
        pytest.param("huge.toml", "at most 1000000", "Is this a scene file?", id="far too large"),
        pytest.param("picture.toml", "not ", "", id="not text at all"),
    ],
)
def test_files_that_are_no_scene(run, tmp_path, name, says, remedy):
    (tmp_path / "folder").mkdir()
    (tmp_path / "latin.toml").write_bytes('title = "Gerät"'.encode("latin-1"))
    (tmp_path / "huge.toml").write_text("# " + "x" * 1_000_001)
    (tmp_path / "picture.toml").write_bytes(b"\x89PNG\r\n\x1a\n\x00\x00")
    for command in (["check"], ["build", "--out", tmp_path / "out", "--no-pictures"]):
        ran = run(command[0], tmp_path / name, *command[1:])
        assert ran.code == 2
        (line,) = ran.problems
        assert says in line
        assert remedy in line
    assert not (tmp_path / "out").exists()


def test_toml_helper_writes_what_it_is_given():
    values = {"a": [1, 2.5], "b": {"c": "x", "d": True}, "e": float("inf")}
    assert tomllib.loads("\n".join(f"{k} = {toml(v)}" for k, v in values.items())) == values
