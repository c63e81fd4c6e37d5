"""Two small sets of files, an older and a newer, and the user's own."""

from __future__ import annotations

from pathlib import Path

from cladmodel.folders.manifest import MANIFEST
from cladmodel.folders.whole import staged

Files = dict[str, str]

OLD: Files = {
    "report.md": "old",
    "layers.png": "old",
    "drawings/section.svg": "old",
    "drawings/gone.svg": "old",
}
NEW: Files = {"report.md": "new", "drawings/section.svg": "new", "schedules/rod.csv": "new"}
MINE: Files = {"notes.txt": "mine", "drawings/mine.svg": "mine", "photos/of the site/1.txt": "mine"}


def put(folder: Path, files: Files) -> None:
    for name, text in files.items():
        file = folder / name
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text)


def found(folder: Path) -> Files:
    """All that is in a folder but the set's list."""
    files = [p for p in folder.rglob("*") if p.is_file() and p.name != MANIFEST]
    return {p.relative_to(folder).as_posix(): p.read_text() for p in files}


def make(out: Path, files: Files) -> None:
    with staged(out) as stage:
        put(stage, files)


def fail(out: Path, error: BaseException) -> None:
    """Begin a newer set and come to grief half way."""
    with staged(out) as stage:
        put(stage, NEW)
        raise error
