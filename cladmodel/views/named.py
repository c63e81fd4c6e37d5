"""Views of a job by name: every wall from its corners and from in front, and close by."""

from __future__ import annotations

from collections.abc import Sequence

from cladmodel.errors import OutputError
from cladmodel.model import Model, Part
from cladmodel.views import cameras
from cladmodel.views.cameras import Camera

KINDS = ("left", "right", "front", "post", "lap")
"""From a wall's left or right corner; from straight in front; its left corner post close by; and the boards'
laps from below, close by."""


def names(model: Model) -> list[str]:
    """Every view there is of a job, such as ``south left``.

    Parameters
    ----------
    model : Model
    """
    return [f"{wall.name} {kind}" for wall in model.walls for kind in KINDS]


def camera_named(model: Model, parts: Sequence[Part], name: str, size: tuple[int, int]) -> Camera:
    """Find a view by its name.

    Parameters
    ----------
    model : Model
    parts : sequence of Part
        Everything that a view of the whole must show; see `preview.with_surroundings`.
    name : str
        One of `names`; without a wall's name, of the first wall.
    size : (2,) int
        [pixels]

    Raises
    ------
    OutputError
        If there is no such view.
    """
    wall, _, kind = name.rpartition(" ")
    wall = wall or model.walls[0].name
    if kind not in KINDS or wall not in model.wall_by_name:
        raise OutputError(f"view = {name!r}: use one of {', '.join(names(model))}")
    if kind == "front":
        return cameras.square_on(model, parts, wall, size)
    if kind == "post":
        return cameras.close_corner(model, wall, size)
    if kind == "lap":
        return cameras.close_lap(model, wall, size)
    return cameras.three_quarter(model, parts, size, side=kind, wall=wall)
