"""The shape of the package: imports run downwards, heavy things wait, modules stay short."""

from __future__ import annotations

import ast
import subprocess
import sys
import time
from pathlib import Path

import pytest

from ..building import ROOT

PACKAGE = ROOT / "cladmodel"
MODULES = sorted(PACKAGE.rglob("*.py"))
HEAVY = (
    "numpy",
    "scipy",
    "shapely",
    "pydantic",
    "pyvista",
    "vtkmodules",
    "trimesh",
    "manifold3d",
    "matplotlib",
)
LONGEST = 400  # lines; a longer module is a question
ANSWERED = {"checks/thresholds.py": 450}
"""Longer ones for a reason: the thresholds are a table, a row for each rule."""


def test_import_contracts_hold():
    command = [
        sys.executable,
        "-c",
        "from importlinter.cli import lint_imports_command; lint_imports_command()",
    ]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False, timeout=120)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "0 broken" in done.stdout
    kept = int(done.stdout.split("Contracts: ")[1].split(" kept")[0])
    assert kept >= 3


def test_help_loads_nothing_heavy():
    code = (
        "import sys; sys.argv = ['cladmodel', '--help']\n"
        "from cladmodel.cli import main\n"
        "try:\n    main()\n"
        "except SystemExit as end:\n    assert not end.code\n"
        "print('LOADED', *sorted({m.split('.')[0] for m in sys.modules}))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    loaded = set(done.stdout.split("LOADED", 1)[1].split())
    assert "cladmodel" in loaded
    assert not loaded & set(HEAVY)


def test_help_answers_at_once():
    """Under 0.3 s on a quiet machine; the least of several runs, and room for a busy one."""
    command = [sys.executable, "-c", "from cladmodel.cli import main; main()", "--help"]
    took = []
    for _ in range(5):
        start = time.perf_counter()
        subprocess.run(command, capture_output=True, check=True, timeout=60)
        took.append(time.perf_counter() - start)
        if took[-1] < 0.3:
            break
    assert min(took) < 0.6


@pytest.mark.parametrize("module", MODULES, ids=lambda p: str(p.relative_to(PACKAGE)))
def test_modules_are_short_and_say_what_they_are(module: Path):
    text = module.read_text(encoding="utf-8")
    assert len(text.splitlines()) <= ANSWERED.get(str(module.relative_to(PACKAGE)), LONGEST)
    assert (ast.get_docstring(ast.parse(text)) or "").strip()


def test_no_module_is_a_drawer_for_odds_and_ends():
    assert not {p.stem for p in MODULES} & {"util", "utils", "helpers", "misc", "common"}


def test_nothing_is_read_from_outside_the_package_at_run_time():
    """Check values under shared/ are for tests alone."""
    for module in MODULES:
        tree = ast.parse(module.read_text(encoding="utf-8"))
        strings = [
            n.value for n in ast.walk(tree) if isinstance(n, ast.Constant) and isinstance(n.value, str)
        ]
        docs = {
            ast.get_docstring(n, clean=False)
            for n in ast.walk(tree)
            if isinstance(n, ast.Module | ast.ClassDef | ast.FunctionDef)
        }
        assert not [
            s
            for s in strings
            if s not in docs and ("shared/" in s or s.startswith(("/work", "/tmp", "/home")))
        ], module
