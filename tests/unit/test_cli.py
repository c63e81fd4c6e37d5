"""The command in-process: exit codes, one clear line a problem, nothing half-written."""

from __future__ import annotations

import errno
import json
import os
import sys
import tomllib
from types import SimpleNamespace
from typing import NoReturn

import pytest
from PIL import Image

from cladmodel import cli, jobs, showing
from cladmodel.checks.run import CHECKS, LASTING
from cladmodel.errors import PictureError

from ..building import SCENES
from .conftest import Ran

DRAWN = {"preview.png", "layers.png"}
WRITTEN = {"model.glb", "model.stl", "report.json", "report.md", "section.png", "elevation.png"}


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
