"""A set goes into a folder whole or not at all; the user's own files stay."""

from __future__ import annotations

import errno
import hashlib
import os
import shutil
import stat
import subprocess
import sys
import threading
from pathlib import Path

import pytest

from cladmodel.errors import OutputError
from cladmodel.folders import carrying, exchange, whole
from cladmodel.folders.manifest import MANIFEST
from cladmodel.folders.whole import staged

from .sets import MINE, NEW, OLD, fail, found, make, put


def test_a_set_is_made_beside_the_folder_and_comes_in_at_the_end(tmp_path):
    out = tmp_path / "out"
    with staged(out) as stage:
        put(stage, NEW)
        assert stage.is_relative_to(tmp_path)
        assert not out.exists()
    assert found(out) == NEW
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_the_folders_it_stands_in_are_made_and_taken_away_if_it_comes_to_nothing(tmp_path):
    make(tmp_path / "a" / "b" / "out", NEW)
    assert found(tmp_path / "a" / "b" / "out") == NEW
    with pytest.raises(RuntimeError):
        fail(tmp_path / "c" / "d" / "out", RuntimeError())
    assert [p.name for p in tmp_path.iterdir()] == ["a"]


def test_files_that_the_new_set_has_not_are_gone(out):
    make(out, NEW)
    assert found(out) == NEW


def test_an_empty_folder_of_the_old_set_is_gone(out):
    make(out, {"report.md": "new"})
    assert sorted(p.name for p in out.iterdir()) == sorted([MANIFEST, "report.md"])


def test_the_list_proves_the_set_whole(out):
    lines = (out / MANIFEST).read_text().splitlines()
    assert lines == [f"{hashlib.sha256(b'old').hexdigest()}  {name}" for name in sorted(OLD)]
    if shutil.which("sha256sum"):
        subprocess.run(["sha256sum", "--strict", "-c", MANIFEST], cwd=out, check=True, capture_output=True)


@pytest.mark.parametrize("listed", [True, False], ids=["set with a list", "folder without a list"])
def test_the_users_own_files_are_the_same_files_afterwards(out, listed):
    put(out, MINE)
    (out / "empty").mkdir()
    (out / "link").symlink_to("notes.txt")
    (out / "broken link").symlink_to("nowhere")
    (out / "photos").chmod(0o750)
    os.utime(out / "notes.txt", (1000, 1000))
    inode = (out / "notes.txt").stat().st_ino
    if not listed:
        (out / MANIFEST).unlink()
    make(out, NEW)
    stays = {} if listed else {name: text for name, text in OLD.items() if name not in NEW}
    assert found(out) == NEW | MINE | stays | {"link": "mine"}
    assert (out / "empty").is_dir()
    assert (out / "link").readlink() == Path("notes.txt")
    assert (out / "broken link").readlink() == Path("nowhere")
    assert stat.S_IMODE((out / "photos").stat().st_mode) == 0o750
    assert (out / "notes.txt").stat().st_mtime == 1000
    assert (out / "notes.txt").stat().st_ino == inode
    assert [p.name for p in out.parent.iterdir()] == ["out"]


def test_where_files_cannot_have_two_names_they_are_copied(out, monkeypatch):
    def no_links(*_: object) -> None:
        raise OSError(errno.EPERM, "Operation not permitted")

    put(out, MINE)
    os.utime(out / "notes.txt", (1000, 1000))
    monkeypatch.setattr(carrying.os, "link", no_links)
    make(out, NEW)
    assert found(out) == NEW | MINE
    assert (out / "notes.txt").stat().st_mtime == 1000


def test_a_file_of_the_old_set_that_the_user_changed_is_the_users(out):
    (out / "layers.png").write_text("with arrows drawn on it")
    make(out, NEW)
    assert found(out) == NEW | {"layers.png": "with arrows drawn on it"}


@pytest.mark.parametrize("copied", [False, True], ids=["linked", "copied"])
def test_what_the_user_saves_while_the_folders_change_places_is_not_lost(out, monkeypatch, copied):
    def saved_just_then(new: Path, folder: Path, aside: Path) -> Path | None:
        (folder / "late.txt").write_text("late")
        (folder / "notes.txt").write_text("later")
        return exchange.put_in_place(new, folder, aside)

    put(out, MINE)
    os.utime(out / "notes.txt", (1000, 1000))
    monkeypatch.setattr(whole, "put_in_place", saved_just_then)
    if copied:
        monkeypatch.setattr(carrying.os, "link", lambda *_: (_ for _ in ()).throw(OSError(errno.EPERM, "no")))
    make(out, NEW)
    assert found(out) == NEW | MINE | {"late.txt": "late", "notes.txt": "later"}


@pytest.mark.parametrize(
    ("mine", "new"),
    [
        pytest.param({"schedules": "mine"}, NEW, id="a file where a folder goes"),
        pytest.param({"report.md/mine.txt": "mine"}, NEW, id="a folder where a file goes"),
        pytest.param({"plan.svg/deep/mine.txt": "mine"}, {"plan.svg/deep": "new"}, id="deeper"),
    ],
)
def test_what_is_in_the_way_is_named_and_nothing_is_changed(tmp_path, mine, new):
    out = tmp_path / "out"
    put(out, mine)
    with pytest.raises(OutputError, match=r"is in the way of what is made here. Move it or rename it"):
        make(out, new)
    assert found(out) == mine
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


def test_a_run_that_fails_leaves_the_old_set(out):
    with pytest.raises(RuntimeError, match="half way"):
        fail(out, RuntimeError("half way"))
    assert found(out) == OLD
    assert [p.name for p in out.parent.iterdir()] == ["out"]


def test_a_full_disk_is_one_message_and_leaves_the_old_set(out):
    with pytest.raises(OutputError, match=r"No space left on device. Make room, or name a folder on another"):
        fail(out, OSError(errno.ENOSPC, "No space left on device"))
    assert found(out) == OLD


def steps_of_the_end() -> list[tuple[object, str]]:
    return [
        (whole, "write_manifest"),
        (whole, "settle_inside"),
        (whole, "carry_over"),
        (whole, "flush"),
        (whole, "put_in_place"),
        (exchange, "exchange"),
    ]


@pytest.mark.parametrize(
    ("module", "step"), steps_of_the_end(), ids=lambda v: v if isinstance(v, str) else ""
)
def test_a_disk_that_fills_at_the_very_end_leaves_the_old_set(out, monkeypatch, module, step):
    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    put(out, MINE)
    monkeypatch.setattr(module, step, full)
    with pytest.raises(OutputError, match="No space left on device"):
        make(out, NEW)
    assert found(out) == OLD | MINE
    assert [p.name for p in out.parent.iterdir()] == ["out"]


@pytest.mark.skipif(sys.platform not in ("linux", "darwin"), reason="no exchange of two folders here")
def test_whoever_looks_while_sets_are_replaced_finds_a_whole_one(out):
    """Names alone are looked at: one look at a folder is one moment, reading its files is many."""
    sets = [{*OLD, "old.txt"}, {*NEW, "new.txt"}]
    whole = [sorted({name.split("/")[0] for name in names} | {MANIFEST}) for names in sets]
    looks: list[list[str] | str] = []
    over = threading.Event()

    def look() -> None:
        while not over.is_set():
            try:
                handle = os.open(out, os.O_RDONLY)
            except FileNotFoundError:
                looks.append("no folder")
                continue
            names = sorted(os.listdir(handle))  # noqa: PTH208 - of the folder that was opened
            if os.path.samestat(os.fstat(handle), out.stat()):  # else it was taken away under our eyes
                looks.append(names)
            os.close(handle)

    make(out, dict.fromkeys(sets[0], "x"))
    looker = threading.Thread(target=look)
    looker.start()
    for n in range(1, 31):
        make(out, dict.fromkeys(sets[n % 2], "x"))
    over.set()
    looker.join()
    assert [odd for odd in looks if odd not in whole] == []
    assert all(names in looks for names in whole)


def test_a_system_without_the_exchange_gets_two_renames(out, monkeypatch):
    put(out, MINE)
    monkeypatch.setattr(exchange, "exchange", lambda *_: False)
    make(out, NEW)
    assert found(out) == NEW | MINE
    assert [p.name for p in out.parent.iterdir()] == ["out"]


def test_when_the_second_rename_fails_the_old_set_is_put_back(out, monkeypatch):
    plain = Path.rename

    def fails_for_the_new(self: Path, target: Path) -> Path:
        if self.name == "new":
            raise OSError(errno.EIO, "Input/output error")
        return plain(self, target)

    monkeypatch.setattr(exchange, "exchange", lambda *_: False)
    monkeypatch.setattr(Path, "rename", fails_for_the_new)
    with pytest.raises(OutputError, match="Input/output error"):
        make(out, NEW)
    assert found(out) == OLD


def test_files_and_folder_get_the_usual_permissions_and_an_old_folder_keeps_its_own(tmp_path):
    usual, out = tmp_path / "usual", tmp_path / "out"
    put(usual, {"a": "x"})
    make(out, {"a": "x"})
    assert out.stat().st_mode == usual.stat().st_mode
    assert (out / "a").stat().st_mode == (usual / "a").stat().st_mode
    out.chmod(0o2770)
    make(out, {"a": "y"})
    assert stat.S_IMODE(out.stat().st_mode) == 0o2770


def test_a_link_to_a_folder_stays_a_link_and_its_folder_is_replaced(out, tmp_path):
    link = tmp_path / "link"
    link.symlink_to(out)
    make(link, NEW)
    assert link.readlink() == out
    assert found(out) == NEW


def test_a_link_to_a_folder_that_is_not_there_yet_has_it_made(tmp_path):
    (tmp_path / "link").symlink_to("out")
    make(tmp_path / "link", NEW)
    assert (tmp_path / "link").is_symlink()
    assert found(tmp_path / "out") == NEW


def test_a_folder_with_the_longest_name_there_is(tmp_path):
    make(tmp_path / ("x" * 255), NEW)
    make(tmp_path / ("x" * 255), OLD)
    assert found(tmp_path / ("x" * 255)) == OLD
