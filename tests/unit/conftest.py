"""The command, run in-process; a small L, every wall of another kind."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass

import pytest

from cladmodel import cli
from cladmodel.build import build_model, load_scene_text
from cladmodel.model import Model

BUILDING = """
title = "Small L"
[building]
corners = [[0, 0], [3600, 0], [3600, 2100], [2100, 2100], [2100, 3900], [0, 3900]]
names = ["south", "east", "porch", "nook", "north", "west"]
heights = [2400, 2400, 2250, 2250, 2100, 2100]
ground_clearance = 200
[[building.wall]]
name = "south"
foot = [[0, -250], [1200, -250], [1200, 0], [3600, 0]]
[[building.wall]]
name = "west"
foot = [[0, 0], [1800, 0], [1800, -250], [3900, -250]]
[[opening]]
name = "window"
wall = "south"
left = 1500
width = 900
sill = 900
head = 1800
[[opening]]
name = "door"
kind = "door"
wall = "east"
left = 500
width = 900
head = 2000
"""


@dataclass(frozen=True)
class Ran:
    """What came of one command."""

    code: int
    out: str
    err: str

    @property
    def problems(self) -> list[str]:
        """Lines that say what cannot be built."""
        return self.err.splitlines()


Run = Callable[..., Ran]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Run:
    def call(*words: object) -> Ran:
        monkeypatch.setattr(sys, "argv", ["cladmodel", *map(str, words)])
        capsys.readouterr()
        with pytest.raises(SystemExit) as end:
            cli.main()
        out, err = capsys.readouterr()
        assert "Traceback" not in out + err
        assert "itself failed" not in err, err
        return Ran(code=int(end.value.code or 0), out=out, err=err)

    return call


@pytest.fixture(scope="session")
def building() -> Model:
    """A small L with openings, two stepped feet and three heights."""
    return build_model(load_scene_text(BUILDING))
