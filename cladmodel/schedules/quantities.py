"""What the job takes: pieces by kind and section, fixings by size, areas."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from shapely.geometry import Polygon, box

from cladmodel.model import Kind, Model, Part, Use
from cladmodel.schedules.board_shape import board_shape
from cladmodel.solids.measure import face_vectors

SHEETS = frozenset({Kind.SHEATHING, Kind.MEMBRANE})
"""Kinds counted by area."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """Pieces of one kind and section.

    Attributes
    ----------
    kind : Kind
    section : str
        As ordered.
    count : int
    total_length : float or None
        None for sheets. [mm]
    total_area : float or None
        One face; sheets and boards only. [mm2]
    """

    kind: Kind
    section: str
    count: int
    total_length: float | None
    total_area: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class FixingQuantity:
    """Fixings of one size and use.

    Attributes
    ----------
    fastener : str
        Its size and shank.
    material : str
    use : Use
    count : int
    """

    fastener: str
    material: str
    use: Use
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Areas:
    """Areas of the whole job.

    Attributes
    ----------
    clad : float
        Outlines of the walls less their openings. [mm2]
    boards : float
        Back faces of all boards as cut, laps included. [mm2]
    """

    clad: float
    boards: float


def quantities(model: Model) -> tuple[Quantity, ...]:
    """Count pieces and add up their lengths, read off the solids, in building-up order.

    Parameters
    ----------
    model : Model
    """
    groups: dict[tuple[Kind, str], list[Part]] = {}
    for part in model.parts:
        groups.setdefault((part.kind, part.section), []).append(part)
    order = list(Kind)
    return tuple(
        Quantity(
            kind=kind,
            section=section,
            count=len(parts),
            total_length=None if kind in SHEETS else sum(piece_length(p) for p in parts),
            total_area=_area(kind, parts),
        )
        for (kind, section), parts in sorted(
            groups.items(), key=lambda item: (order.index(item[0][0]), item[0][1])
        )
    )


def piece_length(part: Part) -> float:
    """Length of a piece as cut: along the wall for boards, else its longest side. [mm]."""
    extent = np.ptp(part.vertices, axis=0)
    return float(extent[0] if part.kind is Kind.BOARD else extent.max())


def _area(kind: Kind, parts: list[Part]) -> float | None:
    if kind is Kind.BOARD:
        return sum(board_shape(p).area for p in parts)
    if kind in SHEETS:
        return sum(_face_area(p) for p in parts)
    return None


def _face_area(part: Part) -> float:
    """Area of the faces that look outward, as seen square on. [mm2]."""
    return float(np.clip(face_vectors(part.vertices, part.faces)[:, 2], 0, None).sum() / 2)


def fixing_quantities(model: Model) -> tuple[FixingQuantity, ...]:
    """Count fixings by size and use, in the order of `Use`.

    Parameters
    ----------
    model : Model
    """
    counts: dict[tuple[Use, str, str], int] = {}
    for group in model.fixings:
        key = (group.use, group.fastener.name, group.fastener.material)
        counts[key] = counts.get(key, 0) + len(group.heads)
    order = list(Use)
    return tuple(
        FixingQuantity(fastener=name, material=material, use=use, count=count)
        for (use, name, material), count in sorted(
            counts.items(), key=lambda i: (order.index(i[0][0]), i[0][1:])
        )
    )


def areas(model: Model) -> Areas:
    """Clad area and board area of the whole job.

    Parameters
    ----------
    model : Model
    """
    clad = 0.0
    for wall in model.walls:
        outline = Polygon(wall.outline)
        for opening in wall.openings:
            outline = outline.difference(box(opening.left, opening.sill, opening.right, opening.head))
        clad += float(outline.area)
    return Areas(clad=clad, boards=sum(board_shape(p).area for p in model.of_kind(Kind.BOARD)))
