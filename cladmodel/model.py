"""Part, Fixings, Wall and Model: all that any later stage may read.

Axes of a wall: x along it (to the right, seen from outside), y up from the foot line,
z outward from the outer face of the battens. Right-handed. Millimetres, float64.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


class Layer(StrEnum):
    """What is put up together, in building-up order."""

    FRAME = "frame"
    SHEATHING = "sheathing"
    MEMBRANE = "membrane"
    BATTENS = "battens"
    STARTER = "starter"
    POSTS = "posts"
    TRIMS = "trims"
    BOARDS = "boards"
    FIXINGS = "fixings"
    SURROUNDINGS = "surroundings"


class Kind(StrEnum):
    """What a part is, in the trade's words."""

    STUD = "stud"
    SOLE_PLATE = "sole plate"
    HEAD_PLATE = "head plate"
    SILL_PLATE = "sill plate"
    LINTEL = "lintel"
    SHEATHING = "sheathing"
    MEMBRANE = "membrane"
    BATTEN = "batten"
    VENT_STRIP = "vent strip"
    STARTER = "starter"
    PACKER = "packer"
    POST = "post"
    SIDE_TRIM = "side trim"
    HEAD_TRIM = "head trim"
    FLASHING = "flashing"
    SILL = "sill"
    FILLET = "cover fillet"
    BOARD = "board"
    SCENERY = "scenery"

    @property
    def layer(self) -> Layer:
        """The layer this kind goes up with."""
        return _LAYER_OF[self]


_LAYER_OF = {
    Kind.STUD: Layer.FRAME,
    Kind.SOLE_PLATE: Layer.FRAME,
    Kind.HEAD_PLATE: Layer.FRAME,
    Kind.SILL_PLATE: Layer.FRAME,
    Kind.LINTEL: Layer.FRAME,
    Kind.SHEATHING: Layer.SHEATHING,
    Kind.MEMBRANE: Layer.MEMBRANE,
    Kind.BATTEN: Layer.BATTENS,
    Kind.VENT_STRIP: Layer.STARTER,
    Kind.STARTER: Layer.STARTER,
    Kind.PACKER: Layer.STARTER,
    Kind.POST: Layer.POSTS,
    Kind.SIDE_TRIM: Layer.TRIMS,
    Kind.HEAD_TRIM: Layer.TRIMS,
    Kind.FLASHING: Layer.TRIMS,
    Kind.SILL: Layer.TRIMS,
    Kind.FILLET: Layer.TRIMS,
    Kind.BOARD: Layer.BOARDS,
    Kind.SCENERY: Layer.SURROUNDINGS,
}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Part:
    """One piece of the wall, cut and in place: a closed solid in its wall's own axes.

    Attributes
    ----------
    mark : str
        Unique shop mark, short enough to pencil on the piece, such as ``A07b``.
    kind : Kind
    wall : str
        Name of the wall in whose axes the vertices are.
    vertices : (n, 3) float
        x, y, z in the wall's axes. [mm]
    faces : (m, 3) int
        Triangles, counter-clockwise seen from outside.
    course : int or None
        1 at the foot; None for pieces that belong to no course.
    section : str
        Cross-section as ordered, such as ``170 x 22/9``.
    cut_length_mm : float
        Longest length to be cut from stock. [mm]
    material : str
        What the finish goes by: board, post, trim, batten, frame, sheathing, membrane, metal,
        plastic, or (surroundings only) glass, ground, plinth, soffit, roof, gutter, joinery, door.
    assembly : str or None
        Name of the assembly this part goes up with (a corner post and its battens).
    """

    mark: str
    kind: Kind
    wall: str
    vertices: Floats
    faces: Ints
    course: int | None = None
    section: str = ""
    cut_length_mm: float = 0.0
    material: str = ""
    assembly: str | None = None

    @property
    def layer(self) -> Layer:
        """The layer this part goes up with."""
        return self.kind.layer

    def with_vertices(self, vertices: Floats) -> Part:
        """Return the same part with its vertices replaced.

        Parameters
        ----------
        vertices : (n, 3) float
            As many as before. [mm]
        """
        return replace(self, vertices=np.asarray(vertices, np.float64))


class Use(StrEnum):
    """What a fixing holds to what."""

    BOARD = "board to batten"
    BATTEN = "batten to stud"
    POST = "batten edge to post"
    TRIM = "trim to batten"
    FILLET = "fillet to packer"


@dataclass(frozen=True, slots=True, kw_only=True)
class Fastener:
    """One size of nail or screw.

    Attributes
    ----------
    name : str
        Such as ``ring-shank nail 2.65 x 50``.
    diameter, length, head_diameter, head_thickness : float
        Length is measured from the underside of the head to the point. [mm]
    headed : bool
        False for a headless pin (its head diameter equals its shank).
    ringed : bool
        Ring or threaded shank (True) or plain shank (False).
    material : str
    """

    name: str
    diameter: float
    length: float
    head_diameter: float
    head_thickness: float
    headed: bool
    ringed: bool
    material: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Fixings:
    """Many fixings of one size and one use, as instances.

    Attributes
    ----------
    mark : str
    wall : str
    use : Use
    fastener : Fastener
    heads : (n, 3) float
        Where the underside of each head bears. [mm, wall axes]
    directions : (n, 3) float
        Unit vectors from head to point. [-]
    concealed : bool
        True when no one should see it once the wall is clad.
    """

    mark: str
    wall: str
    use: Use
    fastener: Fastener
    heads: Floats
    directions: Floats
    concealed: bool

    @property
    def points(self) -> Floats:
        """(n, 3) float: tip of each fixing. [mm, wall axes]"""
        return self.heads + self.directions * self.fastener.length


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A door or window as set out; for surroundings and drawings, never for checks.

    Attributes
    ----------
    name : str
    door : bool
    left, right, sill, head : float
        Structural opening in the wall's x and y; a door's sill is its threshold. [mm]
    """

    name: str
    door: bool
    left: float
    right: float
    sill: float
    head: float


class CornerKind(StrEnum):
    """What stands at the end of a wall."""

    END = "end"
    OUTSIDE = "outside"
    INSIDE = "inside"


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Wall:
    """Where a wall stands.

    Attributes
    ----------
    name : str
    frame : (4, 4) float
        Wall axes to building axes (y up). [mm]
    length : float
        At the foot, between the corners of the frame's outer face. [mm]
    outline : (n, 2) float
        Clad area in x and y, counter-clockwise, before openings are taken out. [mm]
    ground : float
        Finished ground in the wall's y; below 0. [mm]
    head : float
        Soffit line in the wall's y, at its highest. [mm]
    openings : tuple of Opening
    rod : (courses + 1,) float
        Butt lines from foot to head, as set out. [mm]
    depth_to_frame : float
        From the batten face back to the outer face of the studs, above 0. [mm]
    frame_depth : float
        Depth of the studs. [mm]
    foot_points : int
        How many of the outline's points, from the first, are its foot.
    left_corner, right_corner : CornerKind
        An end is a wall's own post; the wall on the left of a corner brings the corner's post.
    """

    name: str
    frame: Floats
    length: float
    outline: Floats
    ground: float
    head: float
    openings: tuple[Opening, ...]
    rod: Floats
    depth_to_frame: float
    frame_depth: float
    foot_points: int = 2
    left_corner: CornerKind = CornerKind.END
    right_corner: CornerKind = CornerKind.END

    @property
    def foot_line(self) -> Floats:
        """(n, 2) float: foot of the cladding from left to right, with its steps and slopes. [mm]"""
        return self.outline[: self.foot_points]

    @property
    def top_line(self) -> Floats:
        """(n, 2) float: soffit from left to right, with its rakes. [mm]"""
        return self.outline[self.foot_points :][::-1]

    @property
    def clearance(self) -> float:
        """From the ground up to the foot, all along it. [mm]"""
        return float(self.foot_line[:, 1].min()) - self.ground


@dataclass(frozen=True, kw_only=True, eq=False)
class Model:
    """A whole job as closed solids.

    Attributes
    ----------
    title : str
    walls : tuple of Wall
    parts : tuple of Part
        Every piece of the building; marks are unique.
    fixings : tuple of Fixings
    surroundings : tuple of Part
        For pictures only: never measured, never counted.
    notes : tuple of str
        What the setting-out wants the carpenter to know.
    """

    title: str
    walls: tuple[Wall, ...]
    parts: tuple[Part, ...]
    fixings: tuple[Fixings, ...]
    surroundings: tuple[Part, ...] = ()
    notes: tuple[str, ...] = ()

    @cached_property
    def wall_by_name(self) -> dict[str, Wall]:
        """Walls by their names."""
        return {wall.name: wall for wall in self.walls}

    @cached_property
    def parts_by_wall(self) -> dict[str, tuple[Part, ...]]:
        """Parts of each wall, in model order."""
        found: dict[str, list[Part]] = {wall.name: [] for wall in self.walls}
        for part in self.parts:
            found.setdefault(part.wall, []).append(part)
        return {name: tuple(own) for name, own in found.items()}

    def of_kind(self, *kinds: Kind, wall: str | None = None) -> list[Part]:
        """Parts of some kinds, in model order.

        Parameters
        ----------
        *kinds : Kind
        wall : str, optional
            Only this wall's.
        """
        parts = self.parts if wall is None else self.parts_by_wall.get(wall, ())
        return [p for p in parts if p.kind in kinds]

    def fixings_for(self, use: Use, wall: str | None = None) -> list[Fixings]:
        """Fixings of one use, in model order.

        Parameters
        ----------
        use : Use
        wall : str, optional
            Only this wall's.
        """
        return [f for f in self.fixings if f.use is use and (wall is None or f.wall == wall)]

    def to_building(self, wall: str, points: Floats) -> Floats:
        """Turn points from a wall's axes into the building's (y up).

        Parameters
        ----------
        wall : str
        points : (n, 3) float
            [mm]

        Returns
        -------
        (n, 3) float
            [mm]
        """
        frame = self.wall_by_name[wall].frame
        return np.asarray(points @ frame[:3, :3].T + frame[:3, 3])

    def replace_parts(self, changed: Iterable[Part]) -> Model:
        """Return the same model with some parts swapped by mark.

        Parameters
        ----------
        changed : iterable of Part
            Each carries the mark of the part it takes the place of.

        Raises
        ------
        KeyError
            If a mark is not in the model.
        """
        by_mark = {part.mark: part for part in changed}
        unknown = set(by_mark) - {part.mark for part in self.parts}
        if unknown:
            raise KeyError(f"no such marks: {sorted(unknown)}")
        return replace(self, parts=tuple(by_mark.get(p.mark, p) for p in self.parts))
