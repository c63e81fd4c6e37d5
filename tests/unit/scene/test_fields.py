"""Every field says what it is, in what unit, between what bounds, and where its default comes from."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

import pytest
from pydantic import BaseModel

from cladmodel.scene.fields import table_in
from cladmodel.scene.job import Scene
from cladmodel.scene.schema import EXAMPLES, commented_scene, json_schema


def fields(table: type[BaseModel] = Scene, at: str = "") -> Iterator[tuple[str, Any]]:
    """Every field of a scene with its path; tables themselves are left out."""
    for name, field in table.model_fields.items():
        inner = table_in(field.annotation)
        if inner is None:
            yield at + name, field
        else:
            yield from fields(inner, f"{at}{name}.")


ALL = dict(fields())
UNITS = {"mm", "deg", "-", "text", "choice", "count", "courses", "table", "years", "%"} | {
    "m",
    "m/s",
    "degC",
    "N/mm2",
    "N/m2",
    "coin",
    "months",
}


def test_there_are_many():
    assert len(ALL) > 80


@pytest.mark.parametrize("path", ALL)
def test_field_says_what_it_is_its_unit_and_its_basis(path):
    field = ALL[path]
    assert field.description
    assert not field.description.endswith(".") or field.description.endswith("...")
    extra = field.json_schema_extra
    assert extra["unit"] in UNITS
    assert extra["basis"]


@pytest.mark.parametrize(
    "path", [p for p, f in ALL.items() if f.json_schema_extra["unit"] in ("mm", "deg", "count")]
)
def test_numbers_have_bounds_and_defaults_within_them(path):
    field = ALL[path]
    kinds = {rule for rule in ("ge", "le") for m in field.metadata if getattr(m, rule, None) is not None}
    if not kinds:
        # Lists and choices carry their bounds on their items; the schema must show some.
        assert "inimum" in json.dumps(_schema_of(path)) or "minItems" in json.dumps(_schema_of(path)), path
        return
    assert kinds == {"ge", "le"}
    low = next(m.ge for m in field.metadata if getattr(m, "ge", None) is not None)
    high = next(m.le for m in field.metadata if getattr(m, "le", None) is not None)
    assert low < high
    if isinstance(field.default, int | float):
        assert low <= field.default <= high


def _schema_of(path: str) -> Any:
    schema = json.loads(json_schema())
    here: Any = schema
    for step in path.split("."):
        here = here["properties"][step]
        while "$ref" in json.dumps(here) and "properties" not in here:
            name = json.dumps(here).split("#/$defs/")[1].split('"')[0]
            here = {**schema["$defs"][name]}
    return here


def test_schema_has_every_field_with_its_unit_and_basis():
    for path in ALL:
        found = _schema_of(path)
        assert found["description"], path
        assert found["unit"], path
        assert found["basis"], path


def test_schema_lets_no_unknown_key_pass():
    schema = json.loads(json_schema())
    tables = [schema, *schema["$defs"].values()]
    assert all(t["additionalProperties"] is False for t in tables if t.get("type") == "object")


def test_new_scene_shows_every_field_of_a_single_wall():
    text = commented_scene("mine.toml")
    for path in ALL:
        if not path.startswith("building.") and not path.startswith("wall.length."):
            name = path.split(".")[-1]
            assert f"\n{name} = " in text or f"\n# {name} = " in text, path


def test_new_scene_states_true_defaults():
    """A line that begins with # claims to be a default, or is an example where there is none."""
    table, shown = "", {}
    for line in commented_scene("mine.toml").splitlines():
        if line.lstrip("# ").startswith("["):
            table = line.strip("[]") if line.startswith("[") else "shown as an example"
        elif line.startswith("# ") and " = " in line.split("  # ")[0]:
            name, value = line[2:].split("  # ")[0].split(" = ", 1)
            shown[f"{table}.{name}".lstrip(".")] = value
    for path, field in ALL.items():
        if path in shown and path.count(".") == 1:
            default = field.default
            if default is None:
                assert path.split(".")[-1] in EXAMPLES, path
            if isinstance(default, bool):
                assert shown[path] == str(default).lower(), path
            elif isinstance(default, int | float):
                assert float(shown[path]) == default, path
            elif isinstance(default, str):
                assert json.loads(shown[path]) == default, path
