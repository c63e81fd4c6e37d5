"""From a TOML file to a Scene, or to every problem in it at once."""

from __future__ import annotations

import difflib
import math
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from cladmodel.errors import LONGEST_PATH, MOST_TOLD, Problem, SceneError
from cladmodel.scene.fields import bound_text, bounds_of, table_in
from cladmodel.scene.job import Scene

# No scene a person writes comes near this; a larger file is refused before it is parsed.
MOST_BYTES = 1_000_000
# TOML nested deeper than this is no job description.
MOST_DEPTH = 8
# A key of more parts than this is nested far too deep; reading it takes memory by the square of its parts.
MOST_PARTS = 30
_PART = r"""(?:"(?:[^"\\\n]|\\.)*+"|'[^'\n]*+'|[\w-]++)[ \t]*+"""
_LONG_KEY = re.compile(rf"(?<![\w-])(?:{_PART}\.[ \t]*+){{{MOST_PARTS}}}")
# Twice as many as a site of a hundred buildings has openings.
MOST_ITEMS = 1_000
INCH, METRE = 25.4, 1_000.0  # [mm]
LONGEST_WHOLE = 2**63  # TOML 1.0: whole numbers of 64 bits; a longer one is read as endless

Place = tuple[str | int, ...]
"""Where a value stands: names of tables and fields, numbers of items from 0."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """What came of reading a scene.

    Attributes
    ----------
    scene : Scene or None
        With every faulty field at its default; None where a required field is faulty.
    problems : tuple of Problem
    spoiled : frozenset of str
        Paths of the faulty fields: what depends on them cannot be judged.
    """

    scene: Scene | None
    problems: tuple[Problem, ...]
    spoiled: frozenset[str]


def read(path: Path) -> Reading:
    """Read a scene file, gathering all of its problems.

    Parameters
    ----------
    path : Path
        TOML, UTF-8.

    Returns
    -------
    Reading

    Raises
    ------
    SceneError
        If the file cannot be read, or is not TOML.
    """
    return read_table(_parse(path))


def read_text(text: str) -> Reading:
    """Read a scene from TOML text; see `read`.

    Parameters
    ----------
    text : str

    Raises
    ------
    SceneError
        If the text is not TOML.
    """
    return read_table(_toml(text, None))


def _parse(path: Path) -> dict[str, Any]:
    try:
        if path.is_dir():
            raise _refused("", str(path), "a folder, not a scene file", "Name the .toml file in it.")
        with path.open("rb") as file:  # what is no plain file may have no end
            data = file.read(MOST_BYTES + 1)
        if len(data) > MOST_BYTES:
            raise _refused("", path.name, f"at most {MOST_BYTES} bytes", "Is this a scene file?")
        text = data.decode("utf-8-sig").replace("\r\n", "\n").replace("\r", "\n")
    except FileNotFoundError as error:
        remedy = "Check the name, or write a new one with: cladmodel new " + path.name
        raise _refused("", str(path), "no such file", remedy) from error
    except UnicodeDecodeError as error:
        raise _refused("", path.name, "not UTF-8 text", "Save the file as UTF-8.") from error
    except OSError as error:
        raise _refused("", str(path), error.strerror or "cannot be read", "Check the file.") from error
    return _toml(text, path.name)


def _toml(text: str, name: str | None) -> dict[str, Any]:
    if _LONG_KEY.search(text):
        raise _refused("", name, f"holds a name of more than {MOST_PARTS} parts", "Flatten it.")
    try:
        return tomllib.loads(text)
    except RecursionError as error:
        raise _refused("", name, "not TOML: nested too deeply", "Flatten it.") from error
    except ValueError as error:  # not only of TOML: also a number of thousands of figures
        shown = str(error) if isinstance(error, tomllib.TOMLDecodeError) else "a number too long to read"
        raise _refused("", name, f"not TOML: {shown}", "Mend that line.") from error


def _refused(path: str, value: Any, allowed: str, remedy: str) -> SceneError:
    return SceneError([Problem(path=path, value=value, allowed=allowed, remedy=remedy)])


def read_table(table: Mapping[str, Any]) -> Reading:
    """Check a parsed scene.

    Parameters
    ----------
    table : mapping
        As `tomllib` gives it.

    Returns
    -------
    Reading

    Raises
    ------
    SceneError
        If it is nested more deeply than any scene.
    """
    data = _lists_to_tuples(dict(table), MOST_DEPTH)
    try:
        return Reading(scene=Scene.model_validate(data), problems=(), spoiled=frozenset())
    except ValidationError as error:
        faults = error.errors(include_url=False, include_context=True)
    problems: dict[str, Problem] = {}
    deeper = {_place(fault["loc"], data)[:-1] for fault in faults}
    for fault in faults:
        where = _place(fault["loc"], data)
        if fault["type"] == "too_short" and where in deeper:
            continue  # only because its faulty items were left out
        if _dotted(where) not in problems:
            # Of thousands only the first are told: the others need no words.
            told = len(problems) < MOST_TOLD
            problems[_dotted(where)] = _problem(fault, where) if told else _untold(fault, where)
    for where in _whole_items({_place(fault["loc"], data) for fault in faults}):
        _take_out(data, where)
    try:
        scene = Scene.model_validate(data)
    except ValidationError:
        scene = None
    return Reading(scene=scene, problems=tuple(problems.values()), spoiled=frozenset(problems))


def _lists_to_tuples(value: Any, depth: int, where: Place = ()) -> Any:
    if depth < 0:
        raise _refused(_dotted(where), None, f"nested more than {MOST_DEPTH} deep", "Flatten it.")
    if isinstance(value, dict | list | tuple) and len(value) > MOST_ITEMS:
        what = "fields" if isinstance(value, dict) else "items"
        allowed = f"holds {len(value)} {what}; no table or list has more than {MOST_ITEMS}"
        raise _refused(_dotted(where), None, allowed, "Is this a scene?")
    if isinstance(value, dict):
        return {str(key): _lists_to_tuples(item, depth - 1, (*where, key)) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return tuple(_lists_to_tuples(item, depth - 1, (*where, n)) for n, item in enumerate(value))
    if isinstance(value, int) and not -LONGEST_WHOLE <= value < LONGEST_WHOLE:
        return math.inf if value > 0 else -math.inf
    return value


def _place(loc: tuple[str | int, ...], data: Any) -> Place:
    """Keep only the steps of a fault's location that lead into the user's own data."""
    kept: list[str | int] = []
    here = data
    for step in loc:
        if isinstance(here, dict) and step in here:
            here = here[str(step)]
        elif isinstance(here, tuple) and isinstance(step, int) and step < len(here):
            here = here[step]
        elif isinstance(here, dict) and isinstance(step, str) and not isinstance(here.get(step), dict):
            kept.append(step)  # a missing field
            break
        else:
            break  # the name of a type inside a union
        kept.append(step)
    return tuple(kept)


def _dotted(where: Place) -> str:
    text = ""
    for step in where:
        text += f"[{step + 1}]" if isinstance(step, int) else f".{step}" if text else step
    return text


def _whole_items(places: set[Place]) -> list[Place]:
    """Faulty values, a faulty item of a list as a whole; the last first, so that numbers stay true."""

    def upto(where: Place) -> Place:
        return next((where[: n + 1] for n, step in enumerate(where) if isinstance(step, int)), where)

    def number(where: Place) -> int:
        return where[-1] if where and isinstance(where[-1], int) else -1

    return sorted({upto(where) for where in places}, key=number, reverse=True)


def _take_out(data: dict[str, Any], where: Place) -> None:
    """Remove the value at a place, so that its default stands in."""
    here: Any = data
    for index, step in enumerate(where[:-1]):
        inner = here[step] if isinstance(here, dict) and step in here else None
        if isinstance(inner, tuple):
            here[step] = tuple(x for i, x in enumerate(inner) if i != where[index + 1])
            return
        if not isinstance(inner, dict):
            return
        here = inner
    if isinstance(here, dict):
        here.pop(where[-1], None)


def _untold(fault: Any, where: Place) -> Problem:
    return Problem(path=_dotted(where), value=fault["input"], allowed="is at fault", remedy="Mend it.")


def _problem(fault: Any, where: Place) -> Problem:
    kind, value = fault["type"], fault["input"]
    context = fault.get("ctx", {})
    path = _dotted(where)
    if kind == "extra_forbidden":
        known = _known(where[:-1])
        near = difflib.get_close_matches(str(where[-1])[:LONGEST_PATH], known, n=1)
        remedy = f"Did you mean '{near[0]}'?" if near else "Known here: " + ", ".join(known)
        return Problem(path=path, value=value, allowed="no such field", remedy=remedy)
    if kind == "missing":
        return Problem(path=path, value=None, allowed="must be given", remedy=_what(where) or "Add it.")
    if kind in ("greater_than_equal", "less_than_equal"):
        return _out_of_bounds(path, where, value, context)
    if kind == "finite_number":
        return Problem(
            path=path, value=value, allowed="must be an ordinary number", remedy=_what(where) or "Measure it."
        )
    if isinstance(value, str) and _is_number(value):
        return Problem(
            path=path,
            value=value,
            allowed="must be a number, not text",
            remedy="Write it without quotes and unit.",
        )
    allowed = _plain(str(fault["msg"]))
    if path == "starter.thickness":
        allowed = "must be 'fit' or a number of mm"
    if kind == "string_pattern_mismatch":
        allowed = "must be a colour as #rrggbb or lab(L, a, b)"
    if path == "opening":
        allowed = "must be a list of tables: write [[opening]]"
    if "dictionary" in allowed or "instance of" in allowed:
        allowed = "must be one number or foot, middle, head" if path == "wall.length" else "must be a table"
    return Problem(path=path, value=value, allowed=allowed, remedy=_what(where) or "See cladmodel new.")


WORDS = (
    ("Input should be", "must be"),
    ("a valid tuple", "a list"),
    ("a valid integer", "a whole number"),
    ("a valid string", "text"),
    ("a valid boolean", "true or false"),
    ("a valid number", "a number"),
    ("String should", "must"),
    ("Tuple should", "must"),
    (" after validation", ""),
)


def _plain(message: str) -> str:
    """A fault in the carpenter's words instead of a programmer's."""
    for theirs, ours in WORDS:
        message = message.replace(theirs, ours)
    return message


def _is_number(text: str) -> bool:
    try:
        return math.isfinite(float(text.strip().removesuffix("mm")))
    except ValueError:
        return False


def _out_of_bounds(path: str, where: Place, value: Any, context: Mapping[str, Any]) -> Problem:
    low, high = _bounds(where)
    low = context.get("ge") if low is None else low
    high = context.get("le") if high is None else high
    unit = _extra(where).get("unit", "mm")
    allowed = f"must be from {bound_text(low)} to {bound_text(high)} {unit}".strip()
    remedy = _what(where) or "Measure it again."
    for name, short, size in (("metres", "m", METRE), ("inches", "in", INCH)):
        fits = low is not None and 0 < value < low <= value * size and (high is None or value * size <= high)
        if unit == "mm" and fits:
            remedy = f"Is it in {name}? {value:g} {short} is {round(value * size, 1):g} mm."
    return Problem(path=path, value=value, allowed=allowed, remedy=remedy)


def _field(where: Place) -> Any:
    """The pydantic field at a place, or None."""
    model: Any = Scene
    found = None
    for step in where:
        if isinstance(step, int):
            continue
        if model is None or step not in model.model_fields:
            return None
        found = model.model_fields[step]
        model = table_in(found.annotation)
    return found


def _known(where: Place) -> list[str]:
    if not where:
        return list(Scene.model_fields)
    field = _field(where)
    table = table_in(field.annotation) if field is not None else None
    return list(table.model_fields) if table is not None else []


def _extra(where: Place) -> dict[str, Any]:
    field = _field(where)
    return dict(field.json_schema_extra or {}) if field is not None else {}


def _bounds(where: Place) -> tuple[float | None, float | None]:
    field = _field(where)
    return bounds_of(field) if field is not None else (None, None)


def _what(where: Place) -> str:
    field = _field(where)
    text = field.description if field is not None else None
    return f"It is: {text}." if text else ""
