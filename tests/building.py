"""From a scene to a built and measured wall, once for each scene; and scenes in a few words."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from cladmodel.build import build_model, load_scene_text, rules_of
from cladmodel.checks.finding import Finding, Verdict
from cladmodel.checks.rules import Rules
from cladmodel.checks.run import run_checks
from cladmodel.model import Kind, Model, Part
from cladmodel.scene.job import Scene

ROOT = Path(__file__).resolve().parent.parent
SCENES = ROOT / "scenes"
SHARED = ROOT / "shared"

WINDOW = {"name": "window", "kind": "window", "left": 1300, "width": 900, "sill": 890, "head": 1930}


@dataclass(frozen=True, eq=False)
class Built:
    """A scene, its solids, and what the checks found."""

    scene: Scene
    model: Model
    rules: Rules
    findings: tuple[Finding, ...]

    def boards(self) -> list[Part]:
        """Boards from the foot up, each course from left to right."""
        found = self.model.of_kind(Kind.BOARD)
        return sorted(found, key=lambda p: (p.course or 0, p.vertices[:, 0].min()))


def bad(findings: tuple[Finding, ...]) -> list[Finding]:
    """Findings that a carpenter must act on."""
    return [f for f in findings if f.verdict in (Verdict.FAIL, Verdict.CAUTION)]


def failing(findings: tuple[Finding, ...]) -> set[str]:
    """Names of the checks that fail."""
    return {f.check for f in findings if f.verdict is Verdict.FAIL}


@lru_cache(maxsize=64)
def build_text(text: str) -> Built:
    """Build and measure a scene given as TOML."""
    scene = load_scene_text(text)
    model = build_model(scene)
    rules = rules_of(scene)
    return Built(scene=scene, model=model, rules=rules, findings=run_checks(model, rules))


def build_file(path: Path) -> Built:
    """Build and measure a scene file."""
    return build_text(path.read_text(encoding="utf-8"))


def toml(value: object) -> str:
    """One TOML value, inline."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{k} = {toml(v)}" for k, v in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(toml(v) for v in value) + "]"
    return json.dumps(value, ensure_ascii=False) if isinstance(value, str) else repr(value)


def scene_text(**tables: object) -> str:
    """Scene in TOML from tables given by name; a plain wall 3600 by 2400 unless told otherwise."""
    wall = {"length": 3600, "height": 2400, **dict(tables.pop("wall", {}))}  # type: ignore[call-overload]
    lines = [f"{key} = {toml(value)}" for key, value in {"title": "Trial", "wall": wall, **tables}.items()]
    return "\n".join(lines) + "\n"
