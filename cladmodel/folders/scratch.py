"""The scratch folder beside an output folder: one run's at a time, and tidied after a run that was killed.

::

    parent/out                      the output folder
    parent/.cladmodel-<hash>/       its scratch folder, while a build runs
        lock                        locked as long as the run lives; tells which folder `new` was made as
        new/                        the set being made; once the two have changed places, the old set
        old/                        the old set, only where the system cannot let two folders change places
"""

from __future__ import annotations

import hashlib
import os
import shutil
import stat
import sys
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

from cladmodel.errors import OutputError
from cladmodel.folders.carrying import SCRATCH, carry_over

# Times that a scratch folder may vanish under our hands, as when another run ends just then.
TRIES = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Scratch:
    """A scratch folder that this run alone holds.

    Attributes
    ----------
    path : Path
    folder : Path
        The output folder that it is for.
    lock : int
        Handle of its locked file.
    """

    path: Path
    folder: Path
    lock: int

    @property
    def new(self) -> Path:
        """Where the new set is made."""
        return self.path / "new"

    @property
    def old(self) -> Path:
        """Where the old set goes if two folders cannot change places in one step."""
        return self.path / "old"

    def begin(self) -> Path:
        """Make the folder for the new set, and write down which one it is."""
        self.new.mkdir()
        _write(self.lock, f"{self.new.stat().st_ino}\n".encode() + os.fsencode(self.folder.name))
        return self.new

    def settle(self) -> None:
        """Put right what a killed run left: its old set back in place, the user's files too; then tidy.

        Raises
        ------
        OSError, OutputError
            If a file of the user's cannot be put back; it is then still in the scratch folder.
        """
        if self.old.is_dir() and not os.path.lexists(self.folder):
            self.old.rename(self.folder)
        made_as = _read(self.lock).partition(b"\n")[0]
        for left in (self.old, self.new):
            is_old_set = left.is_dir() and (left == self.old or _number(left) != made_as)
            if is_old_set and made_as and self.folder.is_dir():
                carry_over(left, self.folder)
        for left in self.path.iterdir():
            if left.name != "lock":
                remove(left)
        _write(self.lock, b"")


@contextmanager
def held(folder: Path) -> Iterator[Scratch]:
    """Hold an output folder's scratch folder, and take it away in the end.

    Parameters
    ----------
    folder : Path
        Absolute, without links. The folder it stands in must be there.

    Raises
    ------
    OutputError
        If another run holds it.
    OSError
        If it cannot be made.
    """
    scratch = _take(folder)
    try:
        scratch.settle()
        yield scratch
    finally:
        # What cannot be tidied now is tidied by the next run. The lock goes last.
        with suppress(OSError, OutputError):
            scratch.settle()
            remove(scratch.path)
        os.close(scratch.lock)


def settle_inside(folder: Path) -> None:
    """Tidy what killed runs left anywhere inside an output folder, as of one that once stood there.

    Parameters
    ----------
    folder : Path

    Raises
    ------
    OutputError
        If a living run is writing inside it.
    """
    for path in sorted(folder.rglob(f"{SCRATCH}*/lock")):
        name = os.fsdecode(path.read_bytes().partition(b"\n")[2])
        if name and scratch_of(path.parents[1] / name) == path.parent:
            with held(path.parents[1] / name):
                pass


def scratch_of(folder: Path) -> Path:
    """Path of an output folder's scratch folder: beside it, and no longer than names may be.

    Parameters
    ----------
    folder : Path
    """
    name = os.fsencode(os.path.normcase(folder.name))
    return folder.parent / f"{SCRATCH}{hashlib.sha256(name).hexdigest()[:16]}"


def remove(path: Path) -> None:
    """Take away a folder with all that is in it, also where its own folders may not be written to.

    Parameters
    ----------
    path : Path

    Raises
    ------
    OSError
        If something cannot be taken away.
    """
    if path.is_symlink() or not path.is_dir():
        path.unlink()
        return
    for inside, folders, _ in os.walk(path):
        for name in folders:
            below = Path(inside) / name
            if not below.is_symlink():
                below.chmod(stat.S_IRWXU)
    shutil.rmtree(path)


def _take(folder: Path) -> Scratch:
    path = scratch_of(folder)
    for _ in range(TRIES):
        with suppress(FileExistsError):  # a link to nothing, or one taken away just then
            path.mkdir(exist_ok=True)
        try:
            if path.is_symlink() or not _is_mine(path):
                break
            lock = os.open(path / "lock", os.O_RDWR | os.O_CREAT | getattr(os, "O_NOFOLLOW", 0), 0o600)
        except FileNotFoundError:
            continue  # the run that held it has just taken it away
        try:
            got = _lock(lock)
        except OSError:  # a file system without locks
            os.close(lock)
            break
        if got and _is_still_there(path / "lock", lock):
            return Scratch(path=path, folder=folder, lock=lock)
        os.close(lock)
        if not got:
            raise OutputError(
                f"{folder}: another build is writing to it. Wait until it is done, or name another folder."
            )
    # Someone else's, or without locks: one with a name of its own, which no other run will touch.
    path = Path(tempfile.mkdtemp(prefix=f"{path.name}-", dir=folder.parent))
    lock = os.open(path / "lock", os.O_RDWR | os.O_CREAT, 0o600)
    return Scratch(path=path, folder=folder, lock=lock)


def _is_mine(path: Path) -> bool:
    return sys.platform == "win32" or path.lstat().st_uid == os.geteuid()


def _is_still_there(path: Path, handle: int) -> bool:
    try:
        return os.path.samestat(path.stat(), os.fstat(handle))
    except FileNotFoundError:
        return False


def _lock(handle: int) -> bool:
    """Lock an open file until it is closed or the process ends; False if another has it."""
    if sys.platform == "win32":
        import msvcrt

        try:
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        except PermissionError:
            return False
        return True
    import fcntl

    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True


def _number(folder: Path) -> bytes:
    return str(folder.stat().st_ino).encode()


def _write(handle: int, data: bytes) -> None:
    os.lseek(handle, 0, os.SEEK_SET)
    os.ftruncate(handle, 0)
    os.write(handle, data)
    os.fsync(handle)


def _read(handle: int) -> bytes:
    os.lseek(handle, 0, os.SEEK_SET)
    return os.read(handle, 8192)
