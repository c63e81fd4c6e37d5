"""A set of files goes into a folder whole or not at all."""

from __future__ import annotations

import errno
import os
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from cladmodel.errors import OutputError
from cladmodel.folders.carrying import carry_over
from cladmodel.folders.exchange import flush, flush_names, put_in_place
from cladmodel.folders.manifest import MANIFEST, read_manifest, write_manifest
from cladmodel.folders.refusals import folder_meant, reason
from cladmodel.folders.scratch import Scratch, held, remove, scratch_of, settle_inside

# What a system says to whom may not write.
LOCKED = {errno.EACCES, errno.EPERM, errno.EROFS}
REMEDIES = {
    errno.ENOSPC: "Make room, or name a folder on another disk.",
    errno.EXDEV: "Name a folder that is not there yet.",
}


@contextmanager
def staged(out: Path) -> Iterator[Path]:
    """Give a scratch folder whose files become the folder `out` when all went well.

    The set is made beside the folder and changes places with it in one step: whoever looks, and whenever
    the run is killed, finds the whole old set or the whole new one (`exchange` says what systems that
    cannot do this leave). Files of the old set that the new one has not are gone; files of the user's
    own are carried over. A run that fails or is stopped leaves the folder as it was; what a killed one
    leaves beside it is tidied by the next run for the same folder.

    Parameters
    ----------
    out : Path
        Made if it is not there, with the folders it stands in. A link is followed.

    Yields
    ------
    Path
        Empty folder on the same file system.

    Raises
    ------
    OutputError
        If the folder cannot be made, written or replaced, or another run is writing to it.
    """
    folder = folder_meant(out)
    try:
        if folder.is_dir() and not _may_write(folder):
            raise _cannot(out, folder, PermissionError(errno.EACCES, os.strerror(errno.EACCES)))
        with _parents(folder), held(folder) as scratch:
            stage = scratch.begin()
            yield stage
            _finish(scratch)
    except OSError as error:
        raise _cannot(out, folder, error) from error


def tidy(out: Path) -> None:
    """Put right and take away what a killed run left beside a folder; nothing if it left nothing.

    Parameters
    ----------
    out : Path

    Raises
    ------
    OutputError
        If it cannot be tidied, or another run is writing to the folder.
    """
    folder = folder_meant(out)
    try:
        if scratch_of(folder).is_dir():
            with held(folder):
                pass
    except OSError as error:
        raise _cannot(out, folder, error) from error


def _finish(scratch: Scratch) -> None:
    new, folder = scratch.new, scratch.folder
    write_manifest(new)
    if folder.is_dir():
        settle_inside(folder)
        carry_over(folder, new)
        _take_rights(folder, new)
    flush(new, (*read_manifest(new), MANIFEST))
    old = put_in_place(new, folder, scratch.old)
    with suppress(OSError):  # the set is in place; a folder that may not be read cannot be flushed
        flush_names(folder.parent)
    if old is not None:
        carry_over(old, folder)
        with suppress(OSError):  # what stays is tidied with the scratch folder
            remove(old)


def _take_rights(folder: Path, new: Path) -> None:
    """Owner, group and permissions of the folder that is replaced, as far as we may give them."""
    had = folder.stat()
    with suppress(OSError, AttributeError):
        os.chown(new, had.st_uid, had.st_gid)
    new.chmod(had.st_mode & 0o7777)


@contextmanager
def _parents(folder: Path) -> Iterator[None]:
    """Make the folders that a folder stands in; take them away again if it comes to nothing."""
    missing = [parent for parent in folder.parents if not parent.exists()]
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        yield
    except BaseException:
        for parent in missing:
            with suppress(OSError):
                parent.rmdir()
        raise


def _may_write(folder: Path) -> bool:
    return os.access(folder, os.W_OK | os.X_OK, effective_ids=os.access in os.supports_effective_ids)


def _cannot(out: Path, folder: Path, error: OSError) -> OutputError:
    why = reason(error)
    if error.errno in LOCKED and folder.is_dir() and _may_write(folder) and not _may_write(folder.parent):
        return OutputError(
            f"{out}: cannot be replaced whole: {why} in {folder.parent}, where it stands. "
            f"Name a folder inside it, as {out / 'out'}."
        )
    remedy = REMEDIES.get(error.errno or 0, "Name a folder you may write to.")
    return OutputError(f"{out}: cannot be written: {why}. {remedy}")
