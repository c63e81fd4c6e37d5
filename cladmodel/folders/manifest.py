"""The list that goes with a set: which files of a folder are cladmodel's, and that they are whole.

Written as ``sha256sum`` writes it, so that ``sha256sum -c cladmodel.sha256`` in the folder proves that
nothing is missing and nothing was changed since.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Mapping
from pathlib import Path

MANIFEST = "cladmodel.sha256"

# Length of a SHA-256 in hexadecimal.
DIGITS = 64


def write_manifest(folder: Path) -> None:
    """List every file in a folder with its SHA-256, in a file of that folder.

    Parameters
    ----------
    folder : Path
        Holds one whole set and nothing else.
    """
    files = sorted(p for p in folder.rglob("*") if p.is_file() and p != folder / MANIFEST)
    lines = [f"{_digest(file)}  {file.relative_to(folder).as_posix()}\n" for file in files]
    (folder / MANIFEST).write_text("".join(lines), encoding="utf-8", errors="surrogateescape", newline="")


def read_manifest(folder: Path) -> dict[str, str]:
    """Names of a set's files with their SHA-256; empty where no set was written or its list is spoilt.

    Parameters
    ----------
    folder : Path

    Returns
    -------
    dict of str to str
        By name within the folder, parted by ``/``.
    """
    try:
        text = (folder / MANIFEST).read_text(encoding="utf-8", errors="surrogateescape")
    except OSError:
        return {}
    parted = (line.partition("  ") for line in text.split("\n"))
    return {name: digest for digest, _, name in parted if name and len(digest) == DIGITS}


def is_as_listed(folder: Path, name: str, listed: Mapping[str, str]) -> bool:
    """Whether a file is on a set's list and has not been changed since it was written.

    Parameters
    ----------
    folder : Path
    name : str
        Within the folder, parted by ``/``.
    listed : mapping of str to str
        As `read_manifest` gives it.
    """
    if name not in listed:
        return False
    file = folder / name
    return file.is_file() and not file.is_symlink() and _digest(file) == listed[name]


def _digest(file: Path) -> str:
    with open(os.fspath(file), "rb") as opened:  # noqa: PTH123 - hashlib takes the open file
        return hashlib.file_digest(opened, "sha256").hexdigest()
