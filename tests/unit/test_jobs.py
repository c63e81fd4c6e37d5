"""Whole jobs: steps told, files moved into place together or not at all."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from cladmodel import jobs
from cladmodel.checks.finding import Verdict, verdict
from cladmodel.checks.run import CHECKS, LASTING
from cladmodel.errors import OutputError, SceneError
from cladmodel.jobs import staged

from ..building import SCENES, scene_text

BARE = SCENES / "bare-wall.toml"


def test_staged_moves_all_files_at_the_end(tmp_path):
    out = tmp_path / "out"
    with staged(out) as stage:
        (stage / "a.txt").write_text("a")
        (stage / "b.txt").write_text("b")
        assert stage.parent == out
        assert not (out / "a.txt").exists()
    assert {p.name: p.read_text() for p in out.iterdir()} == {"a.txt": "a", "b.txt": "b"}


def test_staged_leaves_the_old_set_when_something_goes_wrong(tmp_path):
    (tmp_path / "a.txt").write_text("old")

    def half(folder: Path) -> None:
        with staged(folder) as stage:
            (stage / "a.txt").write_text("new")
            raise RuntimeError("half way")

    with pytest.raises(RuntimeError, match="half way"):
        half(tmp_path)
    assert [(p.name, p.read_text()) for p in tmp_path.iterdir()] == [("a.txt", "old")]


def test_staged_turns_a_full_disk_into_one_message(tmp_path):
    with pytest.raises(OutputError, match="No space left on device"), staged(tmp_path):
        raise OSError(28, "No space left on device")
    assert list(tmp_path.iterdir()) == []


def test_staged_says_when_the_folder_is_a_file(tmp_path):
    file = tmp_path / "out"
    file.write_text("mine")
    with pytest.raises(OutputError, match="it is a file, not a folder"), staged(file):
        pass
    assert file.read_text() == "mine"


def test_staged_files_get_the_usual_permissions(tmp_path):
    """A file made by a job can be read by whom any new file can be read."""
    usual = tmp_path / "usual"
    usual.write_text("x")
    with staged(tmp_path / "out") as stage:
        (stage / "a").write_text("x")
    assert (tmp_path / "out" / "a").stat().st_mode == usual.stat().st_mode


def test_build_tells_its_steps_and_lists_what_it_wrote(tmp_path):
    steps: list[str] = []
    outcome = jobs.build(BARE, tmp_path, pictures=False, say=steps.append)
    assert len(steps) >= 5
    assert len(set(steps)) == len(steps)
    assert steps[0] == "reading the scene"
    assert set(outcome.written) == {p for p in tmp_path.rglob("*") if p.is_file()}
    # The page alone may be missing: it can be left out when the package is installed.
    assert [line for line in outcome.missing if not line.startswith("page.html: ")] == []
    assert verdict(f for f in outcome.findings if f.check in CHECKS) is Verdict.OK
    assert {f.check for f in outcome.findings} >= {*CHECKS, *LASTING}


def test_build_replaces_an_older_set(tmp_path):
    (tmp_path / "report.json").write_text("old")
    (tmp_path / "notes.txt").write_text("mine")
    jobs.build(BARE, tmp_path, pictures=False, say=lambda _: None)
    assert json.loads((tmp_path / "report.json").read_text(encoding="utf-8"))["format"] >= 1
    assert (tmp_path / "notes.txt").read_text() == "mine"


@pytest.mark.parametrize("step", ["_write_model", "_write_drawings", "_write_report"])
def test_build_that_fails_part_way_leaves_the_old_set(tmp_path, monkeypatch, step):
    def broken(*_: object) -> None:
        raise OSError(28, "No space left on device")

    (tmp_path / "report.json").write_text("old")
    monkeypatch.setattr(jobs, step, broken)
    with pytest.raises(OutputError, match="No space left on device"):
        jobs.build(BARE, tmp_path, pictures=False, say=lambda _: None)
    assert [(p.name, p.read_text()) for p in tmp_path.iterdir()] == [("report.json", "old")]


def test_build_of_a_bad_scene_makes_no_folder(tmp_path):
    scene = tmp_path / "bad.toml"
    scene.write_text(scene_text(wall={"height": 2.4}))
    with pytest.raises(SceneError):
        jobs.build(scene, tmp_path / "out", pictures=False, say=lambda _: None)
    assert not (tmp_path / "out").exists()


def test_files_are_the_same_byte_for_byte_when_built_again(tmp_path):
    for name in ("one", "two"):
        jobs.build(BARE, tmp_path / name, pictures=False, say=lambda _: None)

    def contents(folder: Path) -> dict[str, bytes]:
        return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}

    assert contents(tmp_path / "one") == contents(tmp_path / "two")
