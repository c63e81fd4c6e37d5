"""Sound walls to break: the example scenes, each of their walls alone, and small random ones."""

from __future__ import annotations

import random
from dataclasses import dataclass, replace
from functools import cache

from cladmodel.build import build_model, exposure_of, load_scene, load_scene_text, rules_of
from cladmodel.checks.exposure import Exposure
from cladmodel.checks.finding import Finding, Verdict
from cladmodel.checks.rules import Limit, Rules
from cladmodel.checks.run import CHECKS, LASTING
from cladmodel.errors import CladmodelError
from cladmodel.model import Model

from ..building import SCENES, scene_text

WHOLE = ("tool-store", "seed-store", "meeting-room")
RANDOM_WALLS = 6
BAD = (Verdict.FAIL, Verdict.CAUTION)


@dataclass(frozen=True, eq=False)
class Sound:
    """A model to break, and what it is held to."""

    name: str
    model: Model
    rules: Rules
    exposure: Exposure

    def findings(self, check: str, model: Model | None = None) -> list[Finding]:
        """What one check says of a model that is not sound."""
        model = self.model if model is None else model
        if check in CHECKS:
            found = CHECKS[check](model, self.rules)
        else:
            found = LASTING[check](model, self.rules, self.exposure)
        return [f for f in found if f.verdict in BAD]


@cache
def exposure() -> Exposure:
    """The tool store's: everything is given. Boards wider than recommended are no fault of the wall."""
    given = exposure_of(load_scene(SCENES / "tool-store.toml"))
    return replace(given, wide=Limit(value=300.0, basis="set by the test"))


@cache
def whole(name: str) -> Sound:
    """An example scene."""
    scene = load_scene(SCENES / f"{name}.toml")
    return Sound(name=name, model=build_model(scene), rules=rules_of(scene), exposure=exposure())


@cache
def walls() -> tuple[Sound, ...]:
    """Every wall of the example scenes by itself."""
    return tuple(
        Sound(
            name=f"{name}, {wall.name}",
            model=replace(
                one.model,
                walls=(wall,),
                parts=tuple(p for p in one.model.parts if p.wall == wall.name),
                fixings=tuple(f for f in one.model.fixings if f.wall == wall.name),
            ),
            rules=one.rules,
            exposure=one.exposure,
        )
        for name in WHOLE
        for one in (whole(name),)
        for wall in one.model.walls
    )


@cache
def random_walls() -> tuple[Sound, ...]:
    """Small walls of random sizes on which no check but `board_facts` and `slivers` finds anything."""
    rng = random.Random(7)
    found: list[Sound] = []
    while len(found) < RANDOM_WALLS:
        length = rng.randrange(2000, 6000, 10)
        board = rng.choice([(150, 28, 10), (170, 32, 12), (125, 22, 8), (200, 36, 14)])
        tables: dict[str, object] = {
            "wall": {"length": length, "height": rng.randrange(1500, 3000, 10)},
            "board": {"width": board[0], "butt": board[1], "thin_edge": board[2], "stock": [2400, 1800]},
            "fixings": {"board_nail": {"length": 70}},
            "battens": {"thickness": 38},
            "posts": {"size": 110},
            "trims": {"thickness": 80, "sill_thickness": 80},
        }
        if rng.random() < 0.5:
            left = rng.randrange(500, length - 1300, 10)
            tables["opening"] = [{"left": left, "width": 700, "sill": 500, "head": 1150}]
        text = scene_text(**tables)
        try:
            scene = load_scene_text(text)
            model = build_model(scene)
        except CladmodelError:
            continue
        sound = Sound(name=f"random {len(found)}", model=model, rules=rules_of(scene), exposure=exposure())
        if not any(sound.findings(check) for check in CHECKS if check != "slivers"):
            found.append(sound)
    return tuple(found)


@cache
def singles() -> tuple[Sound, ...]:
    """One wall each: quick to measure."""
    return walls() + random_walls()


@cache
def buildings() -> tuple[Sound, ...]:
    """With all their walls, for what one wall's check sees of another."""
    return tuple(whole(name) for name in WHOLE) + random_walls()
