"""The folder beside the output folder: what killed runs leave is put right, living runs are left alone."""

from __future__ import annotations

import errno

import pytest

from cladmodel.errors import OutputError
from cladmodel.folders.scratch import scratch_of
from cladmodel.folders.whole import staged

from .sets import MINE, NEW, OLD, found, make, put


def test_what_a_killed_run_left_beside_the_folder_is_tidied(out):
    scratch = scratch_of(out)
    (scratch / "new").mkdir(parents=True)
    (scratch / "lock").write_bytes(str((scratch / "new").stat().st_ino).encode() + b"\nout")
    put(scratch / "new", {"half.txt": "made"})
    make(out, NEW)
    assert found(out) == NEW
    assert [p.name for p in out.parent.iterdir()] == ["out"]


def test_a_file_saved_just_before_a_run_was_killed_is_fetched_from_its_old_folder(out):
    """Killed when the folders had changed places and before what was saved last could be carried over."""
    scratch = scratch_of(out)
    (scratch / "new").mkdir(parents=True)
    (scratch / "lock").write_bytes(str(out.stat().st_ino).encode() + b"\nout")
    put(scratch / "new", {"late.txt": "late"})
    make(out, NEW)
    assert found(out) == NEW | {"late.txt": "late"}


@pytest.mark.parametrize("made", [False, True], ids=["between the renames", "after both"])
def test_the_old_set_of_a_run_killed_between_two_renames_is_put_back(out, made):
    scratch = scratch_of(out)
    scratch.mkdir()
    put(out, MINE)
    out.rename(scratch / "old")
    (scratch / "new").mkdir()
    (scratch / "lock").write_bytes(str((scratch / "new").stat().st_ino).encode() + b"\nout")
    put(scratch / "new", NEW)
    if made:
        (scratch / "new").rename(out)
    with staged(out) as stage:
        assert found(out) == (NEW if made else OLD) | MINE
        put(stage, NEW)
    assert found(out) == NEW | MINE
    assert [p.name for p in out.parent.iterdir()] == ["out"]


def test_what_a_killed_run_left_inside_the_folder_is_tidied(out):
    inner = out / "other"
    put(inner, {"report.md": "other"})
    scratch = scratch_of(inner)
    (scratch / "new").mkdir(parents=True)
    (scratch / "lock").write_bytes(str((scratch / "new").stat().st_ino).encode() + b"\nother")
    put(scratch / "new", {"half.txt": "made"})
    make(out, NEW)
    assert found(out) == NEW | {"other/report.md": "other"}


def test_a_second_run_into_the_same_folder_is_refused_while_the_first_is_at_work(out):
    with staged(out) as stage:
        put(stage, NEW)
        with pytest.raises(OutputError, match=r"another build is writing to it. Wait until it is done"):
            make(out, OLD)
        assert found(out) == OLD
    assert found(out) == NEW
    assert [p.name for p in out.parent.iterdir()] == ["out"]


def test_a_run_into_a_folder_that_holds_one_at_work_is_refused(out):
    with staged(out / "inner") as stage:
        put(stage, NEW)
        with pytest.raises(OutputError, match="another build is writing"):
            make(out, OLD)
    assert found(out) == OLD | {f"inner/{name}": text for name, text in NEW.items()}


def test_a_scratch_folder_of_someone_elses_is_left_alone(out, tmp_path):
    elsewhere = tmp_path / "elsewhere"
    put(elsewhere, {"new/mine.txt": "mine"})
    scratch_of(out).symlink_to(elsewhere)
    make(out, NEW)
    assert found(out) == NEW
    assert found(elsewhere) == {"new/mine.txt": "mine"}
    assert sorted(p.name for p in tmp_path.iterdir()) == sorted(["out", "elsewhere", scratch_of(out).name])


def test_a_file_system_without_locks_still_gets_whole_sets(out, monkeypatch):
    def no_locks(*_: object) -> None:
        raise OSError(errno.ENOLCK, "No locks available")

    monkeypatch.setattr("cladmodel.folders.scratch._lock", no_locks)
    make(out, NEW)
    assert found(out) == NEW
