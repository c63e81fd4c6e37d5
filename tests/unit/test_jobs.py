"""Whole jobs: steps told, one set of files in one folder, whole or not at all."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from cladmodel import jobs
from cladmodel.checks.finding import Verdict, verdict
from cladmodel.checks.run import CHECKS, LASTING
from cladmodel.errors import OutputError, SceneError

from ..building import SCENES, scene_text

BARE = SCENES / "bare-wall.toml"


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
