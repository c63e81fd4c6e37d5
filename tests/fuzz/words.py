"""Commands told what no one would tell them."""

from __future__ import annotations

import random
from collections.abc import Callable

from .case import Case
from .signs import PATHS, TEXTS, WORDS

GOOD = b'title = "Trial"\n\n[wall]\nlength = 1800\nheight = 2100\n'
RENDER = ("--view", "--finish", "--light", "--coloured-by", "--size", "--dated")
ENDINGS = (".glb", ".stl", ".3mf", ".usdz", ".ifc", ".zip", ".png", ".gif", ".html", ".exe", ".GLB", "")


def _word(rng: random.Random) -> str:
    """A word that a shell can hand over: no sign of nought in it."""
    return rng.choice((*WORDS, *TEXTS)).replace("\0", "")


def _target(rng: random.Random) -> str:
    """Where to write: never outside the run's own folder, whatever is made of it."""
    name = rng.choice(("x", "{odd}", "y" * 300, "no/such/folder/x", ".", "deep/../x"))
    odd = rng.choice((*PATHS, *TEXTS)).replace("\0", "").replace("/", "_").strip(".") or "x"
    return "{folder}/" + name.replace("{odd}", odd) + rng.choice(ENDINGS)


def _render(rng: random.Random) -> tuple[str, ...]:
    option = rng.choice(RENDER)
    # Small and quick, for most of these words are refused and the others need no beauty.
    small = () if option == "--size" else ("--size", "64x64")
    return ("render", "{scene}", "{folder}/x.png", option, _word(rng), *small, "--quick")


def _target_of_render(rng: random.Random) -> tuple[str, ...]:
    return ("render", "{scene}", _target(rng), "--size", "64x64", "--quick")


def _export(rng: random.Random) -> tuple[str, ...]:
    return ("export", "{scene}", _target(rng))


def _split(rng: random.Random) -> tuple[str, ...]:
    return ("export", "{scene}", "{folder}/x.zip", "--split", _word(rng))


def _scale(rng: random.Random) -> tuple[str, ...]:
    return ("export", "{scene}", "{folder}/x.stl", "--print-scale", _word(rng))


def _page(rng: random.Random) -> tuple[str, ...]:
    return ("page", "{scene}", "--out", _target(rng))


def _new(rng: random.Random) -> tuple[str, ...]:
    return ("new", _target(rng))


def _explain(rng: random.Random) -> tuple[str, ...]:
    return ("check", "--explain", _word(rng))


def _scene(rng: random.Random) -> tuple[str, ...]:
    return (rng.choice(("check", "build", "export", "render", "page")), _word(rng), "{folder}/x")


def _command(rng: random.Random) -> tuple[str, ...]:
    return tuple(_word(rng) for _ in range(rng.randint(1, 3)))


def _option(rng: random.Random) -> tuple[str, ...]:
    return ("check", "{scene}", "--" + _word(rng), _word(rng))


def _out(rng: random.Random) -> tuple[str, ...]:
    return ("build", "{scene}", "--no-pictures", "--out", _target(rng))


MAKERS: tuple[tuple[Callable[[random.Random], tuple[str, ...]], int], ...] = (
    (_render, 6),
    (_target_of_render, 1),
    (_export, 3),
    (_split, 2),
    (_scale, 2),
    (_page, 1),
    (_new, 2),
    (_explain, 2),
    (_scene, 3),
    (_command, 4),
    (_option, 4),
    (_out, 1),
)


def strange_words(rng: random.Random) -> Case:
    """Any word at any option of any command."""
    make = rng.choices([make for make, _ in MAKERS], [weight for _, weight in MAKERS])[0]
    return Case("words", GOOD, words=make(rng))
