"""The user's own files in an output folder: told from the set's, and carried over to the next one."""

from __future__ import annotations

import os
import shutil
import stat
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path, PurePosixPath

from cladmodel.errors import OutputError
from cladmodel.folders.manifest import MANIFEST, is_as_listed, read_manifest

SCRATCH = ".cladmodel-"
"""What the name of a scratch folder begins with."""


def carry_over(old: Path, new: Path) -> None:
    """Give a new set's folder what is the user's own in the old one.

    A file of the old set is one on its list and unchanged since; all else is the user's, also whatever a
    folder without a list holds. Each of the user's files becomes a second name of the same file (a hard
    link), or a copy where the file system has no such links. What has the name of a file of the new set
    is replaced by it. Done again after the folders have changed places, it fetches what the user saved
    in between.

    Parameters
    ----------
    old : Path
        Left as it is.
    new : Path
        Holds the new set with its list.

    Raises
    ------
    OutputError
        If a folder of the user's stands where a file of the set goes or the other way round, or a
        file can be neither linked nor copied.
    OSError
        If the disk is full or a file may not be read.
    """
    listed = read_manifest(old)
    move = _Move(
        old=old,
        new=new,
        listed=listed,
        folders=frozenset(folder for name in listed for folder in PurePosixPath(name).parents),
        fresh=frozenset((MANIFEST, *read_manifest(new))),
    )
    _carry(move, PurePosixPath())


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Move:
    """From which folder to which: the old set's files and folders, the new set's files."""

    old: Path
    new: Path
    listed: Mapping[str, str]
    folders: frozenset[PurePosixPath]
    fresh: frozenset[str]


def _carry(move: _Move, folder: PurePosixPath) -> None:
    with os.scandir(move.old / folder) as found:
        entries = sorted(found, key=lambda entry: entry.name)
    for entry in entries:
        name = folder / entry.name
        if entry.is_dir(follow_symlinks=False):
            _carry_folder(move, name)
        elif str(name) not in move.fresh and not is_as_listed(move.old, str(name), move.listed):
            _carry_file(move, name)


def _carry_folder(move: _Move, name: PurePosixPath) -> None:
    source, target = move.old / name, move.new / name
    if name.name.startswith(SCRATCH):
        if (source / "new").exists() or (source / "old").exists():
            raise OutputError(f"{source}: another build is writing in here. Let it finish, or remove this.")
        return
    mine = not target.is_dir() and name not in move.folders
    if mine:
        _make_folder(move, name)
    _carry(move, name)
    if mine:
        shutil.copystat(source, target)


def _make_folder(move: _Move, name: PurePosixPath) -> None:
    for part in (*reversed(name.parents), name):
        target = move.new / part
        if os.path.lexists(target) and not target.is_dir():
            raise _in_the_way(move, part)
        target.mkdir(exist_ok=True)


def _carry_file(move: _Move, name: PurePosixPath) -> None:
    source, target = move.old / name, move.new / name
    if os.path.lexists(target):
        if target.is_dir() and not target.is_symlink():
            raise _in_the_way(move, name)
        there, here = target.lstat(), source.lstat()
        if os.path.samestat(there, here) or here.st_mtime_ns <= there.st_mtime_ns:
            return
        target.unlink()
    _make_folder(move, name.parent)
    if source.is_symlink():
        target.symlink_to(source.readlink())
        return
    try:
        os.link(source, target)
    except OSError:
        if not stat.S_ISREG(source.lstat().st_mode):
            raise OutputError(f"{source}: is no ordinary file and cannot be carried over. Move it.") from None
        shutil.copy2(source, target)


def _in_the_way(move: _Move, name: PurePosixPath) -> OutputError:
    return OutputError(f"{move.old / name}: is in the way of what is made here. Move it or rename it.")
