"""A piece before it is a solid, the planes pieces lie in, and turning all of them into parts at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely

from cladmodel.errors import SolidError
from cladmodel.model import Floats, Ints, Kind, Part
from cladmodel.solids.plates import Plate, Solid, frame, lift


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Piece:
    """One part to be: what it is and the bodies it is made of.

    Attributes
    ----------
    mark, kind, wall, course, section, cut_length_mm, material, assembly
        As in `cladmodel.model.Part`.
    bodies : tuple of Plate or Solid
        Usually one plate; a bent sheet is several that touch.
    """

    mark: str
    kind: Kind
    wall: str
    bodies: tuple[Plate | Solid, ...]
    course: int | None = None
    section: str = ""
    cut_length_mm: float = 0.0
    material: str = ""
    assembly: str | None = None


def upright(z: float) -> Floats:
    """Frame of plates parallel to the wall: s = x, y = y, n = z, back face at z.

    Parameters
    ----------
    z : float
        [mm]
    """
    return frame((0, 0, z), (1, 0, 0), (0, 1, 0))


def along(x: float) -> Floats:
    """Frame of sections drawn out along the wall from x: s = -z, y = y, n = x.

    Parameters
    ----------
    x : float
        [mm]
    """
    return frame((x, 0, 0), (0, 0, -1), (0, 1, 0))


def flat(y: float) -> Floats:
    """Frame of plates lying flat at a height: s = -x, y = z, n = y.

    Parameters
    ----------
    y : float
        [mm]
    """
    return frame((0, y, 0), (-1, 0, 0), (0, 0, 1))


def section_polygon(points: Sequence[tuple[float, float]]) -> shapely.Polygon:
    """Polygon of an `along` plate from (z, y) points.

    Parameters
    ----------
    points : sequence of (z, y)
        [mm]
    """
    return shapely.Polygon([(-z, y) for z, y in points])


def plan_polygon(points: Sequence[tuple[float, float]]) -> shapely.Polygon:
    """Polygon of a `flat` plate from (x, z) points.

    Parameters
    ----------
    points : sequence of (x, z)
        [mm]
    """
    return shapely.Polygon([(-x, z) for x, z in points])


LEAST_AREA = 1.0  # less is what is left of a cut, not a piece [mm2]


def polygons_of(shape: shapely.Geometry) -> list[shapely.Polygon]:
    """Polygons of a shape that are large enough to be anything, from left to right.

    Parameters
    ----------
    shape : shapely.Geometry
    """
    return left_to_right([p for p in shapely.get_parts(shape) if p.geom_type == "Polygon"])


def left_to_right(polygons: Sequence[shapely.Polygon]) -> list[shapely.Polygon]:
    """Polygons that are large enough to be anything, from left to right.

    Parameters
    ----------
    polygons : sequence of shapely.Polygon
    """
    large = [p for p in polygons if p.area > LEAST_AREA]
    return sorted(large, key=lambda p: p.bounds[:2]) if len(large) > 1 else large


def to_parts(pieces: Sequence[Piece]) -> tuple[Part, ...]:
    """Make every piece a closed solid, all plates in one go.

    Parameters
    ----------
    pieces : sequence of Piece

    Returns
    -------
    tuple of Part
        In the same order.

    Raises
    ------
    SolidError
        If a piece cannot be made; the message names it.
    """
    plates = [(body, piece) for piece in pieces for body in piece.bodies if isinstance(body, Plate)]
    try:
        lifted = iter(lift([plate for plate, _ in plates]))
    except SolidError as error:
        if error.plate is None:
            raise
        piece = plates[error.plate][1]
        raise SolidError(f"{piece.wall}: {piece.kind} {piece.mark} cannot be made: {error.reason}") from error
    return tuple(
        _part(piece, [body if isinstance(body, Solid) else next(lifted) for body in piece.bodies])
        for piece in pieces
    )


def _part(piece: Piece, solids: Sequence[Solid]) -> Part:
    vertices, faces = solids[0].vertices, solids[0].faces
    if len(solids) > 1:
        vertices, faces = _joined(solids)
    return Part(
        mark=piece.mark,
        kind=piece.kind,
        wall=piece.wall,
        vertices=vertices,
        faces=faces,
        course=piece.course,
        section=piece.section,
        cut_length_mm=piece.cut_length_mm,
        material=piece.material,
        assembly=piece.assembly,
    )


def _joined(solids: Sequence[Solid]) -> tuple[Floats, Ints]:
    counts = np.cumsum([0, *(len(s.vertices) for s in solids)])
    return (
        np.concatenate([s.vertices for s in solids]),
        np.concatenate([s.faces + n for s, n in zip(solids, counts, strict=False)]),
    )
