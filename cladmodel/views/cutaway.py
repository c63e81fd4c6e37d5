"""A stretch of wall cut through, seen in perspective: every layer on the cut, in its true size.

How much is shown, and where the camera and the sun stand, was chosen by eye.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np

from cladmodel.errors import OutputError
from cladmodel.model import Fixings, Kind, Model, Wall
from cladmodel.views import cameras
from cladmodel.views.finishes import Finish
from cladmodel.views.layers import plinth, steps_of
from cladmodel.views.lettering import save
from cladmodel.views.named import wall_named
from cladmodel.views.on_paper import on_paper, room_left
from cladmodel.views.peel import Peeled, kept_within
from cladmodel.views.staging import stage

RUN = 760.0  # length of wall shown behind the cut [mm]
TALL = 800.0  # height shown, from the foot up, if nothing else is asked for [mm]
BELOW = 130.0  # of the plinth shown below the foot [mm]
TURN = np.radians(60.0)  # the camera stands this far towards the cut
SUN = (np.radians(28.0), np.radians(44.0))  # from straight in front, and above level
ASIDE = 120.0  # a cut keeps this far from openings, past their trims [mm]


def cutaway(
    model: Model,
    path: Path | str,
    *,
    finish: Finish | str = "bare",
    wall: str | None = None,
    at: float | None = None,
    span: tuple[float, float] | None = None,
    size: tuple[int, int] = (1600, 1000),
    supersample: int = 2,
    seed: int = 1,
) -> Path:
    """Draw a wall cut through, from its cut side.

    Parameters
    ----------
    model : Model
    path : Path or str
        PNG file to write.
    finish : Finish or str
    wall : str, optional
        The first wall if not given.
    at : float, optional
        Where it is cut, from its left corner; between two battens and clear of openings if not given. [mm]
    span : (2,) float, optional
        From and to what height; the foot and a few courses if not given. [mm]
    size : (2,) int
        [pixels]
    supersample : int
        Rays through each pixel, squared.
    seed : int

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    OutputError
        If there is no such wall or finish, nothing is there to cut, or the file cannot be written.
    """
    chosen = wall_named(model, wall)
    x = cut_place(model, chosen) if at is None else at
    if not 50.0 < x < chosen.length:
        raise OutputError(f"at = {x:g}: from 50 to the wall's length, {chosen.length:g} mm")
    low, high = _foot_span(chosen, x) if span is None else span
    if high - low < 50.0:
        raise OutputError(f"span = {low:g} to {high:g}: show at least 50 mm")
    peeled = cut_stretch(model, chosen, (x - RUN, low), (x, high))
    if not peeled.parts:
        raise OutputError(f"span = {low:g} to {high:g}: nothing of the wall is there")
    steps = steps_of(model, chosen, peeled)
    box = room_left(steps, size, (0.05, 0.95))
    facing = cameras.facing(chosen)
    points = cameras.points_of(model, peeled.parts)
    floor, tall = float(points[:, 1].min()), float(np.ptp(points[:, 1]))
    shape = (int(box[2] - box[0]), max(1, int(box[3] - box[1])))
    camera = cameras.framing(
        points, facing + TURN, 1.3 * tall + 500.0, floor + 0.62 * tall, shape, margin=0.0
    ).inside(box, size)
    scene = stage(model, peeled.parts, peeled.fixings, seed, floor, floor="paper")
    image = on_paper(
        scene,
        camera,
        finish,
        steps,
        ("The wall cut through", model.title),
        sun=(facing + SUN[0], SUN[1]),
        finest=camera.pixel_size(points, size),
        size=size,
        supersample=supersample,
        seed=seed,
    )
    return save(image, path)


def cut_stretch(model: Model, wall: Wall, low: tuple[float, float], high: tuple[float, float]) -> Peeled:
    """Everything of a wall within limits in x and y, closed where it is cut, on its plinth.

    Parameters
    ----------
    model : Model
    wall : Wall
    low, high : (2,) float
        Least and most x and y. [mm, wall axes]
    """
    parts = [p for p in model.parts if p.wall == wall.name]
    kept = [piece for part in parts if (piece := kept_within(part, low, high)) is not None]
    under = kept_within(plinth(wall), low, high)
    if under is not None and kept:
        kept.append(under)
    fixings = [_within(group, low, high) for group in model.fixings if group.wall == wall.name]
    return Peeled(parts=tuple(kept), fixings=tuple(fixings))


def _within(group: Fixings, low: tuple[float, float], high: tuple[float, float]) -> Fixings:
    """Those fixings whose heads are wholly within limits."""
    radius = group.fastener.head_diameter / 2
    place = group.heads[:, :2]
    keep = ((place > np.array(low) + radius) & (place < np.array(high) - radius)).all(axis=1)
    return replace(group, heads=group.heads[keep], directions=group.directions[keep])


def _foot_span(wall: Wall, x: float) -> tuple[float, float]:
    foot = cameras.foot_at(wall, x)
    return max(foot - BELOW, wall.ground), foot + TALL


def cut_place(model: Model, wall: Wall) -> float:
    """Find a place just past a batten, clear of openings and about the middle of the wall. [mm]"""
    battens = [p for p in model.of_kind(Kind.BATTEN, wall=wall.name) if p.assembly is None]
    edges = sorted((float(p.vertices[:, 0].min()), float(p.vertices[:, 0].max())) for p in battens)
    return min(
        _bays(edges, wall) or [wall.length * 0.6],
        key=lambda x: (_in_an_opening(wall, x), abs(x - 0.6 * wall.length)),
    )


def _bays(edges: Sequence[tuple[float, float]], wall: Wall) -> list[float]:
    """Just past the batten on the left of every bay that is wide enough to see into."""
    wide, past = 150.0, 30.0  # so that the batten shows behind the cut
    return [a + past for (_, a), (b, _) in pairwise(edges) if b - a > wide and a > min(RUN, wall.length / 2)]


def _in_an_opening(wall: Wall, x: float) -> bool:
    return any(o.left - ASIDE < x < o.right + ASIDE for o in wall.openings)
