"""Turn parts into what a picture needs: triangles in building axes, and how each is to look.

Rays are followed by Embree, so a picture needs no OpenGL, no display and no graphics card.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from cladmodel.errors import PictureError
from cladmodel.model import Fixings, Kind, Model, Part
from cladmodel.views.arrays import Bools, Floats, Ints, Singles

CLEAR = 0.05  # rays start this far off the surface they leave [mm]
HORIZON = 3.0e6  # the lawn is carried this far [mm]
PAPER = 1.3  # a paper floor reaches this many times the height of what stands on it
ENDWISE = 0.7  # a face whose normal is this far along the grain is a cut end [-]
LYING = 0.95  # a face whose normal is this upright has its map laid square to the building [-]
HEAD_SIDES = 14  # corners of a modelled nail head

# Kinds whose grain runs upright; all others run along the wall.
UPRIGHT = {Kind.STUD, Kind.BATTEN, Kind.POST, Kind.SIDE_TRIM}


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stage:
    """Every triangle of one picture. m triangles, p pieces.

    Attributes
    ----------
    corners : (m, 3, 3) float
        [mm, building axes]
    normal : (m, 3) float
    along, across : (m, 3) float
        Unit directions of the surface's map: along the grain, and across it in the face.
    shift : (m, 2) float
        What is added to a point's place along and across to find its place on the map. [mm]
    piece : (m,) int
        Which piece each triangle belongs to.
    plane : (m,) int
        Equal for triangles that lie in one plane, wherever they are.
    end : (m,) bool
        True on cut ends of timber.
    material, section, marks : list of str, one a piece
    dice : (p, 4) float
        Four random numbers a piece, 0 to 1, the same whenever the mark and the seed are.
    ground : float
        Level of the lawn. [mm]
    """

    corners: Singles
    normal: Singles
    along: Singles
    across: Singles
    shift: Singles
    piece: Ints
    plane: Ints
    end: Bools
    material: list[str]
    section: list[str]
    marks: list[str]
    dice: Singles
    ground: float


@dataclass(slots=True)
class _Heap:
    """Triangles collected so far."""

    corners: list[Floats] = field(default_factory=list)
    along: list[Floats] = field(default_factory=list)
    counts: list[int] = field(default_factory=list)
    material: list[str] = field(default_factory=list)
    section: list[str] = field(default_factory=list)
    marks: list[str] = field(default_factory=list)

    def add(self, corners: Floats, along: Floats, material: str, section: str, mark: str) -> None:
        """Add one piece's triangles, in building axes."""
        self.corners.append(corners)
        self.along.append(np.broadcast_to(along, (len(corners), 3)))
        self.counts.append(len(corners))
        self.material.append(material)
        self.section.append(section)
        self.marks.append(mark)


def stage(
    model: Model,
    parts: Iterable[Part],
    fixings: Sequence[Fixings],
    seed: int,
    ground: float,
    *,
    floor: str = "ground",
) -> Stage:
    """Set out the triangles of one picture.

    Parameters
    ----------
    model : Model
        For its walls' frames.
    parts : iterable of Part
        What to show.
    fixings : sequence of Fixings
        Whose heads to show.
    seed : int
        Another seed deals the boards other strips of grain.
    ground : float
        Level of the floor that runs to the horizon. [mm, building axes]
    floor : str
        ``ground`` for a lawn, ``paper`` for the plain background.
    """
    heap = _Heap()
    for part in parts:
        corners = model.to_building(part.wall, part.vertices)[part.faces]
        turn = model.wall_by_name[part.wall].frame[:3, :3]
        heap.add(corners, turn @ grain_direction(part), part.material, part.section, part.mark)
    for group in fixings:
        if group.fastener.headed and not group.concealed and len(group.heads):
            local = head_triangles(group)
            corners = model.to_building(group.wall, local.reshape(-1, 3)).reshape(-1, 3, 3)
            heap.add(corners, np.array([0.0, 1.0, 0.0]), "nail", "", f"{group.mark}@{group.wall}")
    corner = np.array([[-1, -1], [-1, 1], [1, 1], [-1, -1], [1, 1], [1, -1]])
    if floor == "paper":  # only as far as the shadows fall
        every = np.concatenate(heap.corners).reshape(-1, 3)
        low, high = every.min(axis=0), every.max(axis=0)
        reach = (high - low) / 2 + PAPER * (high[1] - low[1])
        far = ((low + high) / 2)[[0, 2]] + corner * reach[[0, 2]]
    else:
        far = corner * HORIZON
    sheet = np.column_stack([far[:, 0], np.full(6, ground), far[:, 1]]).reshape(2, 3, 3)
    heap.add(sheet, np.array([1.0, 0, 0]), floor, "grass", "~horizon")
    return _dress(heap, seed, ground)


def grain_direction(part: Part) -> Floats:
    """Which way a part's grain runs, in wall axes.

    Parameters
    ----------
    part : Part

    Returns
    -------
    (3,) float
        A unit vector.
    """
    if part.kind in UPRIGHT:
        return np.array([0.0, 1.0, 0.0])
    extent = np.ptp(part.vertices, axis=0)
    if part.kind is Kind.SCENERY:
        return np.asarray(np.eye(3)[int(np.argmax(extent))])
    raking = extent[0] > 200.0 and extent[1] > 0.6 * extent[0]
    if part.kind is Kind.FILLET and raking:
        centred = part.vertices - part.vertices.mean(axis=0)
        return np.asarray(np.linalg.svd(centred, full_matrices=False)[2][0])
    return np.array([1.0, 0.0, 0.0])


def head_triangles(group: Fixings) -> Floats:
    """Heads of some fixings, at their true size.

    Parameters
    ----------
    group : Fixings

    Returns
    -------
    (n, 3, 3) float
        Triangles, counter-clockwise from outside. [mm, wall axes]
    """
    r, t = group.fastener.head_diameter / 2, group.fastener.head_thickness
    turn = np.arange(HEAD_SIDES) * 2 * np.pi / HEAD_SIDES
    out = -group.directions
    helper = np.where(np.abs(out[:, :1]) < 0.9, [[1.0, 0, 0]], [[0, 1.0, 0]])
    u = np.cross(helper, out)
    u /= np.linalg.norm(u, axis=1, keepdims=True)
    v = np.cross(out, u)
    rim = np.cos(turn)[None, :, None] * u[:, None] + np.sin(turn)[None, :, None] * v[:, None]
    centre, out = group.heads[:, None], out[:, None]
    # Slightly domed: full width to above its middle, then in to a smaller flat.
    rings = [centre + width * r * rim + rise * t * out for width, rise in ((1, -0.5), (1, 0.5), (0.75, 1))]
    fans = [(rings[2], np.roll(rings[2], -1, axis=1), np.broadcast_to(centre + t * out, rings[2].shape))]
    for low, high in pairwise(rings):
        low_next, high_next = np.roll(low, -1, axis=1), np.roll(high, -1, axis=1)
        fans += [(low, low_next, high_next), (low, high_next, high)]
    return np.concatenate([np.stack(f, axis=2).reshape(-1, 3, 3) for f in fans])


def _dress(heap: _Heap, seed: int, ground: float) -> Stage:
    """Work out normals, map directions and planes."""
    corners = np.concatenate(heap.corners)
    along = np.concatenate(heap.along)
    piece = np.repeat(np.arange(len(heap.counts)), heap.counts)
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    size = np.linalg.norm(normal, axis=1, keepdims=True)
    keep = size[:, 0] > 1e-9
    corners, along, piece = corners[keep], along[keep], piece[keep]
    normal = normal[keep] / size[keep]
    # Horizontal along the face for everything that is not timber: slates, gravel, walls.
    tiled = np.isin(
        [heap.material[p] in ("roof", "ground", "plinth", "sheathing", "paper") for p in piece], True
    )
    level = np.cross(np.array([0.0, 1.0, 0.0]), normal)
    flat = normal[:, 1] > LYING
    level[flat] = [1.0, 0.0, 0.0]
    along = np.where(tiled[:, None], level, along)
    end = (np.abs(np.einsum("ij,ij->i", normal, along)) > ENDWISE) & ~tiled
    upright = np.cross(normal, np.roll(along, 1, axis=1))
    along = np.where(end[:, None], upright, along)
    along -= np.einsum("ij,ij->i", normal, along)[:, None] * normal
    along /= np.linalg.norm(along, axis=1, keepdims=True) + 1e-12
    across = np.cross(normal, along)
    dice = np.array([_dice(seed, mark) for mark in heap.marks], np.float32).reshape(-1, 4)
    shift = _shift(corners, along, across, piece, dice, tiled)
    plane = _planes(corners, normal, piece, heap.material, heap.section)
    return Stage(
        corners=corners.astype(np.float32),
        normal=normal.astype(np.float32),
        along=along.astype(np.float32),
        across=across.astype(np.float32),
        shift=shift.astype(np.float32),
        piece=piece,
        plane=plane,
        end=end,
        material=heap.material,
        section=heap.section,
        marks=heap.marks,
        dice=dice,
        ground=ground,
    )


def _dice(seed: int, mark: str) -> NDArray[np.float64]:
    return np.random.default_rng([seed, zlib.crc32(mark.encode())]).random(4)


def _shift(
    corners: Floats, along: Floats, across: Floats, piece: Ints, dice: Singles, tiled: Bools
) -> Floats:
    """Place each piece's faces on their maps: from the strip's edge across, anywhere along.

    Faces of one piece that look the same way must share a shift: the least place across is taken over
    the whole piece, not over the triangle.
    """
    order = np.argsort(piece, kind="stable")
    starts = np.flatnonzero(np.diff(piece[order], prepend=-1))
    low = np.empty(len(piece))
    for a, b in zip(starts, [*starts[1:], len(order)], strict=True):
        rows = order[a:b]
        points = corners[rows].reshape(-1, 3)
        if len(rows) > 400:  # many small faces (nail heads, slotted strips): their own edge will do
            low[rows] = np.einsum("mkj,mj->mk", corners[rows], across[rows]).min(axis=1)
        else:
            low[rows] = (across[rows] @ points.T).min(axis=1)
    roll = dice[piece]
    shift = np.column_stack([7000.0 * roll[:, 0], 6.0 + 40.0 * roll[:, 1] - low])
    shift[tiled] = 0.0
    return shift


def _planes(corners: Floats, normal: Floats, piece: Ints, material: list[str], section: list[str]) -> Ints:
    """Number the planes; curved pieces count as one plane, so that light is smoothed round them."""
    offset = np.einsum("ij,ij->i", normal, corners[:, 0])
    key = np.column_stack([np.round(normal * 200.0), np.round(offset / 0.5)]).astype(np.int64)
    curved = np.array(
        [m in ("gutter", "nail") or s == "bank" for m, s in zip(material, section, strict=True)]
    )[piece]
    key[curved] = 0
    key[curved, 3] = -(10**9) - piece[curved]
    return np.unique(key, axis=0, return_inverse=True)[1].ravel()


class Tracer:
    """Follows rays to the triangles of a stage.

    Parameters
    ----------
    corners : (m, 3, 3) float
        Triangles. [mm]
    index : (m,) int
        What `first` should call each of them.

    Raises
    ------
    PictureError
        If Embree cannot be loaded.
    """

    def __init__(self, corners: Singles, index: Ints) -> None:
        try:
            from embreex.mesh_construction import TriangleMesh
            from embreex.rtcore_scene import EmbreeScene
        except ImportError as error:
            raise PictureError(
                f"pictures need Embree to follow rays: install the Python package embreex ({error})"
            ) from error

        self._scene = EmbreeScene()
        self._corners = np.ascontiguousarray(corners, np.float32)
        self._mesh = TriangleMesh(self._scene, self._corners)
        self._index = index

    def first(self, origins: Singles, directions: Singles) -> tuple[Ints, Singles]:
        """First triangle met by each ray, and how far away.

        Returns
        -------
        triangle : (n,) int
            -1 where nothing is met.
        distance : (n,) float
            [mm]
        """
        if not len(origins):
            return np.empty(0, np.int64), np.empty(0, np.float32)
        found = self._scene.run(origins, directions, output=True)
        met = found["primID"].astype(np.int64)
        return np.where(met >= 0, self._index[np.maximum(met, 0)], -1), found["tfar"]

    def blocked(self, origins: Singles, directions: Singles) -> Bools:
        """(n,) bool: whether each ray meets anything at all."""
        if not len(origins):
            return np.empty(0, np.bool_)
        return np.asarray(self._scene.run(origins, directions, query="OCCLUDED")) >= 0
