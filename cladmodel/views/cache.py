"""Maps kept in the user's cache folder between runs; a cache that cannot be used is done without."""

from __future__ import annotations

import hashlib
import os
import tempfile
from collections.abc import Mapping
from pathlib import Path

import numpy as np

from cladmodel.views.arrays import Bytes


def folder() -> Path | None:
    """Folder for the user's maps; None if there is none to be had."""
    from platformdirs import user_cache_path

    try:
        return Path(user_cache_path("cladmodel", ensure_exists=False))
    except (OSError, RuntimeError):
        return None


def file_of(name: str, recipe: str) -> Path | None:
    """File for maps made by one recipe: another recipe is another file."""
    where = folder()
    key = hashlib.sha256(recipe.encode()).hexdigest()[:12]
    return None if where is None else where / f"{name}-{key}.npz"


def read(file: Path | None, shapes: Mapping[str, tuple[int, ...]]) -> dict[str, Bytes] | None:
    """Maps from a file, or None if it is missing, damaged or of other shapes."""
    if file is None:
        return None
    try:
        with np.load(file, allow_pickle=False) as kept:
            found = {name: kept[name] for name in shapes}
    except Exception:  # whatever is wrong with a cache, the answer is to make it again
        return None
    good = all(found[n].shape == shape and found[n].dtype == np.uint8 for n, shape in shapes.items())
    return found if good else None


def write(file: Path | None, maps: Mapping[str, Bytes]) -> None:
    """Keep maps for next time, whole or not at all."""
    if file is None:
        return
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=file.parent, suffix=".part")
        try:
            with os.fdopen(handle, "wb") as out:
                np.savez(out, allow_pickle=False, **dict(maps))
            Path(name).replace(file)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except OSError:
        return
