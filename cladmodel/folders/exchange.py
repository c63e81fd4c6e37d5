"""Two folders change places in one step, as far as the system can; and what is written is on the disk.

Linux (``renameat2`` with ``RENAME_EXCHANGE``) and macOS (``renamex_np`` with ``RENAME_SWAP``) exchange two
names so that each name always leads to a whole folder. Other systems, and file systems that do not know
the exchange, get two renames: killed between them, the folder is missing under its own name and lies
whole in the scratch folder beside it, from where the next build of the same folder puts it back.
"""

from __future__ import annotations

import ctypes
import errno
import os
import sys
from collections.abc import Iterable
from pathlib import Path

RENAME_EXCHANGE = 2  # linux/fs.h
AT_FDCWD = -100  # fcntl.h, Linux
RENAME_SWAP = 2  # sys/stdio.h, macOS

# What a system says whose kernel or file system does not know the exchange.
UNKNOWN = {errno.ENOSYS, errno.EINVAL, errno.ENOTSUP, errno.EOPNOTSUPP}


def put_in_place(new: Path, folder: Path, aside: Path) -> Path | None:
    """Give a finished folder the name of an older one.

    Parameters
    ----------
    new : Path
        On the same file system.
    folder : Path
        Name that it gets; an older folder may stand there.
    aside : Path
        Where the older one goes if the system cannot exchange the two.

    Returns
    -------
    Path or None
        Where the older folder is now; None if there was none.

    Raises
    ------
    OSError
        If neither is possible. The older folder is then where it was.
    """
    if not folder.exists():
        new.rename(folder)
        return None
    if exchange(new, folder):
        return new
    folder.rename(aside)
    try:
        new.rename(folder)
    except BaseException:
        aside.rename(folder)
        raise
    return aside


def exchange(one: Path, other: Path) -> bool:
    """Let two names change places in one step.

    Parameters
    ----------
    one, other : Path
        Both exist, on one file system.

    Returns
    -------
    bool
        False, and nothing done, where the system cannot.

    Raises
    ------
    OSError
        If it can but will not.
    """
    names = os.fsencode(one), os.fsencode(other)
    if sys.platform not in ("linux", "darwin"):
        return False
    libc = ctypes.CDLL(None, use_errno=True)
    if hasattr(libc, "renameat2"):
        failed = libc.renameat2(AT_FDCWD, names[0], AT_FDCWD, names[1], ctypes.c_uint(RENAME_EXCHANGE))
    elif hasattr(libc, "renamex_np"):
        failed = libc.renamex_np(*names, ctypes.c_uint(RENAME_SWAP))
    else:
        return False
    if not failed:
        return True
    code = ctypes.get_errno()
    if code in UNKNOWN:
        return False
    raise OSError(code, os.strerror(code), str(other))


def flush(folder: Path, files: Iterable[str]) -> None:
    """Have a folder's files on the disk, and every folder in it, before anyone is told of them.

    Parameters
    ----------
    folder : Path
    files : iterable of str
        Names within the folder. A name that is a link or not there any more is passed over.
    """
    for name in files:
        file = folder / name
        if file.is_file() and not file.is_symlink():
            _sync(file, os.O_RDWR)
    for inside, _, _ in os.walk(folder):
        flush_names(Path(inside))


def flush_names(folder: Path) -> None:
    """Have the names in one folder on the disk; nothing where the system opens no folders.

    Parameters
    ----------
    folder : Path
    """
    if os.name == "posix":
        _sync(folder, os.O_RDONLY)


def _sync(path: Path, how: int) -> None:
    handle = os.open(path, how)
    try:
        os.fsync(handle)
    except OSError as error:
        if error.errno not in UNKNOWN:  # some file systems have no fsync of a folder
            raise
    finally:
        os.close(handle)
