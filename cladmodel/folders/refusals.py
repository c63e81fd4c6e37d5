"""Which folder a set may go to, and a clear word where it may not."""

from __future__ import annotations

import os
import re
from contextlib import suppress
from pathlib import Path

from cladmodel.errors import OutputError

MOUNTS = Path("/proc/self/mountinfo")
"""Where Linux tells what is mounted, one mount a line; the fifth word is where."""


def folder_meant(out: Path) -> Path:
    """Find the folder that a name leads to, and refuse one that cannot be replaced whole.

    Parameters
    ----------
    out : Path
        As the user gave it. A link is followed: the folder it leads to is the one that is replaced.

    Returns
    -------
    Path
        Absolute, without links; the folder need not be there yet.

    Raises
    ------
    OutputError
        If it is a file, the current folder or one that holds it, or if something is mounted at it or
        inside it.
    """
    try:
        folder = out.resolve()
    except (OSError, RuntimeError, ValueError) as error:
        # RuntimeError: a link that leads back to itself. ValueError: a null character in the name.
        raise OutputError(f"{out}: cannot be written: {reason(error)}. Name another folder.") from error
    if os.path.lexists(folder) and not folder.is_dir():
        raise OutputError(f"{out}: cannot be written: it is a file, not a folder. Name another folder.")
    inside = f"Name a folder inside it, as {out / 'out'}"
    with suppress(FileNotFoundError):  # a current folder that is gone is in nobody's way
        here = Path.cwd()
        if folder == here:
            raise OutputError(f"{out}: is the current folder and cannot be replaced whole. {inside}.")
        if folder in here.parents:
            raise OutputError(f"{out}: holds the current folder and cannot be replaced whole. {inside}.")
    mounted = _mounted(folder)
    if folder in mounted or os.path.ismount(folder):
        raise OutputError(f"{out}: a disk is mounted here, so it cannot be replaced whole. {inside}.")
    within = [mount for mount in mounted if folder in mount.parents]
    if within:
        raise OutputError(
            f"{out}: a disk is mounted inside it, at {within[0]}, so it cannot be replaced whole. {inside}."
        )
    return folder


def _mounted(folder: Path) -> list[Path]:
    """Mounts at a folder or inside it, where the system tells."""
    try:
        lines = os.fsdecode(MOUNTS.read_bytes()).split("\n")
    except OSError:
        return []
    places = [Path(_unescaped(line.split(" ")[4])) for line in lines if line.count(" ") > 4]
    return [place for place in places if place == folder or folder in place.parents]


def _unescaped(word: str) -> str:
    r"""A space in a name is written as ``\040``; so are a tab, a new line and a backslash."""
    return re.sub(r"\\([0-7]{3})", lambda found: chr(int(found[1], 8)), word)


def reason(error: Exception) -> str:
    """The system's own words for an error, on one line and without a path.

    Parameters
    ----------
    error : Exception
    """
    text = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
    return " ".join(text.split()).rstrip(".")
