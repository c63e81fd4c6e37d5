"""Views of a job by name: every wall from its corners and from in front, and close by."""

from __future__ import annotations

import math
from collections.abc import Sequence

from cladmodel.errors import OutputError
from cladmodel.model import Model, Part, Wall
from cladmodel.views import cameras
from cladmodel.views.cameras import NARROWEST, WIDEST, Camera

KINDS = ("left", "right", "front", "post", "lap")
"""From a wall's left or right corner; from straight in front; its left corner post close by; and the boards'
laps from below, close by."""

NUMBERS = (
    "x, y, z of the eye in mm, the way it looks and how wide it sees in degrees: '-2000, 1600, 7000, 150, 60'"
)


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
        One of `names`; without a wall's name, of the first wall. Or five numbers; see `camera_by_numbers`.
    size : (2,) int
        [pixels]

    Raises
    ------
    OutputError
        If there is no such view.
    """
    if "," in name:
        return camera_by_numbers(name, size)
    wall, _, kind = name.rpartition(" ")
    wall = wall or model.walls[0].name
    if kind not in KINDS or wall not in model.wall_by_name:
        raise OutputError(f"view = {name!r}: use one of {', '.join(names(model))}, or {NUMBERS}")
    if kind == "front":
        return cameras.square_on(model, parts, wall, size)
    if kind == "post":
        return cameras.close_corner(model, wall, size)
    if kind == "lap":
        return cameras.close_lap(model, wall, size)
    return cameras.three_quarter(model, parts, size, side=kind, wall=wall)


def wall_named(model: Model, name: str | None) -> Wall:
    """Find a wall by its name; the first one for None.

    Parameters
    ----------
    model : Model
    name : str or None

    Raises
    ------
    OutputError
        If there is no such wall.
    """
    if name is None:
        return model.walls[0]
    if name not in model.wall_by_name:
        raise OutputError(f"wall = {name!r}: use one of {', '.join(model.wall_by_name)}")
    return model.wall_by_name[name]


def camera_by_numbers(words: str, size: tuple[int, int]) -> Camera:
    """A level camera wherever one likes, its verticals upright.

    Parameters
    ----------
    words : str
        Five numbers by commas: the eye's x, y and z [mm, building axes: y up, z towards who faces the first
        wall], which way it looks about y from +z towards +x [deg], how wide it sees [deg].
    size : (2,) int
        [pixels]

    Raises
    ------
    OutputError
        If they are not five numbers, or it sees less or more than a level camera can.
    """
    try:
        x, y, z, way, wide = (float(word) for word in words.split(","))
    except ValueError:
        raise OutputError(f"view = {words!r}: give a view's name, or {NUMBERS}") from None
    if not all(map(math.isfinite, (x, y, z, way))) or not NARROWEST <= wide <= WIDEST:
        width = f"from {NARROWEST:g} to {WIDEST:g} degrees"
        raise OutputError(f"view = {words!r}: the last number, how wide it sees, is {width}")
    ahead = 1000.0 * math.sin(math.radians(way)), 1000.0 * math.cos(math.radians(way))
    return cameras.by_numbers((x, y, z), (x + ahead[0], y, z + ahead[1]), wide, size)
