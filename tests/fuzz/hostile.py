"""Seeded scenes that nobody in good faith would write: each must end sound, or be refused in words."""

from __future__ import annotations

import copy
import json
import random
import re
import tomllib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from typing import Any

from cladmodel.scene.schema import json_schema

from ..building import SCENES
from . import files, words
from .case import Case
from .signs import NUMBERS, OTHER_VALUES, TEXTS

Tree = dict[str, Any]

SMALL = """\
title = "Trial"
[wall]
length = 1800
height = 2100
"""
WINDOWED = """\
title = "Trial"
[wall]
name = "front"
length = 2400
height = 2100
[[opening]]
name = "light"
left = 800
width = 600
sill = 900
head = 1700
"""
HUT = """\
title = "Trial"
[building]
rectangle = [1800, 1500]
names = ["a", "b", "c", "d"]
height = 2100
[[building.wall]]
name = "b"
pitch_deg = 30
[[building.wall]]
name = "d"
pitch_deg = 30
"""


@dataclass(frozen=True, slots=True)
class Leaf:
    """One field of the schema: where it stands, and its bounds if it has any."""

    path: tuple[str, ...]
    low: float | None
    high: float | None


@cache
def leaves() -> tuple[Leaf, ...]:
    """Every field of a scene, tables and all, as the schema tells them."""
    schema = json.loads(json_schema())
    return tuple(_walk(schema, schema["$defs"], ()))


def _walk(node: Tree, defs: Tree, path: tuple[str, ...]) -> Iterator[Leaf]:
    for part in [node, *node.get("anyOf", ()), *node.get("allOf", ())]:
        if "$ref" in part:
            yield from _walk(defs[part["$ref"].rsplit("/", 1)[1]], defs, path)
        if "items" in part:
            yield from _walk(part["items"], defs, (*path, "[]"))
        for key, inner in part.get("properties", {}).items():
            bounded = [p for p in [inner, *inner.get("anyOf", ())] if "minimum" in p or "maximum" in p]
            first = bounded[0] if bounded else {}
            yield Leaf((*path, key), first.get("minimum"), first.get("maximum"))
            yield from _walk(inner, defs, (*path, key))


def _base(rng: random.Random) -> str:
    return rng.choices((SMALL, WINDOWED, HUT), (5, 3, 1))[0]


def _tree(rng: random.Random) -> Tree:
    return tomllib.loads(_base(rng))


def literal(value: Any) -> str:
    """One value as TOML, text with every sign escaped that needs it."""
    if isinstance(value, Raw):
        return value.text
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{_key(k)} = {literal(v)}" for k, v in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(map(literal, value)) + "]"
    if isinstance(value, str):
        return _quoted(value)
    return repr(value)


@dataclass(frozen=True, slots=True)
class Raw:
    """A value written as it stands."""

    text: str


def _key(key: str) -> str:
    return key if re.fullmatch(r"[A-Za-z0-9_-]+", key) else _quoted(key)


def _quoted(text: str) -> str:
    out = []
    for sign in text:
        code = ord(sign)
        if sign in '"\\':
            out.append("\\" + sign)
        elif code < 0x20 or code == 0x7F:
            out.append(f"\\u{code:04x}")
        else:
            out.append(sign)
    return '"' + "".join(out) + '"'


def written(tree: Tree) -> bytes:
    """A scene's tree as the bytes of a file."""
    return "".join(f"{_key(k)} = {literal(v)}\n" for k, v in tree.items()).encode("utf-8", "surrogatepass")


def _put(tree: Tree, path: tuple[str, ...], value: Any) -> None:
    """Set a field, making the tables and lists on the way to it where there are none."""
    here: Any = tree
    for n, step in enumerate(path[:-1]):
        fresh: Any = [] if path[n + 1] == "[]" else {}
        if step == "[]":
            if not here or not isinstance(here[-1], dict | list):
                here.append(fresh)
            here = here[-1]
        else:
            if not isinstance(here.get(step), dict | list):
                here[step] = fresh
            here = here[step]
        if path[n + 1] == "[]" and isinstance(here, dict):
            return
    if isinstance(here, list):
        here.append(value)
    else:
        here[path[-1]] = value


def _value(rng: random.Random, leaf: Leaf) -> Any:
    kind = rng.randrange(4)
    if kind == 0:
        return Raw(rng.choice(NUMBERS))
    if kind == 1:
        return Raw(rng.choice(OTHER_VALUES))
    if kind == 2 or leaf.low is None or leaf.high is None:
        return rng.choice(TEXTS)
    return _near(rng, leaf)


def _near(rng: random.Random, leaf: Leaf) -> float:
    """On, inside or just outside a field's bounds."""
    low, high = leaf.low or 0.0, leaf.high or 1e6
    span = high - low
    sure = [low, high, low - 1e-9, high + 1e-9, low - 1, high + 1, -high, 2 * high, low + 1e-12 * span]
    within = [rng.uniform(low, high) for _ in range(6)]
    return rng.choice([*sure, *within, low + span * rng.random() ** 4])


def one_field(rng: random.Random) -> Case:
    """Any value at any one field of the schema."""
    tree, leaf = _tree(rng), rng.choice(leaves())
    _put(tree, leaf.path, _value(rng, leaf))
    return Case("one field", written(tree))


def several_fields(rng: random.Random) -> Case:
    """Several fields at once, most of them on or inside their bounds."""
    tree = _tree(rng)
    bounded = [leaf for leaf in leaves() if leaf.high is not None]
    for leaf in rng.choices(bounded, k=rng.randint(2, 12)):
        _put(tree, leaf.path, _near(rng, leaf) if rng.random() < 0.95 else _value(rng, leaf))
    return Case("several fields", written(tree))


def all_texts(rng: random.Random) -> Case:
    """Titles and names that are markup, paths, codes, or cannot be seen."""
    tree = tomllib.loads(rng.choices((WINDOWED, HUT), (3, 1))[0])
    tree["title"] = rng.choice(TEXTS)
    if "wall" in tree:
        tree["wall"]["name"] = rng.choice(TEXTS)[:30]
        tree["opening"][0]["name"] = rng.choice(TEXTS)[:30]
        tree["rod"] = {"align": [f"{tree['opening'][0]['name']} sill", rng.choice(TEXTS)]}
    else:
        tree["building"]["names"] = [rng.choice(TEXTS)[:30] for _ in range(rng.randint(1, 5))]
        del tree["building"]["wall"]
    tree["site_notes"] = rng.choice(TEXTS)
    tree["fixings"] = {"board_nail": {"material": rng.choice(TEXTS)[:40]}}
    return Case("texts", written(tree))


@cache
def _good() -> tuple[str, ...]:
    return tuple(file.read_text(encoding="utf-8") for file in sorted(SCENES.glob("*.toml")))


def _places(node: Any, path: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    inner = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    for key, value in inner:
        yield (*path, key)
        yield from _places(value, (*path, key))


def _at(tree: Any, path: tuple[Any, ...]) -> Any:
    for step in path:
        tree = tree[step]
    return tree


def good_tree_gone_wrong(rng: random.Random) -> Case:
    """A copy of a good scene with values scaled, swapped, dropped, doubled or of another type."""
    tree = tomllib.loads(rng.choice((*_good(), SMALL, SMALL, WINDOWED, WINDOWED, WINDOWED, HUT)))
    for _ in range(rng.choice((1, 1, 1, 2, 3))):
        places = list(_places(tree))
        if not places:
            break
        path = rng.choice(places)
        home, key, value = _at(tree, path[:-1]), path[-1], _at(tree, path)
        turn = rng.randrange(7)
        if turn <= 1 and isinstance(value, int | float) and not isinstance(value, bool):
            home[key] = value * 10 ** rng.uniform(-9, 9) * rng.choice((1, 1, 1, -1))
        elif turn == 2:
            other = rng.choice(places)
            if other[: len(path)] != path and path[: len(other)] != other:
                there = _at(tree, other[:-1])
                home[key], there[other[-1]] = copy.deepcopy(there[other[-1]]), copy.deepcopy(value)
        elif turn == 3:
            del home[key]
        elif turn == 4 and isinstance(home, list):
            home.extend(copy.deepcopy(home) * rng.choice((1, 3, 40)))
        elif turn == 5:
            home[key] = Raw(rng.choice((*NUMBERS, *OTHER_VALUES)))
        elif isinstance(value, int | float) and not isinstance(value, bool):
            home[key] = value + rng.choice((1e-9, -1e-9, 0.5, -0.5, 1, -1, 37, -37))
    return Case("good tree gone wrong", _unnested(tree))


def _unnested(tree: Any) -> bytes:
    return written(tree) if isinstance(tree, dict) else b""


def good_text_gone_wrong(rng: random.Random) -> Case:
    """A copy of a good scene with lines or bytes dropped, swapped, doubled or flipped."""
    text = rng.choice((*_good(), SMALL, SMALL, WINDOWED, WINDOWED, HUT))
    lines = text.splitlines(keepends=True)
    turn = rng.randrange(5)
    if turn == 0:
        del lines[rng.randrange(len(lines))]
    elif turn == 1:
        a, b = rng.randrange(len(lines)), rng.randrange(len(lines))
        lines[a], lines[b] = lines[b], lines[a]
    elif turn == 2:
        lines.insert(rng.randrange(len(lines) + 1), rng.choice(lines))
    data = bytearray("".join(lines).encode())
    if turn == 3:
        for _ in range(rng.randint(1, 8)):
            data[rng.randrange(len(data))] ^= 1 << rng.randrange(8)
    elif turn == 4:
        del data[rng.randrange(len(data)) :]
    return Case("good text gone wrong", bytes(data))


def too_many(rng: random.Random) -> Case:
    """Thousands of openings, corners, points, lengths, names or courses."""
    tree = _tree(rng)
    many = rng.choice((13, 41, 61, 1_000, 5_000))
    turn = rng.randrange(9)
    wall = tree.setdefault("wall", {"length": 40_000, "height": 2_400})
    if turn == 0:
        step = rng.choice((300, 900, 0))
        tree["opening"] = [
            {"left": 400.0 + step * n, "width": 200, "sill": 900, "head": 1700} for n in range(many)
        ]
    elif turn == 1:
        tree.pop("wall")
        tree["building"] = {"height": 2100, "corners": comb(many, rng.choice((1_000, 2_000)))}
    elif turn == 2:
        wall["foot"] = [[1800.0 * n / many, rng.uniform(-40, 40)] for n in range(many)] + [[1800, 0]]
    elif turn == 3:
        wall["out_of_plane"] = [[1800.0 * n / many, rng.uniform(-9, 9)] for n in range(many)]
    elif turn == 4:
        tree["board"] = {"stock": [600 + n for n in range(many)]}
    elif turn == 5:
        tree["battens"] = {"extra": [100 + 1600 * rng.random() for _ in range(many)]}
    elif turn == 6:
        tree["rod"] = {"align": [f"line {n} sill" for n in range(many)]}
    elif turn == 7:
        wall["length"], wall["height"] = rng.choice((5_000, 40_000)), rng.choice((6_000, 12_000))
        tree["board"] = {"width": 60, "butt": 8, "thin_edge": 4, "least_lap": rng.choice((8, 30, 45))}
        tree["studs"] = {"centres": rng.choice((200, 600))}
    else:
        tree["vent_strip"] = {"rows": 6, "slot_width": 1, "slot_length": 3, "slot_spacing": 5}
        wall["length"] = 40_000
    return Case("too many", written(tree))


def comb(corners: int, tooth: float) -> list[list[float]]:
    """Corners of a comb-shaped plan, anticlockwise: as many as asked for, or a few less."""
    teeth = max(corners // 4, 1)
    points = [[0.0, 0.0], [(2 * teeth - 1) * tooth, 0.0]]
    for n in reversed(range(teeth)):
        left, right = 2 * n * tooth, (2 * n + 1) * tooth
        points += [[right, 2 * tooth], [left, 2 * tooth]]
        if n:
            points += [[left, tooth], [left - tooth, tooth]]
    return points


def bad_plan(rng: random.Random) -> Case:
    """Degenerate, crossing, repeated, thin, huge or crooked plans."""
    tree = tomllib.loads(HUT)
    plan = tree["building"]
    del plan["wall"], plan["names"]
    turn = rng.randrange(8)
    square = [[0.0, 0.0], [2000.0, 0.0], [2000.0, 1600.0], [0.0, 1600.0]]
    if turn == 0:
        plan["rectangle"] = [rng.choice((0, -1, 1e-9, 599, 600, 1e5, 4_000)) for _ in range(2)]
    else:
        del plan["rectangle"]
    if turn == 1:
        square[rng.randrange(4)] = square[rng.randrange(4)]
    elif turn == 2:
        square[1], square[2] = square[2], square[1]
    elif turn == 3:
        square.reverse()
    elif turn == 4:
        square = [[rng.uniform(-1e4, 1e5) for _ in range(2)] for _ in range(rng.randint(4, 12))]
    elif turn == 5:
        square[rng.randrange(4)][rng.randrange(2)] += rng.choice((1e-9, 0.1, 2, 40, 1_000, -3_000))
    elif turn == 6:
        across = rng.choice((0.0, 1e-9, 1, 150, 400, 605))
        square = [[0.0, 0.0], [3000.0, 0.0], [3000.0, 600 + across], [0.0, 600 + across]]
    elif turn == 7:
        square = [[x, y] for x, y in comb(rng.choice((4, 8, 12, 40)), rng.choice((600, 900, 1_300)))]
    if turn:
        plan["corners"] = square
    if rng.random() < 0.3:
        del plan["height"]
        plan["heights"] = [rng.choice((400, 2100, 2400, 12_000)) for _ in range(rng.choice((4, 4, 5, 1)))]
    return Case("bad plan", written(tree))


FAMILIES: tuple[tuple[Callable[[random.Random], Case], int], ...] = (
    (one_field, 24),
    (several_fields, 10),
    (all_texts, 10),
    (good_tree_gone_wrong, 14),
    (good_text_gone_wrong, 12),
    (too_many, 6),
    (bad_plan, 8),
    (files.strange_file, 8),
    (files.strange_keys, 6),
    (words.strange_words, 12),
)


def case(rng: random.Random) -> Case:
    """One hostile case.

    Parameters
    ----------
    rng : random.Random
    """
    return rng.choices([make for make, _ in FAMILIES], [weight for _, weight in FAMILIES])[0](rng)
