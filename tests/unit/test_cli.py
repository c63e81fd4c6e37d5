"""The command in-process: exit codes, one clear line a problem, nothing half-written."""

from __future__ import annotations

import errno
import json
import os
import sys
import tomllib
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import NoReturn

import pytest
from PIL import Image

from cladmodel import cli, jobs, showing
from cladmodel.checks.run import CHECKS, LASTING
from cladmodel.errors import PictureError

from ..building import SCENES, WINDOW, scene_text, toml
from .conftest import Ran, Run

DRAWN = {"preview.png", "layers.png"}
WRITTEN = {"model.glb", "model.stl", "report.json", "report.md", "section.png", "elevation.png"}


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


@pytest.mark.parametrize(("scene", "code"), [("tool-store", 0), ("bare-wall", 0), ("wrong-wall", 1)])
def test_check_says_how_it_went_by_its_exit_code(run, scene, code):
    ran = run("check", SCENES / f"{scene}.toml")
    assert ran.code == code
    assert ran.err == ""
    assert ("FAILS: " in ran.out) == bool(code)
    assert ran.out.splitlines()[-1].endswith("sound")


def test_check_shows_what_is_sound_when_asked(run):
    short = run("check", SCENES / "bare-wall.toml")
    whole = run("check", SCENES / "bare-wall.toml", "--all")
    assert not [line for line in short.out.splitlines() if line.startswith("sound: ")]
    said = [line.split(": ")[1] for line in whole.out.splitlines() if line.startswith("sound: ")]
    assert list(dict.fromkeys(said))[: len(CHECKS)] == list(CHECKS)
    assert set(said) <= {*CHECKS, *LASTING}
    assert "sound: lap: Least lap: board" in whole.out


def test_check_tells_the_survey_note_of_a_wall_out_of_plumb(run):
    out = run("check", SCENES / "tool-store.toml").out
    assert "note: path: 4 mm longer at the head than at the foot" in out


def test_check_writes_nothing(run, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    run("check", SCENES / "bare-wall.toml")
    assert list(tmp_path.iterdir()) == []


def test_build_writes_everything_and_names_it(run, tmp_path):
    out = tmp_path / "new" / "folder"
    ran = run("build", SCENES / "tool-store.toml", "--out", out, "--no-pictures")
    assert ran.code == 0
    assert {p.name for p in out.iterdir()} >= WRITTEN
    assert not any(p.name.startswith(".") for p in out.iterdir())
    for name in WRITTEN:
        assert str(out / name) in ran.out
        assert (out / name).stat().st_size > 500
    report = json.loads((out / "report.json").read_text(encoding="utf-8"))
    # Its boards are wider than guidance likes: two cautions, and nothing else to act on.
    assert report["verdict"] == "caution"
    assert ran.out.count("caution: ") == 2
    assert "170 wide on one nail" in ran.out
    assert "7.7 to 1; 4 to 6 is recommended" in ran.out
    assert report["title"] == "Tool store, wall to the path"
    assert (out / "model.glb").read_bytes()[:4] == b"glTF"


def test_build_of_a_wrong_wall_writes_everything_and_exits_1(run, tmp_path):
    ran = run("build", SCENES / "wrong-wall.toml", "--out", tmp_path, "--no-pictures")
    assert ran.code == 1
    assert {p.name for p in tmp_path.iterdir()} >= WRITTEN
    assert json.loads((tmp_path / "report.json").read_text(encoding="utf-8"))["verdict"] == "fail"


def undrawn(ran: Ran) -> list[str]:
    """What could not be drawn, but for the page, which an installation may be without."""
    return [line for line in ran.err.splitlines() if not line.startswith("not drawn: page.html: ")]


def test_no_opengl_leaves_out_the_pictures_and_writes_all_else(run, tmp_path, monkeypatch):
    def no_opengl(*_: object, **__: object) -> NoReturn:
        raise PictureError("no OpenGL here; install libegl1")

    for module, function in (("preview", "preview"), ("layers", "layers")):
        stand_in = SimpleNamespace(**{function: no_opengl})
        monkeypatch.setitem(sys.modules, f"cladmodel.views.{module}", stand_in)  # type: ignore[arg-type]
    ran = run("build", SCENES / "bare-wall.toml", "--out", tmp_path)
    assert ran.code == 0
    assert undrawn(ran) == [
        f"not drawn: {name}: no OpenGL here; install libegl1" for name in ("preview.png", "layers.png")
    ]
    names = {p.name for p in tmp_path.iterdir()}
    assert names >= WRITTEN
    assert not names & DRAWN


def test_one_picture_that_cannot_be_drawn_does_not_cost_the_other(run, tmp_path, monkeypatch):
    def broken(*_: object) -> NoReturn:
        raise PictureError("no OpenGL here; install libegl1")

    monkeypatch.setattr(showing, "draw_layers", broken)
    drawn = Image.new("RGB", (16, 10), "white")
    monkeypatch.setattr(showing, "draw_preview", lambda _scene, _model, path: drawn.save(path))
    ran = run("build", SCENES / "bare-wall.toml", "--out", tmp_path)
    assert ran.code == 0
    assert undrawn(ran) == ["not drawn: layers.png: no OpenGL here; install libegl1"]
    with Image.open(tmp_path / "preview.png") as found:
        assert found.size == (16, 10)
    assert not (tmp_path / "layers.png").exists()


def test_output_folder_that_is_a_file(run, tmp_path):
    (tmp_path / "out").write_text("mine")
    ran = run("build", SCENES / "bare-wall.toml", "--out", tmp_path / "out", "--no-pictures")
    assert ran.code == 2
    (line,) = ran.problems
    assert line == (
        f"cannot be built: {tmp_path / 'out'}: cannot be written: "
        "it is a file, not a folder. Name another folder."
    )
    assert (tmp_path / "out").read_text() == "mine"


def test_output_folder_inside_a_file(run, tmp_path):
    (tmp_path / "file").write_text("mine")
    ran = run("build", SCENES / "bare-wall.toml", "--out", tmp_path / "file" / "out", "--no-pictures")
    assert ran.code == 2
    (line,) = ran.problems
    assert "cannot be written: " in line
    assert "Name a folder you may write to." in line
    assert [p.name for p in tmp_path.iterdir()] == ["file"]


@pytest.mark.skipif(
    not hasattr(os, "geteuid") or os.geteuid() == 0, reason="who runs the tests may write anywhere"
)
def test_output_folder_without_leave_to_write(run, tmp_path):
    locked = tmp_path / "locked"
    locked.mkdir(mode=0o500)
    ran = run("build", SCENES / "bare-wall.toml", "--out", locked, "--no-pictures")
    assert ran.code == 2
    assert "Permission denied. Name a folder you may write to." in ran.err


def test_output_folder_that_refuses(run, tmp_path, monkeypatch):
    """The same, told by the system's own error, whoever runs the tests."""

    def locked(*_: object, **__: object) -> NoReturn:
        raise PermissionError(errno.EACCES, "Permission denied")

    monkeypatch.setattr("cladmodel.folders.whole.flush", locked)
    ran = run("build", SCENES / "bare-wall.toml", "--out", tmp_path / "out", "--no-pictures")
    assert ran.code == 2
    (line,) = ran.problems
    assert "out: cannot be written: Permission denied. Name a folder you may write to." in line


def test_new_writes_a_scene_that_builds_and_is_sound(run, tmp_path):
    file = tmp_path / "mine.toml"
    assert run("new", file).code == 0
    text = file.read_text(encoding="utf-8")
    assert "cladmodel check mine.toml" in text
    tomllib.loads(text)
    checked = run("check", file)
    assert checked.code == 0, checked.out


def test_every_default_that_new_comments_out_may_be_uncommented(run, tmp_path):
    """Each commented line is a valid value by itself: uncomment every one in turn with its table."""
    from cladmodel.build import load_scene_text
    from cladmodel.scene.schema import commented_scene

    lines = commented_scene("x.toml").splitlines()
    tried, real = 0, False
    for i, line in enumerate(lines):
        if line.lstrip("# ").startswith("["):
            real = not line.startswith("#")  # the whole building is shown as one commented block
        name, _, value = line.removeprefix("# ").partition(" = ")
        if not (line.startswith("# ") and value and name.isidentifier() and (real or i < 10)):
            continue
        if name == "ridge_at":
            continue  # means something beside a gable's pitch or ridge only
        load_scene_text("\n".join([*lines[:i], line[2:], *lines[i + 1 :]]))
        tried += 1
    assert tried > 60


def test_new_does_not_touch_a_file_that_is_there(run, tmp_path):
    (tmp_path / "mine.toml").write_text("mine")
    ran = run("new", tmp_path / "mine.toml")
    assert ran.code == 2
    assert "is there already" in ran.err
    assert (tmp_path / "mine.toml").read_text() == "mine"


def test_schema_knows_every_table_and_is_json(run):
    ran = run("schema")
    assert ran.code == 0
    schema = json.loads(ran.out)
    assert {"title", "board", "opening", "rules"} <= set(schema["properties"])
    width = schema["$defs"]["BoardTable"]["properties"]["width"]
    assert width["unit"] == "mm"
    assert (width["minimum"], width["maximum"], width["default"]) == (60, 400, 170)
    assert width["basis"]


def test_help_names_every_command(run):
    ran = run("--help")
    assert ran.code == 0
    for name in ("build", "check", "render", "export", "new", "schema"):
        assert name in ran.out


def test_a_word_that_is_no_command(run):
    ran = run("biuld", "x.toml")
    assert ran.code == 2
    assert "biuld" in ran.err


def test_a_fault_of_the_tool_itself_is_said_without_a_traceback(monkeypatch, capsys):
    def broken(*_: object) -> NoReturn:
        raise RuntimeError("wheels off")

    monkeypatch.setattr(jobs, "check", broken)
    monkeypatch.setattr(sys, "argv", ["cladmodel", "check", str(SCENES / "bare-wall.toml")])
    monkeypatch.delenv(cli.TRACEBACK, raising=False)
    with pytest.raises(SystemExit) as end:
        cli.main()
    assert end.value.code == 2
    out, err = capsys.readouterr()
    assert "Traceback" not in out + err
    assert len(err.splitlines()) == 1
    assert "wheels off" in err
    monkeypatch.setenv(cli.TRACEBACK, "1")
    with pytest.raises(RuntimeError, match="wheels off"):
        cli.main()


def test_toml_helper_writes_what_it_is_given():
    values = {"a": [1, 2.5], "b": {"c": "x", "d": True}, "e": float("inf")}
    assert tomllib.loads("\n".join(f"{k} = {toml(v)}" for k, v in values.items())) == values
