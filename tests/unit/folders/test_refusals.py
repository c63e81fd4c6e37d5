"""Folders that no set may go to are refused with a clear word, and nothing is changed."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from cladmodel.errors import OutputError
from cladmodel.folders.whole import staged

from .sets import NEW, OLD, found, make, put


def refused(out: Path, words: str) -> None:
    with pytest.raises(OutputError, match=words), staged(out):
        raise AssertionError("nothing may be made")


def test_a_file_is_refused(tmp_path):
    (tmp_path / "out").write_text("mine")
    refused(tmp_path / "out", "out: cannot be written: it is a file, not a folder. Name another folder.")
    assert (tmp_path / "out").read_text() == "mine"


@pytest.mark.parametrize("name", [".", "", "../out", "absolute"])
def test_the_current_folder_is_refused(out, monkeypatch, name):
    monkeypatch.chdir(out)
    given = out if name == "absolute" else Path(name)
    refused(given, "is the current folder and cannot be replaced whole. Name a folder inside it, as ")
    assert found(out) == OLD


def test_a_folder_that_holds_the_current_one_is_refused(out, monkeypatch):
    monkeypatch.chdir(out / "drawings")
    refused(
        Path(".."),
        r"holds the current folder and cannot be replaced whole. Name a folder inside it, as \.\./out",
    )
    assert found(out) == OLD


@pytest.mark.skipif(not os.path.ismount("/proc"), reason="nothing is mounted at /proc here")
def test_a_disk_is_refused():
    refused(
        Path("/proc"),
        r"^/proc: a disk is mounted here, so it cannot be replaced whole\. Name .* as /proc/out",
    )


def test_a_folder_with_a_disk_in_it_is_refused(out, tmp_path, monkeypatch):
    """Told by the system's own list, which knows also a folder that is mounted a second time."""
    mounts = tmp_path / "mountinfo"
    monkeypatch.setattr("cladmodel.folders.refusals.MOUNTS", mounts)
    where = str(out / "my disk").replace(" ", "\\040")
    mounts.write_text(f"22 1 8:1 / / rw - ext4 /dev/sda rw\n31 22 8:1 /x {where} rw - ext4 /dev/sda rw\n")
    refused(out, "out: a disk is mounted inside it, at .*/out/my disk, so it cannot be replaced whole")
    mounts.write_text(f"31 22 8:1 /x {out} rw - ext4 /dev/sda rw\n")
    refused(
        out,
        "out: a disk is mounted here, so it cannot be replaced whole. Name a folder inside it, as .*/out/out",
    )
    assert found(out) == OLD


def test_a_link_that_leads_back_to_itself_is_refused(tmp_path):
    (tmp_path / "out").symlink_to("out")
    refused(tmp_path / "out", "cannot be written: .*Name another folder")


def test_a_name_that_no_folder_can_have_is_refused(tmp_path):
    refused(tmp_path / "a\0b", "cannot be written: .*null")
    refused(tmp_path / ("x" * 300), "cannot be written: File name too long")


def test_a_folder_inside_a_file_is_refused(tmp_path):
    (tmp_path / "file").write_text("mine")
    refused(tmp_path / "file" / "out", "cannot be written: .*Name a folder you may write to.")
    assert found(tmp_path) == {"file": "mine"}


def test_a_folder_in_one_that_may_not_be_written_is_refused_with_a_way_out(as_anyone):
    parent = as_anyone / "parent"
    put(parent / "out", OLD)
    parent.chmod(0o555)
    refused(
        parent / "out",
        r"cannot be replaced whole: Permission denied in .*/parent, where it stands. "
        r"Name a folder inside it, as .*/parent/out/out\.",
    )
    refused(parent / "else", "else: cannot be written: Permission denied. Name a folder you may write to.")
    make(parent / "out" / "out", NEW)
    assert found(parent / "out" / "out") == NEW
    parent.chmod(0o755)


def test_a_folder_that_may_not_be_written_is_refused(as_anyone):
    put(as_anyone / "out", OLD)
    (as_anyone / "out").chmod(0o555)
    refused(as_anyone / "out", "out: cannot be written: Permission denied. Name a folder you may write to.")
    assert found(as_anyone / "out") == OLD
    (as_anyone / "out").chmod(0o755)


def test_a_folder_of_the_users_that_may_not_be_written_is_carried_over(as_anyone):
    out = as_anyone / "out"
    make(out, OLD)
    put(out, {"kept/mine.txt": "mine"})
    (out / "kept").chmod(0o555)
    make(out, NEW)
    assert found(out) == NEW | {"kept/mine.txt": "mine"}
    assert [p.name for p in as_anyone.iterdir()] == ["out"]
    assert stat.S_IMODE((out / "kept").stat().st_mode) == 0o555
    (out / "kept").chmod(0o755)


def test_a_folder_of_the_users_that_may_not_be_read_stops_the_build_and_loses_nothing(as_anyone):
    out = as_anyone / "out"
    make(out, OLD)
    put(out, {"kept/mine.txt": "mine"})
    (out / "kept").chmod(0o000)
    with pytest.raises(OutputError, match="Permission denied"):
        make(out, NEW)
    (out / "kept").chmod(0o755)
    assert found(out) == OLD | {"kept/mine.txt": "mine"}
