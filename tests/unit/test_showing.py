"""Pictures and exports as the command asks for them: endings, what is handed on, nothing half-written."""

from __future__ import annotations

import sys
from collections.abc import Callable
from pathlib import Path
from types import SimpleNamespace
from typing import NoReturn

import pytest

from cladmodel import showing
from cladmodel.errors import PictureError

from ..building import SCENES, scene_text


@pytest.mark.parametrize(("view", "name"), [("", "wall.jpg"), ("", "wall.gif"), ("turn", "wall.png")])
def test_a_picture_wants_its_own_ending(run, tmp_path, view, name):
    ran = run("render", SCENES / "bare-wall.toml", tmp_path / name, "--view", view)
    assert ran.code == 2
    (line,) = ran.problems
    assert "is written as " + (".gif or .webp" if view == "turn" else ".png") in line
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("view", "size", "pixels"),
    [("", None, (1600, 1000)), ("turn", None, (640, 400)), ("turn", "320x200", (320, 200))],
)
def test_a_picture_has_the_size_asked_for_or_its_own(run, tmp_path, monkeypatch, view, size, pixels):
    drawn = []
    monkeypatch.setattr(
        "cladmodel.views.turntable.turntable",
        lambda _model, _finish, path, *, size: drawn.append(size) or path.write_bytes(b"turn"),
    )
    monkeypatch.setattr(
        showing,
        "_draw_whole",
        lambda _model, path, shot, _: drawn.append(shot.pixels) or path.write_bytes(b""),
    )
    words = ["--size", size] if size else []
    picture = tmp_path / ("turn.gif" if view else "wall.png")
    assert run("render", SCENES / "bare-wall.toml", picture, "--view", view, *words).code == 0
    assert drawn == [pixels]


def test_a_turn_too_large_for_memory_is_refused(run, tmp_path):
    ran = run(
        "render", SCENES / "bare-wall.toml", tmp_path / "turn.gif", "--view", "turn", "--size", "1600x1000"
    )
    assert ran.code == 2
    assert ran.problems == ["cannot be built: size = 1600x1000: from 64 to 1280 each way"]


def test_render_where_nothing_can_be_drawn(run, tmp_path, monkeypatch):
    def broken(*_: object) -> NoReturn:
        raise PictureError("no OpenGL here; install libegl1")

    monkeypatch.setattr(showing, "_draw", broken)
    ran = run("render", SCENES / "bare-wall.toml", tmp_path / "wall.png")
    assert ran.code == 2
    assert ran.problems == ["not drawn: no OpenGL here; install libegl1"]
    assert list(tmp_path.iterdir()) == []


def test_render_hands_on_what_was_asked_for_and_writes_the_picture_whole(run, tmp_path, monkeypatch):
    asked = []

    def draw(_scene, model, path, shot):
        asked.append(shot)
        path.write_bytes(model.title.encode())

    monkeypatch.setattr(showing, "_draw", draw)
    picture = tmp_path / "wall.png"
    words = [
        "--view",
        "south left",
        "--finish",
        "oiled, black",
        "--light",
        "noon",
        "--size",
        "640x400",
        "--quick",
    ]
    ran = run("render", SCENES / "bare-wall.toml", picture, *words)
    assert (ran.code, ran.out.strip()) == (0, str(picture))
    assert picture.read_bytes() == b"Potting bench, bare wall"
    (shot,) = asked
    assert (shot.view, shot.finishes, shot.light) == ("south left", ("oiled", "black"), "noon")
    assert (shot.size, shot.quick, shot.transparent, shot.coloured_by) == ((640, 400), True, False, "")


@pytest.mark.parametrize("view", ["", "layers", "cut"])
def test_render_draws_the_view_asked_for(run, tmp_path, monkeypatch, view):
    def stand_in(name: str) -> Callable[..., None]:
        def draw(_model: object, path: Path, *_: object, **__: object) -> None:
            path.write_bytes(name.encode())

        return draw

    for module, function in (("layers", "layers"), ("cutaway", "cutaway")):
        found = SimpleNamespace(**{function: stand_in(function)})
        monkeypatch.setitem(sys.modules, f"cladmodel.views.{module}", found)  # type: ignore[arg-type]
    monkeypatch.setattr(showing, "_draw_whole", stand_in("whole"))
    picture = tmp_path / "wall.png"
    assert run("render", SCENES / "bare-wall.toml", picture, "--view", view).code == 0
    assert picture.read_bytes() == {"": b"whole", "layers": b"layers", "cut": b"cutaway"}[view]


@pytest.mark.parametrize("size", ["640", "640x", "axb", "63x400", "640x9000", "-640x400", "6.4x400"])
def test_a_size_that_is_none(run, tmp_path, size):
    ran = run("render", SCENES / "bare-wall.toml", tmp_path / "wall.png", "--size", size)
    assert ran.code == 2
    (line,) = ran.problems
    assert "size = " in line
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("name", ["wall.glb", "wall.stl", "WALL.STL"])
def test_export(run, tmp_path, name):
    file = tmp_path / name
    ran = run("export", SCENES / "bare-wall.toml", file)
    assert (ran.code, ran.out.strip()) == (0, str(file))
    assert file.stat().st_size > 10_000


def test_export_to_an_unknown_format(run, tmp_path):
    ran = run("export", SCENES / "bare-wall.toml", tmp_path / "wall.obj")
    assert ran.code == 2
    (line,) = ran.problems
    assert ".obj" in line
    assert ".glb" in line
    assert list(tmp_path.iterdir()) == []


def test_export_of_a_scene_that_cannot_be_built_leaves_the_old_file(run, tmp_path):
    (tmp_path / "wall.glb").write_text("old")
    (tmp_path / "bad.toml").write_text(scene_text(wall={"height": 2.4}))
    assert run("export", tmp_path / "bad.toml", tmp_path / "wall.glb").code == 2
    assert (tmp_path / "wall.glb").read_text() == "old"
