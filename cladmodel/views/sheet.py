"""Walls laid out side by side on one sheet, each square-on, or a building from two opposite corners."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from cladmodel.checks.around import around
from cladmodel.model import Kind, Model, Part
from cladmodel.views import cameras
from cladmodel.views.arrays import Floats
from cladmodel.views.flat import Piece

Colour = Callable[[Part], tuple[int, int, int]]

ROUND_IT = (Kind.SIDE_TRIM, Kind.HEAD_TRIM, Kind.SILL, Kind.FILLET, Kind.STARTER)
DOWN = np.radians(9.0)  # how far a view from a corner looks down
TURN = np.radians(-38.0)  # how far it stands to the left of the first wall
NEAR_END = 400.0  # a post this near an end stands there: more than a post's thickness [mm]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Patch:
    """One view on a sheet, in the sheet's axes: x right, y up, z towards the eye.

    Attributes
    ----------
    name : str
        Written above it; empty for none.
    marks : list of str
    pieces : list of Piece
    """

    name: str
    marks: list[str]
    pieces: list[Piece]

    @property
    def span(self) -> Floats:
        """(2, 2) float: least x and y, most x and y. [mm]"""
        every = np.concatenate([piece.vertices for piece in self.pieces])[:, :2]
        return np.stack([every.min(axis=0), every.max(axis=0)])

    def moved(self, by: Floats) -> Patch:
        """The same, moved in x and y."""
        step = np.array([*by, 0.0])
        pieces = [replace(piece, vertices=piece.vertices + step) for piece in self.pieces]
        return replace(self, pieces=pieces)


def elevations(model: Model, walls: Sequence[str], colour: Colour) -> list[Patch]:
    """Each wall from straight in front.

    Parameters
    ----------
    model : Model
    walls : sequence of str
    colour : callable
        Red, green, blue of a part.
    """
    name_them = len(walls) > 1
    return [_patch(name if name_them else "", _parts_at(model, name), colour) for name in walls]


def corners(model: Model, colour: Colour) -> list[Patch]:
    """A building from two opposite corners: of each wall only the outside is drawn.

    Parameters
    ----------
    model : Model
    colour : callable
        Red, green, blue of a part.
    """
    facing = cameras.facing(model.walls[0])
    found = []
    for azimuth in (facing + TURN, facing + TURN + np.pi):
        c, s = np.cos(DOWN), np.sin(DOWN)
        out = np.array([np.sin(azimuth) * c, s, np.cos(azimuth) * c])
        right = np.array([np.cos(azimuth), 0.0, -np.sin(azimuth)])
        axes = np.stack([right, np.cross(out, right), out])
        seen: list[Part] = []
        for wall in model.walls:
            if wall.frame[:3, 2] @ out > 0.05:
                seen += [
                    part.with_vertices(model.to_building(wall.name, part.vertices) @ axes.T)
                    for part in _parts_at(model, wall.name)
                ]
        if seen:
            found.append(_patch("", seen, colour))
    return found


def _patch(name: str, parts: Sequence[Part], colour: Colour) -> Patch:
    pieces = [Piece(vertices=p.vertices, faces=p.faces, colour=colour(p)) for p in parts]
    return Patch(name=name, marks=[p.mark for p in parts], pieces=pieces)


def _parts_at(model: Model, name: str) -> list[Part]:
    """Boards and what stands round them, in the wall's axes, with the posts at both its ends."""
    length = model.wall_by_name[name].length
    own = model.of_kind(Kind.BOARD, *ROUND_IT, wall=name)
    return [*own, *(p for p in around(model, name, Kind.POST) if _stands_at_an_end(p, length))]


def _stands_at_an_end(post: Part, length: float) -> bool:
    low, high = post.vertices.min(axis=0), post.vertices.max(axis=0)
    ends = (abs(high[0]), abs(low[0] - length), abs(low[0]), abs(high[0] - length))
    return bool(min(ends) < NEAR_END and low[2] > -NEAR_END and high[2] < NEAR_END)


def laid_out(
    patches: Sequence[Patch], size: tuple[int, int], gap: float, above: float
) -> tuple[list[Patch], float]:
    """Set views down in rows so that they are as large as can be, all to one scale.

    Parameters
    ----------
    patches : sequence of Patch
    size : (2,) int
        Room for them. [pixels]
    gap, above : float
        Clear space between views, and above each for its name. [pixels]

    Returns
    -------
    patches : list of Patch
        In pixels from the upper left corner of the room, y up (so below 0).
    per_pixel : float
        [mm]
    """
    spans = [patch.span for patch in patches]
    wide = np.array([span[1, 0] - span[0, 0] for span in spans])
    tall = np.array([span[1, 1] - span[0, 1] for span in spans])
    count = len(patches)
    best: tuple[float, list[list[int]]] = (np.inf, [])
    for rows in range(1, count + 1):
        split = [list(map(int, part)) for part in np.array_split(np.arange(count), rows)]
        across = max(wide[row].sum() / max(size[0] - gap * (len(row) - 1), 1.0) for row in split)
        down = sum(tall[row].max() for row in split) / max(size[1] - rows * (above + gap), 1.0)
        if max(across, down) < best[0]:
            best = (float(max(across, down)), split)
    scale, split = best
    placed: list[Patch] = []
    used = sum(tall[row].max() / scale + above + gap for row in split)
    y = -(size[1] - used) / 2
    for row in split:
        y -= tall[row].max() / scale + above
        x = (size[0] - wide[row].sum() / scale - gap * (len(row) - 1)) / 2
        for index in row:
            low = spans[index][0] / scale
            shrunk = [replace(p, vertices=p.vertices / scale) for p in patches[index].pieces]
            placed.append(replace(patches[index], pieces=shrunk).moved(np.array([x, y]) - low))
            x += wide[index] / scale + gap
        y -= gap
    return placed, scale
