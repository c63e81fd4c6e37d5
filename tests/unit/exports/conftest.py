"""A package made as good as not installed, for one test."""

from __future__ import annotations

import sys
from collections.abc import Callable
from importlib.machinery import ModuleSpec

import pytest


class Missing:
    """What Python asks first for a module; of one package it says that there is none."""

    def __init__(self, package: str) -> None:
        self.package = package

    def find_spec(self, name: str, path: object = None, target: object = None) -> ModuleSpec | None:
        if name.split(".")[0] == self.package:
            raise ModuleNotFoundError(f"No module named {self.package!r}", name=self.package)
        return None


@pytest.fixture
def hide(monkeypatch: pytest.MonkeyPatch) -> Callable[[str], None]:
    def do(package: str) -> None:
        for name in [name for name in sys.modules if name.split(".")[0] == package]:
            monkeypatch.delitem(sys.modules, name)
        monkeypatch.setattr(sys, "meta_path", [Missing(package), *sys.meta_path])

    return do
