"""A folder with an older set in it; a folder of someone's who may not write everywhere."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

import pytest

from .sets import OLD, make


@pytest.fixture
def out(tmp_path: Path) -> Path:
    """A folder with an older set, and nothing beside it."""
    make(tmp_path / "out", OLD)
    assert [p.name for p in tmp_path.iterdir()] == ["out"]
    return tmp_path / "out"


@pytest.fixture
def as_anyone(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Path]:
    """Someone who may not write everywhere, and a folder of theirs to be in."""
    if not hasattr(os, "geteuid"):
        pytest.skip("permissions as on Unix")
    place = tmp_path_factory.mktemp("anyone")
    if os.geteuid() != 0:
        yield place
        return
    opened = [p for p in (place, *place.parents) if not p.stat().st_mode & 0o001]
    modes = [p.stat().st_mode for p in opened]
    for path in opened:
        path.chmod(path.stat().st_mode | 0o011)
    os.chown(place, 65534, 65534)
    os.seteuid(65534)
    yield place
    os.seteuid(0)
    for path, mode in zip(opened, modes, strict=True):
        path.chmod(mode)
