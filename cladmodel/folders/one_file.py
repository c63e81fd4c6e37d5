"""Write a file whole or not at all."""

from __future__ import annotations

import contextlib
import os
import secrets
from pathlib import Path

from cladmodel.errors import OutputError
from cladmodel.folders.refusals import reason

# What any new file asks for before the user's umask takes its share; the same as open() asks for.
NEW_FILE_MODE = 0o666


def write_whole(path: str | os.PathLike[str], data: bytes) -> Path:
    """Replace a file's contents in one step: readers see the old file or the new one, never half of one.

    The bytes go to a temporary file beside the target, are flushed to the disk, and are then renamed
    over it. A link is followed, so that the file it points to is replaced. Devices and pipes
    cannot be renamed over and are written to directly.

    Parameters
    ----------
    path : str or path-like
    data : bytes

    Returns
    -------
    Path
        The path as given.

    Raises
    ------
    OutputError
        If the folder is missing or cannot be written to, or the disk will not take the file.
        Whatever was there before is left as it was.
    """
    given = Path(path)
    try:
        target = given.resolve()
        _refuse_impossible(given, target)
        if target.exists() and not target.is_file():
            target.write_bytes(data)
        else:
            _write_beside_and_rename(target, data)
    except (OSError, ValueError, RuntimeError) as error:
        # ValueError: a null character in the name. RuntimeError: a link that leads back to itself.
        raise OutputError(f"{given}: cannot be written: {reason(error)}.") from error
    return given


def need_place(path: str | os.PathLike[str]) -> None:
    """Refuse a path that could never be written, before the work whose outcome is to go there.

    Parameters
    ----------
    path : str or path-like

    Raises
    ------
    OutputError
        If the folder is missing, a folder of that name is in the way, or no file can be called so.
    """
    given = Path(path)
    try:
        target = given.resolve()
        _refuse_impossible(given, target)
        target.exists()
    except (OSError, ValueError, RuntimeError) as error:
        raise OutputError(f"{given}: cannot be written: {reason(error)}.") from error


def _refuse_impossible(given: Path, target: Path) -> None:
    """Say plainly what is wrong with a path that could never be written."""
    if target.is_dir():
        raise OutputError(f"{given}: cannot be written: a folder of that name is in the way.")
    folder = target.parent
    if not folder.exists():
        raise OutputError(f"{given}: cannot be written: there is no folder {folder}; make it first.")
    if not folder.is_dir():
        raise OutputError(f"{given}: cannot be written: {folder} is a file, not a folder.")


def _write_beside_and_rename(target: Path, data: bytes) -> None:
    # The temporary name does not grow with the target's, which may already be as long as names go.
    beside = target.parent / f".cladmodel-{secrets.token_hex(8)}.part"
    handle = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0), NEW_FILE_MODE)
    try:
        with open(handle, "wb") as file:  # noqa: PTH123 - wraps the handle just opened
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if target.exists():
            beside.chmod(target.stat().st_mode & 0o7777)
        os.replace(beside, target)  # noqa: PTH105 - named in the promise this module makes
    except BaseException:
        with contextlib.suppress(OSError):
            beside.unlink()
        raise
