"""The scene's JSON Schema, and a commented scene to start from: both made from the fields themselves."""

from __future__ import annotations

import json
from typing import Any

from pydantic import BaseModel
from pydantic_core import PydanticUndefined

from cladmodel.scene.fields import bound_text, bounds_of, table_in, words_of
from cladmodel.scene.job import Lengths, Nail, OpeningTable, Scene, WallTable

HEAD = """\
# A cladmodel scene. Lengths are millimetres; heights of openings are measured from the foot of the cladding.
# A line that begins with '#' is a default, or an example of what may be given: take the '#' away to use it.
# Check it with: cladmodel check {name}     Build it with: cladmodel build {name} --out out
"""

GIVEN: dict[str, Any] = {"title": "Tool store, front wall", "length": 5200, "height": 2400}
OPENING: dict[str, Any] = {
    "name": "window",
    "kind": "window",
    "left": 1900,
    "width": 1200,
    "sill": 890,
    "head": 1930,
}


BUILDING = """
# A whole building instead of [wall]; each opening then names its wall.
# [building]
# rectangle = [6000, 4000]  # first and second wall; or corners = [[0, 0], [6000, 0], ...] anticlockwise
# names = ["south", "east", "north", "west"]
# height = 2400  # foot to soffit all round; or heights = [...], one for each corner
# ground_clearance = 200
#
# [[building.wall]]  # a wall that is not plain
# name = "east"
# pitch_deg = 40  # a gable; or ridge_height, with ridge_at for a ridge off the middle
# foot = [[0, 0], [2000, 0], [2000, 267], [4000, 267]]  # a step up"""

EXAMPLES: dict[str, Any] = {
    "wanted_gauge": 135,
    "least_gauge": 100,
    "colour": "#6f8f7f",
    "weathered_months": 18,
    "joint_price": 2,
    "prices": (14.4,),
    "limits": (60,),
    "ridge_height": 3600,
    "pitch_deg": 35,
    "ridge_at": 2600,
    "foot": ((0, 0), (2600, 0), (2600, 267), (5200, 267)),
    "out_of_plane": ((0, 0), (2600, 6), (5200, 0)),
    "align": ("all sills", "all heads"),
    "drilled": "all",
    "f_ax": 5.5,
    "f_head": 20,
    "name": "temperate",  # of a climate; walls, openings and finishes have defaults
    "dry_temperature_c": 20,
    "dry_humidity": 50,
    "wet_temperature_c": 3,
    "wet_humidity": 85,
    "species": "European larch",
    "fixing_moisture": 17,
    "treated": False,
    "board_class": "C24",
    "batten_class": "C24",
    "heart": "out",
    "cut_ends_treated": True,
    "velocity": 24,
    "terrain": "II",
    "pressure": 700,
    "building_height": 4,
    "building_breadth": 3.6,
    "mesh_aperture": 3.5,
}
"""Shown for fields without a default."""


def json_schema() -> str:
    """JSON Schema (draft 2020-12) of a scene, for editors that complete and check TOML.

    Returns
    -------
    str
        Indented JSON; every field has its description, unit, bounds, default and basis.
    """
    schema = Scene.model_json_schema()
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    return json.dumps(schema, indent=2) + "\n"


def commented_scene(name: str) -> str:
    """Write a scene to start from: the required fields given, every default shown in a comment.

    Parameters
    ----------
    name : str
        File name to show in the heading.

    Returns
    -------
    str
        TOML.
    """
    lines = [HEAD.format(name=name)]
    tables: list[str] = []
    for key, field in Scene.model_fields.items():
        annotation: Any = WallTable if key == "wall" else field.annotation
        if key == "building":
            tables += BUILDING.splitlines()
        elif key == "opening":
            tables += ["", "# A door or window; repeat the whole table for each.", "[[opening]]"]
            tables += _lines(OpeningTable, OPENING)
        elif isinstance(annotation, type) and issubclass(annotation, BaseModel):
            tables += ["", f"# {(annotation.__doc__ or '').strip().splitlines()[0]}", f"[{key}]"]
            nails = {n: f for n, f in annotation.model_fields.items() if f.annotation is Nail}
            tables += _lines(annotation, GIVEN if key == "wall" else {}, skip=set(nails))
            for nail, inner in nails.items():
                tables += ["", f"# {inner.description}", f"[{key}.{nail}]"]
                tables += _lines(Nail, {}, defaults=inner.default.model_dump())
        else:
            lines += [_line(key, field, GIVEN.get(key))]
    return "\n".join(lines + tables) + "\n"


def _lines(
    table: type[BaseModel],
    given: dict[str, Any],
    skip: set[str] | None = None,
    defaults: dict[str, Any] | None = None,
) -> list[str]:
    return [
        _line(key, field, given.get(key), (defaults or {}).get(key))
        for key, field in table.model_fields.items()
        if key not in (skip or set())
    ]


def _line(key: str, field: Any, given: Any, default: Any = None) -> str:
    extra = field.json_schema_extra or {}
    unit, basis = extra.get("unit", ""), extra.get("basis", "")
    note = f"  # {field.description}" + (f" [{unit}]" if unit not in ("text", "choice", "table", "-") else "")
    note += f"; {basis}" if basis not in ("", "-") else ""
    if given is not None:
        return f"{key} = {_toml(given)}{note}"
    value = field.default if default is None else default
    if value is None or (value == () and key in EXAMPLES):
        value = EXAMPLES[key]
    if value is PydanticUndefined:
        raise KeyError(f"no example for the required field {key}")
    return f"# {key} = {_toml(value)}{note}"


def _toml(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, tuple | list):
        return "[" + ", ".join(_toml(item) for item in value) + "]"
    return f"{value:g}"


def fields_markdown() -> str:
    """Every field of a scene in a table: unit, what it may be, default, what it is and the default's basis.

    Returns
    -------
    str
        Markdown, as kept in ``shared/docs/scene.md``.
    """
    lines = ["# Every field of a scene", "", *INTRODUCTION.splitlines()]
    tables: list[tuple[str, type[BaseModel], str, Any]] = [("", Scene, "", None)]
    while tables:
        path, table, what, given = tables.pop(0)
        about = (table.__doc__ or "").strip().splitlines()[0]
        title = f"[{path}]" if path else "At the top of the file"
        lines += ["", f"## `{title}`" if path else f"## {title}", ""]
        lines += [f"{about.removesuffix('.')}: {what}." if table is Nail else about, ""]
        lines += ["| field | unit | may be | default | what it is | basis of the default |"]
        lines += ["| --- | --- | --- | --- | --- | --- |"]
        for key, field in table.model_fields.items():
            inner = table_in(field.annotation)
            default = field.default if given is None else getattr(given, key)
            if inner is not None:
                own = default if isinstance(default, inner) else None
                tables.append((f"{path}.{key}" if path else key, inner, field.description or "", own))
            lines.append(_row(key, field, default))
    return "\n".join(lines) + "\n"


INTRODUCTION = """\
Lengths are millimetres, angles degrees; heights of openings are measured from the foot of the cladding.
`cladmodel new FILE` writes these as a commented scene; `cladmodel schema` prints them as JSON Schema."""


def _row(key: str, field: Any, value: Any) -> str:
    extra = field.json_schema_extra or {}
    if value is PydanticUndefined:
        shown = "must be given"
    else:
        shown = "left out" if value is None else _default(value)
    cells = [
        f"`{key}`",
        extra.get("unit", ""),
        _may_be(field),
        shown,
        field.description or "",
        extra.get("basis", ""),
    ]
    return "| " + " | ".join(str(cell).replace("|", "\\|") for cell in cells) + " |"


def _may_be(field: Any) -> str:
    """The words to choose from, or least and most."""
    choices = words_of(field.annotation)
    low, high = bounds_of(field) if table_in(field.annotation) in (None, Lengths) else (None, None)
    between = [] if low is None and high is None else [f"{bound_text(low)} - {bound_text(high)}"]
    return ", ".join([*(f"`{_toml(word)}`" for word in choices), *between])


def _default(value: Any) -> str:
    if isinstance(value, BaseModel):
        return "see its table"
    return f"`{_toml(value)}`" if value != () else "none"
