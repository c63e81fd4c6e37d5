"""A package that is not there is one line saying what to install; nothing heavy loads before it is used."""

from __future__ import annotations

import subprocess
import sys

import pytest

from cladmodel.errors import OutputError
from cladmodel.exports.extras import load


@pytest.mark.parametrize(
    ("extra", "module", "package"),
    [("usdz", "pxr.Usd", "usd-core"), ("ifc", "ifcopenshell.guid", "ifcopenshell")],
)
def test_a_missing_package_is_one_line_with_the_command(hide, extra: str, module: str, package: str) -> None:
    hide(module.split(".")[0])
    with pytest.raises(OutputError) as raised:
        load(extra, module)
    install = f"in cladmodel's folder, pip install '.[{extra}]'"
    assert str(raised.value) == f"this format needs {package}, which is not installed: {install}"


def test_a_package_that_does_not_load_says_why(monkeypatch, tmp_path) -> None:
    (tmp_path / "half_there.py").write_text("import nothing_of_the_kind_here")
    monkeypatch.syspath_prepend(tmp_path)
    with pytest.raises(
        OutputError, match=r"needs ifcopenshell, which cannot be loaded \(No module named 'nothing_of"
    ):
        load("ifc", "half_there")


def test_what_is_there_is_given() -> None:
    assert load("ifc", "json.decoder").__name__ == "json.decoder"


def test_the_table_of_formats_loads_nothing_heavy() -> None:
    code = (
        "import sys\nimport cladmodel.exports.formats, cladmodel.exports.printing\n"
        "print(*sorted({m.split('.')[0] for m in sys.modules}))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, timeout=60
    )
    heavy = {"pxr", "ifcopenshell", "manifold3d", "trimesh", "lxml", "networkx", "scipy", "shapely", "PIL"}
    assert not heavy & set(done.stdout.split())
