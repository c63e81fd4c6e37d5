"""A small job and a front end of a few words, so that packing is tested without a browser."""

from __future__ import annotations

from typing import Any

import pytest

from cladmodel.page.bundle import Bundle
from cladmodel.schedules.report import report

from ...building import SCENES, Built, build_file, build_text, scene_text

SHELL = (
    '<meta content="<!--slot:policy-->"><title><!--slot:title--></title><style><!--slot:style--></style>'
    "<!--slot:facts--><!--slot:poster--><!--slot:sheet--><!--slot:tool-->"
    '<script type="application/octet-stream" id="model"><!--slot:model--></script>'
    "<script><!--slot:script--></script>"
)


@pytest.fixture(scope="session")
def bundle() -> Bundle:
    return Bundle(shell=SHELL, style="p{margin:0}", script="start()")


@pytest.fixture(scope="session")
def wall() -> Built:
    """A plain wall with a window and two posts."""
    opening = {"name": "window", "kind": "window", "left": 1300, "width": 900, "sill": 890, "head": 1930}
    return build_text(scene_text(opening=[opening]))


@pytest.fixture(scope="session")
def seed_store() -> Built:
    """Four walls, two of them gables; a door and three windows."""
    return build_file(SCENES / "seed-store.toml")


@pytest.fixture(scope="session")
def table(wall: Built) -> dict[str, Any]:
    return report(wall.model, wall.findings, wall.rules)
