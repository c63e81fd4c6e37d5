"""One hostile case: what the scene file is, and what the command is told."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Place = Literal["file", "folder", "missing", "unreadable", "loop", "link", "device", "odd name"]


@dataclass(frozen=True, slots=True)
class Case:
    """What one run is given.

    Attributes
    ----------
    family : str
        Which generator made it.
    data : bytes
        Of the scene file.
    place : str
        What stands where the scene file should be.
    words : tuple of str
        Of the command line; ``{scene}``, ``{out}`` and ``{folder}`` stand for paths in the run's own folder.
        Empty for ``check``, or ``build`` once in a while.
    """

    family: str
    data: bytes
    place: Place = "file"
    words: tuple[str, ...] = ()
