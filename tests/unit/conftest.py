"""The command, run in-process."""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass

import pytest

from cladmodel import cli


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
