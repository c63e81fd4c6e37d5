r"""One job description in; an exact, measured 3D model of a clad timber-frame wall out.

The public names, loaded when first used:

>>> import cladmodel
>>> scene = cladmodel.load_scene_text('title = "Wall"\n[wall]\nlength = 3600\nheight = 2400')
>>> model = cladmodel.build_model(scene)
>>> len(model.of_kind(cladmodel.Kind.BOARD))
18
"""

from __future__ import annotations

from importlib import import_module
from typing import Any

_HOME = {
    "Finding": "cladmodel.checks.finding",
    "Fixings": "cladmodel.model",
    "Kind": "cladmodel.model",
    "Model": "cladmodel.model",
    "Part": "cladmodel.model",
    "Scene": "cladmodel.scene.job",
    "SceneError": "cladmodel.errors",
    "build_model": "cladmodel.build",
    "build_planned": "cladmodel.build",
    "export": "cladmodel.exports.formats",
    "exposure_of": "cladmodel.build",
    "load_scene": "cladmodel.build",
    "load_scene_text": "cladmodel.build",
    "preview": "cladmodel.views.preview",
    "rules_of": "cladmodel.build",
    "run_checks": "cladmodel.checks.run",
}

__all__ = sorted(_HOME)


def __getattr__(name: str) -> Any:
    if name in _HOME:
        return getattr(import_module(_HOME[name]), name)
    raise AttributeError(f"module 'cladmodel' has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted([*globals(), *_HOME])
