"""An output is replaced whole or not at all, and a failure is told in one line."""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path

import pytest

from cladmodel.errors import OutputError
from cladmodel.folders.one_file import write_whole


def only_file_in(folder: Path) -> Path:
    (found,) = list(folder.iterdir())
    return found


def test_writes_a_new_file(tmp_path: Path) -> None:
    path = tmp_path / "model.glb"
    assert write_whole(path, b"new") == path
    assert path.read_bytes() == b"new"
    assert only_file_in(tmp_path) == path


def test_a_new_file_is_as_open_to_others_as_any(tmp_path: Path) -> None:
    usual = tmp_path / "usual"
    usual.write_bytes(b"")
    made = write_whole(tmp_path / "made", b"")
    assert stat.S_IMODE(made.stat().st_mode) == stat.S_IMODE(usual.stat().st_mode)


def test_replaces_a_longer_file_and_keeps_its_mode(tmp_path: Path) -> None:
    path = tmp_path / "model.stl"
    path.write_bytes(b"old and longer")
    path.chmod(0o640)
    write_whole(path, b"new")
    assert path.read_bytes() == b"new"
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


def test_follows_a_link(tmp_path: Path) -> None:
    real, link = tmp_path / "real.stl", tmp_path / "link.stl"
    real.write_bytes(b"old")
    link.symlink_to(real)
    write_whole(link, b"new")
    assert link.is_symlink()
    assert real.read_bytes() == b"new"


def test_writes_to_a_device_without_replacing_it() -> None:
    write_whole(os.devnull, b"gone")
    assert stat.S_ISCHR(Path(os.devnull).stat().st_mode)


def test_longest_name_that_a_disk_takes(tmp_path: Path) -> None:
    longest = tmp_path / ("n" * 251 + ".stl")
    assert write_whole(longest, b"new").read_bytes() == b"new"


@pytest.mark.parametrize("fails", ["fsync", "replace"])
def test_a_failure_leaves_the_old_file_and_nothing_else(tmp_path: Path, monkeypatch, fails: str) -> None:
    path = tmp_path / "report.json"
    path.write_bytes(b"old")

    def full(*_args: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, fails, full)
    with pytest.raises(OutputError, match=r"report\.json: cannot be written: No space left on device\.$"):
        write_whole(path, b"new")
    assert path.read_bytes() == b"old"
    assert only_file_in(tmp_path) == path


def test_an_interrupt_leaves_the_old_file_and_nothing_else(tmp_path: Path, monkeypatch) -> None:
    path = tmp_path / "report.json"
    path.write_bytes(b"old")

    def stop(_handle: int) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "fsync", stop)
    with pytest.raises(KeyboardInterrupt):
        write_whole(path, b"new")
    assert path.read_bytes() == b"old"
    assert only_file_in(tmp_path) == path


def test_missing_folder(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match=r"there is no folder .*nowhere; make it first"):
        write_whole(tmp_path / "nowhere" / "model.glb", b"new")
    assert list(tmp_path.iterdir()) == []


def test_a_file_where_the_folder_should_be(tmp_path: Path) -> None:
    (tmp_path / "out").write_bytes(b"")
    with pytest.raises(OutputError, match="out is a file, not a folder"):
        write_whole(tmp_path / "out" / "model.glb", b"new")


def test_a_folder_where_the_file_should_be(tmp_path: Path) -> None:
    (tmp_path / "model.glb").mkdir()
    with pytest.raises(OutputError, match="a folder of that name is in the way"):
        write_whole(tmp_path / "model.glb", b"new")


def test_a_folder_that_may_not_be_written_to(tmp_path: Path, monkeypatch) -> None:
    closed = tmp_path / "closed"
    closed.mkdir()
    (closed / "model.glb").write_bytes(b"old")
    closed.chmod(0o555)
    if os.access(closed, os.W_OK):  # the superuser may write anywhere: let the system refuse by hand
        real = os.open

        def refuse(path: os.PathLike[str] | str, flags: int, *args: int) -> int:
            if Path(path).parent == closed:
                raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))
            return real(path, flags, *args)

        monkeypatch.setattr(os, "open", refuse)
    with pytest.raises(OutputError, match=r"model\.glb: cannot be written: Permission denied\.$") as raised:
        write_whole(closed / "model.glb", b"new")
    closed.chmod(0o755)
    assert "\n" not in str(raised.value)
    assert (closed / "model.glb").read_bytes() == b"old"
    assert only_file_in(closed).name == "model.glb"


@pytest.mark.parametrize("name", ["n" * 300 + ".glb", "null\0.glb"])
def test_a_name_that_no_disk_takes(tmp_path: Path, name: str) -> None:
    with pytest.raises(OutputError, match="cannot be written"):
        write_whole(tmp_path / name, b"new")
    assert list(tmp_path.iterdir()) == []


def test_a_link_that_leads_to_itself(tmp_path: Path) -> None:
    link = tmp_path / "model.glb"
    link.symlink_to(link)
    with pytest.raises(OutputError, match="cannot be written"):
        write_whole(link, b"new")
