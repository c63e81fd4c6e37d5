"""Published values, read from the data files under shared/."""

from __future__ import annotations

import tomllib
from typing import Any

from ..building import SHARED


def published(name: str) -> dict[str, Any]:
    """Contents of shared/<name>.toml."""
    return tomllib.loads((SHARED / f"{name}.toml").read_text(encoding="utf-8"))
