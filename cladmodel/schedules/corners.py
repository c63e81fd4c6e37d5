"""The corners of a job: each post, the walls it stands between and the battens it goes up with."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from cladmodel.model import CornerKind, Fixings, Floats, Kind, Model, Part, Use, Wall


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Corner:
    """One corner post and what goes up with it.

    Attributes
    ----------
    kind : CornerKind
    left, right : Wall or None
        Seen from outside, the wall that ends here and the wall that begins here; None at a wall's own end.
    post : Part
    battens : tuple of Part
        Screwed to it, from the wall on its left to the wall on its right.
    """

    kind: CornerKind
    left: Wall | None
    right: Wall | None
    post: Part
    battens: tuple[Part, ...]

    @property
    def walls(self) -> tuple[Wall, ...]:
        """The walls that meet here, from left to right."""
        return tuple(wall for wall in (self.left, self.right) if wall is not None)

    @property
    def home(self) -> Wall:
        """The wall in whose axes the post stands."""
        return next(wall for wall in self.walls if wall.name == self.post.wall)

    @property
    def name(self) -> str:
        """What a carpenter calls it."""
        if self.left is not None and self.right is not None:
            return f"{self.left.name} / {self.right.name}"
        return f"{self.home.name}, {'right' if self.left is not None else 'left'} end"


def corners(model: Model) -> tuple[Corner, ...]:
    """Every corner of a job, wall by wall, a wall's left end before its right.

    Parameters
    ----------
    model : Model

    Notes
    -----
    Battens stand in the axes of their own walls; see `in_axes`.
    """
    found = []
    for post in model.of_kind(Kind.POST):
        home = model.wall_by_name[post.wall]
        at_right = float(post.vertices[:, 0].mean()) > home.length / 2
        kind = home.right_corner if at_right else home.left_corner
        left = home if at_right else None
        right = None if at_right else home
        if kind is not CornerKind.END:
            right = _next(model, home)
        found.append(Corner(kind=kind, left=left, right=right, post=post, battens=()))
    return tuple(_with_battens(model, corner) for corner in found)


def _next(model: Model, wall: Wall) -> Wall:
    """The wall that begins where this one ends: its left corner is the nearest."""
    end = model.to_building(wall.name, np.array([[wall.length, 0.0, 0.0]]))[0]
    others = [other for other in model.walls if other is not wall]
    return min(others, key=lambda other: float(np.hypot(*(other.frame[[0, 2], 3] - end[[0, 2]]))))


def _with_battens(model: Model, corner: Corner) -> Corner:
    """The post's own battens, and those that the wall on its right brings for it."""
    battens: list[Part] = []
    for wall in corner.walls:
        own = [b for b in model.of_kind(Kind.BATTEN, wall=wall.name) if b.assembly is not None]
        if wall is corner.home:
            battens += [b for b in own if b.assembly == corner.post.assembly]
        else:
            battens += [b for b in own if float(b.vertices[:, 0].mean()) < wall.length / 2]
    return Corner(
        kind=corner.kind, left=corner.left, right=corner.right, post=corner.post, battens=tuple(battens)
    )


def in_axes(model: Model, part: Part, wall: Wall) -> Part:
    """A part of any wall with its vertices in one wall's axes.

    Parameters
    ----------
    model : Model
    part : Part
    wall : Wall
    """
    if part.wall == wall.name:
        return part
    return part.with_vertices(_into(wall, model.to_building(part.wall, part.vertices)))


def points_in_axes(model: Model, points: Floats, of: str, wall: Wall) -> Floats:
    """Points in one wall's axes turned into another's.

    Parameters
    ----------
    model : Model
    points : (n, 3) float
        [mm]
    of : str
        Name of the wall in whose axes they are.
    wall : Wall

    Returns
    -------
    (n, 3) float
        [mm]
    """
    return points if of == wall.name else _into(wall, model.to_building(of, points))


def _into(wall: Wall, building: Floats) -> Floats:
    """Building axes to a wall's: its frame is rigid, so that its turn's inverse is its transpose."""
    return np.asarray((building - wall.frame[:3, 3]) @ wall.frame[:3, :3])


def screws_of(model: Model, corner: Corner, batten: Part) -> list[tuple[Fixings, Floats]]:
    """Screws through one of a corner's battens into its post.

    Parameters
    ----------
    model : Model
    corner : Corner
    batten : Part

    Returns
    -------
    list of (Fixings, (n, 3) float)
        Each group with those of its heads that lie in the batten; in the batten's wall's axes. [mm]
    """
    low, high = batten.vertices.min(axis=0), batten.vertices.max(axis=0)
    found = []
    for wall in corner.walls:
        for group in model.fixings_for(Use.POST, wall.name):
            heads = points_in_axes(model, group.heads, wall.name, model.wall_by_name[batten.wall])
            inside = ((heads > low) & (heads < high)).all(axis=1)
            if inside.any():
                found.append((group, heads[inside]))
    return found
