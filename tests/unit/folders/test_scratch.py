"""The folder beside the output folder: what killed runs leave is put right, living runs are left alone."""

from __future__ import annotations

import errno
import subprocess
import sys

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


def test_many_runs_of_their_own_into_one_folder_end_whole_or_are_refused(out):
    """Each puts a set of five files with its own name in them, again and again."""
    code = (
        "import sys\n"
        "from pathlib import Path\n"
        "from cladmodel.errors import OutputError\n"
        "from cladmodel.folders.whole import staged\n"
        "out, word = Path(sys.argv[1]), sys.argv[2]\n"
        "for n in range(40):\n"
        "    try:\n"
        "        with staged(out) as stage:\n"
        "            for name in ('report.md', word, *(f'drawings/{word}{i}' for i in range(3))):\n"
        "                (stage / name).parent.mkdir(exist_ok=True)\n"
        "                (stage / name).write_text(word)\n"
        "        print('put')\n"
        "    except OutputError as error:\n"
        "        print('refused' if 'another build is writing to it' in str(error) else error)\n"
    )
    put(out, MINE)
    runs = {
        word: subprocess.Popen([sys.executable, "-c", code, out, word], stdout=subprocess.PIPE, text=True)
        for word in ("one", "two", "three")
    }
    came_to = {word: run.communicate(timeout=120)[0].split() for word, run in runs.items()}
    assert [run.returncode for run in runs.values()] == [0, 0, 0]
    assert {len(words) for words in came_to.values()} == {40}
    assert {word for words in came_to.values() for word in words} <= {"put", "refused"}
    sets = [
        dict.fromkeys(("report.md", word, *(f"drawings/{word}{i}" for i in range(3))), word)
        for word in came_to
    ]
    left = found(out)
    assert {name: left.pop(name) for name in MINE} == MINE
    assert left in sets
    assert [p.name for p in out.parent.iterdir()] == ["out"]
